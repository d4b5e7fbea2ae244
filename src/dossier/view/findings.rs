//! Findings, worst gate first, and the lines that were not assessed.

use super::words::{counted, file_place, gate_name, situation, stage_name, subject};
use super::{Material, View};
use crate::checks::{Check, Failure, Gate, Outcome, Place};
use crate::dossier::block::{
    Align, Block, Callout, Cell, Column, Inline, Row, Table, code, strong, text,
};

pub(super) fn add(material: &Material, view: &mut View) {
    let found: Vec<(&'static Check, &Place, &Failure)> = material
        .outcomes()
        .filter_map(|(check, outcome)| match outcome {
            Outcome::Fails { place, failure } => Some((check, place, &**failure)),
            _ => None,
        })
        .collect();
    let mut blocks = Vec::new();
    for gate in [Gate::Power, Gate::Plug, Gate::Share, Gate::Note] {
        let of_gate: Vec<_> = found.iter().filter(|(.., f)| f.gate == gate).collect();
        view.field(&format!("findings_{}", gate_name(gate)), of_gate.len());
        if of_gate.is_empty() {
            continue;
        }
        let title = match gate {
            Gate::Note => format!(
                "{}, blocking nothing",
                counted(of_gate.len(), "note", "notes")
            ),
            gate => format!(
                "{} blocking {}",
                counted(of_gate.len(), "finding", "findings"),
                gate_name(gate)
            ),
        };
        blocks.push(Block::Heading {
            level: 2,
            text: text(title),
            id: format!("findings-{}", gate_name(gate)),
        });
        for (check, place, failure) in of_gate {
            blocks.push(finding(material, check, place, failure));
        }
    }
    if blocks.is_empty() {
        blocks.push(Block::Paragraph(text("No check found anything wrong.")));
    }
    view.field("findings_count", found.len());
    view.offer("findings", true, blocks);
    view.offer(
        "not-assessed",
        true,
        vec![Block::Table(not_assessed(material))],
    );
    let open = material
        .outcomes()
        .filter(|(_, outcome)| matches!(outcome, Outcome::NotAssessed { .. }))
        .count();
    view.field("not_assessed_count", open);
}

fn finding(material: &Material, check: &Check, place: &Place, failure: &Failure) -> Block {
    let mut title: Vec<Inline> = subject(material, place);
    title.push(format!("\u{2002}{}", check.id.replace('-', " ")).into());
    let mut blocks = vec![Block::Paragraph(text(failure.what.as_str()))];
    for (word, words) in [
        ("Why it matters. ", &failure.why),
        ("Remedy. ", &failure.remedy),
    ] {
        if !words.is_empty() {
            blocks.push(Block::Paragraph(vec![strong(word), words.as_str().into()]));
        }
    }
    let mut facts: Vec<Inline> = Vec::new();
    if let Some(where_written) = file_place(material, place) {
        facts.push(code(where_written));
    }
    if let Some(c) = &failure.comparison {
        let when = c
            .situation
            .map(|id| situation(material, id))
            .unwrap_or_default();
        let words = format!(
            "{} {} against {} ({})",
            c.quantity,
            c.value_text(),
            c.limit_text(),
            c.limit_is
        );
        separate(&mut facts);
        facts.push(words.into());
        if !when.is_empty() {
            separate(&mut facts);
            facts.push(format!("worst when {when}").into());
        }
    }
    for other in &failure.related {
        separate(&mut facts);
        facts.push("see also ".into());
        facts.extend(subject(material, other));
    }
    separate(&mut facts);
    facts.push("check ".into());
    facts.push(code(check.id));
    blocks.push(Block::Paragraph(facts));
    Block::Callout {
        kind: match failure.gate {
            Gate::Power => Callout::Danger,
            Gate::Plug => Callout::Caution,
            Gate::Share | Gate::Note => Callout::Note,
        },
        title,
        blocks,
    }
}

fn separate(facts: &mut Vec<Inline>) {
    if !facts.is_empty() {
        facts.push("; ".into());
    }
}

fn not_assessed(material: &Material) -> Table {
    let rows = material
        .outcomes()
        .filter_map(|(check, outcome)| match outcome {
            Outcome::NotAssessed {
                place,
                gate,
                missing,
            } => Some(Row::new([
                Cell::text(gate_name(*gate)),
                Cell::Text(subject(material, place)),
                Cell::text(format!(
                    "{}: {}",
                    stage_name(check.stage),
                    check.id.replace('-', " ")
                )),
                Cell::text(missing.as_str()),
                Cell::Blank(String::new()),
            ])),
            _ => None,
        })
        .collect();
    Table {
        id: "not-assessed".to_owned(),
        caption: text(
            "Lines that could not be assessed. Each keeps its gate blocked until a person who can \
             judge it has signed it.",
        ),
        columns: vec![
            Column::new("Gate", Align::Left),
            Column::new("Place", Align::Left),
            Column::new("Check", Align::Left).share(1.0),
            Column::new("What is missing", Align::Left).share(1.6),
            Column::new("Signed, date", Align::Left).fixed(84.0),
        ],
        rows,
        empty: "Every line was assessed.".to_owned(),
    }
}
