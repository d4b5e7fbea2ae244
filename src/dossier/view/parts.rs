//! The parts list.

use super::words::{description, part_anchor};
use super::{Material, View};
use crate::catalogue::{Figure, Kind, Pedigree, Property};
use crate::design::Part;
use crate::dossier::block::{Align, Block, Cell, Column, Inline, Row, Table, emphasis, text};
use crate::quantity::format_spread;

pub(super) fn add(material: &Material, view: &mut View) {
    let rows: Vec<Row> = material.design.parts.values().map(row).collect();
    view.field("parts_count", rows.len());
    let table = Table {
        id: "parts".to_owned(),
        caption: {
            let mut caption =
                text("Parts, with the values that the review took. Values in italics were ");
            caption.push(emphasis("assumed"));
            caption.push(", because the design does not give them.".into());
            caption
        },
        columns: vec![
            Column::new("Part", Align::Left),
            Column::new("What it is", Align::Left).share(1.2),
            Column::new("Value", Align::Left),
            Column::new("Rated", Align::Left).share(1.3),
            Column::new("Remark", Align::Left).share(1.0),
        ],
        rows,
        empty: "The design has no parts.".to_owned(),
    };
    view.offer("parts", true, vec![Block::Table(table)]);
}

/// Properties a builder buys by, beside the value.
const RATED: &[Property] = &[
    Property::Rating,
    Property::Power,
    Property::Current,
    Property::Voltage,
    Property::OpenCircuit,
    Property::Va,
    Property::RippleCurrent,
    Property::HoldCurrent,
    Property::TripCurrent,
];

fn row(part: &Part) -> Row {
    let value = [Property::Value, Property::Output, Property::Resistance]
        .into_iter()
        .find_map(|property| Some((property, part.figure(property)?)));
    // A catalogue type says its own output and drop; the list gives what one chooses.
    let chosen = value.filter(|(property, figure)| {
        !matches!(figure.pedigree, Pedigree::Published(..)) || *property == Property::Resistance
    });
    let mut rated: Vec<Inline> = Vec::new();
    for property in RATED {
        if let Some(figure) = part.figure(*property) {
            if !rated.is_empty() {
                rated.push("; ".into());
            }
            rated.push(shown(part.kind, *property, figure, true));
        }
    }
    let value = chosen
        .map(|(property, figure)| vec![shown(part.kind, property, figure, false)])
        .unwrap_or_default();
    Row {
        id: part_anchor(&part.reference),
        cells: vec![
            Cell::code(part.reference.as_str()),
            Cell::text(description(part)),
            Cell::Text(value),
            Cell::Text(rated),
            Cell::text(remark(part)),
        ],
        ..Row::default()
    }
}

fn shown(kind: Kind, property: Property, figure: &Figure, named: bool) -> Inline {
    let value = format_spread(&figure.spread, property.unit(kind));
    let words = if named {
        format!("{} {value}", property.key().replace('-', " "))
    } else {
        value
    };
    if figure.tolerance_assumed || matches!(figure.pedigree, Pedigree::Assumed(_)) {
        emphasis(words)
    } else {
        Inline::Text(words)
    }
}

fn remark(part: &Part) -> String {
    let control = part
        .word("control")
        .map(|control| format!("control “{control}”"));
    control
        .into_iter()
        .chain(part.note.clone())
        .collect::<Vec<_>>()
        .join("; ")
}
