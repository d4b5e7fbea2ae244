//! Reading sessions and the lines of a log.

use super::read::{list, text, unknown};
use super::{Accuracy, Display, Meter, Point, Reading, Rework, Session, Setting, Skip};
use crate::design::{Design, Structure};
use crate::quantity::{self, parse_value};
use crate::source::{Diagnostic, Entry, Node, Reader, nearest};
use std::collections::BTreeMap;

/// What one line of a log says.
pub(super) enum Found {
    Session(Box<Session>),
    Reading(u32, Reading),
    Skip(u32, Skip),
    Remark(u32, String),
    Closes(u32),
    Rework(Rework),
}

const HEAD: &[&str] = &["date", "by", "note", "meter", "mains", "ambient"];

/// A session written whole, with its readings.
pub(super) fn written(
    node: &Node,
    number: u32,
    design: &Design,
    order: &mut usize,
    reader: &mut Reader,
) -> Option<Session> {
    let mut keys = HEAD.to_vec();
    keys.push("readings");
    reader.keys(node, "a session", &keys)?;
    let readings = list(node, "readings", reader)
        .iter()
        .filter_map(|node| {
            reader.keys(
                node,
                "a reading",
                &["at", "alone", "jack", "state", "plugged", "reads", "note"],
            )?;
            *order += 1;
            reading(node, design, *order, reader)
        })
        .collect();
    let mut session = head(node, number, reader)?;
    session.readings = readings;
    Some(session)
}

/// The head of a session.
pub(super) fn head(node: &Node, number: u32, reader: &mut Reader) -> Option<Session> {
    let what = "a session";
    let date = reader
        .required(node, "date", what, node.span)
        .and_then(|node| reader.date(node, "date"));
    let meter = reader
        .required(node, "meter", what, node.span)
        .and_then(|node| meter(node, reader));
    let mains = node
        .get("mains")
        .and_then(|node| reader.value(node, "mains", quantity::Unit::Volt));
    let ambient = node
        .get("ambient")
        .and_then(|node| reader.value(node, "ambient", quantity::Unit::Celsius));
    let flag = |key: &str, reader: &mut Reader| {
        node.get(key)
            .and_then(|node| reader.flag(node, key))
            .unwrap_or(false)
    };
    Some(Session {
        number,
        by: text(node, "by", reader),
        note: text(node, "note", reader),
        revision: text(node, "revision", reader),
        design: text(node, "design", reader),
        guided: flag("guided", reader),
        closed: false,
        date: date?,
        meter: meter?,
        mains,
        ambient,
        readings: Vec::new(),
        skips: Vec::new(),
        remarks: Vec::new(),
        span: node.span,
    })
}

/// One line of a log.
pub(super) fn line(
    node: &Node,
    design: &Design,
    order: usize,
    reader: &mut Reader,
) -> Option<Found> {
    let what = "a line of the log";
    if let Some(number) = node.get("opens") {
        let mut keys = HEAD.to_vec();
        keys.extend(["opens", "revision", "design", "guided"]);
        reader.keys(node, what, &keys)?;
        let number = count(number, reader)?;
        return head(node, number, reader).map(|session| Found::Session(Box::new(session)));
    }
    if node.get("rework").is_some() {
        reader.keys(node, what, &["rework", "date", "by"])?;
        let date = reader
            .required(node, "date", what, node.span)
            .and_then(|node| reader.date(node, "date"))?;
        return Some(Found::Rework(Rework {
            what: text(node, "rework", reader)?,
            date,
            by: text(node, "by", reader),
            order,
        }));
    }
    reader.keys(
        node,
        what,
        &[
            "in", "at", "alone", "jack", "state", "plugged", "reads", "unit", "note", "skipped",
            "closes",
        ],
    )?;
    let number = reader.required(node, "in", what, node.span)?;
    let number = count(number, reader)?;
    if node.get("closes").is_some() {
        return Some(Found::Closes(number));
    }
    if node.get("skipped").is_some() {
        let unit = match text(node, "unit", reader).as_deref() {
            Some("Ω") => quantity::Unit::Ohm,
            Some("A") => quantity::Unit::Ampere,
            _ => quantity::Unit::Volt,
        };
        let skip = Skip {
            reason: text(node, "skipped", reader)?,
            point: point(node, unit, design, reader)?,
            order,
        };
        return Some(Found::Skip(number, skip));
    }
    if node.get("at").is_none() {
        return text(node, "note", reader).map(|remark| Found::Remark(number, remark));
    }
    Some(Found::Reading(
        number,
        reading(node, design, order, reader)?,
    ))
}

fn count(node: &Node, reader: &mut Reader) -> Option<u32> {
    let written = reader.text(node, "the number of a session")?;
    let found = written.parse().ok();
    if found.is_none() {
        reader.note(
            Diagnostic::error(
                "bad-quantity",
                format!("`{written}` is no number of a session"),
            )
            .at(node.span, ""),
        );
    }
    found
}

/// A meter; what it does not say is that of a common hand-held one, and said so.
pub(super) fn meter(node: &Node, reader: &mut Reader) -> Option<Meter> {
    let what = "a meter";
    reader.keys(
        node,
        what,
        &[
            "name",
            "accuracy",
            "resistance",
            "counts",
            "resolution",
            "input",
            "true-rms",
        ],
    )?;
    let usual = Meter::default();
    let name = reader
        .required(node, "name", what, node.span)
        .and_then(|node| reader.text(node, "name"))
        .map(str::to_owned);
    let voltage = accuracy(node, "accuracy", reader);
    let resistance = accuracy(node, "resistance", reader);
    let counts = node.get("counts").and_then(|node| counts(node, reader));
    let step = node
        .get("resolution")
        .and_then(|node| reader.value(node, "resolution", quantity::Unit::Volt))
        .filter(|step| *step > 0.0);
    let input = node
        .get("input")
        .and_then(|node| reader.value(node, "the meter's input", quantity::Unit::Ohm))
        .filter(|ohms| *ohms > 0.0);
    let assumed = [
        ("accuracy", voltage.is_none()),
        ("resistance", resistance.is_none()),
        ("counts", counts.is_none() && step.is_none()),
        ("input", input.is_none()),
    ];
    Some(Meter {
        name: name?,
        accuracy: voltage.unwrap_or(usual.accuracy),
        resistance: resistance.unwrap_or(usual.resistance),
        display: match (step, counts) {
            (Some(step), _) => Display::Step(step),
            (None, Some(counts)) => Display::Counts(counts),
            (None, None) => usual.display,
        },
        input: input.unwrap_or(usual.input),
        true_rms: node
            .get("true-rms")
            .and_then(|node| reader.flag(node, "`true-rms`")),
        assumed: assumed
            .iter()
            .filter(|(_, assumed)| *assumed)
            .map(|(what, _)| *what)
            .collect(),
    })
}

fn accuracy(node: &Node, key: &str, reader: &mut Reader) -> Option<Accuracy> {
    let node = node.get(key)?;
    let text = reader.text(node, key)?;
    let found = Accuracy::parse(text);
    if found.is_none() {
        reader.note(
            Diagnostic::error(
                "bad-quantity",
                format!("`{text}` is not an accuracy as read here"),
            )
            .at(node.span, "")
            .hint("write it as in the meter's manual: `0.5 % + 2 digits`"),
        );
    }
    found
}

fn counts(node: &Node, reader: &mut Reader) -> Option<u32> {
    let text = reader.text(node, "counts")?;
    let found = text.parse::<u32>().ok().filter(|counts| *counts >= 100);
    if found.is_none() {
        reader.note(
            Diagnostic::error(
                "bad-quantity",
                format!("`{text}` is not a number of counts"),
            )
            .at(node.span, "")
            .hint("a display of 3½ digits has `counts: 2000`"),
        );
    }
    found
}

/// A reading; its keys are the caller's to check.
pub(super) fn reading(
    node: &Node,
    design: &Design,
    order: usize,
    reader: &mut Reader,
) -> Option<Reading> {
    let reads = reader
        .required(node, "reads", "a reading", node.span)
        .and_then(|node| reads(node, reader));
    let unit = reads.map_or(quantity::Unit::Volt, |(_, unit)| unit);
    let point = point(node, unit, design, reader);
    Some(Reading {
        note: text(node, "note", reader),
        reads: reads?.0,
        point: point?,
        order,
        span: node.span,
    })
}

fn point(node: &Node, unit: quantity::Unit, design: &Design, reader: &mut Reader) -> Option<Point> {
    let by_itself = node
        .get("alone")
        .and_then(|node| reader.flag(node, "`alone`"))
        .unwrap_or(false);
    let at = reader
        .required(node, "at", "a reading", node.span)
        .and_then(|node| {
            let text = reader.text(node, "at")?;
            let net = match design.test_points.get(text) {
                _ if by_itself => None,
                Some(net) => Some(net.clone()),
                None => design.nets.iter().find(|net| *net == text).cloned(),
            };
            let supply = || design.supplies().map(|part| &part.reference);
            let alone = net.is_none() && supply().any(|known| known == text);
            if by_itself && !alone {
                let known: Vec<&str> = supply().map(String::as_str).collect();
                let message = format!("the design has no adaptor or battery `{text}`");
                reader.note(
                    Diagnostic::error("unknown-name", message)
                        .at(node.span, "")
                        .hint(match known[..] {
                            [] => {
                                "leave `alone` out: the design has no supply that can be measured \
                                   by itself"
                                    .to_owned()
                            }
                            _ => format!(
                                "`alone: true` is for {}, joined to nothing; leave it out at a net",
                                known.join(", ")
                            ),
                        }),
                );
                return None;
            }
            if net.is_none() && !alone {
                let known = design
                    .test_points
                    .keys()
                    .chain(&design.nets)
                    .chain(supply());
                let near = nearest(text, known.map(String::as_str));
                unknown("test point, net or supply", text, node, near, reader);
                return None;
            }
            Some((
                text.to_owned(),
                net.unwrap_or_else(|| text.to_owned()),
                alone,
            ))
        });
    let state = node
        .get("state")
        .and_then(|node| reader.entries(node, "state"))
        .unwrap_or_default()
        .iter()
        .filter_map(|entry| setting(entry, design, reader))
        .collect::<BTreeMap<_, _>>();
    let plugged = node
        .get("plugged")
        .and_then(|node| reader.flag(node, "`plugged`"))
        .unwrap_or(false);
    let jack = node.get("jack").and_then(|node| {
        let text = reader.text(node, "jack")?;
        if design.parts.contains_key(text) {
            return Some(text.to_owned());
        }
        let near = nearest(text, design.parts.keys().map(String::as_str));
        unknown("jack", text, node, near, reader);
        None
    });
    let (at, net, alone) = at?;
    Some(Point {
        at,
        net,
        state,
        jack,
        alone,
        plugged,
        unit,
    })
}

/// Volts, amperes or ohms, as the text says; `OL` for a resistance beyond the range.
fn reads(node: &Node, reader: &mut Reader) -> Option<(f64, quantity::Unit)> {
    use quantity::Unit::{Ampere, Ohm, Volt};
    let text = node.text().unwrap_or_default().trim();
    if let Some(rest) = text.strip_prefix("OL")
        && matches!(rest.trim(), "" | "Ω")
    {
        return Some((f64::INFINITY, Ohm));
    }
    for unit in [Ampere, Ohm] {
        // A bare `R` or `k` is a way to write resistors, not readings.
        if let Ok(value) = parse_value(text, unit)
            && (text.ends_with(unit.symbol()) || unit == Ohm && text.ends_with("ohm"))
        {
            return Some((value, unit));
        }
    }
    Some((reader.value(node, "a reading", Volt)?, Volt))
}

/// A setting, under the name the design calls the control by.
fn setting(entry: &Entry, design: &Design, reader: &mut Reader) -> Option<(String, Setting)> {
    let named = |part: &&crate::design::Part| {
        part.reference == entry.key || part.word("control") == Some(entry.key.as_str())
    };
    let Some(part) = design.parts.values().find(named) else {
        let known = design
            .parts
            .values()
            .filter_map(|part| part.word("control"))
            .chain(design.parts.keys().map(String::as_str));
        let near = nearest(&entry.key, known);
        reader.note(
            Diagnostic::error(
                "unknown-name",
                format!("the design has no control or switch `{}`", entry.key),
            )
            .at(entry.key_span, "")
            .hint_if(near.map(|near| format!("did you mean `{near}`?"))),
        );
        return None;
    };
    let name = crate::situations::control_name(design, &part.reference).to_owned();
    if let Structure::Contacts { positions, .. } = &part.structure {
        let known: Vec<&str> = positions.iter().map(String::as_str).collect();
        let what = format!("a position of {}", entry.key);
        let position = reader.word(&entry.value, &what, &known)?;
        return Some((name, Setting::Position(position.to_owned())));
    }
    let what = format!("the travel of {}", entry.key);
    let travel = reader.value(&entry.value, &what, quantity::Unit::Ratio)?;
    if (0.0..=1.0).contains(&travel) {
        return Some((name, Setting::Travel(travel)));
    }
    reader.note(
        Diagnostic::error("impossible-value", format!("{what} runs from 0 % to 100 %"))
            .at(entry.value.span, ""),
    );
    None
}
