//! Ratings with margin bars; also the shape that the thermal table and the output table share.

use super::words::{marked, situation, status, status_cell, subject};
use super::{Material, View};
use crate::checks::{Bound, Check, Comparison, Gate, Outcome, Stage, Subject};
use crate::dossier::block::{
    Align, Block, Cell, Column, Inline, MarginBar, Row, Status, Table, text,
};
use crate::quantity::{Unit, format};

pub(super) fn add(material: &Material, view: &mut View) {
    let rows = rows(material, Stage::Ratings);
    let nearest = nearest(material, Stage::Ratings);
    view.field("ratings_count", rows.len());
    view.field("ratings_nearest", nearest);
    let table = table(
        "ratings",
        "Stress of every part against its rating, at the worst of all situations, which stands \
         under it. The bar's full line is the limit, its broken line the derated limit; a failing \
         bar runs past the line it breaks.",
        rows,
        "No part has a rating to be held against.",
    );
    view.offer("ratings", true, vec![Block::Table(table)]);
}

/// The table of comparisons.
pub(super) fn table(id: &str, caption: &str, rows: Vec<Row>, empty: &str) -> Table {
    let mut table = Table {
        id: id.to_owned(),
        caption: text(caption),
        columns: vec![
            Column::new("Part", Align::Left),
            Column::new("Stress, and when it is worst", Align::Left).share(1.0),
            Column::new("Applied", Align::Decimal),
            Column::new("Limit", Align::Decimal),
            Column::new("Derated", Align::Decimal),
            Column::new("Used", Align::Right),
            Column::new("Margin", Align::Left).fixed(56.0),
            Column::new("Outcome", Align::Left),
        ],
        rows,
        empty: empty.to_owned(),
    };
    let blank = |row: &Row| row.cells.get(DERATED).is_none_or(|c| *c == Cell::empty());
    if table.rows.iter().all(blank) {
        table.columns.remove(DERATED);
        for row in table
            .rows
            .iter_mut()
            .filter(|row| row.cells.len() > DERATED)
        {
            row.cells.remove(DERATED);
        }
    }
    table
}

/// The column of the derated limits.
const DERATED: usize = 4;

/// Rows of a stage, part by part in the order of the design; what does not apply is left out and
/// counted in the method section. A stress and the same stress against its derated limit share a
/// row.
pub(super) fn rows(material: &Material, stage: Stage) -> Vec<Row> {
    let mut found: Vec<(usize, Line)> = material
        .stage(stage)
        .filter(|(_, outcome)| !matches!(outcome, Outcome::DoesNotApply { .. }))
        .filter(|(check, _)| !elsewhere(check.id))
        .map(|(check, outcome)| {
            let line = Line {
                check,
                outcome,
                derated: None,
            };
            (order(material, outcome), line)
        })
        .collect();
    found.sort_by_key(|(order, _)| *order);
    let mut lines: Vec<(usize, Line)> = Vec::new();
    for (order, line) in found {
        match lines.iter_mut().find(|(_, before)| before.takes(&line)) {
            Some((_, before)) => before.derated = Some((line.check, line.outcome)),
            None => lines.push((order, line)),
        }
    }
    let mut last = None;
    lines
        .into_iter()
        .map(|(order, line)| {
            let mut row = row(material, &line);
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

/// An outcome, with that of the same stress against its derated limit where there is one.
struct Line<'a> {
    check: &'a Check,
    outcome: &'a Outcome,
    derated: Option<(&'a Check, &'a Outcome)>,
}

impl Line<'_> {
    /// Whether `other` is this line's stress against its derated limit.
    fn takes(&self, other: &Line) -> bool {
        let (Some(ours), Some(theirs)) = (comparison(self.outcome), comparison(other.outcome))
        else {
            return false;
        };
        self.derated.is_none()
            && self.outcome.place().subject == other.outcome.place().subject
            && theirs.quantity.strip_suffix(", derated") == Some(ours.quantity.as_str())
            && theirs.bound == ours.bound
            && theirs.situation == ours.situation
            && theirs.value_text() == ours.value_text()
    }
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

/// What is less than this part of its limit is nothing: less than the solver can tell from none.
const NOTHING: f64 = 1e-6;

/// Whether a limit needs its words: where it is a rule and no figure of the part, and of an output,
/// which is held against several.
fn explains(check: &Check, limit_is: &str) -> bool {
    let rule = limit_is.contains(|c: char| c.is_ascii_digit()) || limit_is.contains("half");
    !limit_is.is_empty() && (rule || check.stage == Stage::OutputRange)
}

fn row(material: &Material, line: &Line) -> Row {
    let (check, outcome) = (line.check, line.outcome);
    let own = shown_status(check, outcome);
    let status = match line.derated {
        Some((check, outcome)) if own == Status::Holds => shown_status(check, outcome),
        _ => own,
    };
    let name = Cell::Text(subject(material, outcome.place()));
    let mut cells = vec![name];
    if let Some(c) = comparison(outcome) {
        let used = used(c);
        let softer = line.derated.and_then(|(_, outcome)| comparison(outcome));
        let mut stress: Vec<Inline> = text(c.quantity.as_str());
        if explains(check, &c.limit_is) {
            stress.push(format!("; limit: {}", c.limit_is).into());
        }
        let when = c
            .situation
            .map(|id| situation(material, id))
            .unwrap_or_default();
        if !when.is_empty() {
            stress.push(Inline::Break);
            stress.extend(when);
        }
        cells.extend([
            Cell::Text(stress),
            Cell::text(if c.value.abs() < NOTHING * c.limit.abs() {
                format(0.0, c.unit)
            } else {
                c.value_text()
            }),
            Cell::Text(vec![format!("{}{}", bound(c), c.limit_text()).into()]),
            softer.map_or_else(Cell::empty, |soft| {
                Cell::text(format!("{}{}", bound(soft), soft.limit_text()))
            }),
            Cell::text(used.map_or_else(|| "—".to_owned(), percent)),
            Cell::Bar(MarginBar {
                ratio: used.unwrap_or(if c.holds() { 0.0 } else { f64::INFINITY }.min(9.0)),
                derated: softer.and_then(|soft| share_of(c, soft)),
                status,
            }),
            status_cell(status),
        ]);
    } else {
        let says: Vec<Inline> = match outcome {
            Outcome::Holds { says, .. } => marked(says),
            Outcome::Fails { failure, .. } => marked(&failure.what),
            Outcome::NotAssessed { missing, .. } => {
                let mut words = text(check.id.replace('-', " "));
                words.push(Inline::Break);
                words.extend(marked(missing));
                words
            }
            Outcome::DoesNotApply { why, .. } => marked(why),
        };
        cells.extend([
            Cell::Text(says),
            Cell::empty(),
            Cell::empty(),
            Cell::empty(),
            Cell::empty(),
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
        ]);
    }
    Row::new(cells)
}

/// The derated limit as a share of the limit itself.
fn share_of(limit: &Comparison, derated: &Comparison) -> Option<f64> {
    used(&Comparison {
        value: derated.limit,
        ..limit.clone()
    })
}

/// A failed derating is a caution, not a failure of the rating; so is what blocks no gate.
fn shown_status(check: &Check, outcome: &Outcome) -> Status {
    match outcome {
        Outcome::Fails { failure, .. }
            if failure.gate == Gate::Note
                || failure.gate == Gate::Share && check.id.contains("derating") =>
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

/// A share of a limit; from ten times on the exact figure says nothing more.
fn percent(share: f64) -> String {
    if share < 9.995 {
        format!("{:.0} %", share * 100.0)
    } else {
        "> 999 %".to_owned()
    }
}

/// Share of the limit that is used, 1 at the limit. None where a share means nothing: a limit of
/// zero, or a value that fails on the other side of zero.
pub(super) fn used(comparison: &Comparison) -> Option<f64> {
    let (value, limit) = (comparison.value, comparison.limit);
    // Shares of a Celsius temperature are counted from the nominal room, 25 °C.
    let (value, limit) = if comparison.unit == Unit::Celsius {
        (value - 25.0, limit - 25.0)
    } else {
        (value, limit)
    };
    let share = match comparison.bound {
        // What is to be reached, up or down, is used up by falling short of it.
        Bound::AtMost if limit < 0.0 => limit / value,
        Bound::AtLeast if limit > 0.0 => limit / value,
        _ => value / limit,
    };
    let meant = limit != 0.0
        && value.is_finite()
        && share.is_finite()
        && share >= -1.0
        && (share >= 0.0 || comparison.holds());
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
