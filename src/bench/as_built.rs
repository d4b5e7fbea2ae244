//! The design as one unit was built: its substitutions written into the design's text, so that the
//! whole review can be made of the box on the bench and not of the one on paper.

use crate::catalogue::Kind;
use crate::design::{Design, Part};
use crate::quantity::{Unit, parse_spread};
use crate::records::Substitution;
use crate::source::{Node, SourceSet, read_file};

/// A design with substitutions in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AsBuilt {
    /// The design file's text.
    pub text: String,
    /// Substitutions whose effect is not known: why, ready to print.
    pub unknown: Vec<String>,
}

/// Writes substitutions into the text of a design file.
#[must_use]
pub fn as_built(design: &Design, text: &str, substitutions: &[Substitution]) -> AsBuilt {
    let mut built = AsBuilt {
        text: text.to_owned(),
        unknown: Vec::new(),
    };
    for substitution in substitutions {
        let lost = || {
            format!(
                "{} was built with `{}`, and what that means for the box is not known: give its \
                 values, `with: {{value: 2.2 µF, rating: 50 V}}`",
                substitution.part, substitution.as_built
            )
        };
        let part = design.parts.get(&substitution.part);
        let values = part.and_then(|part| values(part, substitution));
        match values.and_then(|values| patched(&built.text, &substitution.part, &values)) {
            Some(text) => built.text = text,
            None => built.unknown.push(lost()),
        }
    }
    built
}

/// Key and value of everything a substitution says. `None` when a word of it is not understood.
fn values(part: &Part, substitution: &Substitution) -> Option<Vec<(String, String)>> {
    if !substitution.with.is_empty() {
        let pairs = substitution.with.iter();
        return Some(pairs.map(|(k, v)| (k.clone(), v.clone())).collect());
    }
    let units: &[(Unit, &str)] = match part.kind {
        Kind::Electrolytic | Kind::Tantalum | Kind::Ceramic | Kind::Film => {
            &[(Unit::Farad, "value"), (Unit::Volt, "rating")]
        }
        Kind::Resistor | Kind::Potentiometer => &[(Unit::Ohm, "value"), (Unit::Watt, "power")],
        Kind::Fuse => &[(Unit::Ampere, "current"), (Unit::Volt, "voltage")],
        _ => &[],
    };
    let words: Vec<&str> = substitution.as_built.split_whitespace().collect();
    let mut found = Vec::new();
    let mut at = 0;
    while at < words.len() {
        let (end, key, text) = (at + 1..=words.len()).rev().find_map(|end| {
            let text = words[at..end].join(" ");
            let unit = units
                .iter()
                .find(|(unit, _)| parse_spread(&text, *unit).is_ok());
            unit.map(|(_, key)| (end, *key, text))
        })?;
        found.push((key.to_owned(), text));
        at = end;
    }
    (!found.is_empty()).then_some(found)
}

/// The text with some keys of a part given other values.
fn patched(text: &str, part: &str, values: &[(String, String)]) -> Option<String> {
    let mut text = text.to_owned();
    for (key, value) in values {
        let mut sources = SourceSet::default();
        let bytes = text.clone().into_bytes();
        let (root, _) = read_file(&mut sources, "", bytes, |root, _| Some(root.clone())).ok()?;
        let node = root.get("parts")?.get(part)?;
        let value = crate::records::log::scalar(value);
        match node.get(key) {
            Some(found) => text.replace_range(found.span.start..found.span.end, &value),
            None => insert(&mut text, node, key, &value)?,
        }
    }
    Some(text)
}

fn insert(text: &mut String, node: &Node, key: &str, value: &str) -> Option<()> {
    let first = node.entries()?.first()?.key_span.start;
    let line = text[..first].rfind('\n').map_or(0, |at| at + 1);
    let before = &text[line..first];
    // On a line of its own the key stands behind nothing but spaces.
    let between = if before.chars().all(char::is_whitespace) {
        format!("\n{before}")
    } else {
        ", ".to_owned()
    };
    text.insert_str(first, &format!("{key}: {value}{between}"));
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Property;
    use crate::design;

    const PATH: &str = "reviews/tide-lever/design.yaml";

    fn load(path: &str) -> Result<Vec<u8>, String> {
        std::fs::read(path).map_err(|error| error.to_string())
    }

    fn substitution(part: &str, as_built: &str) -> Substitution {
        Substitution {
            part: part.into(),
            as_built: as_built.into(),
            with: std::collections::BTreeMap::new(),
            reason: None,
            span: crate::source::Span::new(crate::source::FileId(0), 0..0),
        }
    }

    #[test]
    fn what_was_fitted_is_what_is_reviewed() {
        let design = design::read(PATH, &load).expect("a design").design;
        let text = String::from_utf8(load(PATH).expect("there")).expect("text");
        let built = as_built(
            &design,
            &text,
            &[
                substitution("C5", "2.2 µF ± 10 % 50 V"),
                substitution("R1", "3k3"),
            ],
        );
        assert_eq!(built.unknown, Vec::<String>::new());
        let patched = built.text.into_bytes();
        let read = design::read(PATH, &|path| {
            if path == PATH {
                Ok(patched.clone())
            } else {
                load(path)
            }
        });
        let design = read.expect("still a design").design;
        let figure = |part: &str, key| {
            let figure = design.parts[part].figure(key).expect("a figure");
            figure.spread.nominal
        };
        assert!((figure("C5", Property::Value) - 2.2e-6).abs() < 1e-15);
        assert!((figure("C5", Property::Rating) - 50.0).abs() < 1e-12);
        assert!((figure("R1", Property::Value) - 3300.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_not_understood_is_not_passed_over() {
        let design = design::read(PATH, &load).expect("a design").design;
        let text = String::from_utf8(load(PATH).expect("there")).expect("text");
        for part in ["something from the drawer", "2.2 µF tantalum"] {
            let built = as_built(&design, &text, &[substitution("C5", part)]);
            assert_eq!(built.unknown.len(), 1);
            assert_eq!(built.text, text);
        }
    }
}
