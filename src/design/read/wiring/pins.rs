//! Wiring by physical pin: the function comes from the catalogue's pin order.

use super::Wired;
use crate::design::read::names::{Names, OPEN};
use crate::design::read::types::Identity;
use crate::design::schema::{Row, Wiring};
use crate::source::{Diagnostic, Entry, Node, Reader, Span};

/// `pins: {1: rail+, …}`: the function comes from the catalogue's pin order.
pub(super) fn by_pins(
    part: &Entry,
    node: &Node,
    row: &Row,
    identity: &Identity,
    wired: &mut Wired,
    reader: &mut Reader,
    names: &mut Names,
) {
    let Some(entries) = reader.entries(node, "pins") else {
        return;
    };
    let place = part
        .value
        .entries()
        .and_then(|own| own.iter().find(|entry| entry.key == "pins"))
        .map_or(part.key_span, |entry| entry.key_span);
    let order = if row.wiring == Wiring::Named {
        None
    } else if let Some((name, package)) = identity.package {
        Some((name, &package.pins))
    } else {
        for entry in entries {
            names.wire(&entry.value, "a pin", reader);
        }
        unknown_order(part, identity, place, reader);
        return;
    };
    for entry in entries {
        let function = match order {
            None => Some(entry.key.clone()),
            Some((package, pins)) => {
                let found = pins.get(&entry.key).cloned();
                if found.is_none() {
                    let known: Vec<&str> = pins.keys().map(String::as_str).collect();
                    reader.note(
                        Diagnostic::error(
                            "unknown-pin",
                            format!("{package} has no pin `{}`", entry.key),
                        )
                        .at(entry.key_span, "")
                        .hint(format!("its pins are {}", known.join(", "))),
                    );
                }
                found
            }
        };
        let Some(net) = names.wire(&entry.value, "a pin", reader) else {
            continue;
        };
        wired.pins.insert(entry.key.clone(), net.clone());
        let Some(function) = function.filter(|function| function != OPEN) else {
            continue;
        };
        match wired.terminals.get(&function) {
            Some(other) if *other != net && *other != OPEN && net != OPEN => reader.note(
                Diagnostic::error(
                    "pins-differ",
                    format!(
                        "pin {} is `{function}` like another pin, and they are on `{other}` and `{net}`",
                        entry.key
                    ),
                )
                .at(entry.value.span, "")
                .hint("pins of one function are joined inside the part"),
            ),
            Some(other) if *other != OPEN => {}
            _ => {
                wired.terminals.insert(function, net);
            }
        }
    }
    let strange = entries
        .iter()
        .any(|entry| order.is_some_and(|(_, pins)| !pins.contains_key(&entry.key)));
    if let Some((package, pins)) = order.filter(|_| !strange) {
        let missing: Vec<&str> = pins
            .iter()
            .filter(|(pin, function)| *function != OPEN && node.get(pin).is_none())
            .map(|(pin, _)| pin.as_str())
            .collect();
        if !missing.is_empty() {
            reader.note(
                Diagnostic::error(
                    "pin-not-wired",
                    format!(
                        "`{}` has {} pins in {package}, and nothing is said of pin {}",
                        part.key,
                        pins.len(),
                        missing.join(", ")
                    ),
                )
                .at(place, "")
                .hint("give each pin its net, or `nc` when it is left open"),
            );
        }
    }
}

fn unknown_order(part: &Entry, identity: &Identity, place: Span, reader: &mut Reader) {
    let error = match identity.entry {
        None => Diagnostic::error(
            "unknown-pin-order",
            format!(
                "the pin order of `{}` is not known without a catalogue type",
                part.key
            ),
        )
        .hint("wire it by function: `nets: {terminal: net, …}`"),
        // A package that does not exist has been said already.
        Some(_) if part.value.get("package").is_some() => return,
        Some(entry) => {
            let known: Vec<&str> = entry.packages.keys().map(String::as_str).collect();
            Diagnostic::error(
                "package-needed",
                format!(
                    "`{}` is wired by its pins, and the pin order of a {} depends on its package",
                    part.key, entry.name
                ),
            )
            .hint(format!("give `package:` as {}", known.join(", ")))
        }
    };
    reader.note(error.at(place, ""));
}
