//! The situations that the dossier names by number, in full.

use std::collections::BTreeSet;

use super::words::{SITUATION, situation_anchor};
use super::{Material, View};
use crate::dossier::block::{Align, Block, Cell, Column, Inline, Row, Table, text};
use crate::evidence::SituationId;

/// To be added last: it lists what the other sections name.
pub(super) fn add(material: &Material, view: &mut View) {
    let mut named = BTreeSet::new();
    for placeable in view.named.values() {
        for block in &placeable.blocks {
            in_block(block, &mut named);
        }
    }
    let rows = named
        .into_iter()
        .filter_map(|id| {
            let situation = material.evidence.situations.get(id)?;
            Some(Row {
                id: situation_anchor(id),
                cells: vec![
                    Cell::text(id.to_string()),
                    Cell::text(situation.state.describe()),
                    Cell::text(situation.corner.describe_fully()),
                ],
                ..Row::default()
            })
        })
        .collect();
    let table = Table {
        id: "situations".to_owned(),
        caption: text(
            "Situations named by number, in full. What is not named stands at its nominal value.",
        ),
        columns: vec![
            Column::new("No.", Align::Right),
            Column::new("State", Align::Left).share(1.0),
            Column::new("Corner", Align::Left).share(2.0),
        ],
        rows,
        empty: "No situation is named by number.".to_owned(),
    };
    view.offer("situations", true, vec![Block::Table(table)]);
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
