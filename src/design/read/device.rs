//! Files of the devices outside the box: instruments and controllers.

use super::figure::{self, Rule};
use super::notes;
use crate::catalogue::Figure;
use crate::design::schema::Floor;
use crate::design::{Controller, Input, Instrument, Supply, Wiring};
use crate::quantity::Unit;
use crate::source::{Diagnostic, Entry, Node, Reader, Span};
use indexmap::IndexMap;

/// Share taken either side of an input impedance, supply or element without a tolerance.
const USUAL: f64 = 0.20;

fn top(root: &Node) -> Span {
    let first = root.entries().and_then(<[Entry]>::first);
    first.map_or(root.span, |entry| entry.key_span)
}

fn title(root: &Node, what: &str, reader: &mut Reader) -> Option<String> {
    let node = reader.required(root, "title", what, top(root))?;
    reader.text(node, "title").map(str::to_owned)
}

fn text(node: &Node, key: &str, reader: &mut Reader) -> Option<String> {
    let node = node.get(key)?;
    reader.text(node, key).map(str::to_owned)
}

/// Contacts by name for a connector.
fn contacts_of(contacts: &str) -> &'static [&'static str] {
    match contacts {
        "TRS" => &["tip", "ring", "sleeve"],
        _ => &["tip", "sleeve"],
    }
}

/// Reads an instrument file.
pub(super) fn instrument(root: &Node, path: &str, reader: &mut Reader) -> Option<Instrument> {
    if !reader.version(root, "instrument") {
        return None;
    }
    let keys = ["preplug", "title", "notes", "inputs"];
    reader.keys(root, "an instrument file", &keys)?;
    let title = title(root, "an instrument", reader);
    let notes = notes(root, reader);
    let entries = reader
        .required(root, "inputs", "an instrument", top(root))
        .and_then(|node| reader.entries(node, "inputs"))?;
    let before = reader.diagnostics.len();
    let inputs: IndexMap<String, Input> = entries
        .iter()
        .filter_map(|entry| Some((entry.key.clone(), input(entry, reader)?)))
        .collect();
    // An input that could not be read must not be reported as unknown on top.
    if inputs.len() < entries.len() && reader.diagnostics.len() > before {
        return None;
    }
    Some(Instrument {
        title: title?,
        path: path.to_owned(),
        inputs,
        notes,
    })
}

const INPUT_KEYS: &[&str] = &[
    "contacts",
    "signal",
    "accepts",
    "survives",
    "impedance",
    "supply",
    "protection",
    "capacitance",
    "neighbour",
];

fn input(entry: &Entry, reader: &mut Reader) -> Option<Input> {
    let node = &entry.value;
    let what = format!("the input `{}`", entry.key);
    reader.keys(node, &what, INPUT_KEYS)?;
    let contacts = reader
        .required(node, "contacts", &what, entry.key_span)
        .and_then(|node| reader.word(node, "contacts", &["TS", "TRS"]))
        .map(str::to_owned);
    let known = contacts_of(contacts.as_deref().unwrap_or("TRS"));
    let signal = match node.get("signal") {
        Some(node) => reader.word(node, "the contact of the signal", known),
        None => Some("tip"),
    };
    let accepts = reader
        .required(node, "accepts", &what, entry.key_span)
        .and_then(|node| voltages(node, "what it accepts", reader));
    let survives = node
        .get("survives")
        .and_then(|node| Some((node.span, voltages(node, "what it survives", reader)?)));
    if let (Some(accepts), Some((span, survives))) = (&accepts, &survives)
        && (survives.spread.low > accepts.spread.low || survives.spread.high < accepts.spread.high)
    {
        reader.note(
            Diagnostic::error(
                "impossible-value",
                format!("{what} survives less than it accepts"),
            )
            .at(*span, "")
            .hint("`accepts` is the range it works within, `survives` the range that does no harm"),
        );
    }
    let ohms = Rule::plain(Unit::Ohm, Floor::Above).or_within(USUAL);
    let farads = Rule::plain(Unit::Farad, Floor::Zero);
    let impedance = node
        .get("impedance")
        .and_then(|node| figure::read(node, "the input impedance", ohms, reader));
    let capacitance = node
        .get("capacitance")
        .and_then(|node| figure::read(node, "the input capacitance", farads, reader));
    let supply = node
        .get("supply")
        .and_then(|node| supply(node, known, reader));
    let (protection, neighbour) = (
        text(node, "protection", reader),
        text(node, "neighbour", reader),
    );
    Some(Input {
        contacts: contacts?,
        signal: signal?.to_owned(),
        accepts: accepts?,
        survives: survives.map(|(_, figure)| figure),
        impedance,
        supply,
        protection,
        capacitance,
        neighbour,
    })
}

/// A figure with two ends.
fn voltages(node: &Node, what: &str, reader: &mut Reader) -> Option<Figure> {
    let found = figure::read(node, what, Rule::plain(Unit::Volt, Floor::Any), reader)?;
    if found.spread.is_spread() {
        return Some(found);
    }
    reader.note(
        Diagnostic::error(
            "bad-quantity",
            format!("{what} is a range, and this is one value"),
        )
        .at(node.span, "")
        .hint("write both ends, for example `-5..5 V`"),
    );
    None
}

fn supply(node: &Node, contacts: &[&str], reader: &mut Reader) -> Option<Supply> {
    let what = "a supply on a contact";
    reader.keys(
        node,
        what,
        &["contact", "voltage", "through", "sinks", "shared-with"],
    )?;
    let contact = reader
        .required(node, "contact", what, node.span)
        .and_then(|node| reader.word(node, "the contact of a supply", contacts));
    let volts = Rule::plain(Unit::Volt, Floor::Any).or_within(0.05);
    let voltage = reader
        .required(node, "voltage", what, node.span)
        .and_then(|node| figure::read(node, "the supply's voltage", volts, reader));
    let ohms = Rule::plain(Unit::Ohm, Floor::Zero).or_within(USUAL);
    let through = reader
        .required(node, "through", what, node.span)
        .and_then(|node| figure::read(node, "the supply's series resistance", ohms, reader));
    let sinks = node
        .get("sinks")
        .and_then(|node| reader.flag(node, "`sinks`"));
    let shared_with = text(node, "shared-with", reader);
    Some(Supply {
        contact: contact?.to_owned(),
        voltage: voltage?,
        through: through?,
        sinks,
        shared_with,
    })
}

/// Reads a controller file.
pub(super) fn controller(root: &Node, path: &str, reader: &mut Reader) -> Option<Controller> {
    let keys = [
        "preplug", "title", "contacts", "element", "series", "law", "wirings", "notes",
    ];
    if !reader.version(root, "controller") {
        return None;
    }
    reader.keys(root, "a controller file", &keys)?;
    notes(root, reader);
    let what = "a controller";
    let title = title(root, what, reader);
    let contacts = reader
        .required(root, "contacts", what, top(root))
        .and_then(|node| reader.word(node, "contacts", &["TS", "TRS"]));
    let ohms = Rule::plain(Unit::Ohm, Floor::Above).or_within(USUAL);
    let element = reader
        .required(root, "element", what, top(root))
        .and_then(|node| figure::read(node, "the element", ohms, reader));
    let series = root
        .get("series")
        .and_then(|node| figure::read(node, "the series resistance", ohms, reader));
    let law = match root.get("law") {
        Some(node) => reader.word(node, "the law", &["linear", "audio", "reverse-audio"]),
        None => Some("linear"),
    };
    let known = contacts_of(contacts.unwrap_or("TRS"));
    let wirings: Vec<Wiring> = reader
        .required(root, "wirings", what, top(root))
        .and_then(|node| reader.items(node, "wirings"))?
        .iter()
        .filter_map(|node| wiring(node, known, reader))
        .collect();
    if wirings.is_empty() {
        return None;
    }
    Some(Controller {
        title: title?,
        path: path.to_owned(),
        contacts: contacts?.to_owned(),
        element: element?,
        series,
        law: law?.to_owned(),
        wirings,
    })
}

fn wiring(node: &Node, contacts: &[&str], reader: &mut Reader) -> Option<Wiring> {
    reader.keys(node, "a wiring", &["name", "top", "wiper", "bottom"])?;
    let name = reader
        .required(node, "name", "a wiring", node.span)
        .and_then(|node| reader.text(node, "the name of a wiring"));
    let mut contact = |key: &str| match node.get(key) {
        None => Some(String::new()),
        // An open end is written `nc`, like an open terminal of a part.
        Some(end) if end.text() == Some("nc") => Some(String::new()),
        Some(end) => {
            let what = format!("the contact of the {key}");
            reader.word(end, &what, contacts).map(str::to_owned)
        }
    };
    let (top, wiper, bottom) = (contact("top"), contact("wiper"), contact("bottom"));
    let wiring = Wiring {
        name: name?.to_owned(),
        top: top?,
        wiper: wiper?,
        bottom: bottom?,
    };
    let joined = [&wiring.top, &wiring.wiper, &wiring.bottom];
    if joined.iter().filter(|end| !end.is_empty()).count() < 2 {
        reader.note(
            Diagnostic::error("not-wired", "a wiring joins at least two ends to contacts")
                .at(node.span, ""),
        );
        return None;
    }
    Some(wiring)
}
