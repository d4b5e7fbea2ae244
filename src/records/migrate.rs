//! From a unit file written by hand (`unit/1`) to one that ends in an append-only log (`unit/2`).

use super::log::{self, Entry, Opening};
use super::{Reading, Unit, read};
use crate::design::Design;
use crate::quantity::{self, format_short};
use crate::source::{SourceSet, read_file};

/// Is this a unit file of the older version?
#[must_use]
pub fn needs_migration(bytes: &[u8]) -> bool {
    log::scan(bytes).is_none()
}

/// The text of the newer version: the head as it was, comments and all, and the sessions as a log.
/// The original is the caller's to keep.
///
/// # Errors
/// Why it cannot be done, in a sentence.
pub fn migrate(path: &str, bytes: &[u8], design: &Design) -> Result<String, String> {
    let mut sources = SourceSet::default();
    let (unit, _) = read(path, bytes.to_vec(), design, &mut sources)
        .map_err(|_| format!("{path} has mistakes: `preplug check` names them"))?;
    let text = std::str::from_utf8(bytes).map_err(|_| format!("{path} is no text"))?;
    let mut new = head(path, text)?;
    new.push_str("log:\n");
    let mut mark = String::new();
    for entry in entries(&unit) {
        let (line, next) = log::line(&entry, &mark);
        new.push_str(&line);
        mark = next;
    }
    let mut sources = SourceSet::default();
    let again = read(path, new.clone().into_bytes(), design, &mut sources);
    let readings = |unit: &Unit| -> Vec<(u32, String, f64)> {
        let of = |s: &super::Session| -> Vec<_> {
            let number = s.number;
            let one = |r: &Reading| (number, r.point.describe(), r.reads);
            s.readings.iter().map(one).collect()
        };
        unit.sessions.iter().flat_map(of).collect()
    };
    match again {
        Ok((again, _)) if readings(&again) == readings(&unit) => Ok(new),
        _ => Err(format!("{path} cannot be brought to {}", log::VERSION)),
    }
}

/// Everything but the sessions, under the new version.
fn head(path: &str, text: &str) -> Result<String, String> {
    let mut sources = SourceSet::default();
    let taken = read_file(&mut sources, path, text.as_bytes().to_vec(), |root, _| {
        Some(root.clone())
    });
    let (root, _) = taken.map_err(|_| format!("{path} cannot be read"))?;
    let version = root
        .get("preplug")
        .ok_or_else(|| format!("{path} names no version"))?;
    let mut cuts = vec![(version.span.start..version.span.end, log::VERSION)];
    let entries = root.entries().unwrap_or_default();
    if text[root.span.start..].starts_with('{') {
        return Err(format!(
            "{path} is written in braces: write one key to a line, so that lines can be appended"
        ));
    }
    if let Some(at) = entries.iter().position(|entry| entry.key == "sessions") {
        let start = entries[at].key_span.start;
        let end = entries
            .get(at + 1)
            .map_or(text.len(), |next| next.key_span.start);
        cuts.push((start..end, ""));
    }
    let mut new = text.to_owned();
    for (range, by) in cuts.into_iter().rev() {
        new.replace_range(range, by);
    }
    let mut new = new.trim_end().to_owned();
    new.push('\n');
    Ok(new)
}

fn entries(unit: &Unit) -> Vec<Entry> {
    let mut entries = Vec::new();
    for session in &unit.sessions {
        entries.push(Entry::Opens(Opening {
            session: session.number,
            date: session.date.clone(),
            by: session.by.clone(),
            note: session.note.clone(),
            meter: session.meter.clone(),
            mains: session.mains,
            ambient: session.ambient,
            revision: session.revision.clone().or_else(|| unit.revision.clone()),
            design: session.design.clone(),
            guided: false,
        }));
        entries.extend(session.readings.iter().map(|reading| Entry::Reading {
            session: session.number,
            point: reading.point.clone(),
            reads: written(reading.reads, reading.point.unit),
            note: reading.note.clone(),
        }));
    }
    entries
}

/// A value as a log holds it: every figure, no rounding.
#[must_use]
pub fn written(reads: f64, unit: quantity::Unit) -> String {
    if reads.is_infinite() {
        return "OL Ω".to_owned();
    }
    let short = format_short(reads, unit).replace('−', "-");
    match quantity::parse_value(&short, unit) {
        Ok(same) if (same - reads).abs() <= 1e-12 * reads.abs() => short,
        _ => format!("{reads} {}", unit.symbol()),
    }
}
