//! Units that were built: what was read at the bench against what was predicted.

use super::words::counted;
use super::{Material, View, unit_figures};
use crate::bench::{Drift, drifts, judge};
use crate::bringup::{Rule, Verdict};
use crate::dossier::block::{
    Align, Block, Cell, Column, Inline, Photo, Row, Status, Table, code, text,
};
use crate::dossier::font::Fonts;
use crate::quantity::{Unit as Measured, format_range, format_short, format_to};
use crate::records::{Reading, Session, Unit};

pub(super) fn add(material: &Material, fonts: &Fonts, view: &mut View) {
    let mut blocks = Vec::new();
    for (index, unit) in material.units.iter().enumerate() {
        let of_unit = blocks_of(material, unit, index, fonts);
        if unit.demonstration {
            blocks.push(Block::Stamped {
                stamp: "Demonstration".to_owned(),
                blocks: of_unit,
            });
        } else {
            blocks.extend(of_unit);
        }
    }
    blocks.extend(super::learnt::across(material));
    blocks.extend(unit_figures::across(material, fonts));
    view.field("units_count", material.units.len());
    view.offer("units", false, blocks);
}

fn blocks_of(material: &Material, unit: &Unit, index: usize, fonts: &Fonts) -> Vec<Block> {
    let mut blocks = vec![Block::Heading {
        level: 2,
        text: text(format!("Unit {}", unit.serial)),
        id: format!("unit-{}", unit.serial),
    }];
    let mut facts: Vec<String> = Vec::new();
    if let Some(builder) = &unit.builder {
        facts.push(format!("Built by {builder}"));
    }
    if let Some(built) = &unit.built {
        facts.push(format!("built on {built}"));
    }
    if let Some(revision) = &unit.revision {
        facts.push(format!("to revision {revision}"));
    }
    if unit.revision.is_some() && unit.revision != material.design.revision {
        facts.push("NOT the revision of this dossier".to_owned());
    }
    if unit.demonstration {
        facts.push("an invented record, for demonstration only; it opens no gate".to_owned());
    }
    blocks.push(Block::Paragraph(text(format!("{}.", facts.join(", ")))));
    if !unit.substitutions.is_empty() {
        let items = unit
            .substitutions
            .iter()
            .map(|s| {
                let reason = s
                    .reason
                    .as_ref()
                    .map(|r| format!(" ({r})"))
                    .unwrap_or_default();
                let words = vec![
                    code(s.part.as_str()),
                    format!(": {}{reason}", s.as_built).into(),
                ];
                vec![Block::Paragraph(words)]
            })
            .collect();
        blocks.push(Block::Paragraph(text("Built otherwise than designed:")));
        blocks.push(Block::List {
            ordered: false,
            items,
        });
    }
    if let Some(gates) = material.unit_gates.get(index) {
        blocks.push(Block::Table(super::unit_gates::table(unit, gates)));
    }
    blocks.extend(
        unit.photos
            .iter()
            .filter_map(|name| photo(material, unit, name)),
    );
    for (number, session) in unit.sessions.iter().enumerate() {
        blocks.push(Block::Table(session_table(material, session)));
        blocks.extend(unit_figures::readings(
            material, unit, number, session, fonts,
        ));
    }
    let drifts = drifts(unit);
    if !drifts.is_empty() {
        blocks.push(Block::Table(drift_table(&drifts)));
        blocks.extend(unit_figures::drift(unit, &drifts, fonts));
    }
    if let Some(Some(learnt)) = material.learnt.get(index) {
        blocks.push(super::learnt::of_unit(unit, learnt));
        blocks.extend(unit_figures::parts(unit, learnt, fonts));
    }
    if unit.sessions.is_empty() {
        blocks.push(Block::Paragraph(text("No readings are on record.")));
    }
    blocks
}

fn photo(material: &Material, unit: &Unit, name: &str) -> Option<Block> {
    let path = super::photo_path(unit, name);
    let photo = material.photos.iter().find(|photo| photo.path == path)?;
    // A file's name is all that is known of what it shows.
    let stem = name.rsplit('/').next().unwrap_or(name);
    let shows = stem
        .rsplit_once('.')
        .map_or(stem, |(stem, _)| stem)
        .replace(['-', '_'], " ");
    Some(Block::Photo(Photo {
        jpeg: photo.jpeg.clone(),
        width: photo.width,
        height: photo.height,
        caption: text(format!("Unit {}, photo “{shows}”.", unit.serial)),
        alt: format!("Photo of unit {}: {shows}", unit.serial),
    }))
}

fn session_table(material: &Material, session: &Session) -> Table {
    let rule = material.file.map(|file| file.decision).unwrap_or_default();
    let mut words = format!("Readings of {}", session.date);
    if let Some(by) = &session.by {
        words = format!("{words} by {by}");
    }
    words = format!("{words}, with {}", session.meter.name);
    if let Some(mains) = session.mains {
        words = format!("{words}, mains {}", format_short(mains, Measured::Volt));
    }
    if let Some(ambient) = session.ambient {
        words = format!("{words}, {}", format_short(ambient, Measured::Celsius));
    }
    if let Some(note) = &session.note {
        words = format!("{words}; {note}");
    }
    let inside = session
        .readings
        .iter()
        .filter(|reading| {
            let judged = judge(material.design, material.evidence, session, reading, &rule);
            judged.predicted.is_ok_and(|p| p.decision.verdict.passes())
        })
        .count();
    let words = format!(
        "{words}. {inside} of {} inside what every corner allows. Decision rule: {}.",
        counted(session.readings.len(), "reading", "readings"),
        rule.describe()
    );
    Table {
        caption: text(words),
        columns: vec![
            Column::new("At", Align::Left),
            Column::new("Set to", Align::Left).share(1.0),
            Column::new("Reading", Align::Decimal),
            Column::new("Predicted", Align::Left),
            Column::new("Nominal", Align::Decimal),
            Column::new("Off nominal", Align::Decimal),
            Column::new("Verdict", Align::Left),
        ],
        rows: session
            .readings
            .iter()
            .map(|reading| row(material, session, reading, &rule))
            .collect(),
        empty: "No readings.".to_owned(),
        ..Table::default()
    }
}

/// How far each point moved between the first and the last session.
fn drift_table(drifts: &[Drift]) -> Table {
    let row = |drift: &Drift| {
        let (status, words) = if drift.seen() {
            (Status::Caution, "moved")
        } else {
            (Status::Holds, "within what the meters can err")
        };
        Row::new(vec![
            Cell::text(drift.point.clone()),
            Cell::text(format!("{} to {}", drift.first.0, drift.last.0)),
            Cell::text(format_to(drift.first.1, drift.unit, 4)),
            Cell::text(format_to(drift.last.1, drift.unit, 4)),
            Cell::text(format_to(drift.change(), drift.unit, 2)),
            Cell::text(format_to(drift.expanded, drift.unit, 2)),
            Cell::Status(status, text(words)),
        ])
    };
    Table {
        caption: text(
            "Drift between sessions. The uncertainty is that of the difference, both meters \
             together, k = 2; mains and room temperature move the unregulated points as well.",
        ),
        columns: vec![
            Column::new("At", Align::Left).share(1.0),
            Column::new("From, to", Align::Left),
            Column::new("First", Align::Decimal),
            Column::new("Last", Align::Decimal),
            Column::new("Moved", Align::Decimal),
            Column::new("Uncertainty", Align::Decimal),
            Column::new("Seen", Align::Left),
        ],
        rows: drifts.iter().map(row).collect(),
        ..Table::default()
    }
}

fn row(material: &Material, session: &Session, reading: &Reading, rule: &Rule) -> Row {
    let point = &reading.point;
    let mut set: Vec<String> = point
        .state
        .iter()
        .map(|(control, setting)| format!("{control} {}", setting.describe()))
        .collect();
    if point.plugged {
        set.push("plugged in".to_owned());
    }
    if point.unit == Measured::Ohm {
        set.push("supply off".to_owned());
    }
    let mut at: Vec<Inline> = vec![point.at.as_str().into()];
    if point.at != point.net {
        at.extend([" (".into(), code(point.net.as_str()), ")".into()]);
    }
    let reads = if reading.reads.is_finite() {
        format_to(reading.reads, point.unit, 4)
    } else {
        "OL".to_owned()
    };
    let mut cells = vec![
        Cell::Text(at),
        Cell::text(set.join(", ")),
        Cell::text(reads),
    ];
    let judged = judge(material.design, material.evidence, session, reading, rule);
    match judged.predicted {
        Ok(predicted) => {
            let limits = predicted.limits;
            cells.push(Cell::text(if limits.high.is_finite() {
                format_range(limits.low, limits.high, point.unit, 3)
            } else {
                format!("at least {}", format_to(limits.low, point.unit, 2))
            }));
            let nominal = predicted.nominal.filter(|_| point.unit == Measured::Volt);
            match nominal {
                Some(nominal) => {
                    let off = reading.reads - nominal;
                    let share = if nominal.abs() > 0.1 {
                        format!(" ({:+.1} %)", 100.0 * off / nominal.abs()).replace('-', "−")
                    } else {
                        String::new()
                    };
                    cells.push(Cell::text(format_to(nominal, point.unit, 3)));
                    cells.push(Cell::text(format!(
                        "{}{share}",
                        format_to(off, point.unit, 2)
                    )));
                }
                None => cells.extend([Cell::text("—"), Cell::text("—")]),
            }
            let verdict = predicted.decision.verdict;
            let status = match verdict {
                Verdict::Pass | Verdict::ConditionalPass => Status::Holds,
                Verdict::ConditionalFail | Verdict::Fail => Status::Fails,
            };
            cells.push(Cell::Status(status, text(verdict.words())));
        }
        Err(why) => {
            cells.extend([Cell::text("—"), Cell::text("—"), Cell::text("—")]);
            let words = text(format!("not assessed: {why}"));
            cells.push(Cell::Status(Status::NotAssessed, words));
        }
    }
    Row::new(cells)
}
