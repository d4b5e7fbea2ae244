//! Units that were built: what was read at the bench against what was predicted.

use super::words::counted;
use super::{Material, View};
use crate::bringup::{Meter, window};
use crate::design::Design;
use crate::dossier::block::{
    Align, Block, Cell, Column, Inline, Photo, Row, Status, Table, code, text,
};
use crate::quantity::{Unit as Measured, format_range, format_short, format_to};
use crate::records::{Reading, Session, Setting, Unit};
use crate::situations::{Plugged, Situation, State, control_name};

pub(super) fn add(material: &Material, view: &mut View) {
    let mut blocks = Vec::new();
    for unit in material.units {
        let of_unit = blocks_of(material, unit);
        if unit.demonstration {
            blocks.push(Block::Stamped {
                stamp: "Demonstration".to_owned(),
                blocks: of_unit,
            });
        } else {
            blocks.extend(of_unit);
        }
    }
    view.field("units_count", material.units.len());
    view.offer("units", false, blocks);
}

fn blocks_of(material: &Material, unit: &Unit) -> Vec<Block> {
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
    blocks.extend(
        unit.photos
            .iter()
            .filter_map(|name| photo(material, unit, name)),
    );
    blocks.extend(
        unit.sessions
            .iter()
            .map(|session| Block::Table(session_table(material, session))),
    );
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
        .filter(|reading| verdict(material, session, reading).0 == Status::Holds)
        .count();
    let words = format!(
        "{words}. {inside} of {} inside the predicted window, which holds every corner and the \
         meter's own error.",
        counted(session.readings.len(), "reading", "readings")
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
            .map(|reading| row(material, session, reading))
            .collect(),
        empty: "No readings.".to_owned(),
        ..Table::default()
    }
}

fn row(material: &Material, session: &Session, reading: &Reading) -> Row {
    let set: Vec<String> = reading
        .state
        .iter()
        .map(|(control, setting)| match setting {
            Setting::Position(position) => format!("{control} {position}"),
            Setting::Travel(travel) => format!("{control} at {:.0} %", travel * 100.0),
        })
        .collect();
    let mut at: Vec<Inline> = vec![reading.at.as_str().into()];
    if reading.at != reading.net {
        at.extend([" (".into(), code(reading.net.as_str()), ")".into()]);
    }
    let (status, predicted) = verdict(material, session, reading);
    let mut cells = vec![
        Cell::Text(at),
        Cell::text(set.join(", ")),
        Cell::text(format_to(reading.reads, reading.unit, 4)),
    ];
    match predicted {
        Ok((low, nominal, high)) => {
            let off = reading.reads - nominal;
            let share = if nominal.abs() > 0.1 {
                format!(" ({:+.1} %)", 100.0 * off / nominal.abs()).replace('-', "−")
            } else {
                String::new()
            };
            cells.extend([
                Cell::text(format_range(low, high, Measured::Volt, 3)),
                Cell::text(format_to(nominal, Measured::Volt, 3)),
                Cell::text(format!("{}{share}", format_to(off, Measured::Volt, 2))),
            ]);
            let words = match status {
                Status::Holds => "inside",
                _ => "OUTSIDE",
            };
            cells.push(Cell::Status(status, text(words)));
        }
        Err(why) => {
            cells.extend([Cell::text("—"), Cell::text("—"), Cell::text("—")]);
            cells.push(Cell::Status(status, text(format!("not assessed: {why}"))));
        }
    }
    Row::new(cells)
}

type Predicted = Result<(f64, f64, f64), String>;

/// Whether a reading lies in its window: all corners of the state it was taken in, nothing
/// plugged in, widened by the session's own meter.
fn verdict(material: &Material, session: &Session, reading: &Reading) -> (Status, Predicted) {
    if reading.unit != Measured::Volt {
        let why = "only voltages are predicted".to_owned();
        return (Status::NotAssessed, Err(why));
    }
    let meter = meter(material, session);
    let when = |situation: &Situation| {
        situation.state.powered && taken_in(material.design, &situation.state, reading)
    };
    match window(material.evidence, &meter, &reading.net, when) {
        Ok(window) => {
            let inside = (window.low..=window.high).contains(&reading.reads);
            let status = if inside { Status::Holds } else { Status::Fails };
            (status, Ok((window.low, window.nominal, window.high)))
        }
        Err(missing) => (Status::NotAssessed, Err(missing.what)),
    }
}

/// The state in which a reading was taken: what it names, all else as it is nominally, unplugged.
fn taken_in(design: &Design, state: &State, reading: &Reading) -> bool {
    let unplugged = state.plugs.values().all(|plug| *plug == Plugged::Nothing);
    let travels = state.travel.iter().all(|(reference, travel)| {
        let wanted = match reading.state.get(control_name(design, reference)) {
            Some(Setting::Travel(travel)) => *travel,
            _ => 0.5,
        };
        (travel - wanted).abs() < 1e-9
    });
    let switches = state.switches.iter().all(|(reference, index)| {
        let positions = design.parts.get(reference).map(|part| &part.structure);
        let Some(crate::design::Structure::Contacts { positions, .. }) = positions else {
            return *index == 0;
        };
        match reading.state.get(control_name(design, reference)) {
            Some(Setting::Position(wanted)) => positions.get(*index) == Some(wanted),
            _ => *index == 0,
        }
    });
    unplugged && travels && switches
}

/// The session's meter as the bring-up reckons with one.
fn meter(material: &Material, session: &Session) -> Meter {
    let usual = material.meter;
    Meter {
        name: session.meter.name.clone(),
        reading: session.meter.accuracy.map_or(usual.reading, |a| a.share),
        digits: session.meter.accuracy.map_or(usual.digits, |a| a.digits),
        counts: session.meter.counts.map_or(usual.counts, f64::from),
        input_resistance: session.meter.input,
    }
}
