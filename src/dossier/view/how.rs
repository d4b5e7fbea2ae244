//! How it works: the signal's way through the box, said part by part from the wiring.

use super::words::{kind_words, listed, terminal_words};
use super::{Material, View};
use crate::catalogue::{Kind, Property};
use crate::checks::prelude::REGULATORS;
use crate::checks::wiring;
use crate::design::{Connection, Part, Structure};
use crate::dossier::block::{Block, Inline, code, strong};
use crate::evidence::Measure;
use crate::quantity::{Unit, format, format_short};
use crate::situations::powered;

type Words = Vec<Inline>;

pub(super) fn add(material: &Material, view: &mut View) {
    let paragraphs = [
        ("Supply.", supply(material)),
        ("Rectifier and reservoir.", rectifier(material)),
        ("Regulators.", regulators(material)),
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

fn supply(material: &Material) -> Words {
    let mut words = Words::new();
    for part in wiring::sources(material.design) {
        let what = match part.kind {
            Kind::AcAdaptor | Kind::Transformer => format!(
                "{} gives {} rms at {}",
                part.reference,
                value(part, Property::Output),
                value(part, Property::Current)
            ),
            Kind::DcAdaptor => format!(
                "{} gives {} DC",
                part.reference,
                value(part, Property::Output)
            ),
            _ => format!(
                "{} is a {} of {}",
                part.reference,
                kind_words(part.kind),
                value(part, Property::Value)
            ),
        };
        let nets: Vec<Inline> = part
            .terminals
            .iter()
            .filter(|(terminal, _)| wiring::drives(part, terminal))
            .enumerate()
            .flat_map(|(index, (_, net))| {
                let joint = if index == 0 { " between " } else { " and " };
                [joint.into(), code(net.as_str())]
            })
            .collect();
        say(
            &mut words,
            [what.into()].into_iter().chain(nets).chain([".".into()]),
        );
    }
    words
}

fn rectifier(material: &Material) -> Words {
    let design = material.design;
    let alternating = wiring::alternating(design);
    let mut words = Words::new();
    let mut filled: Vec<&str> = Vec::new();
    for part in design.parts.values() {
        if part.kind == Kind::Bridge {
            say(
                &mut words,
                [
                    format!(
                        "{} turns both half-waves the same way, onto ",
                        part.reference
                    )
                    .into(),
                    net(part, "positive"),
                    " against ".into(),
                    net(part, "negative"),
                    ".".into(),
                ],
            );
            filled.extend(part.net("positive"));
            filled.extend(part.net("negative"));
        }
        if part.kind == Kind::Diode {
            let (Some(anode), Some(cathode)) = (part.net("anode"), part.net("cathode")) else {
                continue;
            };
            let (half, to) = match (alternating.contains(anode), alternating.contains(cathode)) {
                (true, false) => ("positive", cathode),
                (false, true) => ("negative", anode),
                _ => continue,
            };
            say(
                &mut words,
                [
                    format!("{} lets the {half} half-waves through to ", part.reference).into(),
                    code(to),
                    ".".into(),
                ],
            );
            filled.push(to);
        }
    }
    filled.dedup();
    for reservoir in filled.iter().filter(|net| **net != "gnd") {
        let held: Vec<String> = wiring::on(design, reservoir)
            .iter()
            .filter(|(part, _)| matches!(part.kind, Kind::Electrolytic | Kind::Tantalum))
            .map(|(part, _)| format!("{} ({})", part.reference, value(part, Property::Value)))
            .collect();
        if held.is_empty() {
            continue;
        }
        let mut sentence: Words = vec![
            format!("{} holds ", listed(&held)).into(),
            code(*reservoir),
            " between the peaks".into(),
        ];
        if let Ok(mean) = material.evidence.net(reservoir, Measure::Mean, powered)
            && let Ok(ripple) = material.evidence.net(reservoir, Measure::Ripple, powered)
        {
            sentence.push(
                format!(
                    ": {} on average when nominal, with {} of ripple",
                    format(mean.nominal, Unit::Volt),
                    format(ripple.nominal, Unit::Volt)
                )
                .into(),
            );
        }
        sentence.push(".".into());
        say(&mut words, sentence);
    }
    words
}

fn regulators(material: &Material) -> Words {
    let mut words = Words::new();
    for part in material.design.parts.values() {
        if !REGULATORS.contains(&part.kind) {
            continue;
        }
        let name = part.type_name.as_deref().unwrap_or("regulator");
        let mut sentence: Words = vec![
            format!("{} ({name}) makes ", part.reference).into(),
            net(part, "out"),
            " from ".into(),
            net(part, "in"),
        ];
        if let Some(out) = part.net("out")
            && let Ok(mean) = material.evidence.net(out, Measure::Mean, powered)
        {
            sentence.push(format!(": {} when nominal", format(mean.nominal, Unit::Volt)).into());
        }
        sentence.push(".".into());
        say(&mut words, sentence);
    }
    words
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
            let role = if minus == Some(out) {
                "follows"
            } else {
                "amplifies"
            };
            say(
                &mut words,
                [
                    format!("Unit {unit} of {} {role} ", part.reference).into(),
                    code(plus.unwrap_or("nc")),
                    " onto ".into(),
                    code(out),
                    ".".into(),
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
            (_, Kind::Potentiometer) => say(
                &mut words,
                [
                    format!(
                        "{name} ({}, {}) moves ",
                        part.reference,
                        value(part, Property::Value)
                    )
                    .into(),
                    net(part, "wiper"),
                    " from ".into(),
                    net(part, "ccw"),
                    " to ".into(),
                    net(part, "cw"),
                    " as it is turned clockwise.".into(),
                ],
            ),
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
                sentence.push(format!(", through {}", listed(&series)).into());
            }
            sentence.push(".".into());
            say(&mut words, sentence);
        }
    }
    words
}
