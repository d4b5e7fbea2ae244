//! What may be plugged into each jack, and the files that describe it.

use super::names::Names;
use super::{Files, device, open, path};
use crate::catalogue::Kind;
use crate::design::{Connection, Part};
use crate::source::{Diagnostic, Entry, Node, Reader, nearest};
use indexmap::IndexMap;

pub(super) fn read(
    root: &Node,
    parts: &IndexMap<String, Part>,
    reader: &mut Reader,
    names: &Names,
    files: &mut Files<'_>,
) -> IndexMap<String, Vec<Connection>> {
    let mut connections = IndexMap::new();
    let entries = root
        .get("connect")
        .and_then(|node| reader.entries(node, "connect"))
        .unwrap_or_default();
    for entry in entries {
        let jack = jack(entry, parts, reader, names);
        // One thing alone may be written without the list.
        let one = std::slice::from_ref(&entry.value);
        let items = match entry.value.items() {
            Some(items) => items,
            None if entry.value.entries().is_some() => one,
            None => reader.items(&entry.value, "connect").unwrap_or_default(),
        };
        let list: Vec<Connection> = items
            .iter()
            .filter_map(|node| connection(node, reader, files))
            .collect();
        if jack && !list.is_empty() {
            connections.insert(entry.key.clone(), list);
        }
    }
    connections
}

/// Is there such a jack?
fn jack(entry: &Entry, parts: &IndexMap<String, Part>, reader: &mut Reader, names: &Names) -> bool {
    let found = parts
        .get(&entry.key)
        .filter(|part| matches!(part.kind, Kind::Jack | Kind::Plug | Kind::Connector));
    if found.is_none() && !names.is_unread(&entry.key) {
        let jacks = parts
            .values()
            .filter(|part| matches!(part.kind, Kind::Jack | Kind::Plug | Kind::Connector));
        let near = nearest(&entry.key, jacks.map(|part| part.reference.as_str()));
        let reason = match parts.get(&entry.key) {
            Some(part) => format!(
                "`{}` is of kind `{}`: nothing plugs into it",
                entry.key,
                part.kind.key()
            ),
            None => format!("there is no jack, plug or connector `{}`", entry.key),
        };
        reader.note(
            Diagnostic::error("unknown-jack", reason)
                .at(entry.key_span, "")
                .hint_if(near.map(|near| format!("did you mean `{near}`?"))),
        );
    }
    found.is_some()
}

fn connection(node: &Node, reader: &mut Reader, files: &mut Files<'_>) -> Option<Connection> {
    reader.keys(
        node,
        "a connection",
        &["instrument", "controller", "input", "cable"],
    )?;
    let cable = node
        .get("cable")
        .and_then(|node| reader.word(node, "a cable", &["TS", "TRS"]))
        .map(str::to_owned);
    if node.get("cable").is_none() {
        reader.note(
            Diagnostic::error("missing-key", "a connection needs `cable`")
                .at(node.span, "")
                .hint("write `cable: TS` or `cable: TRS`"),
        );
    }
    match (node.get("instrument"), node.get("controller")) {
        (Some(file), None) => {
            let tree = load(file, reader, files);
            let wanted = reader.required(node, "input", "a connection to an instrument", node.span);
            let instrument = device::instrument(&tree?, file.text()?.trim(), reader)?;
            let wanted = wanted?;
            let input = reader.text(wanted, "input")?;
            if !instrument.inputs.contains_key(input) {
                let known = instrument.inputs.keys().map(String::as_str);
                let near = nearest(input, known.clone());
                let hint = match near {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("its inputs are {}", known.collect::<Vec<_>>().join(", ")),
                };
                reader.note(
                    Diagnostic::error(
                        "unknown-input",
                        format!("{} has no input `{input}`", instrument.title),
                    )
                    .at(wanted.span, "")
                    .hint(hint),
                );
                return None;
            }
            Some(Connection::Instrument {
                input: input.to_owned(),
                instrument: Box::new(instrument),
                cable: cable?,
            })
        }
        (None, Some(file)) => {
            if let Some(input) = node.get("input") {
                reader.note(
                    Diagnostic::error("key-out-of-place", "a controller has no `input`")
                        .at(input.span, ""),
                );
            }
            let tree = load(file, reader, files)?;
            let controller = device::controller(&tree, file.text()?.trim(), reader)?;
            Some(Connection::Controller {
                controller: Box::new(controller),
                cable: cable?,
            })
        }
        _ => {
            reader.note(
                Diagnostic::error(
                    "unclear-connection",
                    "a connection names one instrument or one controller",
                )
                .at(node.span, "")
                .hint("write `{instrument: file.yaml, input: name, cable: TS}` or `{controller: file.yaml, cable: TRS}`"),
            );
            None
        }
    }
}

/// The tree of a device's file, read once however often it is named.
fn load(node: &Node, reader: &mut Reader, files: &mut Files<'_>) -> Option<Node> {
    let named = reader.text(node, "the file of a device")?;
    let path = match path::beside(files.base, named) {
        Ok(path) => path,
        Err(hint) => {
            reader.note(
                Diagnostic::error(
                    "bad-path",
                    format!("`{named}` is not a path beside this file"),
                )
                .at(node.span, "")
                .hint(hint),
            );
            return None;
        }
    };
    if let Some(tree) = files.opened.get(&path) {
        return tree.clone();
    }
    let before = reader.diagnostics.len();
    let tree = open(&path, files.load, files.sources, reader);
    for error in &mut reader.diagnostics[before..] {
        if error.primary.is_none() {
            *error = error.clone().at(node.span, "named here");
        }
    }
    files.opened.insert(path, tree.clone());
    tree
}
