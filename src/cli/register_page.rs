//! The register on paper: every design with its units, gates, last test, drift and signatures.

use super::register::{Entry, UnitEntry};
use super::{COULD_NOT_FINISH, Paper, files};
use crate::checks::Gate;
use crate::dossier::block::{
    Align, Block, Cell, Column, Document, Info, Inline, Row, Status, Table, Title, text,
};
use crate::dossier::font::Fonts;
use crate::dossier::{self, layout};
use std::collections::BTreeMap;
use std::path::Path;

/// Writes the register as a PDF, whole or not at all.
pub(super) fn write(
    entries: &BTreeMap<String, Entry>,
    folder: &Path,
    target: &Path,
    paper: Paper,
) -> Result<usize, u8> {
    let paper = match paper {
        Paper::A4 => layout::Paper::A4,
        Paper::Letter => layout::Paper::Letter,
    };
    let fonts = Fonts::new();
    let document = document(entries, folder);
    let composed = dossier::compose(&document, paper, &fonts).map_err(|error| {
        anstream::eprintln!("cannot write the register {}: {error}", target.display());
        COULD_NOT_FINISH
    })?;
    files::put(target, &composed.bytes)?;
    Ok(composed.pages)
}

fn document(entries: &BTreeMap<String, Entry>, folder: &Path) -> Document {
    let date = files::today();
    let units: usize = entries.values().map(|entry| entry.units.len()).sum();
    let open = |gate: Gate| {
        let open = entries
            .values()
            .filter(|entry| entry.gates.get(gate.key()) == Some(&true));
        format!("{} of {}", open.count(), entries.len())
    };
    let fact = |name: &str, value: String| (name.to_owned(), text(value));
    let title = Title {
        over: "Register".to_owned(),
        title: "Designs and units".to_owned(),
        purpose: text(
            "Which boxes may be built, and which built units may be powered and plugged in.",
        ),
        facts: vec![
            fact("Folder", folder.display().to_string()),
            fact("Date", date.clone()),
            fact("Designs", entries.len().to_string()),
            fact("Units", units.to_string()),
            fact("Plug open", format!("{} designs", open(Gate::Plug))),
            fact("Share open", format!("{} designs", open(Gate::Share))),
        ],
    };
    let table = Table {
        caption: text(
            "Every design and, under it, every unit on record. A unit's gates are its own: what was \
             fitted otherwise, the revision it was built to, and its readings. Drift is what stands \
             out most between first and last test of what the meters can see.",
        ),
        columns: vec![
            Column::new("Design, unit", Align::Left),
            Column::new("Rev", Align::Left),
            Column::new("Power", Align::Left),
            Column::new("Plug", Align::Left),
            Column::new("Share", Align::Left),
            Column::new("Last test", Align::Left),
            Column::new("Remarks", Align::Left).share(1.0),
        ],
        rows: entries
            .values()
            .flat_map(|entry| std::iter::once(design(entry)).chain(entry.units.iter().map(unit)))
            .collect(),
        empty: "There is no design below this folder.".to_owned(),
        ..Table::default()
    };
    Document {
        info: Info {
            title: "Register of designs and units".to_owned(),
            subject: "Gates, last tests, drift and signatures of every design and unit".to_owned(),
            date,
            language: "en-GB".to_owned(),
            producer: format!("preplug {}", env!("CARGO_PKG_VERSION")),
            ..Info::default()
        },
        blocks: vec![Block::Title(title), Block::Table(table)],
        attachments: Vec::new(),
    }
}

fn gates(gates: &BTreeMap<String, bool>) -> [Cell; 3] {
    [Gate::Power, Gate::Plug, Gate::Share].map(|gate| match gates.get(gate.key()) {
        Some(true) => Cell::Status(Status::Holds, text("open")),
        Some(false) => Cell::Status(Status::Fails, text("blocked")),
        None => Cell::text("—"),
    })
}

fn lines(remarks: Vec<String>) -> Cell {
    let mut words: Vec<Inline> = Vec::new();
    for remark in remarks {
        if !words.is_empty() {
            words.push(Inline::Break);
        }
        words.push(remark.into());
    }
    Cell::Text(words)
}

fn design(entry: &Entry) -> Row {
    let mut remarks: Vec<String> = entry
        .error
        .iter()
        .map(|error| format!("cannot be reviewed: {error}"))
        .collect();
    let signatures = entry.signatures.iter();
    remarks.extend(signatures.map(|(gate, words)| format!("signature of {gate} {words}")));
    let mut cells = vec![
        Cell::Text(vec![crate::dossier::block::strong(&entry.title)]),
        Cell::text(entry.revision.clone().unwrap_or("—".to_owned())),
    ];
    cells.extend(gates(&entry.gates));
    cells.extend([Cell::text(""), lines(remarks)]);
    Row::new(cells)
}

fn unit(unit: &UnitEntry) -> Row {
    let mut remarks: Vec<String> = Vec::new();
    if unit.demonstration {
        remarks.push("invented demonstration".to_owned());
    }
    remarks.extend(unit.drift.iter().map(|drift| format!("drift {drift}")));
    // What holds the first blocked gate shut holds the others as well.
    let shut = unit.first_reason();
    remarks.extend(shut.map(|(gate, reason)| format!("{}: {reason}", gate.key())));
    let mut cells = vec![
        Cell::text(format!("\u{2003}unit {}", unit.serial)),
        Cell::text(unit.revision.clone().unwrap_or("—".to_owned())),
    ];
    cells.extend(gates(&unit.gates));
    let last = unit.last_test.clone().unwrap_or("never".to_owned());
    cells.extend([Cell::text(last), lines(remarks)]);
    Row::new(cells)
}
