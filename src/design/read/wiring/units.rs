//! Wiring by unit: the amplifiers of one package.

use super::{Wired, require};
use crate::design::Structure;
use crate::design::read::names::{Names, OPEN, unfit};
use crate::design::read::types::Identity;
use crate::design::schema::Row;
use crate::source::{Diagnostic, Entry, Reader};

/// `units: {A: {plus: x, minus: y, out: z}}`.
pub(super) fn units(
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
