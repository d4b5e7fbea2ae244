//! How it works: the signal's way through the box, said part by part from the wiring, with this
//! build's numbers.

mod supply;

use super::words::listed;
use super::{Material, View};
use crate::catalogue::{Kind, Property};
use crate::checks::wiring;
use crate::design::{Connection, Part, Structure};
use crate::dossier::block::{Block, Inline, code, strong};
use crate::dossier::draw::terminal_words;
use crate::evidence::Measure;
use crate::quantity::{Unit, format, format_range, format_short};
use crate::situations::powered;

type Words = Vec<Inline>;

pub(super) fn add(material: &Material, view: &mut View) {
    let paragraphs = [
        ("Supply.", supply::sources(material)),
        ("Rectifier and reservoir.", supply::rectifier(material)),
        ("Regulators.", supply::regulators(material)),
        ("Amplifiers.", amplifiers(material)),
        ("Controls.", controls(material)),
        ("Output.", outputs(material)),
    ];
    let blocks = paragraphs
        .into_iter()
        .filter(|(_, words)| !words.is_empty())
        .map(|(title, words)| {
            let mut all = vec![strong(title), " ".into()];
            all.extend(words);
            Block::Paragraph(all)
        })
        .collect();
    view.offer("how", true, blocks);
}

/// Ends a sentence.
fn say(words: &mut Words, sentence: impl IntoIterator<Item = Inline>) {
    if !words.is_empty() {
        words.push(" ".into());
    }
    words.extend(sentence);
}

fn net(part: &Part, terminal: &str) -> Inline {
    code(part.net(terminal).unwrap_or("nc"))
}

fn value(part: &Part, property: Property) -> String {
    part.figure(property)
        .map(|figure| format_short(figure.spread.nominal, property.unit(part.kind)))
        .unwrap_or_default()
}

fn amplifiers(material: &Material) -> Words {
    let mut words = Words::new();
    for part in material.design.parts.values() {
        let Structure::Units(units) = &part.structure else {
            continue;
        };
        for unit in units {
            let at = |terminal: &str| part.net(&format!("{unit}.{terminal}"));
            let (plus, minus, out) = (at("plus"), at("minus"), at("out"));
            let Some(out) = out else { continue };
            let (role, end) = if minus == Some(out) {
                ("is a buffer: it repeats ", " without loading it.")
            } else {
                ("amplifies ", ".")
            };
            say(
                &mut words,
                [
                    format!("Unit {unit} of {} {role}", part.reference).into(),
                    code(plus.unwrap_or("nc")),
                    " onto ".into(),
                    code(out),
                    end.into(),
                ],
            );
        }
    }
    words
}

fn controls(material: &Material) -> Words {
    let mut words = Words::new();
    for part in material.design.parts.values() {
        let name = part.word("control").unwrap_or(&part.reference);
        match (&part.structure, part.kind) {
            (_, Kind::Potentiometer) => say(&mut words, divider(material, part, name)),
            (_, Kind::Sensor) => {
                let ends: Vec<String> = part.terminals.keys().map(|t| terminal_words(t)).collect();
                say(
                    &mut words,
                    [format!(
                        "{name} ({}) is a resistance between its ends {}.",
                        part.reference,
                        listed(&ends)
                    )
                    .into()],
                );
            }
            (Structure::Contacts { positions, poles }, Kind::Switch | Kind::Relay) => {
                for (pole, contacts) in poles {
                    let mut sentence: Words = vec![
                        format!("{name} ({}, pole {pole}) joins ", part.reference).into(),
                        code(contacts.common.as_str()),
                        " to ".into(),
                    ];
                    for (index, (position, throw)) in
                        positions.iter().zip(&contacts.throws).enumerate()
                    {
                        if index > 0 {
                            sentence.push(", ".into());
                        }
                        sentence.push(if throw == "nc" {
                            "nothing".into()
                        } else {
                            code(throw.as_str())
                        });
                        sentence.push(format!(" when {position}").into());
                    }
                    sentence.push(".".into());
                    say(&mut words, sentence);
                }
            }
            _ => {}
        }
    }
    words
}

/// A potentiometer as a divider: what stands at its ends, and how far an output moves with it.
fn divider(material: &Material, part: &Part, name: &str) -> Words {
    let value_of = value(part, Property::Value);
    let mut sentence: Words = vec![
        format!(
            "{name} ({}, {value_of}) is a divider: it moves ",
            part.reference
        )
        .into(),
        net(part, "wiper"),
        " from ".into(),
        net(part, "ccw"),
        " to ".into(),
        net(part, "cw"),
        " as it is turned clockwise.".into(),
    ];
    for end in ["ccw", "cw"] {
        let Some(at) = part.net(end).filter(|at| *at != "gnd") else {
            continue;
        };
        let series = wiring::on(material.design, at)
            .into_iter()
            .find(|(other, _)| other.kind == Kind::Resistor);
        if let Some((resistor, terminal)) = series
            && let Some(beyond) = wiring::across(resistor, terminal)
        {
            let held = value(resistor, Property::Value);
            sentence.extend([
                format!(" {} ({held}) keeps ", resistor.reference).into(),
                code(at),
                " away from ".into(),
                code(beyond),
                ".".into(),
            ]);
        }
    }
    let curve = material
        .evidence
        .curves
        .iter()
        .find(|curve| curve.control == part.reference);
    if let Some(curve) = curve
        && let (Some(first), Some(last)) = (curve.points.first(), curve.points.last())
    {
        let volts = |at: f64| format(at, Unit::Volt);
        sentence.extend([
            " Over its whole travel ".into(),
            code(curve.net.as_str()),
            format!(
                " goes from {} to {} when nominal.",
                volts(first.nominal),
                volts(last.nominal)
            )
            .into(),
        ]);
    }
    sentence
}

fn outputs(material: &Material) -> Words {
    let mut words = Words::new();
    for (jack, connections) in &material.design.connections {
        let Some(part) = material.design.parts.get(jack) else {
            continue;
        };
        for connection in connections {
            let Connection::Instrument {
                instrument, input, ..
            } = connection
            else {
                continue;
            };
            let Some(found) = instrument.inputs.get(input) else {
                continue;
            };
            let mut sentence: Words = vec![
                format!("The {} of {jack} carries ", found.signal).into(),
                net(part, &found.signal),
                format!(" to {}, input {input}", instrument.title).into(),
            ];
            let series: Vec<String> = part
                .net(&found.signal)
                .map(|signal| wiring::on(material.design, signal))
                .unwrap_or_default()
                .iter()
                .filter(|(other, _)| other.kind == Kind::Resistor)
                .filter(|(other, terminal)| wiring::across(other, terminal) != Some("gnd"))
                .map(|(other, _)| {
                    format!("{} ({})", other.reference, value(other, Property::Value))
                })
                .collect();
            if !series.is_empty() {
                sentence.push(
                    format!(
                        ", through {}, which limits the current should either side fail",
                        listed(&series)
                    )
                    .into(),
                );
            }
            sentence.push(".".into());
            if let Some(signal) = part.net(&found.signal)
                && let Ok(low) = material.evidence.net(signal, Measure::Minimum, powered)
                && let Ok(high) = material.evidence.net(signal, Measure::Maximum, powered)
            {
                let volts = |low: f64, high: f64| format_range(low, high, Unit::Volt, 3);
                let accepts = found.accepts.spread;
                sentence.push(
                    format!(
                        " With the box on and settled it stays within {}, in every position and at every \
                         corner; the input works within {}.",
                        volts(low.low, high.high),
                        volts(accepts.low, accepts.high)
                    )
                    .into(),
                );
            }
            say(&mut words, sentence);
        }
    }
    words
}
