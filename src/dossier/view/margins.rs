//! Ratings with margin bars; also the shape that the thermal table and the output table share.

use super::words::{marked, situation, status, status_cell, subject};
use super::{Material, View};
use crate::checks::{Bound, Check, Comparison, Gate, Outcome, Stage, Subject};
use crate::dossier::block::{Align, Block, Cell, Column, MarginBar, Row, Status, Table, text};
use crate::quantity::Unit;

pub(super) fn add(material: &Material, view: &mut View) {
    let rows = rows(material, Stage::Ratings);
    let nearest = nearest(material, Stage::Ratings);
    view.field("ratings_count", rows.len());
    view.field("ratings_nearest", nearest);
    let table = table(
        "ratings",
        "Stress of every part against its rating, at the worst of all situations. The bar's full \
         line is the limit; a failing bar runs past it.",
        rows,
        "No part has a rating to be held against.",
    );
    view.offer("ratings", true, vec![Block::Table(table)]);
}

/// The table of comparisons.
pub(super) fn table(id: &str, caption: &str, rows: Vec<Row>, empty: &str) -> Table {
    Table {
        id: id.to_owned(),
        caption: text(caption),
        columns: vec![
            Column::new("Part", Align::Left),
            Column::new("Stress", Align::Left).share(1.1),
            Column::new("Applied", Align::Decimal),
            Column::new("Limit", Align::Decimal),
            Column::new("Used", Align::Right),
            Column::new("Margin", Align::Left).fixed(66.0),
            Column::new("Outcome", Align::Left),
            Column::new("Worst when", Align::Left).share(1.0),
        ],
        rows,
        empty: empty.to_owned(),
    }
}

/// Rows of a stage, part by part in the order of the design; what does not apply is left out and
/// counted in the method section.
pub(super) fn rows(material: &Material, stage: Stage) -> Vec<Row> {
    let mut found: Vec<(usize, Row)> = material
        .stage(stage)
        .filter(|(_, outcome)| !matches!(outcome, Outcome::DoesNotApply { .. }))
        .filter(|(check, _)| !elsewhere(check.id))
        .map(|(check, outcome)| (order(material, outcome), row(material, check, outcome)))
        .collect();
    found.sort_by_key(|(order, _)| *order);
    let mut last = None;
    found
        .into_iter()
        .map(|(order, mut row)| {
            // The part is named on its first row only.
            if last.replace(order) == Some(order) {
                row.cells[0] = Cell::empty();
            }
            row
        })
        .collect()
}

/// Faults and slips have a section of their own.
fn elsewhere(check: &str) -> bool {
    ["fault-", "faults-", "slip-"]
        .iter()
        .any(|start| check.starts_with(start))
}

fn order(material: &Material, outcome: &Outcome) -> usize {
    let label = outcome.place().label();
    let after = material.design.parts.len();
    match &outcome.place().subject {
        Subject::Part(_) => material.design.parts.get_index_of(&label).unwrap_or(after),
        Subject::Net(_) => {
            let net = material.design.nets.iter().position(|net| *net == label);
            after + 1 + net.unwrap_or(material.design.nets.len())
        }
        Subject::Promise(index) => 10_000 + index,
        Subject::Design => 20_000,
    }
}

fn row(material: &Material, check: &Check, outcome: &Outcome) -> Row {
    let status = shown_status(check, outcome);
    let name = Cell::Text(subject(material, outcome.place()));
    let comparison = comparison(outcome);
    let mut cells = vec![name];
    if let Some(c) = comparison {
        let used = used(c);
        cells.extend([
            Cell::text(c.quantity.as_str()),
            Cell::text(c.value_text()),
            Cell::Text(vec![format!("{}{}", bound(c), c.limit_text()).into()]),
            Cell::text(used.map_or_else(|| "—".to_owned(), |u| format!("{:.0} %", u * 100.0))),
            Cell::Bar(MarginBar {
                ratio: used.unwrap_or(if c.holds() { 0.0 } else { f64::INFINITY }.min(9.0)),
                derated: None,
                status,
            }),
            status_cell(status),
            Cell::Text(
                c.situation
                    .map(|id| situation(material, id))
                    .unwrap_or_default(),
            ),
        ]);
    } else {
        let says = match outcome {
            Outcome::Holds { says, .. } => says.clone(),
            Outcome::Fails { failure, .. } => failure.what.clone(),
            Outcome::NotAssessed { .. } => check.id.replace('-', " "),
            Outcome::DoesNotApply { why, .. } => why.clone(),
        };
        cells.extend([
            Cell::text(says),
            Cell::text("—"),
            Cell::text("—"),
            Cell::text("—"),
            if status == Status::NotAssessed {
                Cell::Bar(MarginBar {
                    ratio: f64::NAN,
                    derated: None,
                    status,
                })
            } else {
                Cell::empty()
            },
            status_cell(status),
            match outcome {
                Outcome::NotAssessed { missing, .. } => Cell::Text(marked(missing)),
                _ => Cell::empty(),
            },
        ]);
    }
    Row::new(cells)
}

/// A failed derating is a caution, not a failure of the rating.
fn shown_status(check: &Check, outcome: &Outcome) -> Status {
    match outcome {
        Outcome::Fails { failure, .. }
            if matches!(failure.gate, Gate::Share | Gate::Note)
                && check.id.contains("derating") =>
        {
            Status::Caution
        }
        other => status(other),
    }
}

/// The numbers of an outcome, where there are any.
pub(super) fn comparison(outcome: &Outcome) -> Option<&Comparison> {
    match outcome {
        Outcome::Holds { comparison, .. } => comparison.as_ref(),
        Outcome::Fails { failure, .. } => failure.comparison.as_ref(),
        _ => None,
    }
}

fn bound(comparison: &Comparison) -> &'static str {
    match comparison.bound {
        Bound::AtMost => "≤ ",
        Bound::AtLeast => "≥ ",
    }
}

/// Share of the limit that is used, 1 at the limit. None where a share means nothing: a limit of
/// zero or of the other sign.
pub(super) fn used(comparison: &Comparison) -> Option<f64> {
    let (value, limit) = (comparison.value, comparison.limit);
    // Shares of a Celsius temperature are counted from the nominal room, 25 °C.
    let (value, limit) = if comparison.unit == Unit::Celsius {
        (value - 25.0, limit - 25.0)
    } else {
        (value, limit)
    };
    let share = match comparison.bound {
        Bound::AtMost => value / limit,
        Bound::AtLeast if limit < 0.0 => value / limit,
        Bound::AtLeast => limit / value,
    };
    let meant = limit != 0.0 && value.is_finite() && share.is_finite() && share >= -1.0;
    // The sum turns a negative zero into a plain one.
    meant.then_some(share.max(0.0) + 0.0)
}

/// The outcome that holds with the least to spare, in words.
pub(super) fn nearest(material: &Material, stage: Stage) -> Option<String> {
    material
        .stage(stage)
        .filter(|(_, outcome)| matches!(outcome, Outcome::Holds { .. }))
        .filter_map(|(_, outcome)| {
            let c = comparison(outcome)?;
            Some((used(c)?, outcome, c))
        })
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(share, outcome, c)| {
            format!(
                "{}, {}: {} of {} ({:.0} %)",
                outcome.place().label(),
                c.quantity,
                c.value_text(),
                c.limit_text(),
                share * 100.0
            )
        })
}
