//! The parts list.

use super::words::{description, part_anchor, property_words};
use super::{Material, View};
use crate::catalogue::{Figure, Kind, Pedigree, Property};
use crate::design::{Design, Part};
use crate::dossier::block::{
    Align, Block, Cell, Column, Inline, Row, Table, code, plain_text, text,
};
use crate::quantity::{format, format_spread};

pub(super) fn add(material: &Material, view: &mut View) {
    let design = material.design;
    view.field("parts_count", design.parts.len());
    let table = Table {
        id: "parts".to_owned(),
        caption: text(
            "Parts to buy, alike ones in one line, with the values that the review took. What is \
             marked “assumed” the design does not give. Where a type is named, its maker's ratings \
             hold; they stand under Pedigree of inputs.",
        ),
        columns: vec![
            Column::new("Qty", Align::Right),
            Column::new("What it is", Align::Left).share(1.1),
            Column::new("Value", Align::Left),
            Column::new("Rated", Align::Left).share(1.2),
            Column::new("Parts", Align::Left).share(0.7),
            Column::new("Remark", Align::Left).share(1.0),
        ],
        rows: rows(design),
        empty: "The design has no parts.".to_owned(),
    };
    view.offer("parts", true, vec![Block::Table(table)]);
}

/// The list as comma-separated values (RFC 4180).
pub(super) fn csv(design: &Design) -> String {
    let quoted = |words: &str| {
        if words.contains(['"', ',', '\n', '\r']) {
            format!("\"{}\"", words.replace('"', "\"\""))
        } else {
            words.to_owned()
        }
    };
    let mut out = "Quantity,What it is,Value,Rated,Parts,Remark\r\n".to_owned();
    for row in rows(design) {
        let cells: Vec<String> = row
            .cells
            .iter()
            .map(|cell| match cell {
                Cell::Text(words) => quoted(&plain_text(words)),
                _ => String::new(),
            })
            .collect();
        out.push_str(&cells.join(","));
        out.push_str("\r\n");
    }
    out
}

/// The thing, its value, its ratings.
type Bought = [Vec<Inline>; 3];

/// One row for all parts that are bought alike.
fn rows(design: &Design) -> Vec<Row> {
    let mut kinds: Vec<(Bought, String, Vec<&Part>)> = Vec::new();
    for part in design.parts.values() {
        let (what, chosen) = (bought(part), choice(part));
        match kinds
            .iter_mut()
            .find(|(known, words, _)| *known == what && *words == chosen)
        {
            Some((_, _, parts)) => parts.push(part),
            None => kinds.push((what, chosen, vec![part])),
        }
    }
    kinds
        .into_iter()
        .map(|(what, chosen, parts)| row(what, chosen, &parts))
        .chain(the_box(design))
        .collect()
}

fn row([what, value, rated]: Bought, chosen: String, parts: &[&Part]) -> Row {
    let mut references = Vec::new();
    for part in parts {
        if !references.is_empty() {
            references.push(", ".into());
        }
        references.push(code(part.reference.as_str()));
    }
    // Where several parts share the line, a note says whose it is.
    let notes = parts.iter().filter_map(|part| {
        let note = part.note.as_ref()?;
        Some(match parts {
            [_] => note.clone(),
            _ => format!("{}: {note}", part.reference),
        })
    });
    let remark: Vec<String> = Some(chosen)
        .filter(|words| !words.is_empty())
        .into_iter()
        .chain(notes)
        .collect();
    let mut anchors = parts.iter().map(|part| part_anchor(&part.reference));
    Row {
        id: anchors.next().unwrap_or_default(),
        also: anchors.collect(),
        cells: vec![
            Cell::text(parts.len().to_string()),
            Cell::Text(what),
            Cell::Text(value),
            Cell::Text(rated),
            Cell::Text(references),
            Cell::text(remark.join("; ")),
        ],
        ..Row::default()
    }
}

/// The enclosure, as far as the design describes it: it is bought like a part.
fn the_box(design: &Design) -> Option<Row> {
    let enclosure = design.conditions.enclosure.as_ref()?;
    let material = enclosure.material.as_deref().unwrap_or("any material");
    let size = enclosure.size.map(|size| {
        let [length, width, height] = size.map(|side| format!("{:.0}", side * 1e3));
        format!("{length} × {width} × {height} mm")
    });
    let joined = enclosure.joined_to.as_ref();
    Some(Row::new([
        Cell::text("1"),
        Cell::text(format!("enclosure, {material}")),
        Cell::text(size.unwrap_or_default()),
        Cell::empty(),
        Cell::empty(),
        Cell::text(joined.map_or_else(String::new, |net| format!("joined to {net}"))),
    ]))
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

/// What one buys: the thing, its value, its ratings.
fn bought(part: &Part) -> Bought {
    let value = [Property::Value, Property::Output, Property::Resistance]
        .into_iter()
        .find_map(|property| Some((property, part.figure(property)?)));
    // A catalogue type says its own output and drop; the list gives what one chooses.
    let chosen = value.filter(|(property, figure)| {
        !matches!(figure.pedigree, Pedigree::Published(..)) || *property == Property::Resistance
    });
    let mut rated: Vec<Inline> = Vec::new();
    for property in RATED {
        let figure = part.figure(*property);
        if let Some(figure) = figure.filter(|f| !matches!(f.pedigree, Pedigree::Published(..))) {
            if !rated.is_empty() {
                rated.push("; ".into());
            }
            rated.push(shown(part.kind, *property, figure, true));
        }
    }
    let value = chosen
        .map(|(property, figure)| vec![shown(part.kind, property, figure, false)])
        .unwrap_or_default();
    [text(description(part)), value, rated]
}

fn shown(kind: Kind, property: Property, figure: &Figure, named: bool) -> Inline {
    let unit = property.unit(kind);
    let guessed = matches!(figure.pedigree, Pedigree::Assumed(_) | Pedigree::Derived(_));
    let value = if guessed {
        format(figure.spread.nominal, unit)
    } else {
        format_spread(&figure.spread, unit)
    };
    let value = if matches!(figure.pedigree, Pedigree::Assumed(_)) {
        format!("{value} (assumed)")
    } else if figure.tolerance_assumed && figure.spread.is_spread() {
        format!("{value} (tolerance assumed)")
    } else {
        value
    };
    if named {
        Inline::Text(format!("{} {value}", property_words(property)))
    } else {
        Inline::Text(value)
    }
}

/// What else one chooses it by.
fn choice(part: &Part) -> String {
    let control = part
        .word("control")
        .map(|control| format!("control “{control}”"));
    let class = part
        .word("class")
        .map(|class| format!("protection class {class}"));
    let polarity = part
        .word("plug-polarity")
        .map(|polarity| format!("plug {}", polarity.replace('-', " ")));
    [control, class, polarity]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join("; ")
}
