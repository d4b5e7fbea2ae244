//! What a builder fits or wires wrongly, and what a user plugs in wrongly.

use super::edit::Edit;
use super::{Class, Disturbance, new, pairs, wired};
use crate::catalogue::Kind;
use crate::design::{Connection, Design, Part, Structure};

/// The next larger adaptor in the drawer: half as much again, a project choice.
const LARGER: f64 = 1.5;

/// Every slip at a part.
pub(super) fn of(design: &Design, part: &Part) -> Vec<Disturbance> {
    let mut slips = Vec::new();
    let leads = leads(part);
    match leads.len() {
        0 | 1 => {}
        2 => turned(part, &leads, &mut slips),
        3 => {
            swaps(part, &pairs(&leads), &mut slips);
            rotations(part, &leads, &mut slips);
        }
        _ => many(part, &leads, &mut slips),
    }
    if matches!(part.kind, Kind::Jack | Kind::Plug | Kind::Connector) {
        plugs(design, part, &mut slips);
    }
    adaptors(part, &mut slips);
    slips
}

/// The leads that a builder may confuse.
fn leads(part: &Part) -> Vec<(&str, &str)> {
    let ordered = in_pin_order(part);
    let all = if ordered.is_empty() {
        wired(part)
    } else {
        ordered
    };
    all.into_iter()
        .filter(|(lead, _)| match part.kind {
            Kind::Jack | Kind::Plug => matches!(*lead, "tip" | "ring" | "sleeve"),
            Kind::Transformer => !lead.starts_with("primary"),
            _ => true,
        })
        .collect()
}

/// Wired terminals in the order of the package's pins; empty when that is not known.
fn in_pin_order(part: &Part) -> Vec<(&str, &str)> {
    let ordered: Vec<_> = part
        .pin_functions
        .values()
        .filter_map(|function| {
            let (terminal, net) = part.terminals.get_key_value(function)?;
            (net != "nc").then_some((terminal.as_str(), net.as_str()))
        })
        .collect();
    if ordered.len() == wired(part).len() {
        ordered
    } else {
        Vec::new()
    }
}

fn slip(part: &Part, words: impl Into<String>, moves: Vec<(String, String)>) -> Disturbance {
    let reversed = part.kind == Kind::ShuntReference && reversed(&moves);
    let mut edits = vec![Edit::Rewire(moves)];
    if reversed {
        edits.push(Edit::Junction {
            anode: "anode".to_owned(),
            cathode: "cathode".to_owned(),
        });
    }
    new(part, Class::Slip, words, edits)
}

/// Does a shunt reference then have its cathode on the lower net? Of its three nets the anode's is
/// meant to be the lowest and the cathode's the highest. Reversed it is a diode and no more.
fn reversed(moves: &[(String, String)]) -> bool {
    let height = |lead: &str| match lead {
        "anode" => 0,
        "reference" => 1,
        _ => 2,
    };
    let after = |lead: &str| {
        let from = moves.iter().find(|(to, _)| to == lead);
        height(from.map_or(lead, |(_, from)| from))
    };
    after("cathode") < after("anode")
}

fn exchange(one: &str, other: &str) -> Vec<(String, String)> {
    vec![
        (one.to_owned(), other.to_owned()),
        (other.to_owned(), one.to_owned()),
    ]
}

fn turned(part: &Part, leads: &[(&str, &str)], slips: &mut Vec<Disturbance>) {
    for (one, other) in pairs(leads) {
        let words = match part.kind {
            Kind::AcAdaptor | Kind::DcAdaptor | Kind::Battery => "its two leads swapped",
            Kind::Jack | Kind::Plug => "its two contacts swapped",
            _ => "turned round",
        };
        slips.push(slip(part, words, exchange(one, other)));
    }
}

fn swaps(part: &Part, pairs: &[(&str, &str)], slips: &mut Vec<Disturbance>) {
    let order: Vec<&String> = part.pin_functions.values().collect();
    for (one, other) in pairs {
        let mirrored = match order[..] {
            [first, _, last] => [first, last]
                .iter()
                .all(|end| [*one, *other].contains(&end.as_str())),
            _ => false,
        };
        let note = if mirrored {
            ", as when the package is turned round or its mirror image fitted"
        } else {
            ""
        };
        let words = format!("{one} and {other} swapped{note}");
        slips.push(slip(part, words, exchange(one, other)));
    }
}

/// All three leads one place on, either way: the pin order of another type.
fn rotations(part: &Part, leads: &[(&str, &str)], slips: &mut Vec<Disturbance>) {
    let [a, b, c] = [leads[0].0, leads[1].0, leads[2].0];
    for (x, y, z) in [(b, c, a), (c, a, b)] {
        let moves = [(a, x), (b, y), (c, z)].map(|(to, from)| (to.to_owned(), from.to_owned()));
        let words =
            format!("all three wires one lead on: those for {x}, {y}, {z} on {a}, {b}, {c}");
        slips.push(slip(part, words, moves.to_vec()));
    }
}

/// Four leads: every pair. More: neighbouring pins, and the package turned round.
fn many(part: &Part, leads: &[(&str, &str)], slips: &mut Vec<Disturbance>) {
    if let Structure::Contacts { poles, .. } = &part.structure {
        for pole in poles.keys() {
            let prefix = format!("{pole}.");
            let of_pole: Vec<_> = leads
                .iter()
                .filter(|(lead, _)| lead.starts_with(&prefix))
                .copied()
                .collect();
            swaps(part, &pairs(&of_pole), slips);
        }
        return;
    }
    if leads.len() == 4 {
        swaps(part, &pairs(leads), slips);
        return;
    }
    let next: Vec<_> = leads.windows(2).flat_map(pairs).collect();
    swaps(part, &next, slips);
    if leads.len() == part.pin_functions.len() && leads.len().is_multiple_of(2) {
        let half = leads.len() / 2;
        let moves = (0..leads.len())
            .map(|pin| {
                let from = leads[(pin + half) % leads.len()].0;
                (leads[pin].0.to_owned(), from.to_owned())
            })
            .collect();
        slips.push(slip(part, "turned round in its place", moves));
    }
}

fn plugs(design: &Design, part: &Part, slips: &mut Vec<Disturbance>) {
    let Some(connections) = design.connections.get(&part.reference) else {
        return;
    };
    if part.net("sleeve").is_some() {
        let words = "the plug one contact short of home";
        slips.push(new(part, Class::Handling, words, vec![Edit::HalfIn]));
    }
    for (index, connection) in connections.iter().enumerate() {
        let (Connection::Instrument { cable, .. } | Connection::Controller { cable, .. }) =
            connection;
        let (other, words) = if cable == "TS" {
            ("TRS", "a three-contact lead for a two-contact one")
        } else {
            ("TS", "a two-contact lead for a three-contact one")
        };
        let cable = other;
        slips.push(new(
            part,
            Class::Handling,
            words,
            vec![Edit::Lead { index, cable }],
        ));
    }
}

fn adaptors(part: &Part, slips: &mut Vec<Disturbance>) {
    if part.word("where") == Some("inside") {
        return;
    }
    let mut wrong = |words: &str, kind, share, turned| {
        let edit = Edit::Adaptor {
            kind,
            share,
            turned,
        };
        slips.push(new(part, Class::Handling, words, vec![edit]));
    };
    match part.kind {
        Kind::AcAdaptor => {
            wrong(
                "a DC adaptor of that voltage instead",
                Kind::DcAdaptor,
                1.0,
                false,
            );
            wrong(
                "a DC adaptor of that voltage instead, the other way round",
                Kind::DcAdaptor,
                1.0,
                true,
            );
            wrong(
                "an adaptor of 1.5 times the voltage",
                Kind::AcAdaptor,
                LARGER,
                false,
            );
        }
        Kind::DcAdaptor => {
            wrong(
                "an AC adaptor of that voltage instead",
                Kind::AcAdaptor,
                1.0,
                false,
            );
            wrong(
                "an adaptor of 1.5 times the voltage",
                Kind::DcAdaptor,
                LARGER,
                false,
            );
        }
        _ => {}
    }
    if part.kind == Kind::DcAdaptor || part.kind == Kind::Battery {
        let moves = exchange("positive", "negative");
        slips.push(new(
            part,
            Class::Handling,
            "connected with its polarity reversed",
            vec![Edit::Rewire(moves)],
        ));
    }
}
