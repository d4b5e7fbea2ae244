//! Switches, relays, jacks, plugs and connectors.

use super::{Fill, Side, Symbol};
use crate::dossier::scene::Anchor;

/// Steps between the throws of a pole.
const THROWS: i32 = 4;
/// Steps between the contacts of a jack.
const CONTACTS: i32 = 3;

/// Steps that words take at most, in the face and size they are set in.
fn steps(words: &str) -> i32 {
    let count = i32::try_from(words.chars().count()).unwrap_or(0);
    (count * 7 + 9) / 10
}

/// One pole: the common at the left, the throws at the right with the names of their positions;
/// drawn in the first. `terminals` names the common first; an open throw has none.
pub(crate) fn pole(common: &str, throws: &[(Option<String>, String)]) -> Symbol {
    let last = THROWS * (i32::try_from(throws.len()).unwrap_or(1) - 1).max(0);
    let longest = throws.iter().map(|(_, position)| steps(position)).max();
    let end = 6.max(3 + longest.unwrap_or(0));
    let mut symbol = Symbol::new([-3, -2, end - 1, last + 1])
        .pin(common, (-4, 0), Side::Left)
        .line(&[(-4.0, 0.0), (-2.0, 0.0)])
        .ring((-1.7, 0.0), 0.3, Fill::Paper)
        .line(&[(-1.4, -0.1), (1.0, -0.5)]);
    for ((terminal, position), y) in throws.iter().zip((0..).step_by(4)) {
        let at = f64::from(y);
        symbol = symbol.ring((1.3, at), 0.3, Fill::Paper);
        if let Some(terminal) = terminal {
            symbol = symbol
                .pin(terminal, (end, y), Side::Right)
                .line(&[(1.6, at), (f64::from(end), at)]);
        }
        symbol = symbol.word((1.9, at - 0.5), position.as_str(), Anchor::Start);
    }
    symbol
}

/// The coil of a relay, lying.
pub(crate) fn coil(first: &str, second: &str) -> Symbol {
    Symbol::new([-3, -1, 3, 1])
        .pin(first, (-4, 0), Side::Left)
        .pin(second, (4, 0), Side::Right)
        .line(&[(-4.0, 0.0), (-2.0, 0.0)])
        .line(&[(2.0, 0.0), (4.0, 0.0)])
        .frame([-2.0, -1.2, 2.0, 1.2], Fill::Paper)
        .line(&[(-0.8, 1.2), (0.8, -1.2)])
}

/// A jack: its contacts at the left, from the tip down to the sleeve.
pub(crate) fn jack(contacts: &[&str]) -> Symbol {
    let last = CONTACTS * (i32::try_from(contacts.len()).unwrap_or(1) - 1).max(0);
    let named = |contact: &str| contact.replace("-normal", " n.");
    let longest = contacts.iter().map(|contact| steps(&named(contact))).max();
    let start = -3 - longest.unwrap_or(0).max(4);
    let lead = f64::from(start);
    let mut symbol = Symbol::new([start + 1, -2, 3, last + 1]);
    for (contact, y) in contacts.iter().zip((0..).step_by(3)) {
        let at = f64::from(y);
        symbol = symbol.pin(contact, (start, y), Side::Left);
        symbol = match *contact {
            "sleeve" => symbol
                .line(&[(lead, at), (2.0, at)])
                .frame([2.0, -1.2, 2.6, f64::from(last) + 0.6], Fill::Solid),
            "tip-normal" | "ring-normal" => symbol
                .line(&[(lead, at), (-0.2, at), (-0.2, at - 2.4)])
                .head((-0.2, at - 2.6), (0.0, -1.0)),
            _ => symbol.line(&[
                (lead, at),
                (-0.6, at),
                (0.2, at + 0.8),
                (1.0, at),
                (1.4, at),
            ]),
        };
        symbol = symbol.word((lead + 1.4, at - 0.5), named(contact), Anchor::Start);
    }
    symbol
}

/// A connector or plug: its pins at the left with their names.
pub(crate) fn connector(pins: &[&str]) -> Symbol {
    let last = CONTACTS * (i32::try_from(pins.len()).unwrap_or(1) - 1).max(0);
    let bottom = f64::from(last);
    let longest = pins.iter().map(|pin| steps(pin)).max();
    let start = -2 - longest.unwrap_or(0);
    let lead = f64::from(start);
    let mut symbol = Symbol::new([start + 1, -2, 3, last + 1])
        .frame([1.0, -1.4, 3.0, bottom + 1.4], Fill::Paper);
    for (pin, y) in pins.iter().zip((0..).step_by(3)) {
        let at = f64::from(y);
        symbol = symbol
            .pin(pin, (start, y), Side::Left)
            .line(&[(lead, at), (1.6, at)])
            .ring((2.0, at), 0.4, Fill::Solid)
            .word((lead + 1.4, at - 0.5), *pin, Anchor::Start);
    }
    symbol
}
