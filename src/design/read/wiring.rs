//! How a part is wired: by function, by physical pin, by unit, or by pole and throw.

use super::names::{Names, OPEN, unfit};
use super::types::Identity;
use crate::catalogue::Kind;
use crate::design::schema::{Row, Terminals, Wiring};
use crate::design::{Pole, Structure};
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

/// `pins: {1: rail+, …}`: the function comes from the catalogue's pin order.
fn by_pins(
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

fn unknown_order(
    part: &Entry,
    identity: &Identity,
    place: crate::source::Span,
    reader: &mut Reader,
) {
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

/// `units: {A: {plus: x, minus: y, out: z}}`.
fn units(
    part: &Entry,
    row: &Row,
    identity: &Identity,
    (shared, each): (&[&str], &[&str]),
    wired: &mut Wired,
    reader: &mut Reader,
    names: &mut Names,
) {
    // A single unit wired without its name is unit A.
    for terminal in each {
        if let Some(net) = wired.terminals.shift_remove(*terminal) {
            wired.terminals.insert(format!("A.{terminal}"), net);
        }
    }
    let known: Vec<String> = identity
        .entry
        .and_then(|entry| entry.packages.values().next())
        .map(|package| {
            let mut units: Vec<String> = package
                .pins
                .values()
                .filter_map(|function| Some(function.split_once('.')?.0.to_owned()))
                .collect();
            units.sort();
            units.dedup();
            units
        })
        .unwrap_or_default();
    let entries = part
        .value
        .get("units")
        .and_then(|node| reader.entries(node, "units"))
        .unwrap_or_default();
    for unit in entries {
        if !known.is_empty() && !known.contains(&unit.key) {
            reader.note(
                Diagnostic::error(
                    "unknown-unit",
                    format!("`{}` has no unit `{}`", part.key, unit.key),
                )
                .at(unit.key_span, "")
                .hint(format!("its units are {}", known.join(", "))),
            );
        } else if let Some(bad) = unfit(&unit.key) {
            reader.note(
                Diagnostic::error("bad-name", format!("{bad} in the name of a unit"))
                    .at(unit.key_span, ""),
            );
        }
        let what = format!("unit {}", unit.key);
        let Some(terminals) = reader.keys(&unit.value, &what, each) else {
            continue;
        };
        for terminal in each {
            let route = format!("{}.{terminal}", unit.key);
            let Some(entry) = terminals.iter().find(|entry| entry.key == *terminal) else {
                reader.note(
                    Diagnostic::error(
                        "terminal-not-wired",
                        format!(
                            "unit {} of `{}`: nothing is said of `{terminal}`",
                            unit.key, part.key
                        ),
                    )
                    .at(unit.key_span, "")
                    .hint("give it a net, or `nc` when it is left open"),
                );
                continue;
            };
            if let Some(net) = names.wire(&entry.value, "a terminal", reader) {
                wired.terminals.insert(route, net);
            }
        }
    }
    require(part, row, shared, wired, reader);
    let mut wired_units: Vec<String> = Vec::new();
    for (terminal, net) in &wired.terminals {
        if let Some((unit, _)) = terminal.split_once('.')
            && net != OPEN
            && !wired_units.iter().any(|known| known == unit)
        {
            wired_units.push(unit.to_owned());
        }
    }
    let strange = entries.iter().any(|unit| !known.contains(&unit.key));
    let open = known.iter().filter(|unit| !wired_units.contains(*unit));
    for unit in open.filter(|_| !strange) {
        reader.note(
            Diagnostic::warning(
                "unit-left-open",
                format!("unit {unit} of `{}` is left open", part.key),
            )
            .at(part.key_span, "")
            .hint("an amplifier left open may oscillate: join its output to `minus` and `plus` to a quiet net"),
        );
    }
    if wired_units.is_empty() {
        reader.note(
            Diagnostic::error("not-wired", format!("no unit of `{}` is wired", part.key))
                .at(part.key_span, "")
                .hint("write `units: {A: {plus: net, minus: net, out: net}}`"),
        );
    }
    wired.structure = Structure::Units(wired_units);
}

/// `positions: [up, down]`, `poles: {A: {common: x, throws: [y, nc]}}`.
fn contacts(part: &Entry, kind: Kind, wired: &mut Wired, reader: &mut Reader, names: &mut Names) {
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
