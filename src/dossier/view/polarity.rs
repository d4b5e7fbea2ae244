//! Polarity and pins: what must not be turned round, with pictures of the pins.

use super::words::{listed, part_anchor, status, status_cell};
use super::{Material, View};
use crate::catalogue::Kind;
use crate::checks::{Outcome, Stage};
use crate::design::Part;
use crate::dossier::block::{
    Align, Block, Cell, Column, Figure, Inline, Row, Status, Table, code, link, text,
};
use crate::dossier::draw::{pins, terminal_words};
use crate::dossier::font::Fonts;

pub(super) fn add(material: &Material, fonts: &Fonts, view: &mut View) {
    let parts: Vec<&Part> = material
        .design
        .parts
        .values()
        .filter(|part| directed(part))
        .collect();
    let table = Table {
        id: "polarity".to_owned(),
        caption: text("Every part that has a right way round, and how it is wired."),
        columns: vec![
            Column::new("Part", Align::Left),
            Column::new("Terminals and nets", Align::Left).share(1.2),
            Column::new("How to tell", Align::Left).share(1.0),
            Column::new("Outcome", Align::Left),
            Column::new("Fitted", Align::Centre).fixed(26.0),
        ],
        rows: parts.iter().map(|part| row(material, part)).collect(),
        empty: "No part has a right way round.".to_owned(),
    };
    view.offer("polarity", true, vec![Block::Table(table)]);
    let sheets = pins::sheets(material.design, pins::HEIGHT, fonts);
    view.field("has_pins", !sheets.is_empty());
    let unnamed: Vec<&str> = pins::without_package(material.design)
        .iter()
        .map(|part| part.reference.as_str())
        .collect();
    let missing = if unnamed.is_empty() {
        String::new()
    } else {
        format!(
            " Not drawn, because the design does not name the package on which the pins depend: {}.",
            listed(&unnamed)
        )
    };
    let blocks = sheets
        .into_iter()
        .enumerate()
        .map(|(index, scene)| {
            let (id, words) = if index == 0 {
                let words = "Pins as built. The line under each heading says how the part is held; \
                             the nets are those of this design.";
                ("pins".to_owned(), format!("{words}{missing}"))
            } else {
                (
                    format!("pins-{}", index + 1),
                    "Pins as built, continued.".to_owned(),
                )
            };
            Block::Figure(Figure {
                id,
                scene,
                caption: text(words),
                alt:
                    "Pictures of packages with their pins numbered; the table before says the same"
                        .to_owned(),
            })
        })
        .collect();
    view.offer("pins", false, blocks);
}

/// Does it matter which way round it goes?
fn directed(part: &Part) -> bool {
    matches!(
        part.kind,
        Kind::Electrolytic
            | Kind::Tantalum
            | Kind::Diode
            | Kind::Bridge
            | Kind::Zener
            | Kind::Led
            | Kind::TransientSuppressor
            | Kind::Battery
            | Kind::DcAdaptor
            | Kind::Regulator
            | Kind::AdjustableRegulator
            | Kind::ShuntReference
            | Kind::OpAmp
            | Kind::Bipolar
            | Kind::Mosfet
            | Kind::Optocoupler
            | Kind::Jack
            | Kind::Plug
            | Kind::Potentiometer
    )
}

fn row(material: &Material, part: &Part) -> Row {
    let mut wired: Vec<Inline> = Vec::new();
    for (terminal, net) in &part.terminals {
        if !wired.is_empty() {
            wired.push(",\u{2002}".into());
        }
        let pin = part
            .pin_functions
            .iter()
            .find(|(_, function)| *function == terminal)
            .map(|(pin, _)| format!("{pin} "))
            .unwrap_or_default();
        let name = terminal_words(terminal).replace(' ', "\u{A0}");
        wired.push(format!("{pin}{name}\u{A0}→\u{A0}").into());
        wired.push(code(net.as_str()));
    }
    Row::new([
        Cell::Text(vec![link(
            part_anchor(&part.reference),
            part.reference.as_str(),
        )]),
        Cell::Text(wired),
        Cell::text(how_to_tell(part)),
        status_cell(worst(material, part)),
        Cell::Tick,
    ])
}

fn how_to_tell(part: &Part) -> String {
    let seen = crate::catalogue::find(part.type_name.as_deref().unwrap_or_default())
        .and_then(|entry| entry.package(part.package.as_deref()?))
        .map(|(name, package)| format!("{name}: {}", package.view));
    if let Some(seen) = seen {
        return seen;
    }
    match part.kind {
        Kind::Electrolytic => "the stripe and the short lead mark −",
        Kind::Tantalum => "the stripe marks +",
        Kind::Diode | Kind::Zener | Kind::TransientSuppressor => "the band marks the cathode",
        Kind::Led => "the long lead is the anode; the flat on the rim is at the cathode",
        Kind::Battery | Kind::DcAdaptor => "as marked; measure before connecting",
        Kind::Jack | Kind::Plug => {
            "tip is the far end of the plug; trace each contact with a meter"
        }
        Kind::Potentiometer => "clockwise end, wiper, counter-clockwise end: trace with a meter",
        _ => "by its datasheet",
    }
    .to_owned()
}

/// The worst that polarity and pinout checks said of a part; a part of which nothing was said is
/// not assessed.
fn worst(material: &Material, part: &Part) -> Status {
    let rank = |status: &Status| match status {
        Status::Fails => 3,
        Status::NotAssessed => 2,
        Status::Holds => 1,
        _ => 0,
    };
    material
        .stage(Stage::Polarity)
        .chain(material.stage(Stage::Pinout))
        .map(|(_, outcome)| outcome)
        .filter(|outcome| {
            outcome.place().label() == part.reference
                && !matches!(outcome, Outcome::DoesNotApply { .. })
        })
        .map(status)
        .max_by_key(rank)
        .unwrap_or(Status::NotAssessed)
}
