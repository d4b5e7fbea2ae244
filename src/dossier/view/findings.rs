//! Findings, worst gate first, and the lines that were not assessed.

use super::output::{feeds, range_anchor};
use super::words::{
    check_anchor, counted, file_place, gate_name, marked, situation, stage_name, subject,
};
use super::{Material, View};
use crate::checks::{Failure, Gate, Stage};
use crate::dossier::block::{
    Align, Block, Callout, Cell, Column, Inline, Row, Table, code, link, strong, text,
};
use crate::review::{Blocker, Disposition, Finding};

pub(super) fn add(material: &Material, view: &mut View) {
    let findings = &material.review.findings;
    let failures: Vec<(&Finding, &Failure)> = findings
        .iter()
        .filter_map(|finding| match &finding.blocker {
            Blocker::Failure(failure) => Some((finding, &**failure)),
            Blocker::NotAssessed(_) => None,
        })
        .collect();
    let mut blocks = Vec::new();
    for gate in [Gate::Power, Gate::Plug, Gate::Share, Gate::Note] {
        let of_gate: Vec<_> = failures.iter().filter(|(f, _)| f.gate == gate).collect();
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
        blocks.extend(
            of_gate
                .into_iter()
                .map(|(f, failure)| block(material, f, failure)),
        );
    }
    view.field("findings_count", failures.len());
    view.field("not_assessed_count", findings.len() - failures.len());
    view.offer("findings", true, blocks);
    view.offer(
        "not-assessed",
        true,
        vec![Block::Table(not_assessed(material))],
    );
}

fn block(material: &Material, finding: &Finding, failure: &Failure) -> Block {
    let mut title: Vec<Inline> = vec![format!("{}.\u{2002}", finding.number).into()];
    for (index, one) in finding.with_alike().enumerate() {
        if index > 0 {
            title.push(", ".into());
        }
        title.extend(subject(material, &one.place));
    }
    title.push(format!(": {}", finding.check.id.replace('-', " ")).into());
    let mut blocks: Vec<Block> = finding
        .all_that_is_wrong()
        .iter()
        .map(|words| Block::Paragraph(marked(words)))
        .collect();
    for (word, words) in [
        ("Why it matters. ", &failure.why),
        ("Remedy. ", &finding.remedies()),
    ] {
        if !words.is_empty() {
            let mut sentence = vec![strong(word)];
            sentence.extend(marked(words));
            blocks.push(Block::Paragraph(sentence));
        }
    }
    let brings = finding.consequences_in_words();
    if !brings.is_empty() {
        let mut sentence = vec![strong("It brings about. ")];
        sentence.extend(marked(&format!("{brings}; they go away with it.")));
        blocks.push(Block::Paragraph(sentence));
    }
    if let Some(disposition) = &finding.disposition {
        blocks.push(Block::Paragraph(decided(disposition)));
    }
    blocks.push(Block::Paragraph(facts(material, finding, failure)));
    Block::Callout {
        id: format!("finding-{}", finding.number),
        kind: match finding.gate {
            _ if !finding.blocks() => Callout::Note,
            Gate::Power => Callout::BlocksPower,
            Gate::Plug => Callout::BlocksPlug,
            Gate::Share => Callout::BlocksShare,
            Gate::Note => Callout::Note,
        },
        title,
        blocks,
    }
}

/// What a person decided about it.
fn decided(disposition: &Disposition) -> Vec<Inline> {
    match disposition {
        Disposition::Accepted { reason, by, until } => {
            let until = until
                .as_ref()
                .map(|day| format!(", until {day}"))
                .unwrap_or_default();
            vec![
                strong("Accepted. "),
                format!("{reason} ({by}{until})").into(),
            ]
        }
        Disposition::Signed { by } => vec![strong("Signed. "), by.as_str().into()],
    }
}

/// Where it is written, the numbers, what else belongs to it, and the check.
fn facts(material: &Material, finding: &Finding, failure: &Failure) -> Vec<Inline> {
    let mut facts: Vec<Vec<Inline>> = Vec::new();
    if let Some(written) = file_place(material, &finding.place) {
        facts.push(vec![code(written)]);
    }
    if let Some(c) = &failure.comparison {
        facts.push(text(format!(
            "{} {} against {} ({})",
            c.quantity,
            c.value_text(),
            c.limit_text(),
            c.limit_is
        )));
        let when = c
            .situation
            .map(|id| situation(material, id))
            .unwrap_or_default();
        if !when.is_empty() {
            let mut worst: Vec<Inline> = vec!["worst when ".into()];
            worst.extend(when);
            facts.push(worst);
        }
    }
    if !failure.related.is_empty() {
        let mut also: Vec<Inline> = vec!["see also ".into()];
        for (index, place) in failure.related.iter().enumerate() {
            if index > 0 {
                also.push(", ".into());
            }
            also.extend(subject(material, place));
        }
        facts.push(also);
    }
    let id = finding.check.id;
    facts.push(vec!["check ".into(), link(check_anchor(id), id)]);
    let jack = finding.place.label();
    let mut fed = feeds(material.design).into_iter();
    if finding.check.stage == Stage::OutputRange
        && let Some(feed) = fed.find(|feed| feed.jack.reference == jack)
    {
        facts.push(vec![link(
            range_anchor(&feed),
            "figure of the output's range",
        )]);
    }
    let mut joined = Vec::new();
    for (index, fact) in facts.into_iter().enumerate() {
        if index > 0 {
            joined.push("; ".into());
        }
        joined.extend(fact);
    }
    joined
}

fn not_assessed(material: &Material) -> Table {
    let rows = material
        .review
        .findings
        .iter()
        .filter_map(|finding| match &finding.blocker {
            Blocker::NotAssessed(missing) => Some(Row {
                id: format!("finding-{}", finding.number),
                cells: vec![
                    Cell::text(finding.number.to_string()),
                    Cell::text(gate_name(finding.gate)),
                    Cell::Text(subject(material, &finding.place)),
                    Cell::Text(vec![
                        format!("{}: ", stage_name(finding.check.stage)).into(),
                        link(
                            check_anchor(finding.check.id),
                            finding.check.id.replace('-', " "),
                        ),
                    ]),
                    Cell::Text(marked(missing)),
                    match &finding.disposition {
                        Some(Disposition::Signed { by }) => Cell::text(by.as_str()),
                        _ => Cell::Blank(String::new()),
                    },
                ],
                ..Row::default()
            }),
            Blocker::Failure(_) => None,
        })
        .collect();
    Table {
        id: "not-assessed".to_owned(),
        caption: text(
            "Lines that could not be assessed. Each keeps its gate blocked until a person who can \
             judge it has signed it.",
        ),
        columns: vec![
            Column::new("No.", Align::Right),
            Column::new("Gate", Align::Left),
            Column::new("Place", Align::Left),
            Column::new("Check", Align::Left).share(1.0),
            Column::new("What is missing", Align::Left).share(1.6),
            Column::new("Signed, date", Align::Left).fixed(80.0),
        ],
        rows,
        empty: "None: every line was assessed.".to_owned(),
    }
}
