//! Reading a unit file against the design it was built to: `unit/1`, written by hand with its
//! sessions, and `unit/2`, which ends in an append-only log.

use super::session::{self, Found};
use super::{Rework, Session, Substitution, Unit, log};
use crate::design::Design;
use crate::source::{Diagnostic, Node, Reader, SourceSet, nearest, read_file};
use std::collections::BTreeMap;

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
    "notes",
];

/// Reads a unit file; the bytes join `sources`. Returns it with the warnings.
///
/// # Errors
/// All mistakes, each with its place.
pub fn read(
    path: &str,
    mut bytes: Vec<u8>,
    design: &Design,
    sources: &mut SourceSet,
) -> Result<(Unit, Vec<Diagnostic>), Vec<Diagnostic>> {
    let found = log::scan(&bytes);
    let mut torn = 0;
    if let Some(found) = &found {
        torn = bytes.len() - found.good;
        bytes.truncate(found.good);
    }
    let found = found.unwrap_or_default();
    read_file(sources, path, bytes, |root, reader| {
        if torn > 0 {
            reader.note(
                Diagnostic::warning(
                    "torn-record",
                    format!(
                        "{path}: the last {torn} bytes were only half written and are left out; \
                         everything before them is whole"
                    ),
                )
                .hint("measure again what was being measured at that moment"),
            );
        }
        unit(root, path, design, &found, reader)
    })
}

/// Reads the tree of a unit file. What is wrong is noted in `reader`; `None` when there is no
/// unit to speak of.
fn unit(
    root: &Node,
    path: &str,
    design: &Design,
    found: &log::Log,
    reader: &mut Reader,
) -> Option<Unit> {
    let logged = root.get("preplug").and_then(Node::text) == Some(log::VERSION);
    if !logged && !reader.version(root, "unit") {
        return None;
    }
    let mut keys = KEYS.to_vec();
    keys.push(if logged { "log" } else { "sessions" });
    let entries = reader.keys(root, "a unit file", &keys)?;
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
    let (sessions, reworks) = if logged {
        logged_sessions(root, design, found, reader)
    } else {
        (written_sessions(root, design, reader), Vec::new())
    };
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
        reworks,
        notes: texts(root, "notes", reader),
        altered: found.altered.iter().map(|(line, _)| *line).collect(),
        span: top,
    })
}

fn written_sessions(root: &Node, design: &Design, reader: &mut Reader) -> Vec<Session> {
    let mut order = 0;
    list(root, "sessions", reader)
        .iter()
        .zip(1..)
        .filter_map(|(node, number)| session::written(node, number, design, &mut order, reader))
        .collect()
}

fn logged_sessions(
    root: &Node,
    design: &Design,
    found: &log::Log,
    reader: &mut Reader,
) -> (Vec<Session>, Vec<Rework>) {
    let (mut sessions, mut reworks): (Vec<Session>, Vec<Rework>) = (Vec::new(), Vec::new());
    // `log:` with nothing below it yet.
    if root.get("log").and_then(Node::text) == Some("") {
        return (sessions, reworks);
    }
    for (order, node) in list(root, "log", reader).iter().enumerate() {
        let altered = |range: &std::ops::Range<usize>| range.contains(&node.span.start);
        if found.altered.iter().any(|(_, range)| altered(range)) {
            reader.note(
                Diagnostic::warning(
                    "altered-record",
                    "this line was altered after it was written: what it says is not taken",
                )
                .at(node.span, "")
                .hint("a wrong reading is corrected by measuring again, never by editing"),
            );
            continue;
        }
        let within = |number: u32, reader: &mut Reader| {
            let at = sessions.iter().position(|s| s.number == number);
            if at.is_none() {
                reader.note(
                    Diagnostic::error("unknown-name", format!("there is no session {number}"))
                        .at(node.span, ""),
                );
            }
            at
        };
        match session::line(node, design, order, reader) {
            Some(Found::Session(session)) => {
                let known = sessions.iter().any(|s| s.number == session.number);
                if known {
                    reader.note(
                        Diagnostic::error(
                            "duplicate-key",
                            format!("session {} is opened twice", session.number),
                        )
                        .at(node.span, ""),
                    );
                } else {
                    sessions.push(*session);
                }
            }
            Some(Found::Reading(number, reading)) => {
                if let Some(at) = within(number, reader) {
                    sessions[at].readings.push(reading);
                }
            }
            Some(Found::Skip(number, skip)) => {
                if let Some(at) = within(number, reader) {
                    sessions[at].skips.push(skip);
                }
            }
            Some(Found::Remark(number, remark)) => {
                if let Some(at) = within(number, reader) {
                    sessions[at].remarks.push(remark);
                }
            }
            Some(Found::Closes(number)) => {
                if let Some(at) = within(number, reader) {
                    sessions[at].closed = true;
                }
            }
            Some(Found::Rework(rework)) => reworks.push(rework),
            None => {}
        }
    }
    (sessions, reworks)
}

pub(super) fn text(node: &Node, key: &str, reader: &mut Reader) -> Option<String> {
    let node = node.get(key)?;
    reader.text(node, key).map(str::to_owned)
}

pub(super) fn list<'n>(node: &'n Node, key: &str, reader: &mut Reader) -> &'n [Node] {
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

pub(super) fn unknown(
    what: &str,
    text: &str,
    node: &Node,
    near: Option<&str>,
    reader: &mut Reader,
) {
    reader.note(
        Diagnostic::error("unknown-name", format!("the design has no {what} `{text}`"))
            .at(node.span, "")
            .hint_if(near.map(|near| format!("did you mean `{near}`?"))),
    );
}

fn substitution(node: &Node, design: &Design, reader: &mut Reader) -> Option<Substitution> {
    let what = "a substitution";
    reader.keys(node, what, &["part", "as-built", "with", "reason"])?;
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
    let with = node
        .get("with")
        .and_then(|node| reader.entries(node, "with"))
        .unwrap_or_default()
        .iter()
        .filter_map(|entry| {
            let value = reader.text(&entry.value, &entry.key)?;
            Some((entry.key.clone(), value.to_owned()))
        })
        .collect::<BTreeMap<_, _>>();
    Some(Substitution {
        part: part?,
        as_built: as_built?.to_owned(),
        with,
        reason: text(node, "reason", reader),
        span: node.span,
    })
}
