//! How a part is wired: by function, by physical pin, by unit, or by pole and throw.

mod contacts;
mod pins;
mod units;

use contacts::contacts;
use pins::by_pins;
use units::units;

use crate::catalogue::Kind;
use crate::design::Structure;
use crate::design::read::names::{Names, OPEN, unfit};
use crate::design::read::types::Identity;
use crate::design::schema::{Row, Terminals, Wiring};
use crate::source::{Diagnostic, Entry, Node, Reader, Value};
use indexmap::IndexMap;

/// The wiring of one part.
pub(super) struct Wired {
    pub(super) terminals: IndexMap<String, String>,
    pub(super) pins: IndexMap<String, String>,
    pub(super) structure: Structure,
    /// A terminal was named that the kind does not have: another is missing for that.
    misnamed: bool,
}

/// Takes in the nets of a part whose kind is not known, so that they do not count as unknown.
pub(super) fn take_in(node: &Node, reader: &mut Reader, names: &mut Names) {
    let mut quiet = Reader::default();
    let mut waiting: Vec<&Node> = ["nets", "pins", "units", "poles"]
        .iter()
        .filter_map(|key| node.get(key))
        .collect();
    while let Some(node) = waiting.pop() {
        match &node.value {
            Value::Text(_) => {
                names.wire(node, "a terminal", &mut quiet);
            }
            Value::List(items) => waiting.extend(items),
            Value::Map(entries) => waiting.extend(entries.iter().map(|entry| &entry.value)),
        }
    }
    // Mistakes in the names of nets are worth saying all the same.
    reader.diagnostics.append(&mut quiet.diagnostics);
}

pub(super) fn read(
    part: &Entry,
    row: &Row,
    identity: &Identity,
    reader: &mut Reader,
    names: &mut Names,
) -> Wired {
    let mut wired = Wired {
        terminals: IndexMap::new(),
        pins: IndexMap::new(),
        structure: Structure::Plain,
        misnamed: false,
    };
    let nets = part.value.get("nets");
    let pins = part.value.get("pins");
    if let Some(pins) = pins {
        by_pins(part, pins, row, identity, &mut wired, reader, names);
    }
    if let Some(nets) = nets {
        by_function(part, nets, row, &mut wired, reader, names);
    }
    match row.wiring {
        Wiring::Terminals(sets) => complete(part, row, sets, &mut wired, reader),
        Wiring::Units { shared, each } => {
            units(
                part,
                row,
                identity,
                (shared, each),
                &mut wired,
                reader,
                names,
            );
        }
        Wiring::Contacts { shared } => {
            require(part, row, shared, &wired, reader);
            contacts(part, row.kind, &mut wired, reader, names);
        }
        Wiring::Named => {}
    }
    let elsewhere = ["units", "poles"]
        .iter()
        .any(|key| part.value.get(key).is_some());
    if nets.is_none() && pins.is_none() && !elsewhere {
        let form = match row.wiring {
            Wiring::Contacts { .. } => {
                "write `positions: [up, down]` and `poles: {A: {common: net, throws: [net, net]}}`"
                    .to_owned()
            }
            _ => "write `nets: {terminal: net, …}`".to_owned(),
        };
        reader.note(
            Diagnostic::error(
                "not-wired",
                format!("`{}` is not wired to anything", part.key),
            )
            .at(part.key_span, "")
            .hint(form),
        );
    }
    wired
}

/// `nets: {in: raw+, …}`. What the pins already said must agree.
fn by_function(
    part: &Entry,
    node: &Node,
    row: &Row,
    wired: &mut Wired,
    reader: &mut Reader,
    names: &mut Names,
) {
    let known = terminals_of(row, part);
    let Some(entries) = reader.entries(node, "nets") else {
        return;
    };
    for entry in entries {
        if row.wiring == Wiring::Named {
            if let Some(bad) = unfit(&entry.key) {
                reader.note(
                    Diagnostic::error("bad-name", format!("{bad} in the name of a pin"))
                        .at(entry.key_span, ""),
                );
            }
        } else if !known.contains(&entry.key.as_str()) {
            wired.misnamed = true;
            let hint = match crate::source::nearest(&entry.key, known.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("its terminals are {}", known.join(", ")),
            };
            reader.note(
                Diagnostic::error(
                    "unknown-terminal",
                    format!("{} has no terminal `{}`", row.name, entry.key),
                )
                .at(entry.key_span, "")
                .hint(hint),
            );
        }
        let Some(net) = names.wire(&entry.value, "a terminal", reader) else {
            // Said already; the terminal counts as wired.
            wired
                .terminals
                .entry(entry.key.clone())
                .or_insert_with(|| OPEN.to_owned());
            continue;
        };
        match wired.terminals.get(&entry.key) {
            Some(by_pin) if *by_pin != net => {
                let pin = part.value.get("pins").and_then(|pins| {
                    let entries = pins.entries()?;
                    entries.iter().find(|e| e.value.text() == Some(by_pin))
                });
                let mut error = Diagnostic::error(
                    "pins-and-nets-differ",
                    format!(
                        "`{}` of `{}` is on `{net}` by function and on `{by_pin}` by its pin",
                        entry.key, part.key
                    ),
                )
                .at(entry.value.span, "by function")
                .hint("the pin order is the catalogue's for this package: one of the two is wrong");
                if let Some(pin) = pin {
                    error = error.related(pin.value.span, "by pin");
                }
                reader.note(error);
            }
            _ => {
                wired.terminals.insert(entry.key.clone(), net);
            }
        }
    }
}

/// The contacts that a jack or plug has.
fn contact_allowed(row: &Row, part: &Entry, terminal: &str) -> bool {
    let jack = matches!(row.kind, Kind::Jack | Kind::Plug);
    let two = part.value.get("contacts").and_then(Node::text) == Some("TS");
    !(jack && two && terminal.starts_with("ring"))
}

fn terminals_of(row: &Row, part: &Entry) -> Vec<&'static str> {
    let mut known: Vec<&'static str> = Vec::new();
    match row.wiring {
        Wiring::Terminals(sets) => {
            for set in sets {
                known.extend(set.required.iter().chain(set.optional));
            }
        }
        Wiring::Units { shared, each } => {
            known.extend(shared);
            // One unit alone may be wired without naming it.
            if part.value.get("units").is_none() {
                known.extend(each);
            }
        }
        Wiring::Contacts { shared } => known.extend(shared),
        Wiring::Named => {}
    }
    known.retain(|terminal| contact_allowed(row, part, terminal));
    known
}

/// Every terminal of the set that fits best is wired; optional ones are open when not named.
fn complete(part: &Entry, row: &Row, sets: &[Terminals], wired: &mut Wired, reader: &mut Reader) {
    if wired.terminals.is_empty() {
        return;
    }
    let fit = |set: &&Terminals| {
        let all = set.required.iter().chain(set.optional);
        all.filter(|terminal| wired.terminals.contains_key(**terminal))
            .count()
    };
    let Some(set) = sets.iter().rev().max_by_key(fit) else {
        return;
    };
    let mut required: Vec<&str> = set.required.to_vec();
    if matches!(row.kind, Kind::Jack | Kind::Plug)
        && part.value.get("contacts").and_then(Node::text) == Some("TRS")
    {
        required.push("ring");
    }
    require(part, row, &required, wired, reader);
    for terminal in required.iter().chain(set.optional) {
        if contact_allowed(row, part, terminal) && !wired.terminals.contains_key(*terminal) {
            wired
                .terminals
                .insert((*terminal).to_owned(), OPEN.to_owned());
        }
    }
}

fn require(part: &Entry, row: &Row, required: &[&str], wired: &Wired, reader: &mut Reader) {
    let missing: Vec<String> = required
        .iter()
        .filter(|terminal| !wired.terminals.contains_key(**terminal))
        .map(|terminal| format!("`{terminal}`"))
        .collect();
    if missing.is_empty() {
        return;
    }
    // Missing pins have been said in terms of pins.
    let by_pins = part.value.get("pins").is_some() && part.value.get("nets").is_none();
    if by_pins || wired.misnamed {
        return;
    }
    let place = part
        .value
        .entries()
        .and_then(|own| own.iter().find(|entry| entry.key == "nets"))
        .map_or(part.key_span, |entry| entry.key_span);
    reader.note(
        Diagnostic::error(
            "terminal-not-wired",
            format!(
                "`{}`, {}: nothing is said of its terminal {}",
                part.key,
                row.name,
                missing.join(" and ")
            ),
        )
        .at(place, "")
        .hint("give it a net, or `nc` when it is left open"),
    );
}
