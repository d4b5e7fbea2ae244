//! The requirement table: what the designer intends.

use super::names::Names;
use crate::catalogue::Kind;
use crate::design::{Part, Promise, Promised, Structure};
use crate::quantity::Unit;
use crate::source::{Diagnostic, Node, Reader, Span, nearest};
use indexmap::IndexMap;
use std::collections::BTreeMap;

const KEYS: &[&str] = &[
    "at", "is", "spans", "over", "when", "ripple", "part", "junction",
];

pub(super) fn read(
    root: &Node,
    parts: &IndexMap<String, Part>,
    reader: &mut Reader,
    names: &Names,
) -> Vec<Promise> {
    root.get("promises")
        .and_then(|node| reader.items(node, "promises"))
        .unwrap_or_default()
        .iter()
        .filter_map(|node| promise(node, parts, reader, names))
        .collect()
}

fn promise(
    node: &Node,
    parts: &IndexMap<String, Part>,
    reader: &mut Reader,
    names: &Names,
) -> Option<Promise> {
    reader.keys(node, "a promise", KEYS)?;
    let forms: Vec<&str> = ["is", "spans", "ripple", "junction"]
        .into_iter()
        .filter(|key| node.get(key).is_some())
        .collect();
    let [form] = forms.as_slice() else {
        reader.note(
            Diagnostic::error(
                "unclear-promise",
                if forms.is_empty() {
                    "this promise does not say what is promised".to_owned()
                } else {
                    format!("this is {} promises in one", forms.len())
                },
            )
            .at(node.span, "")
            .hint("write one of `is`, `spans`, `ripple` (with `at`) or `junction` (with `part`)"),
        );
        return None;
    };
    let when = when(node, parts, reader, names);
    let written = |key: &str| {
        let text = node.get(key).and_then(Node::text).unwrap_or_default();
        text.trim().to_owned()
    };
    let (promised, text) = if *form == "junction" {
        only(node, form, &["at", "over"], reader);
        let part = reader
            .required(node, "part", "a promise of a junction", node.span)
            .and_then(|node| known_part(node, parts, reader, names));
        let limit = reader.value(node.get(form)?, "a promise", Unit::Celsius);
        let part = part?;
        let text = format!("{part} junction at most {}", written("junction"));
        (
            Promised::Junction {
                part,
                limit: limit?,
            },
            text,
        )
    } else {
        only(
            node,
            form,
            if *form == "spans" {
                &["part"]
            } else {
                &["part", "over"]
            },
            reader,
        );
        let at = reader
            .required(node, "at", "a promise of a voltage", node.span)
            .and_then(|node| names.existing(node, "a promise", reader));
        voltage(node, form, at, (parts, names), reader)?
    };
    let narrowed: Vec<String> = when
        .iter()
        .map(|(control, positions)| format!("{control} {}", positions.join(" or ")))
        .collect();
    let text = if narrowed.is_empty() {
        text
    } else {
        format!("{text}, with {}", narrowed.join(" and "))
    };
    Some(Promise {
        promised,
        when,
        text,
        span: node.span,
    })
}

fn voltage(
    node: &Node,
    form: &str,
    at: Option<String>,
    (parts, names): (&IndexMap<String, Part>, &Names),
    reader: &mut Reader,
) -> Option<(Promised, String)> {
    let value = node.get(form)?;
    let written = value.text().unwrap_or_default().trim().to_owned();
    match form {
        "is" => {
            let parsed = reader.spread(value, "a promise", Unit::Volt)?;
            if !parsed.has_tolerance {
                reader.note(
                    Diagnostic::error(
                        "promise-without-tolerance",
                        "no rail is exactly one voltage",
                    )
                    .at(value.span, "")
                    .hint(format!("promise how near: `{written} ± 5 %`")),
                );
                return None;
            }
            let at = at?;
            let text = format!("{at} is {written}");
            let range = parsed.spread;
            Some((Promised::Is { at, range }, text))
        }
        "spans" => {
            let range = reader.range(value, "a promise", Unit::Volt);
            let over = reader
                .required(node, "over", "a promise of a span", node.span)
                .and_then(|node| control(node, parts, reader, names));
            let (range, over, at) = (range?, over?, at?);
            let text = format!("{at} spans {written} over {over}");
            let (low, high) = (range.low, range.high);
            Some((
                Promised::Spans {
                    at,
                    low,
                    high,
                    over,
                },
                text,
            ))
        }
        _ => {
            let limit = reader.value(value, "a promise", Unit::Volt)?;
            if limit <= 0.0 {
                reader.note(
                    Diagnostic::error("impossible-value", "a ripple limit must be above zero")
                        .at(value.span, ""),
                );
                return None;
            }
            let at = at?;
            let text = format!("{at} ripple at most {written} peak-to-peak");
            Some((Promised::Ripple { at, limit }, text))
        }
    }
}

/// Keys that have no meaning in this form of promise.
fn only(node: &Node, form: &str, out_of_place: &[&str], reader: &mut Reader) {
    for entry in node.entries().unwrap_or_default() {
        if out_of_place.contains(&entry.key.as_str()) {
            reader.note(
                Diagnostic::error(
                    "key-out-of-place",
                    format!("`{}` means nothing in a promise with `{form}`", entry.key),
                )
                .at(entry.key_span, ""),
            );
        }
    }
}

fn known_part(
    node: &Node,
    parts: &IndexMap<String, Part>,
    reader: &mut Reader,
    names: &Names,
) -> Option<String> {
    let text = reader.text(node, "a part")?;
    if parts.contains_key(text) || names.is_unread(text) {
        return Some(text.to_owned());
    }
    let near = nearest(text, parts.keys().map(String::as_str));
    reader.note(
        Diagnostic::error("unknown-part", format!("there is no part `{text}`"))
            .at(node.span, "")
            .hint_if(near.map(|near| format!("did you mean `{near}`?"))),
    );
    None
}

/// Names under which a part's control may be called: its own word, and its reference.
fn called(part: &Part) -> impl Iterator<Item = &str> {
    part.word("control")
        .into_iter()
        .chain([part.reference.as_str()])
}

/// A control with a travel: a potentiometer, a sensor, or the jack of a controller.
fn control(
    node: &Node,
    parts: &IndexMap<String, Part>,
    reader: &mut Reader,
    names: &Names,
) -> Option<String> {
    let text = reader.text(node, "a control")?;
    let travels: Vec<&Part> = parts
        .values()
        .filter(|part| {
            matches!(
                part.kind,
                Kind::Potentiometer | Kind::Sensor | Kind::Jack | Kind::Plug | Kind::Connector
            )
        })
        .collect();
    if names.is_unread(text) {
        return Some(text.to_owned());
    }
    if travels
        .iter()
        .any(|part| called(part).any(|name| name == text))
    {
        return Some(text.to_owned());
    }
    unknown_control(
        text,
        node.span,
        travels.iter().flat_map(|part| called(part)),
        reader,
    );
    None
}

fn unknown_control<'p>(
    text: &str,
    span: Span,
    known: impl Iterator<Item = &'p str>,
    reader: &mut Reader,
) {
    let known: Vec<&str> = known.collect();
    let hint = match nearest(text, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None if known.is_empty() => "name a control with `control:` at its part".to_owned(),
        None => format!("the controls are {}", known.join(", ")),
    };
    reader.note(
        Diagnostic::error("unknown-control", format!("there is no control `{text}`"))
            .at(span, "")
            .hint(hint),
    );
}

/// `when: {Polarity: [up, down]}`.
fn when(
    node: &Node,
    parts: &IndexMap<String, Part>,
    reader: &mut Reader,
    names: &Names,
) -> BTreeMap<String, Vec<String>> {
    let mut when = BTreeMap::new();
    let entries = node
        .get("when")
        .and_then(|node| reader.entries(node, "when"))
        .unwrap_or_default();
    for entry in entries.iter().filter(|entry| !names.is_unread(&entry.key)) {
        let switches = parts.values().filter_map(|part| match &part.structure {
            Structure::Contacts { positions, .. } => Some((part, positions)),
            _ => None,
        });
        let found = switches
            .clone()
            .find(|(part, _)| called(part).any(|name| name == entry.key));
        let Some((_, positions)) = found else {
            let known = switches.flat_map(|(part, _)| called(part));
            unknown_control(&entry.key, entry.key_span, known, reader);
            continue;
        };
        let positions: Vec<&str> = positions.iter().map(String::as_str).collect();
        let one = std::slice::from_ref(&entry.value);
        let items = entry.value.items().unwrap_or(one);
        let what = format!("a position of {}", entry.key);
        let words: Vec<String> = items
            .iter()
            .filter_map(|item| reader.word(item, &what, &positions).map(str::to_owned))
            .collect();
        when.insert(entry.key.clone(), words);
    }
    when
}
