//! Which kind and catalogue type a part is, in which grade and package.

use crate::catalogue::{self, Figure, Kind, Package, Property, Type};
use crate::source::{Diagnostic, Entry, Reader, Span, nearest};
use std::collections::BTreeMap;

/// What a part was found to be.
pub(super) struct Identity {
    pub(super) kind: Kind,
    /// From `type:`.
    pub(super) entry: Option<&'static Type>,
    /// The type's name as written, when the catalogue has it otherwise.
    pub(super) marking: Option<String>,
    pub(super) grade: Option<String>,
    pub(super) package: Option<(&'static str, &'static Package)>,
}

/// Finds kind, type, grade and package. `None` when not even the kind is known.
pub(super) fn identify(part: &Entry, reader: &mut Reader) -> Option<Identity> {
    let node = &part.value;
    let written_kind = node.get("kind").map(|kind| {
        let text = reader.text(kind, "kind")?;
        let found = Kind::from_key(text);
        if found.is_none() {
            reader.note(unknown_kind(text, kind.span));
        }
        found
    });
    let written_type = node.get("type");
    let found = written_type.map(|name| {
        let text = reader.text(name, "type")?;
        let found = catalogue::look_up(text);
        if found.is_none() {
            reader.note(unknown_type(text, name.span));
        }
        found.map(|found| (found, text, name.span))
    });
    let kind = match (written_kind, &found) {
        (None, None) => {
            reader.note(
                Diagnostic::error(
                    "missing-key",
                    format!("`{}` has neither `type` nor `kind`", part.key),
                )
                .at(part.key_span, "")
                .hint("name its type in the catalogue, or its kind and values"),
            );
            return None;
        }
        (Some(None), _) | (None, Some(None)) => return None,
        (Some(Some(kind)), Some(Some((found, text, span)))) if kind != found.entry.kind => {
            reader.note(
                Diagnostic::error(
                    "kind-and-type-differ",
                    format!(
                        "`{text}` is of kind `{}`, and `kind: {}` is written",
                        found.entry.kind.key(),
                        kind.key()
                    ),
                )
                .at(*span, "")
                .hint("leave `kind` out: the type says it"),
            );
            return None;
        }
        (Some(Some(kind)), _) => kind,
        (None, Some(Some((found, ..)))) => found.entry.kind,
    };
    let found = found.flatten();
    let entry = found.as_ref().map(|(found, ..)| found.entry);
    let marking = found
        .as_ref()
        .filter(|(found, text, _)| found.entry.name != *text)
        .map(|(_, text, _)| (*text).to_owned());
    let implied = found.and_then(|(found, ..)| found.grade);
    Some(Identity {
        kind,
        entry,
        marking,
        grade: grade(part, entry, reader).or(implied),
        package: package(part, entry, reader),
    })
}

fn unknown_kind(text: &str, span: Span) -> Diagnostic {
    let hint = nearest(text, Kind::ALL.iter().map(|kind| kind.key()))
        .map(|word| format!("did you mean `{word}`?"))
        .or_else(|| {
            catalogue::find(text).map(|_| format!("`{text}` is a type: write `type: {text}`"))
        })
        .or_else(|| match text {
            "capacitor" => {
                Some("say which: `electrolytic`, `tantalum`, `ceramic` or `film`".to_owned())
            }
            "transistor" => Some("say which: `bipolar` or `mosfet`".to_owned()),
            "pot" => Some("write `potentiometer`".to_owned()),
            _ => None,
        });
    Diagnostic::error("unknown-kind", format!("`{text}` is not a kind of part"))
        .at(span, "")
        .hint_if(hint)
}

fn unknown_type(text: &str, span: Span) -> Diagnostic {
    let hint = match catalogue::nearest(text).first() {
        _ if Kind::from_key(text).is_some() => format!("`{text}` is a kind: write `kind: {text}`"),
        Some(name) => format!("did you mean `{name}`?"),
        None => "give its `kind` and values instead, and name it in `note`".to_owned(),
    };
    Diagnostic::error("unknown-type", format!("`{text}` is not in the catalogue"))
        .at(span, "")
        .hint(hint)
}

fn grade(part: &Entry, entry: Option<&Type>, reader: &mut Reader) -> Option<String> {
    let node = part.value.get("grade")?;
    let text = reader.text(node, "grade")?;
    let Some(entry) = entry else {
        return Some(text.to_owned());
    };
    if entry.grades.contains_key(text) {
        return Some(text.to_owned());
    }
    let known: Vec<&str> = entry.grades.keys().map(String::as_str).collect();
    reader.note(
        Diagnostic::error(
            "unknown-grade",
            format!("{} has no grade `{text}`", entry.name),
        )
        .at(node.span, "")
        .hint(if known.is_empty() {
            "the catalogue has no grades of this type: leave `grade` out".to_owned()
        } else {
            format!(
                "it has {}; without one the widest is taken",
                known.join(", ")
            )
        }),
    );
    None
}

fn package(
    part: &Entry,
    entry: Option<&'static Type>,
    reader: &mut Reader,
) -> Option<(&'static str, &'static Package)> {
    let node = part.value.get("package");
    let Some(entry) = entry else {
        if let Some(node) = node {
            reader.text(node, "package");
        }
        return None;
    };
    let Some(node) = node else {
        let only = entry.packages.iter().next();
        return only
            .filter(|_| entry.packages.len() == 1)
            .map(|(name, package)| (name.as_str(), package));
    };
    let text = reader.text(node, "package")?;
    let found = entry.package(text);
    if found.is_none() {
        let known: Vec<&str> = entry.packages.keys().map(String::as_str).collect();
        reader.note(
            Diagnostic::error(
                "unknown-package",
                format!("the catalogue has no {} in `{text}`", entry.name),
            )
            .at(node.span, "")
            .hint(match nearest(text, known.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("it has {}", known.join(", ")),
            }),
        );
    }
    found
}

/// The catalogue's figures for what a part was found to be.
pub(super) fn figures(identity: &Identity, colour: Option<&str>) -> BTreeMap<Property, Figure> {
    let package = identity.package.map(|(name, _)| name);
    let grade = identity.grade.as_deref();
    let entry = identity.entry.or_else(|| {
        colour
            .filter(|_| identity.kind == Kind::Led)
            .and_then(catalogue::led)
    });
    let mut figures = entry.map_or_else(BTreeMap::new, |entry| entry.figures_in(package, grade));
    for (property, figure) in &catalogue::defaults(identity.kind).figures {
        // A type brings its own fitted junction; another's parameters must not stand beside it.
        let fitted = matches!(
            property,
            Property::SaturationCurrent | Property::Ideality | Property::SeriesResistance
        );
        if !(fitted && entry.is_some()) {
            figures.entry(*property).or_insert_with(|| figure.clone());
        }
    }
    figures
}
