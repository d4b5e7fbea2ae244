//! Reading a unit file against the design it was built to.

use super::{Accuracy, Meter, Reading, Session, Setting, Substitution, Unit};
use crate::design::{Design, Structure};
use crate::quantity::{self, parse_value};
use crate::source::{Diagnostic, Entry, Node, Reader, SourceSet, nearest, read_file};
use std::collections::BTreeMap;

/// Input resistance of a usual digital meter [Ω].
const USUAL_INPUT: f64 = 10e6;

const KEYS: &[&str] = &[
    "preplug",
    "demonstration",
    "serial",
    "design",
    "revision",
    "builder",
    "built",
    "substitutions",
    "photos",
    "sessions",
    "notes",
];

/// Reads a unit file; the bytes join `sources`. Returns it with the warnings.
///
/// # Errors
/// All mistakes, each with its place.
pub fn read(
    path: &str,
    bytes: Vec<u8>,
    design: &Design,
    sources: &mut SourceSet,
) -> Result<(Unit, Vec<Diagnostic>), Vec<Diagnostic>> {
    read_file(sources, path, bytes, |root, reader| {
        unit(root, path, design, reader)
    })
}

/// Reads the tree of a unit file. What is wrong is noted in `reader`; `None` when there is no
/// unit to speak of.
fn unit(root: &Node, path: &str, design: &Design, reader: &mut Reader) -> Option<Unit> {
    if !reader.version(root, "unit") {
        return None;
    }
    let entries = reader.keys(root, "a unit file", KEYS)?;
    let top = entries.first().map_or(root.span, |entry| entry.key_span);
    let serial = reader
        .required(root, "serial", "a unit", top)
        .and_then(|node| reader.text(node, "serial"))
        .map(str::to_owned);
    let demonstration = root
        .get("demonstration")
        .and_then(|node| reader.flag(node, "`demonstration`"))
        .unwrap_or(false);
    let built = root
        .get("built")
        .and_then(|node| reader.date(node, "built"));
    let sessions = list(root, "sessions", reader)
        .iter()
        .filter_map(|node| session(node, design, reader))
        .collect();
    let substitutions = list(root, "substitutions", reader)
        .iter()
        .filter_map(|node| substitution(node, design, reader))
        .collect();
    Some(Unit {
        path: path.to_owned(),
        demonstration,
        serial: serial?,
        design: text(root, "design", reader),
        revision: text(root, "revision", reader),
        builder: text(root, "builder", reader),
        built,
        substitutions,
        photos: texts(root, "photos", reader),
        sessions,
        notes: texts(root, "notes", reader),
        span: top,
    })
}

fn text(node: &Node, key: &str, reader: &mut Reader) -> Option<String> {
    let node = node.get(key)?;
    reader.text(node, key).map(str::to_owned)
}

fn list<'n>(node: &'n Node, key: &str, reader: &mut Reader) -> &'n [Node] {
    node.get(key)
        .and_then(|node| reader.items(node, key))
        .unwrap_or_default()
}

fn texts(node: &Node, key: &str, reader: &mut Reader) -> Vec<String> {
    list(node, key, reader)
        .iter()
        .filter_map(|item| reader.text(item, key).map(str::to_owned))
        .collect()
}

fn unknown(what: &str, text: &str, node: &Node, near: Option<&str>, reader: &mut Reader) {
    reader.note(
        Diagnostic::error("unknown-name", format!("the design has no {what} `{text}`"))
            .at(node.span, "")
            .hint_if(near.map(|near| format!("did you mean `{near}`?"))),
    );
}

fn substitution(node: &Node, design: &Design, reader: &mut Reader) -> Option<Substitution> {
    let what = "a substitution";
    reader.keys(node, what, &["part", "as-built", "reason"])?;
    let part = reader
        .required(node, "part", what, node.span)
        .and_then(|node| {
            let text = reader.text(node, "part")?;
            if !design.parts.contains_key(text) {
                let near = nearest(text, design.parts.keys().map(String::as_str));
                unknown("part", text, node, near, reader);
                return None;
            }
            Some(text.to_owned())
        });
    let as_built = reader
        .required(node, "as-built", what, node.span)
        .and_then(|node| reader.text(node, "as-built"));
    Some(Substitution {
        part: part?,
        as_built: as_built?.to_owned(),
        reason: text(node, "reason", reader),
        span: node.span,
    })
}

fn session(node: &Node, design: &Design, reader: &mut Reader) -> Option<Session> {
    let what = "a session";
    reader.keys(
        node,
        what,
        &[
            "date", "by", "note", "meter", "mains", "ambient", "readings",
        ],
    )?;
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
    let readings = list(node, "readings", reader)
        .iter()
        .filter_map(|node| reading(node, design, reader))
        .collect();
    let (by, remark) = (text(node, "by", reader), text(node, "note", reader));
    Some(Session {
        date: date?,
        by,
        note: remark,
        meter: meter?,
        mains,
        ambient,
        readings,
        span: node.span,
    })
}

fn meter(node: &Node, reader: &mut Reader) -> Option<Meter> {
    let what = "a meter";
    reader.keys(
        node,
        what,
        &[
            "name",
            "accuracy",
            "counts",
            "resolution",
            "input",
            "true-rms",
        ],
    )?;
    let name = reader
        .required(node, "name", what, node.span)
        .and_then(|node| reader.text(node, "name"));
    let accuracy = node.get("accuracy").and_then(|node| {
        let text = reader.text(node, "accuracy")?;
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
    });
    let counts = node.get("counts").and_then(|node| {
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
    });
    let resolution = node
        .get("resolution")
        .and_then(|node| reader.value(node, "resolution", quantity::Unit::Volt));
    let input = node
        .get("input")
        .and_then(|node| reader.value(node, "the meter's input", quantity::Unit::Ohm))
        .filter(|ohms| *ohms > 0.0);
    let true_rms = node
        .get("true-rms")
        .and_then(|node| reader.flag(node, "`true-rms`"));
    Some(Meter {
        name: name?.to_owned(),
        accuracy,
        counts,
        resolution,
        input: input.unwrap_or(USUAL_INPUT),
        input_assumed: input.is_none(),
        true_rms,
    })
}

fn reading(node: &Node, design: &Design, reader: &mut Reader) -> Option<Reading> {
    let what = "a reading";
    reader.keys(node, what, &["at", "state", "reads", "note"])?;
    let at = reader
        .required(node, "at", what, node.span)
        .and_then(|node| {
            let text = reader.text(node, "at")?;
            let net = match design.test_points.get(text) {
                Some(net) => Some(net.clone()),
                None => design.nets.iter().find(|net| *net == text).cloned(),
            };
            if net.is_none() {
                let known = design.test_points.keys().chain(&design.nets);
                let near = nearest(text, known.map(String::as_str));
                unknown("test point or net", text, node, near, reader);
            }
            Some((text.to_owned(), net?))
        });
    let reads = reader
        .required(node, "reads", what, node.span)
        .and_then(|node| reads(node, reader));
    let state = node
        .get("state")
        .and_then(|node| reader.entries(node, "state"))
        .unwrap_or_default()
        .iter()
        .filter_map(|entry| Some((entry.key.clone(), setting(entry, design, reader)?)))
        .collect::<BTreeMap<_, _>>();
    let remark = text(node, "note", reader);
    let ((at, net), (reads, unit)) = (at?, reads?);
    Some(Reading {
        at,
        net,
        state,
        reads,
        unit,
        note: remark,
        span: node.span,
    })
}

/// Volts, amperes or ohms, as the text says.
fn reads(node: &Node, reader: &mut Reader) -> Option<(f64, quantity::Unit)> {
    use quantity::Unit::{Ampere, Ohm, Volt};
    let text = node.text().unwrap_or_default();
    for unit in [Ampere, Ohm] {
        // A bare `R` or `k` is a way to write resistors, not readings.
        if let Ok(value) = parse_value(text, unit)
            && text.trim_end().ends_with(unit.symbol())
        {
            return Some((value, unit));
        }
    }
    Some((reader.value(node, "a reading", Volt)?, Volt))
}

fn setting(entry: &Entry, design: &Design, reader: &mut Reader) -> Option<Setting> {
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
    if let Structure::Contacts { positions, .. } = &part.structure {
        let known: Vec<&str> = positions.iter().map(String::as_str).collect();
        let what = format!("a position of {}", entry.key);
        let position = reader.word(&entry.value, &what, &known)?;
        return Some(Setting::Position(position.to_owned()));
    }
    let what = format!("the travel of {}", entry.key);
    let travel = reader.value(&entry.value, &what, quantity::Unit::Ratio)?;
    if (0.0..=1.0).contains(&travel) {
        return Some(Setting::Travel(travel));
    }
    reader.note(
        Diagnostic::error("impossible-value", format!("{what} runs from 0 % to 100 %"))
            .at(entry.value.span, ""),
    );
    None
}
