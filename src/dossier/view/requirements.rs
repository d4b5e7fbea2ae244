//! What the designer promises, and whether it is kept.

use super::margins::comparison;
use super::words::{situation, status, status_cell};
use super::{Material, View};
use crate::checks::{Comparison, Outcome, Subject};
use crate::design::Promised;
use crate::dossier::block::{Align, Block, Cell, Column, Row, Status, Table, text};

pub(super) fn add(material: &Material, view: &mut View) {
    let rows: Vec<Row> = material
        .design
        .promises
        .iter()
        .enumerate()
        .map(|(index, promise)| {
            let found: Vec<&Outcome> = material
                .outcomes()
                .map(|(_, outcome)| outcome)
                .filter(|outcome| {
                    outcome.place().subject == Subject::Promise(index)
                        || outcome.place().route == format!("promises.{index}")
                })
                .filter(|outcome| !matches!(outcome, Outcome::DoesNotApply { .. }))
                .collect();
            row(
                material,
                &promise.text,
                measured(material, &promise.promised),
                &found,
            )
        })
        .collect();
    view.field("promises_count", rows.len());
    let table = Table {
        id: "requirements".to_owned(),
        caption: text(
            "What the design promises, how that was shown, and what is left. Analysis is at every \
             corner and in every state the promise covers; readings are those of units that were \
             really built, under Units on record.",
        ),
        columns: vec![
            Column::new("Promise", Align::Left).share(1.2),
            Column::new("Shown by", Align::Left),
            Column::new("Found", Align::Left),
            Column::new("Limit", Align::Left),
            Column::new("To spare", Align::Left),
            Column::new("Outcome", Align::Left),
            Column::new("Worst when", Align::Left).share(1.0),
        ],
        rows,
        empty: "The design promises nothing: it is reviewed against the instrument and the \
                ratings alone."
            .to_owned(),
    };
    view.offer("requirements", true, vec![Block::Table(table)]);
}

/// One promise; the worst of what was said of it. A promise of which nothing was said is not
/// assessed.
fn row(material: &Material, promise: &str, measured: bool, found: &[&Outcome]) -> Row {
    let worst = found.iter().copied().max_by(|a, b| {
        let rank = |outcome: &Outcome| match status(outcome) {
            Status::Fails => 2,
            Status::NotAssessed => 1,
            _ => 0,
        };
        let spare =
            |outcome: &Outcome| comparison(outcome).map_or(f64::INFINITY, Comparison::margin);
        rank(a).cmp(&rank(b)).then(spare(b).total_cmp(&spare(a)))
    });
    let mut cells = vec![
        Cell::text(promise),
        Cell::text(match worst.and_then(comparison) {
            None => "—",
            Some(_) if measured => "analysis, readings",
            Some(_) => "analysis",
        }),
    ];
    match worst.and_then(comparison) {
        Some(c) => cells.extend([
            Cell::text(c.value_text()),
            Cell::text(c.limit_text()),
            Cell::text(if c.holds() {
                c.gap()
            } else {
                format!("−{}", c.gap())
            }),
        ]),
        None => cells.extend([Cell::text("—"), Cell::text("—"), Cell::text("—")]),
    }
    cells.push(status_cell(worst.map_or(Status::NotAssessed, status)));
    cells.push(match worst {
        Some(Outcome::NotAssessed { missing, .. }) => Cell::text(missing.as_str()),
        Some(outcome) => Cell::Text(
            comparison(outcome)
                .and_then(|c| c.situation)
                .map(|id| situation(material, id))
                .unwrap_or_default(),
        ),
        None => Cell::text("no check looked at it"),
    });
    Row::new(cells)
}

/// Whether what is promised was read on a unit that was really built.
fn measured(material: &Material, promised: &Promised) -> bool {
    let (Promised::Is { at, .. } | Promised::Spans { at, .. }) = promised else {
        return false;
    };
    material
        .units
        .iter()
        .filter(|unit| !unit.demonstration)
        .flat_map(|unit| &unit.sessions)
        .flat_map(|session| &session.readings)
        .any(|reading| reading.point.net == *at)
}
