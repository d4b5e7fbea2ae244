//! From the text of a design file to a checked [`Design`], with everything wrong in one go.
//!
//! Opens no file itself: the caller passes a loader, called with paths as they are to be shown.

mod conditions;
mod connect;
mod derive;
mod device;
mod figure;
mod names;
mod nets;
mod part;
mod path;
mod promises;
mod types;
mod wiring;

use super::{Derating, Design, Draws, Part};
use crate::source::{
    Diagnostic, Node, Reader, Severity, SourceSet, Span, Value, nearest, read_tree,
};
use indexmap::IndexMap;
use names::Names;

/// A design that can be used.
#[derive(Debug, Clone)]
pub struct Read {
    /// The design.
    pub design: Design,
    /// Every file read for it, the design file first.
    pub sources: SourceSet,
    /// What is probably not meant, and does not stop the review.
    pub warnings: Vec<Diagnostic>,
}

/// Why a design cannot be used.
#[derive(Debug, Clone)]
pub struct Refused {
    /// Every file read for it, the design file first.
    pub sources: SourceSet,
    /// All mistakes found, and the warnings.
    pub diagnostics: Vec<Diagnostic>,
}

/// Brings the bytes of a file, or says in a few words why not.
pub type Load<'l> = &'l dyn Fn(&str) -> Result<Vec<u8>, String>;

/// Reads a design file and the instrument and controller files it names (relative to it).
///
/// # Errors
/// Every mistake of every file, each with its place.
pub fn read(path: &str, load: Load<'_>) -> Result<Read, Box<Refused>> {
    let mut sources = SourceSet::default();
    let mut reader = Reader::default();
    let Some(tree) = open(path, load, &mut sources, &mut reader) else {
        return Err(Box::new(Refused {
            sources,
            diagnostics: reader.diagnostics,
        }));
    };
    let mut files = Files {
        base: path,
        load,
        sources: &mut sources,
        opened: IndexMap::new(),
    };
    let design = design(&tree, &mut reader, &mut files);
    let diagnostics = reader.diagnostics;
    let failed = diagnostics.iter().any(|d| d.severity == Severity::Error);
    match design {
        Some(design) if !failed => Ok(Read {
            design,
            sources,
            warnings: diagnostics,
        }),
        _ => Err(Box::new(Refused {
            sources,
            diagnostics,
        })),
    }
}

/// Loads a file into the set and reads its tree.
fn open(path: &str, load: Load<'_>, sources: &mut SourceSet, reader: &mut Reader) -> Option<Node> {
    let added = match load(path) {
        Ok(bytes) => sources.add(path, bytes),
        Err(reason) => {
            let reason = format!("cannot open {path}: {reason}");
            Err(vec![Diagnostic::error("cannot-open", reason)])
        }
    };
    match added {
        Ok(file) => read_tree(sources, file, reader),
        Err(mut errors) => {
            reader.diagnostics.append(&mut errors);
            None
        }
    }
}

/// The files that a design names.
struct Files<'f> {
    base: &'f str,
    load: Load<'f>,
    sources: &'f mut SourceSet,
    /// Path → tree; `None` when it could not be read (said once).
    opened: IndexMap<String, Option<Node>>,
}

const KEYS: &[&str] = &[
    "preplug",
    "title",
    "revision",
    "date",
    "author",
    "licence",
    "purpose",
    "revisions",
    "notes",
    "conditions",
    "derating",
    "monte-carlo",
    "parts",
    "isolated",
    "promises",
    "test-points",
    "wires",
    "layout",
    "connect",
];

fn design(root: &Node, reader: &mut Reader, files: &mut Files<'_>) -> Option<Design> {
    if !reader.version(root, "design") {
        return None;
    }
    let entries = reader.keys(root, "a design file", KEYS)?;
    let top = entries.first().map_or(root.span, |entry| entry.key_span);
    let text = |reader: &mut Reader, key: &str| {
        root.get(key)
            .and_then(|node| reader.text(node, key))
            .map(str::to_owned)
    };
    let (revision, author, licence) = (
        text(reader, "revision"),
        text(reader, "author"),
        text(reader, "licence"),
    );
    let purpose = text(reader, "purpose");
    let title = reader
        .required(root, "title", "a design", top)
        .and_then(|node| reader.text(node, "title"))
        .map(str::to_owned);
    let date = root.get("date").and_then(|node| reader.date(node, "date"));
    let derating = root
        .get("derating")
        .and_then(|node| reader.word(node, "derating", &["severe", "benign", "none"]));
    let mut names = Names::default();
    let parts = parts(root, top, reader, &mut names);
    let conditions = conditions::read(root, top, &parts, reader, &names);
    let isolated = nets::isolated(root, reader, &names);
    let promises = promises::read(root, &parts, reader, &names);
    let test_points = nets::test_points(root, reader, &names);
    let wires = nets::wires(root, reader, &names);
    let layout = layout(root, &parts, reader, &names);
    let connections = connect::read(root, &parts, reader, &names, files);
    nets::check(
        &parts,
        &isolated,
        &test_points,
        &connections,
        reader,
        &names,
    );
    part::check_controls(&parts, root, reader);
    part::check_tabs(&parts, root, reader, &names);
    let design = Design {
        title: title?,
        revision,
        date,
        author,
        licence,
        purpose,
        revisions: revisions(root, reader),
        notes: notes(root, reader),
        conditions,
        derating: match derating {
            Some("severe") => Derating::Severe,
            Some("none") => Derating::None,
            _ => Derating::Benign,
        },
        draws: draws(root, reader),
        parts,
        nets: names.nets(),
        isolated,
        promises,
        test_points,
        wires,
        layout,
        connections,
        spans: spans(root),
    };
    Some(design)
}

fn parts(root: &Node, top: Span, reader: &mut Reader, names: &mut Names) -> IndexMap<String, Part> {
    let mut parts = IndexMap::new();
    let Some(entries) = reader
        .required(root, "parts", "a design", top)
        .and_then(|node| reader.entries(node, "parts"))
    else {
        return parts;
    };
    for entry in entries {
        match part::read(entry, reader, names) {
            Some(part) => {
                parts.insert(entry.key.clone(), part);
            }
            None => names.unread(entry),
        }
    }
    parts
}

fn revisions(root: &Node, reader: &mut Reader) -> IndexMap<String, String> {
    root.get("revisions")
        .and_then(|node| reader.entries(node, "revisions"))
        .unwrap_or_default()
        .iter()
        .filter_map(|entry| {
            let text = reader.text(&entry.value, "a revision")?;
            Some((entry.key.clone(), text.to_owned()))
        })
        .collect()
}

/// `layout: [LED1, R5]`: parts in the order in which the schematic is to show them.
fn layout(
    root: &Node,
    parts: &IndexMap<String, Part>,
    reader: &mut Reader,
    names: &Names,
) -> Vec<String> {
    let mut layout: Vec<String> = Vec::new();
    let Some(node) = root.get("layout") else {
        return layout;
    };
    for item in reader.items(node, "layout").unwrap_or_default() {
        let Some(part) = reader.text(item, "a part of the layout") else {
            continue;
        };
        if layout.iter().any(|known| known == part) {
            let message = format!("`{part}` stands twice in `layout`");
            let error = Diagnostic::error("named-twice", message).at(item.span, "");
            reader.note(error.hint("a part has one place in the order: leave out one of them"));
        } else if parts.contains_key(part) {
            layout.push(part.to_owned());
        } else if !names.is_unread(part) {
            let near = nearest(part, parts.keys().map(String::as_str));
            let hint = near.map_or_else(
                || "name parts that stand under `parts`".to_owned(),
                |near| format!("did you mean `{near}`?"),
            );
            let message = format!("there is no part `{part}` to lay out");
            let error = Diagnostic::error("unknown-part", message);
            reader.note(error.at(item.span, "").hint(hint));
        }
    }
    layout
}

/// Most boxes drawn in a state.
const MOST_RUNS: u64 = 100_000;

/// `monte-carlo: {runs: 1000, seed: 7}`; each may be left out.
fn draws(root: &Node, reader: &mut Reader) -> Draws {
    let mut draws = Draws::default();
    let Some(node) = root.get("monte-carlo") else {
        return draws;
    };
    if reader
        .keys(node, "`monte-carlo`", &["runs", "seed"])
        .is_none()
    {
        return draws;
    }
    let mut number = |key: &str, most: u64, hint: &str| {
        let node = node.get(key)?;
        let text = reader.text(node, key)?;
        let number = text.parse().ok().filter(|number| *number <= most);
        if number.is_none() {
            let message = format!("`{key}` is a whole number from 0 to {most}, not `{text}`");
            reader.note(
                Diagnostic::error("not-a-count", message)
                    .at(node.span, "")
                    .hint(hint),
            );
        }
        number
    };
    let few = "0 draws no boxes; where nothing is said, 200 are drawn";
    if let Some(runs) = number("runs", MOST_RUNS, few) {
        draws.runs = usize::try_from(runs).unwrap_or(draws.runs);
    }
    let any = "any such number will do; the same one draws the same boxes again";
    if let Some(seed) = number("seed", u64::MAX, any) {
        draws.seed = seed;
    }
    draws
}

/// Remarks: a list of texts, or one text.
fn notes(root: &Node, reader: &mut Reader) -> Vec<String> {
    let Some(node) = root.get("notes") else {
        return Vec::new();
    };
    if node.text().is_some() {
        return reader
            .text(node, "notes")
            .map(str::to_owned)
            .into_iter()
            .collect();
    }
    reader
        .items(node, "notes")
        .unwrap_or_default()
        .iter()
        .filter_map(|item| reader.text(item, "a note").map(str::to_owned))
        .collect()
}

/// Every key route of a tree with its place: a value where it is one scalar, else its key.
#[must_use]
pub fn spans(root: &Node) -> IndexMap<String, Span> {
    let mut spans = IndexMap::new();
    let mut waiting = vec![(String::new(), root)];
    while let Some((route, node)) = waiting.pop() {
        let below = |key: &str| {
            if route.is_empty() {
                key.to_owned()
            } else {
                format!("{route}.{key}")
            }
        };
        match &node.value {
            Value::Text(_) => {}
            Value::List(items) => {
                for (index, item) in items.iter().enumerate() {
                    let route = below(&index.to_string());
                    spans.insert(route.clone(), item.span);
                    waiting.push((route, item));
                }
            }
            Value::Map(entries) => {
                for entry in entries {
                    let route = below(&entry.key);
                    let span = match &entry.value.value {
                        Value::Text(text) if !text.is_empty() => entry.value.span,
                        _ => entry.key_span,
                    };
                    spans.insert(route.clone(), span);
                    waiting.push((route, &entry.value));
                }
            }
        }
    }
    spans
}
