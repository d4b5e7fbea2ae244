//! Cautions: what can hurt a person, the box or the instrument, from what this design holds.

use super::words::{kind_words, listed, missing_cell};
use super::{Material, View};
use crate::catalogue::{Kind, Property};
use crate::checks::prelude::{CAPACITORS, POLARISED};
use crate::checks::wiring;
use crate::design::{Connection, Part};
use crate::dossier::block::{Align, Block, Callout, Cell, Column, Row, Table, text};
use crate::evidence::Stress;
use crate::quantity::{Unit, format, format_range, format_short};
use crate::situations::powered;

pub(super) fn add(material: &Material, view: &mut View) {
    let mut blocks = vec![mains(material)];
    blocks.extend(stored_charge(material));
    blocks.extend(polarised(material));
    blocks.extend(adaptors(material));
    blocks.extend(instruments(material));
    blocks.push(callout(
        Callout::Note,
        "What this dossier is not",
        "It reports an analysis of the design as written. It does not claim conformity with any \
         law or standard. Local codes, and the judgement of a licensed person where one is called \
         for, stand above it.",
    ));
    view.offer("cautions", true, blocks);
}

fn callout(kind: Callout, title: &str, words: impl Into<String>) -> Block {
    Block::Callout {
        id: String::new(),
        kind,
        title: text(title),
        blocks: vec![Block::Paragraph(text(words))],
    }
}

fn mains(material: &Material) -> Block {
    let inside: Vec<&str> = material
        .design
        .parts
        .values()
        .filter(|part| part.kind == Kind::Transformer && part.word("where") != Some("outside"))
        .map(|part| part.reference.as_str())
        .collect();
    if !inside.is_empty() {
        return callout(
            Callout::Danger,
            "Mains inside the box",
            format!(
                "{} brings the mains into the box. Only a licensed person may wire, test and sign \
                 for that side; until then power stays blocked. Unplug before opening, and wait.",
                listed(&inside)
            ),
        );
    }
    let adaptors: Vec<String> = wiring::sources(material.design)
        .filter(|part| {
            matches!(
                part.kind,
                Kind::AcAdaptor | Kind::DcAdaptor | Kind::Transformer
            )
        })
        .map(|part| {
            let class = part.word("class").map_or_else(
                || ", class not stated".to_owned(),
                |class| format!(" of class {class}"),
            );
            format!("{}, an {}{class}", part.reference, kind_words(part.kind))
                .replace("an DC", "a DC")
        })
        .collect();
    if adaptors.is_empty() {
        return callout(
            Callout::Caution,
            "Batteries",
            "The box runs from a battery. A shorted battery burns: fit it last, and never solder \
             with it in place.",
        );
    }
    callout(
        Callout::Danger,
        "Mains",
        format!(
            "The box is fed by {}. Never open an adaptor and never wire the mains yourself. Use an \
             adaptor with its maker's safety marks, unplug it before every change, and work with \
             one hand when the box is open and on.",
            listed(&adaptors)
        ),
    )
}

/// Energy in each large capacitor at the highest voltage it sees: ½·C·V², upper capacitance.
fn stored_charge(material: &Material) -> Vec<Block> {
    const LARGE: f64 = 47e-6;
    let large: Vec<(&Part, f64)> = material
        .design
        .parts
        .values()
        .filter(|part| CAPACITORS.contains(&part.kind))
        .filter_map(|part| Some((part, part.figure(Property::Value)?.spread.high)))
        .filter(|(_, farads)| *farads >= LARGE)
        .collect();
    if large.is_empty() {
        return Vec::new();
    }
    let rows = large
        .iter()
        .map(|(part, farads)| {
            let volts = material
                .evidence
                .stress(&part.reference, Stress::PeakVoltage, powered);
            let name = Cell::code(part.reference.as_str());
            match volts {
                Ok(volts) => {
                    let joules = 0.5 * farads * volts.high * volts.high;
                    Row::new([
                        name,
                        Cell::text(format(volts.high, Unit::Volt)),
                        Cell::text(format!("{joules:.2} J")),
                    ])
                }
                Err(missing) => Row::new([name, Cell::text("—"), missing_cell(&missing)]),
            }
        })
        .collect();
    let names: Vec<&str> = large
        .iter()
        .map(|(part, _)| part.reference.as_str())
        .collect();
    vec![Block::Callout {
        id: String::new(),
        kind: Callout::Caution,
        title: text("Stored charge"),
        blocks: vec![
            Block::Paragraph(text(format!(
                "{} stay charged after the power is gone. Before rework, measure each; above 1 V, \
                 discharge it through 100 Ω, 5 W, for a few seconds and measure again, never through a screwdriver.",
                listed(&names)
            ))),
            Block::Table(Table {
                columns: vec![
                    Column::new("Capacitor", Align::Left),
                    Column::new("Highest voltage", Align::Decimal),
                    Column::new("Stored", Align::Decimal),
                ],
                rows,
                ..Table::default()
            }),
        ],
    }]
}

fn polarised(material: &Material) -> Option<Block> {
    let names: Vec<&str> = material
        .design
        .parts
        .values()
        .filter(|part| POLARISED.contains(&part.kind))
        .map(|part| part.reference.as_str())
        .collect();
    if names.is_empty() {
        return None;
    }
    Some(callout(
        Callout::Caution,
        "Polarised capacitors",
        format!(
            "{} burst when fitted the wrong way round. On a negative rail the positive lead goes to \
             ground. Wear eye protection at first power, and keep your face away.",
            listed(&names)
        ),
    ))
}

fn adaptors(material: &Material) -> Option<Block> {
    let wanted: Vec<String> = wiring::sources(material.design)
        .filter(|part| matches!(part.kind, Kind::AcAdaptor | Kind::DcAdaptor))
        .map(|part| {
            let output = part
                .figure(Property::Output)
                .map(|figure| format_short(figure.spread.nominal, Unit::Volt));
            let kind = if part.kind == Kind::AcAdaptor {
                "AC"
            } else {
                "DC"
            };
            format!("{} {kind}", output.unwrap_or_default())
                .trim()
                .to_owned()
        })
        .collect();
    if wanted.is_empty() {
        return None;
    }
    Some(callout(
        Callout::Caution,
        "The wrong adaptor",
        format!(
            "The plug fits others too. This box wants {}: read the label, then measure the \
             adaptor by itself, as the bring-up begins, before it is joined to the box, and put \
             the same sticker on its plug and beside the socket.",
            listed(&wanted)
        ),
    ))
}

fn instruments(material: &Material) -> Vec<Block> {
    let mut blocks = Vec::new();
    for (jack, connection) in material
        .design
        .connections
        .iter()
        .flat_map(|(jack, list)| list.iter().map(move |connection| (jack, connection)))
    {
        let Connection::Instrument {
            instrument, input, ..
        } = connection
        else {
            continue;
        };
        let Some(found) = instrument.inputs.get(input) else {
            continue;
        };
        let range =
            |spread: crate::quantity::Spread| format_range(spread.low, spread.high, Unit::Volt, 3);
        let survives = found.survives.as_ref().map_or_else(
            || "what it survives is not known".to_owned(),
            |figure| {
                let guess = if crate::checks::feed::guessed(figure) {
                    " (GUESSED)"
                } else {
                    ""
                };
                format!("it survives {}{guess}", range(figure.spread))
            },
        );
        let mut words = format!(
            "Input {input} works within {}; {survives}. Do not join {jack} to it before every \
             bring-up step without the instrument has passed and the plug gate is open.",
            range(found.accepts.spread)
        );
        for note in &instrument.notes {
            words = format!("{words} {}", sentence(note));
        }
        blocks.push(callout(Callout::Caution, &instrument.title, words));
    }
    blocks
}

fn sentence(words: &str) -> String {
    let words = words.trim();
    if words.ends_with(['.', '!', '?']) {
        words.to_owned()
    } else {
        format!("{words}.")
    }
}
