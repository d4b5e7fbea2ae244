//! The situations that the dossier names by number, in full.

use std::collections::BTreeSet;

use super::words::{SITUATION, situation_anchor};
use super::{Material, View};
use crate::dossier::block::{Align, Block, Cell, Column, Inline, Row, Table, text};
use crate::evidence::SituationId;
use crate::situations::{Level, Parameter, Situation};
use indexmap::IndexMap;

/// To be added last: it lists what the other sections name.
pub(super) fn add(material: &Material, view: &mut View) {
    let mut named = BTreeSet::new();
    for placeable in view.named.values() {
        for block in &placeable.blocks {
            in_block(block, &mut named);
        }
    }
    let mut rows = Vec::new();
    let mut state = String::new();
    for id in named {
        let Some(situation) = material.evidence.situations.get(id) else {
            continue;
        };
        let here = situation.state.describe();
        if here != state {
            rows.push(Row::group(here.as_str()));
            state = here;
        }
        rows.push(Row {
            id: situation_anchor(id),
            cells: vec![Cell::text(id.to_string()), Cell::text(moved(situation))],
            ..Row::default()
        });
    }
    let table = Table {
        id: "situations".to_owned(),
        caption: text(
            "Situations named by number, in full, under the state they belong to. What is not \
             named stands at its nominal value.",
        ),
        columns: vec![
            Column::new("No.", Align::Right).fixed(24.0),
            Column::new("At an end of its spread", Align::Left).share(1.0),
        ],
        rows,
        empty: "No situation is named by number.".to_owned(),
    };
    view.offer("situations", true, vec![Block::Table(table)]);
}

/// What a situation moves, the parts that move alike together: `mains high; value low: C1, C2`.
fn moved(situation: &Situation) -> String {
    let corner = &situation.corner;
    let mut alone: Vec<String> = Vec::new();
    let mut alike: IndexMap<String, Vec<&str>> = IndexMap::new();
    for (parameter, level) in corner.levels() {
        let level = if level == Level::Low { "low" } else { "high" };
        let (part, what) = match parameter {
            Parameter::Figure(part, property) => (part, property.key().replace('-', " ")),
            Parameter::Drop(part) => (part, "forward drop".to_owned()),
            Parameter::Charge(part) => (part, "charge".to_owned()),
            Parameter::Mains | Parameter::Ambient | Parameter::Device(..) => {
                alone.push(format!("{} {level}", parameter.describe()));
                continue;
            }
        };
        alike
            .entry(format!("{what} {level}"))
            .or_default()
            .push(part.as_str());
    }
    if alone.is_empty() && alike.is_empty() {
        alone.push(corner.describe_fully());
    }
    if situation.warmed.is_some() {
        alone.push("warmed up".to_owned());
    }
    let alike = alike
        .into_iter()
        .map(|(what, parts)| format!("{what}: {}", parts.join(", ")));
    alone
        .into_iter()
        .chain(alike)
        .collect::<Vec<_>>()
        .join("; ")
}

fn in_block(block: &Block, named: &mut BTreeSet<SituationId>) {
    match block {
        Block::Paragraph(words) | Block::Heading { text: words, .. } => in_words(words, named),
        Block::Figure(figure) => in_words(&figure.caption, named),
        Block::Table(table) => {
            in_words(&table.caption, named);
            for cell in table.rows.iter().flat_map(|row| &row.cells) {
                if let Cell::Text(words) | Cell::Status(_, words) = cell {
                    in_words(words, named);
                }
            }
        }
        Block::Callout { blocks, .. } | Block::Stamped { blocks, .. } => {
            for block in blocks {
                in_block(block, named);
            }
        }
        Block::List { items, .. } => {
            for block in items.iter().flatten() {
                in_block(block, named);
            }
        }
        _ => {}
    }
}

fn in_words(words: &[Inline], named: &mut BTreeSet<SituationId>) {
    for inline in words {
        match inline {
            Inline::Link { to, .. } => {
                let number: Option<SituationId> =
                    to.strip_prefix(SITUATION).and_then(|id| id.parse().ok());
                named.extend(number);
            }
            Inline::Strong(inner) | Inline::Emphasis(inner) => in_words(inner, named),
            _ => {}
        }
    }
}
