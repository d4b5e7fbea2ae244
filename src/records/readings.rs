//! Readings that come in a file of their own: YAML with the head of the session, or CSV with one
//! reading to a row.

use super::session::{reading, written};
use super::{Reading, Session};
use crate::design::Design;
use crate::source::{Diagnostic, Entry, Node, Reader, SourceSet, Span, Value, read_file};

/// A file `preplug: readings/1` with the keys of a session.
///
/// # Errors
/// All mistakes, each with its place.
pub fn from_yaml(
    path: &str,
    bytes: Vec<u8>,
    design: &Design,
    sources: &mut SourceSet,
) -> Result<(Session, Vec<Diagnostic>), Vec<Diagnostic>> {
    read_file(sources, path, bytes, |root, reader| {
        if !reader.version(root, "readings") {
            return None;
        }
        // The version is no key of a session.
        let mut node = root.clone();
        if let Value::Map(entries) = &mut node.value {
            entries.retain(|entry| entry.key != "preplug");
        }
        written(&node, 1, design, &mut 0, reader)
    })
}

/// Columns that are not the name of a control or switch.
const COLUMNS: &[&str] = &["at", "alone", "jack", "reads", "plugged", "note"];

/// Rows under the headings `at`, `reads`, perhaps `alone`, `jack`, `plugged` and `note`; any other heading is
/// the name of a control or switch, and an empty cell leaves it where it nominally is.
///
/// # Errors
/// All mistakes, each with its place.
pub fn from_csv(
    path: &str,
    bytes: Vec<u8>,
    design: &Design,
    sources: &mut SourceSet,
) -> Result<(Vec<Reading>, Vec<Diagnostic>), Vec<Diagnostic>> {
    let file = sources.add(path, bytes)?;
    let text = sources.file(file).text.clone();
    let mut reader = Reader::default();
    let mut table = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let headings = table.headers().cloned().unwrap_or_default();
    for needed in ["at", "reads"] {
        if !headings.iter().any(|heading| heading == needed) {
            reader.note(
                Diagnostic::error("missing-key", format!("there is no column `{needed}`"))
                    .at(Span::new(file, 0..0), "")
                    .hint("begin with a row of headings: `at,Lever,reads`"),
            );
        }
    }
    let mut readings = Vec::new();
    if reader.diagnostics.is_empty() {
        for (order, row) in table.records().enumerate() {
            match row {
                Ok(row) => {
                    let start = row.position().map_or(0, csv::Position::byte);
                    let start = usize::try_from(start).unwrap_or(0);
                    let length = text[start..].find('\n').unwrap_or(text.len() - start);
                    let span = Span::new(file, start..start + length);
                    let node = node(&headings, &row, span);
                    readings.extend(reading(&node, design, order, &mut reader));
                }
                Err(error) => reader.note(
                    Diagnostic::error("bad-row", format!("this row cannot be read: {error}"))
                        .at(Span::new(file, 0..0), ""),
                ),
            }
        }
    }
    if reader.diagnostics.is_empty() {
        Ok((readings, Vec::new()))
    } else {
        Err(reader.diagnostics)
    }
}

/// A row as the mapping it would be in YAML.
fn node(headings: &csv::StringRecord, row: &csv::StringRecord, span: Span) -> Node {
    let entry = |key: &str, value: Value| Entry {
        key: key.to_owned(),
        key_span: span,
        value: Node {
            span,
            value,
            verbatim: None,
        },
    };
    let cells = || {
        headings
            .iter()
            .zip(row.iter())
            .filter(|(_, cell)| !cell.is_empty())
    };
    let mut entries: Vec<Entry> = cells()
        .filter(|(heading, _)| COLUMNS.contains(heading))
        .map(|(heading, cell)| entry(heading, Value::Text(cell.to_owned())))
        .collect();
    let state: Vec<Entry> = cells()
        .filter(|(heading, _)| !COLUMNS.contains(heading))
        .map(|(heading, cell)| entry(heading, Value::Text(cell.to_owned())))
        .collect();
    if !state.is_empty() {
        entries.push(entry("state", Value::Map(state)));
    }
    Node {
        span,
        value: Value::Map(entries),
        verbatim: None,
    }
}
