//! Finding a type by the name that is printed on the part: makers' letters before the number
//! and grade, package and packing letters after it.

use super::Type;
use std::sync::OnceLock;

/// A type found by its name, and what was read into that name.
#[derive(Debug, Clone)]
pub struct Found {
    /// The type.
    pub entry: &'static Type,
    /// Letters before the catalogue's name that were taken as a maker's prefix, e.g. `uA`.
    pub prefix: String,
    /// Letters after it: grade, package or packing, e.g. `CT`.
    pub suffix: String,
    /// Grade read from the suffix, when the type has one of that letter.
    pub grade: Option<String>,
}

impl Found {
    /// Was the name written otherwise than the catalogue has it? Then says how it was read.
    #[must_use]
    pub fn reading(&self) -> Option<String> {
        let mut parts = Vec::new();
        if !self.prefix.is_empty() {
            parts.push(format!("'{}' is a maker's prefix", self.prefix));
        }
        match (&self.grade, self.suffix.is_empty()) {
            (Some(grade), false) => {
                parts.push(format!("'{}' gives grade {grade}", self.suffix));
            }
            (None, false) => {
                parts.push(format!("'{}' is a package or packing suffix", self.suffix));
            }
            _ => {}
        }
        (!parts.is_empty()).then(|| format!("read as {}: {}", self.entry.name, parts.join(", ")))
    }
}

/// Upper case without spaces, hyphens and underscores; `µ` as `U`. Two spellings of one name
/// squeeze to the same text.
#[must_use]
pub fn squeeze(name: &str) -> String {
    name.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '_' | '/'))
        .flat_map(char::to_uppercase)
        .map(|c| match c {
            'µ' | 'Μ' | 'μ' => 'U',
            ',' => '.',
            other => other,
        })
        .collect()
}

/// Every name and alias squeezed, with its type, in the catalogue's order.
fn squeezed(types: &'static [Type]) -> &'static [(String, &'static Type)] {
    static NAMES: OnceLock<Vec<(String, &'static Type)>> = OnceLock::new();
    NAMES.get_or_init(|| {
        types
            .iter()
            .flat_map(|t| {
                let names = std::iter::once(&t.name).chain(&t.aliases);
                names.map(move |name| (squeeze(name), t))
            })
            .collect()
    })
}

/// Looks a name up among types: as written, then by alias, then with a maker's prefix and a
/// suffix removed; the longest catalogue name that fits wins.
#[must_use]
pub fn look_up(types: &'static [Type], written: &str) -> Option<Found> {
    let wanted = squeeze(written);
    let names = squeezed(types);
    if let Some((_, entry)) = names.iter().find(|(name, _)| *name == wanted) {
        return Some(Found {
            entry,
            prefix: String::new(),
            suffix: String::new(),
            grade: None,
        });
    }
    names
        .iter()
        .filter_map(|(name, t)| read(t, name, &wanted).map(|found| (name.len(), found)))
        .max_by_key(|(length, _)| *length)
        .map(|(_, found)| found)
}

/// Reads `wanted` as prefix + name + suffix.
fn read(entry: &'static Type, name: &str, wanted: &str) -> Option<Found> {
    let at = wanted.find(name)?;
    let (prefix, rest) = wanted.split_at(at);
    let suffix = &rest[name.len()..];
    let prefix_known = prefix.is_empty() || entry.prefixes.iter().any(|p| squeeze(p) == prefix);
    // A digit straight after the name makes it another number: 1N40011 is not a 1N4001.
    let suffix_plain = suffix
        .chars()
        .next()
        .is_none_or(|c| c.is_ascii_alphabetic())
        && suffix.len() <= 6
        && suffix
            .chars()
            .all(|c| c.is_ascii_alphanumeric() || c == '.');
    if !prefix_known || !suffix_plain {
        return None;
    }
    let grade = entry
        .grades
        .keys()
        .filter(|grade| suffix.starts_with(grade.as_str()))
        .max_by_key(|grade| grade.len())
        .cloned();
    Some(Found {
        entry,
        prefix: prefix.to_owned(),
        suffix: suffix.to_owned(),
        grade,
    })
}

/// Up to four names most like the one written.
pub fn nearest(types: &'static [Type], written: &str) -> Vec<&'static str> {
    let wanted = squeeze(written);
    let mut near: Vec<(usize, &'static str)> = types
        .iter()
        .map(|t| {
            let distance = strsim::damerau_levenshtein(&squeeze(&t.name), &wanted);
            (distance, t.name.as_str())
        })
        .filter(|(distance, _)| *distance <= 1 + wanted.len() / 4)
        .collect();
    near.sort_by_key(|(distance, _)| *distance);
    near.into_iter().take(4).map(|(_, name)| name).collect()
}
