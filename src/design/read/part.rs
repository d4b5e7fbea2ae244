//! One part: its identity, figures and words; the wiring is read beside.

use super::names::{Names, unfit};
use super::{derive, figure, types, wiring};
use crate::catalogue::{self, Kind, Pedigree, Property};
use crate::design::schema::{Allowed, PART_KEYS, Row, Word, row};
use crate::design::{Part, Structure};
use crate::source::{Diagnostic, Entry, Node, Reader};
use indexmap::IndexMap;
use std::collections::BTreeMap;

/// Reads one part. `None` when not even its kind is known; its nets are taken in all the same.
pub(super) fn read(entry: &Entry, reader: &mut Reader, names: &mut Names) -> Option<Part> {
    if let Some(bad) = unfit(&entry.key) {
        reader.note(
            Diagnostic::error("bad-name", format!("{bad} in the reference of a part"))
                .at(entry.key_span, "")
                .hint("write references like `R1`, `LED2`"),
        );
    }
    reader.entries(&entry.value, &format!("`{}`", entry.key))?;
    let Some(identity) = types::identify(entry, reader) else {
        wiring::take_in(&entry.value, reader, names);
        return None;
    };
    let row = row(identity.kind);
    let known = row.keys();
    let before = reader.diagnostics.len();
    reader.keys(&entry.value, row.name, &known);
    // What seems to be missing may be there under a key that was not understood.
    let understood = reader.diagnostics.len() == before;
    let mut words = words(entry, row, &identity, understood, reader);
    let mut figures = types::figures(&identity, words.get("colour").map(String::as_str));
    own_figures(entry, row, &mut figures, reader);
    if identity.entry.is_none() && understood {
        needs(entry, row, &figures, reader);
    }
    if let Some(marking) = identity.marking.clone() {
        words.insert("marking".to_owned(), marking);
    }
    if let Some(grade) = identity.grade.clone() {
        words.insert("grade".to_owned(), grade);
    }
    let wired = wiring::read(entry, row, &identity, reader, names);
    let structure = match law_table(&entry.value, reader) {
        Some(table) => Structure::Law(table),
        None => wired.structure,
    };
    let package = identity
        .package
        .map(|(name, _)| name.to_owned())
        .or_else(|| {
            let node = entry.value.get("package")?;
            node.text().map(str::to_owned)
        });
    let mut part = Part {
        reference: entry.key.clone(),
        kind: identity.kind,
        type_name: identity.entry.map(|entry| entry.name.clone()),
        package,
        figures,
        words,
        terminals: wired.terminals,
        pins: wired.pins,
        pin_functions: identity
            .package
            .map(|(_, package)| package.pins.clone())
            .unwrap_or_default(),
        tab: identity
            .package
            .and_then(|(_, package)| package.tab.clone()),
        structure,
        note: entry
            .value
            .get("note")
            .and_then(|node| reader.text(node, "note"))
            .map(str::to_owned),
    };
    derive::complete(&mut part, entry, reader);
    Some(part)
}

fn own_figures(
    entry: &Entry,
    row: &Row,
    figures: &mut BTreeMap<Property, catalogue::Figure>,
    reader: &mut Reader,
) {
    for own in entry.value.entries().unwrap_or_default() {
        let Some(property) = Property::from_key(&own.key) else {
            continue;
        };
        if PART_KEYS.contains(&own.key.as_str()) || !row.figures().any(|p| p == property) {
            continue;
        }
        let what = format!("the {} of {}", own.key.replace('-', " "), entry.key);
        let rule = figure::Rule::of(property, row.kind);
        if let Some(found) = figure::read(&own.value, &what, rule, reader) {
            figures.insert(property, found);
        }
    }
}

/// Every group of needed figures has one that somebody gave, not merely assumed.
fn needs(
    entry: &Entry,
    row: &Row,
    figures: &BTreeMap<Property, catalogue::Figure>,
    reader: &mut Reader,
) {
    let given = |property: &Property| {
        entry.value.get(property.key()).is_some()
            || figures
                .get(property)
                .is_some_and(|figure| !matches!(figure.pedigree, Pedigree::Assumed(_)))
    };
    let missing: Vec<String> = row
        .needs
        .iter()
        .filter(|group| !group.iter().any(given))
        .map(|group| {
            let keys: Vec<String> = group.iter().map(|p| format!("`{}`", p.key())).collect();
            keys.join(" or ")
        })
        .collect();
    if missing.is_empty() {
        return;
    }
    let mut error = Diagnostic::error(
        "missing-figure",
        format!(
            "`{}`, {}, needs {}",
            entry.key,
            row.name,
            missing.join(" and ")
        ),
    )
    .at(entry.key_span, "");
    if row.kind == Kind::Led {
        error = error.hint("give its `colour` (red, yellow, green, blue, white), or its figures");
    } else if catalogue::types().iter().any(|t| t.kind == row.kind) {
        error = error.hint("give the figures, or a `type` that the catalogue knows");
    }
    reader.note(error);
}

fn words(
    entry: &Entry,
    row: &Row,
    identity: &types::Identity,
    understood: bool,
    reader: &mut Reader,
) -> BTreeMap<String, String> {
    let mut words = identity
        .entry
        .map(|entry| entry.words.clone())
        .unwrap_or_default();
    for rule in row.words {
        let Some(node) = entry.value.get(rule.key) else {
            if rule.required && understood && !words.contains_key(rule.key) {
                missing_word(entry, row, rule, reader);
            }
            continue;
        };
        if let Some(word) = word(node, rule, row, reader) {
            words.insert(rule.key.to_owned(), word);
        }
    }
    words
}

fn missing_word(entry: &Entry, row: &Row, rule: &Word, reader: &mut Reader) {
    let choices = match rule.allowed {
        Allowed::One(words) => words.join(", "),
        Allowed::Flag => "true or false".to_owned(),
        Allowed::Law => LAWS.join(", "),
        Allowed::Any | Allowed::TabTo => String::new(),
    };
    reader.note(
        Diagnostic::error(
            "missing-key",
            format!("`{}`, {}, needs `{}`", entry.key, row.name, rule.key),
        )
        .at(entry.key_span, "")
        .hint(format!("`{}:` is {choices}", rule.key)),
    );
}

const LAWS: &[&str] = &["linear", "audio", "reverse-audio"];

fn word(node: &Node, rule: &Word, row: &Row, reader: &mut Reader) -> Option<String> {
    let what = format!("the {} of {}", rule.key, row.name);
    let text = match rule.allowed {
        Allowed::Any | Allowed::TabTo => reader.text(node, &what)?.to_owned(),
        Allowed::One(words) => reader.word(node, &what, words)?.to_owned(),
        Allowed::Flag => reader.flag(node, &what)?.to_string(),
        Allowed::Law if node.text().is_none() => "table".to_owned(),
        Allowed::Law => reader.word(node, &what, LAWS)?.to_owned(),
    };
    Some(text)
}

/// `law: [[0, 0], [0.5, 0.15], [1, 1]]`: travel and share of the resistance from `ccw`.
fn law_table(node: &Node, reader: &mut Reader) -> Option<Vec<(f64, f64)>> {
    let law = node.get("law").filter(|law| law.text().is_none())?;
    let what = "a law as a table";
    let mut table = Vec::new();
    for item in reader.items(law, what)? {
        let pair = reader.items(item, what)?;
        let numbers: Vec<f64> = pair
            .iter()
            .filter_map(|number| reader.value(number, what, crate::quantity::Unit::Ratio))
            .collect();
        if numbers.len() != pair.len() {
            return None;
        }
        let [travel, share] = numbers.as_slice() else {
            reader.note(law_error("each point is two numbers", item));
            return None;
        };
        table.push((*travel, *share));
    }
    let rising = table
        .windows(2)
        .all(|w| w[0].0 < w[1].0 && w[0].1 <= w[1].1);
    let inside = table
        .iter()
        .all(|(t, s)| (0.0..=1.0).contains(t) && (0.0..=1.0).contains(s));
    let at_end = |point: Option<&(f64, f64)>, end: f64| {
        point.is_some_and(|(travel, _)| (travel - end).abs() < 1e-12)
    };
    let ends = at_end(table.first(), 0.0) && at_end(table.last(), 1.0);
    if rising && inside && ends {
        return Some(table);
    }
    reader.note(law_error(
        "travel runs from 0 to 1, and both numbers rise within 0 and 1",
        law,
    ));
    None
}

fn law_error(reason: &str, node: &Node) -> Diagnostic {
    Diagnostic::error("bad-law", format!("a law as a table: {reason}"))
        .at(node.span, "")
        .hint("write `[[travel, share], …]`, for example `[[0, 0], [0.5, 0.15], [1, 1]]`")
}

/// A control moves one part: two that share a name are told apart nowhere.
pub(super) fn check_controls(parts: &IndexMap<String, Part>, root: &Node, reader: &mut Reader) {
    let mut known: BTreeMap<&str, &str> = BTreeMap::new();
    for part in parts.values() {
        let Some(control) = part.word("control") else {
            continue;
        };
        let place = |reference: &str| {
            let node = root.get("parts")?.get(reference)?.get("control")?;
            Some(node.span)
        };
        let other = known.get(control).and_then(|first| place(first));
        if let (Some(other), Some(own)) = (other, place(&part.reference)) {
            reader.note(
                Diagnostic::error(
                    "control-named-twice",
                    format!("two parts have a control `{control}`"),
                )
                .at(own, "")
                .related(other, "the other one")
                .hint("give each its own name; ganged controls are reviewed as if each were moved alone"),
            );
        }
        known.entry(control).or_insert(&part.reference);
    }
}

/// `tab-to:` names a net that exists.
pub(super) fn check_tabs(
    parts: &IndexMap<String, Part>,
    root: &Node,
    reader: &mut Reader,
    names: &Names,
) {
    for part in parts.values() {
        let node = root
            .get("parts")
            .and_then(|node| node.get(&part.reference))
            .and_then(|node| node.get("tab-to"));
        if let Some(node) = node
            && !matches!(node.text().map(str::trim), Some("enclosure" | "free"))
        {
            names.existing(node, "tab-to (`enclosure`, `free` or a net)", reader);
        }
    }
}
