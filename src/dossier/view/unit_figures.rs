//! Figures of built units: readings in their windows, drift, parts, and the prediction itself.

use super::Material;
use crate::bench::{Drift, judge};
use crate::bringup::{Rule, Verdict};
use crate::diagnosis::parts::Learnt;
use crate::diagnosis::units::Across;
use crate::dossier::block::{Block, Figure, text};
use crate::dossier::draw::windows::{self, Mark, Row, Scale, Shape};
use crate::dossier::font::Fonts;
use crate::quantity::{Unit as Measured, format_range, format_to};
use crate::records::{Reading, Session, Unit};

/// Most rows of one figure; more go into another.
const MOST_ROWS: usize = 36;

/// Rows as figures, as many as it takes.
fn figures(id: &str, rows: &[Row], heads: [&str; 3], caption: &str, fonts: &Fonts) -> Vec<Block> {
    let several = rows.len() > MOST_ROWS;
    rows.chunks(MOST_ROWS)
        .enumerate()
        .map(|(index, rows)| {
            let alt: Vec<String> = rows
                .iter()
                .map(|row| format!("{}: {}", row.name, row.words))
                .collect();
            let (id, caption) = if several {
                (
                    format!("{id}-{}", index + 1),
                    format!("{caption} Part {}.", index + 1),
                )
            } else {
                (id.to_owned(), caption.to_owned())
            };
            Block::Figure(Figure {
                id,
                scene: windows::draw(rows, heads, fonts),
                caption: text(caption),
                alt: alt.join("; "),
            })
        })
        .collect()
}

/// Every reading of a session in the window that was predicted.
pub(super) fn readings(
    material: &Material,
    unit: &Unit,
    number: usize,
    session: &Session,
    fonts: &Fonts,
) -> Vec<Block> {
    let rule = material.file.map(|file| file.decision).unwrap_or_default();
    let rows: Vec<Row> = session
        .readings
        .iter()
        .filter_map(|reading| reading_row(material, session, reading, &rule))
        .collect();
    figures(
        &format!("unit-{}-readings-{}", unit.serial, number + 1),
        &rows,
        ["too low", "predicted", "too high"],
        &format!(
            "Unit {}, {}: each reading on a scale of its own, in the window that every corner allows \
             (broken line: all nominal). The whisker is the meter's expanded uncertainty, k = 2. Dot: \
             pass; ring: conditional; cross: fail; arrow: beyond the scale.",
            unit.serial, session.date
        ),
        fonts,
    )
}

fn reading_row(
    material: &Material,
    session: &Session,
    reading: &Reading,
    rule: &Rule,
) -> Option<Row> {
    let judged = judge(material.design, material.evidence, session, reading, rule);
    let predicted = judged.predicted.ok()?;
    let point = &reading.point;
    let verdict = predicted.decision.verdict;
    let shape = match verdict {
        Verdict::Pass => Shape::Dot,
        Verdict::ConditionalPass | Verdict::ConditionalFail => Shape::Ring,
        Verdict::Fail => Shape::Cross,
    };
    let window = (predicted.limits.low, predicted.limits.high);
    let reads = if reading.reads.is_finite() {
        format_to(reading.reads, point.unit, 4)
    } else {
        "OL".to_owned()
    };
    let allowed = if window.1.is_finite() {
        format_range(window.0, window.1, point.unit, 3)
    } else {
        format!("at least {}", format_to(window.0, point.unit, 2))
    };
    let uncertainty = Some(predicted.decision.expanded).filter(|u| u.is_finite());
    Some(Row {
        name: point.describe(),
        scale: Scale::around(window),
        outer: None,
        window,
        expected: predicted.nominal.filter(|nominal| nominal.is_finite()),
        marks: vec![Mark::new(reading.reads, uncertainty.unwrap_or(0.0), shape)],
        words: format!("{reads} in {allowed}: {}", verdict.words()),
    })
}

/// Every point that was read again, beside its first reading.
pub(super) fn drift(unit: &Unit, drifts: &[Drift], fonts: &Fonts) -> Vec<Block> {
    let rows: Vec<Row> = drifts
        .iter()
        .map(|drift| {
            let first = drift.first.1;
            let window = (first - drift.expanded, first + drift.expanded);
            let shape = if drift.seen() {
                Shape::Ring
            } else {
                Shape::Dot
            };
            let moved = format_to(drift.change(), drift.unit, 2);
            let seen = if drift.seen() { "moved" } else { "steady" };
            Row {
                name: drift.point.clone(),
                scale: Scale::around(window),
                outer: None,
                window,
                expected: Some(first),
                marks: vec![Mark::new(drift.last.1, 0.0, shape)],
                words: format!("{moved} by {}: {seen}", drift.last.0),
            }
        })
        .collect();
    figures(
        &format!("unit-{}-drift", unit.serial),
        &rows,
        ["fell", "within the meters' error", "rose"],
        &format!(
            "Unit {}: the last reading of each point beside its first (broken line), which is known to \
             the window: both meters together, k = 2. Dot: steady; ring: moved; arrow: beyond the scale.",
            unit.serial
        ),
        fonts,
    )
}

/// What the readings narrow down of the parts.
pub(super) fn parts(unit: &Unit, learnt: &Learnt, fonts: &Fonts) -> Vec<Block> {
    if !learnt.fits() {
        return Vec::new();
    }
    let rows: Vec<Row> = learnt
        .estimates
        .iter()
        .map(|one| {
            let window = (one.allowed[0], one.allowed[1]);
            Row {
                name: format!("{}, {}", one.part, one.what),
                scale: Scale::around(window),
                outer: None,
                window,
                expected: Some(0.5 * (window.0 + window.1)),
                marks: vec![Mark {
                    at: one.is,
                    reach: (one.interval[0], one.interval[1]),
                    shape: Shape::Dot,
                }],
                words: format!(
                    "{}, {}",
                    format_to(one.is, one.unit, 3),
                    format_range(one.interval[0], one.interval[1], one.unit, 3)
                ),
            }
        })
        .collect();
    figures(
        &format!("unit-{}-parts", unit.serial),
        &rows,
        ["", "allowed", ""],
        &format!(
            "Unit {}: what the readings say of the parts, in what the design allows of each (broken \
             line: its middle). The whisker is the interval, k = 2.",
            unit.serial
        ),
        fonts,
    )
}

/// Every place that several units were read at: the units beside the prediction.
pub(super) fn across(material: &Material, fonts: &Fonts) -> Vec<Block> {
    let rows: Vec<Row> = material
        .across
        .iter()
        .map(|one| across_row(material, one))
        .collect();
    figures(
        "units-across-figure",
        &rows,
        ["reads low", "", "reads high"],
        "Readings less prediction, all units: the broken line is the prediction, the window the 95 % \
         interval of the units' mean. A window that leaves the line out says that the prediction is \
         off. Dot: a unit; cross: one that lies off the others.",
        fonts,
    )
}

fn across_row(material: &Material, one: &Across) -> Row {
    let units = material.units.iter().zip(material.learnt);
    let marks: Vec<Mark> = units
        .filter_map(|(unit, learnt)| {
            let residuals = &learnt.as_ref()?.residuals;
            let here = residuals.iter().find(|r| r.point.same(&one.point))?;
            let shape = if one.odd.contains(&unit.serial) {
                Shape::Cross
            } else {
                Shape::Dot
            };
            Some(Mark::new(here.off, 2.0 * here.meter, shape))
        })
        .collect();
    let window = (one.mean - one.within, one.mean + one.within);
    let far = marks
        .iter()
        .flat_map(|mark| [mark.reach.0, mark.reach.1])
        .chain([window.0, window.1])
        .fold(0.0_f64, |far, value| far.max(value.abs()));
    let far = 1.1 * far.max(f64::MIN_POSITIVE);
    Row {
        name: one.point.describe(),
        scale: Scale::Even(-far, far),
        outer: None,
        window,
        expected: Some(0.0),
        marks,
        words: format!(
            "{} ± {}, {} units",
            format_to(one.mean, Measured::Volt, 2),
            format_to(one.within, Measured::Volt, 2),
            one.units.len()
        ),
    }
}
