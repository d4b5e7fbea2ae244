//! Wiring by pole and throw: switches and relays.

use super::Wired;
use crate::catalogue::Kind;
use crate::design::read::names::{Names, unfit};
use crate::design::{Pole, Structure};
use crate::source::{Diagnostic, Entry, Node, Reader};
use indexmap::IndexMap;

/// `positions: [up, down]`, `poles: {A: {common: x, throws: [y, nc]}}`.
pub(super) fn contacts(
    part: &Entry,
    kind: Kind,
    wired: &mut Wired,
    reader: &mut Reader,
    names: &mut Names,
) {
    let positions = positions(part, kind, reader);
    let mut poles = IndexMap::new();
    let entries = part
        .value
        .get("poles")
        .and_then(|node| reader.entries(node, "poles"));
    if entries.is_none_or(<[Entry]>::is_empty) && !wired.terminals.is_empty() {
        reader.note(
            Diagnostic::error("not-wired", format!("`{}` has no poles", part.key))
                .at(part.key_span, "")
                .hint("write `poles: {A: {common: net, throws: [net, net]}}`"),
        );
    }
    for pole in entries.unwrap_or_default() {
        if let Some(bad) = unfit(&pole.key) {
            reader.note(
                Diagnostic::error("bad-name", format!("{bad} in the name of a pole"))
                    .at(pole.key_span, ""),
            );
        }
        let what = format!("pole {}", pole.key);
        if reader
            .keys(&pole.value, &what, &["common", "throws"])
            .is_none()
        {
            continue;
        }
        let common = reader
            .required(&pole.value, "common", &what, pole.key_span)
            .and_then(|node| names.wire(node, "the common contact", reader));
        let Some(node) = reader.required(&pole.value, "throws", &what, pole.key_span) else {
            continue;
        };
        let throws: Vec<String> = reader
            .items(node, "throws")
            .unwrap_or_default()
            .iter()
            .filter_map(|item| names.wire(item, "a throw", reader))
            .collect();
        let Some(positions) = &positions else {
            continue;
        };
        let written = node.items().map_or(0, <[Node]>::len);
        if written != positions.len() {
            reader.note(
                Diagnostic::error(
                    "throws-and-positions-differ",
                    format!(
                        "{what} has {written} throw{} for {} positions",
                        if written == 1 { "" } else { "s" },
                        positions.len()
                    ),
                )
                .at(node.span, "")
                .hint(format!(
                    "give one net for each of {}; `nc` where the contact is open",
                    positions.join(", ")
                )),
            );
            continue;
        }
        let Some(common) = common.filter(|_| throws.len() == positions.len()) else {
            continue;
        };
        wired
            .terminals
            .insert(format!("{}.common", pole.key), common.clone());
        for (position, net) in positions.iter().zip(&throws) {
            wired
                .terminals
                .insert(format!("{}.{position}", pole.key), net.clone());
        }
        poles.insert(pole.key.clone(), Pole { common, throws });
    }
    wired.structure = Structure::Contacts {
        positions: positions.unwrap_or_default(),
        poles,
    };
}

fn positions(part: &Entry, kind: Kind, reader: &mut Reader) -> Option<Vec<String>> {
    let Some(node) = part.value.get("positions") else {
        if kind == Kind::Relay {
            return Some(vec!["rest".to_owned(), "operated".to_owned()]);
        }
        reader.note(
            Diagnostic::error("missing-key", format!("`{}` needs `positions`", part.key))
                .at(part.key_span, "")
                .hint("name them in order, the usual one first: `positions: [up, down]`"),
        );
        return None;
    };
    let mut positions: Vec<String> = Vec::new();
    for item in reader.items(node, "positions")? {
        let text = reader.text(item, "a position")?;
        if let Some(bad) = unfit(text) {
            reader.note(
                Diagnostic::error("bad-name", format!("{bad} in the name of a position"))
                    .at(item.span, ""),
            );
        }
        if text == "common" || positions.iter().any(|known| known == text) {
            reader.note(
                Diagnostic::error("bad-name", format!("`{text}` cannot name this position"))
                    .at(item.span, "")
                    .hint("each position has a name of its own, and `common` is taken"),
            );
        }
        positions.push(text.to_owned());
    }
    if kind == Kind::Relay && positions != ["rest", "operated"] {
        reader.note(
            Diagnostic::error("bad-name", "a relay's positions are `rest` and `operated`")
                .at(node.span, "")
                .hint("leave `positions` out"),
        );
    }
    if positions.len() < 2 {
        reader.note(
            Diagnostic::error("too-few-positions", "a switch has at least two positions")
                .at(node.span, ""),
        );
    }
    Some(positions)
}
