//! `preplug register`: every design and unit below a folder on one page.
//!
//! What is known of a design is kept under the digest of every file it rests on, in
//! `.preplug-register.json` in that folder; a design of which nothing changed is not solved again.

use super::{
    BAD_INPUT, BLOCKED, COULD_NOT_FINISH, OPEN, Paper, RegisterFormat, files, print, register_page,
    unit_report,
};
use crate::bench::drifts;
use crate::checks::Gate;
use crate::review::signatures;
use crate::{Companions, assess, design};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Name of the kept file, and the version of what is kept in it.
const KEPT: &str = ".preplug-register.json";
const KEPT_VERSION: &str = "2";

/// What is known of one design.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(super) struct Entry {
    pub digest: String,
    pub file: String,
    pub title: String,
    pub revision: Option<String>,
    /// Gate → open.
    pub gates: BTreeMap<String, bool>,
    /// Gates whose signature does not stand, and why.
    pub signatures: BTreeMap<String, String>,
    pub units: Vec<UnitEntry>,
    /// Why it could not be reviewed.
    pub error: Option<String>,
}

/// What is known of one unit.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(super) struct UnitEntry {
    pub serial: String,
    pub revision: Option<String>,
    pub demonstration: bool,
    pub gates: BTreeMap<String, bool>,
    /// Blocked gate → what holds it shut.
    pub reasons: BTreeMap<String, Vec<String>>,
    /// Day of the last reading.
    pub last_test: Option<String>,
    /// The drift that stands out most of what the meters can see, in words.
    pub drift: Option<String>,
}

impl UnitEntry {
    /// The first blocked gate, and what holds it shut first.
    pub(super) fn first_reason(&self) -> Option<(Gate, &String)> {
        [Gate::Power, Gate::Plug, Gate::Share]
            .into_iter()
            .find_map(|gate| Some((gate, self.reasons.get(gate.key())?.first()?)))
    }
}

/// Runs the command. A design that cannot be read decides the exit status.
pub(super) fn run(folder: &Path, format: RegisterFormat, pdf: Option<&Path>, paper: Paper) -> u8 {
    if !folder.is_dir() {
        anstream::eprintln!("{} is no folder", folder.display());
        return BAD_INPUT;
    }
    let mut designs = Vec::new();
    walk(folder, &mut designs);
    designs.sort();
    let kept: BTreeMap<String, Entry> = std::fs::read(folder.join(KEPT))
        .ok()
        .and_then(|bytes| serde_json::from_slice(&bytes).ok())
        .unwrap_or_default();
    let mut entries: BTreeMap<String, Entry> = BTreeMap::new();
    let mut anew = 0;
    for path in &designs {
        let shown = path.to_string_lossy().into_owned();
        let digest = digest(&shown);
        let entry = match kept.get(&shown) {
            Some(known) if known.digest == digest => known.clone(),
            _ => {
                anew += 1;
                entry(&shown, digest)
            }
        };
        entries.insert(shown, entry);
    }
    if anew > 0 || kept.len() != entries.len() {
        let bytes = serde_json::to_vec_pretty(&entries).unwrap_or_default();
        if let Err(code) = files::put(&folder.join(KEPT), &bytes) {
            return code;
        }
    }
    match format {
        RegisterFormat::Text => print(&text(&entries, anew)),
        RegisterFormat::Csv => match csv(&entries) {
            Ok(text) => print(&text),
            Err(error) => {
                anstream::eprintln!("cannot write the table: {error}");
                return COULD_NOT_FINISH;
            }
        },
        RegisterFormat::Json => {
            let value = serde_json::json!({
                "format": "preplug-register/1",
                "designs": entries.values().collect::<Vec<_>>(),
            });
            print(&format!("{value:#}\n"));
        }
    }
    if let Some(pdf) = pdf {
        match register_page::write(&entries, folder, pdf, paper) {
            // Nothing but the table goes to a program's input.
            Ok(pages) => anstream::eprintln!("Register: {} ({pages} pages)", pdf.display()),
            Err(code) => return code,
        }
    }
    let refused = entries.values().any(|entry| entry.error.is_some());
    let open = |entry: &Entry| entry.gates.get(Gate::Plug.key()) == Some(&true);
    if refused {
        BAD_INPUT
    } else if entries.values().all(open) {
        OPEN
    } else {
        BLOCKED
    }
}

/// Every `design.yaml` below a folder; hidden folders are left out.
fn walk(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        let name = entry.file_name();
        let kind = entry.file_type();
        if kind.as_ref().is_ok_and(std::fs::FileType::is_dir) {
            if !name.to_string_lossy().starts_with('.') {
                walk(&path, found);
            }
        } else if name == "design.yaml" {
            found.push(path);
        }
    }
}

/// Digest of every file that a design's entry rests on, of this program's version, and of the day
/// where acceptances can run out.
fn digest(path: &str) -> String {
    let mut hash = Sha256::new();
    hash.update(env!("CARGO_PKG_VERSION"));
    hash.update(KEPT_VERSION);
    let companions = files::companions(path);
    let mut add = |bytes: &[u8]| {
        hash.update((bytes.len() as u64).to_le_bytes());
        hash.update(bytes);
    };
    match design::read(path, &files::load) {
        Ok(read) => {
            for (_, file) in read.sources.files() {
                add(file.text.as_bytes());
            }
        }
        Err(refused) => {
            for (_, file) in refused.sources.files() {
                add(file.text.as_bytes());
            }
        }
    }
    if let Some(review) = &companions.review {
        add(companions.today.as_bytes());
        add(&files::load(review).unwrap_or_default());
    }
    for unit in &companions.units {
        add(unit.as_bytes());
        add(&files::load(unit).unwrap_or_default());
    }
    crate::records::log::hex(&hash.finalize(), 32)
}

fn entry(path: &str, digest: String) -> Entry {
    let companions: Companions = files::companions(path);
    let assessed = match assess(path, &companions, &files::load) {
        Ok(assessed) => assessed,
        Err(refused) => {
            let first = refused.diagnostics.first();
            return Entry {
                digest,
                file: path.to_owned(),
                title: path.to_owned(),
                revision: None,
                gates: BTreeMap::new(),
                signatures: BTreeMap::new(),
                units: Vec::new(),
                error: Some(first.map_or_else(String::new, |d| d.message.clone())),
            };
        }
    };
    let states = assessed.file.as_ref().map(|file| {
        let states = signatures(file, &assessed.review.gates, &assessed.fingerprint);
        let words = states.iter().map(|state| {
            let key = state.gate.key().to_owned();
            (key, state.worth.words().to_owned())
        });
        words.collect::<BTreeMap<String, String>>()
    });
    let gates = assessed.review.gates.iter();
    Entry {
        digest,
        file: path.to_owned(),
        title: assessed.design.title.clone(),
        revision: assessed.design.revision.clone(),
        gates: gates.map(|g| (g.gate.key().to_owned(), g.open)).collect(),
        signatures: states.unwrap_or_default(),
        units: assessed
            .units
            .iter()
            .map(|unit| {
                let gates = unit_report::of_unit(path, &assessed, unit);
                let last = unit.sessions.iter().map(|session| session.date.clone());
                let drifts = drifts(unit);
                let seen = drifts.iter().filter(|drift| drift.seen());
                let most = seen.max_by(|a, b| {
                    let share = |d: &crate::bench::Drift| d.change().abs() / d.expanded;
                    share(a).total_cmp(&share(b))
                });
                UnitEntry {
                    serial: unit.serial.clone(),
                    revision: unit.revision.clone(),
                    demonstration: unit.demonstration,
                    gates: gates
                        .iter()
                        .map(|g| (g.gate.key().to_owned(), g.open()))
                        .collect(),
                    reasons: gates
                        .iter()
                        .filter(|g| !g.open())
                        .map(|g| (g.gate.key().to_owned(), g.reasons.clone()))
                        .collect(),
                    last_test: last.max(),
                    drift: match most {
                        Some(drift) => Some(format!(
                            "{}: {}",
                            drift.point,
                            crate::quantity::format_to(drift.change(), drift.unit, 2)
                        )),
                        None if drifts.is_empty() => None,
                        None => Some("none seen".to_owned()),
                    },
                }
            })
            .collect(),
        error: None,
    }
}

fn gate(gates: &BTreeMap<String, bool>, gate: Gate) -> &'static str {
    match gates.get(gate.key()) {
        Some(true) => "open",
        Some(false) => "BLOCKED",
        None => "—",
    }
}

fn words(gates: &BTreeMap<String, bool>) -> [&'static str; 3] {
    [Gate::Power, Gate::Plug, Gate::Share].map(|one| gate(gates, one))
}

fn three(gates: &BTreeMap<String, bool>) -> String {
    words(gates).map(|word| format!("{word:<8}")).concat()
}

fn text(entries: &BTreeMap<String, Entry>, anew: usize) -> String {
    let mut out = format!(
        "{:<32} {:<4} power   plug    share\n",
        "design, unit", "rev"
    );
    for entry in entries.values() {
        let revision = entry.revision.as_deref().unwrap_or("—");
        let _ = writeln!(
            out,
            "{:<32} {revision:<4} {}",
            entry.title,
            three(&entry.gates)
        );
        if let Some(error) = &entry.error {
            let _ = writeln!(out, "    cannot be reviewed: {error}");
        }
        for (gate, words) in &entry.signatures {
            let _ = writeln!(out, "    signature of {gate} {words}");
        }
        for unit in &entry.units {
            let revision = unit.revision.as_deref().unwrap_or("—");
            let serial = format!("  unit {}", unit.serial);
            let _ = writeln!(out, "{serial:<32} {revision:<4} {}", three(&unit.gates));
            let last = unit.last_test.as_deref().unwrap_or("never");
            let drift = unit
                .drift
                .as_deref()
                .map_or(String::new(), |d| format!(", drift {d}"));
            let invented = if unit.demonstration {
                ", demonstration"
            } else {
                ""
            };
            let _ = writeln!(out, "    last test {last}{drift}{invented}");
            if let Some((gate, reason)) = unit.first_reason() {
                let options = textwrap::Options::new(80)
                    .initial_indent("    ")
                    .subsequent_indent("      ");
                let line = format!("{} blocked: {reason}", gate.key());
                let _ = writeln!(out, "{}", textwrap::fill(&line, options));
            }
        }
    }
    let units: usize = entries.values().map(|entry| entry.units.len()).sum();
    let _ = writeln!(
        out,
        "{} designs, {units} units; {anew} reviewed anew, the others unchanged",
        entries.len()
    );
    out
}

fn csv(entries: &BTreeMap<String, Entry>) -> Result<String, String> {
    let mut table = csv::Writer::from_writer(Vec::new());
    let told = |error: csv::Error| error.to_string();
    table
        .write_record([
            "design",
            "unit",
            "revision",
            "power",
            "plug",
            "share",
            "last_test",
            "drift",
            "signatures",
            "blocked_by",
            "file",
        ])
        .map_err(told)?;
    for entry in entries.values() {
        let signatures: Vec<String> = entry
            .signatures
            .iter()
            .map(|(gate, words)| format!("{gate} {words}"))
            .collect();
        let signatures = signatures.join("; ");
        let design = [
            &entry.title,
            "",
            entry.revision.as_deref().unwrap_or_default(),
        ];
        let told_of = ["", "", &signatures, "", &entry.file];
        table
            .write_record(design.into_iter().chain(words(&entry.gates)).chain(told_of))
            .map_err(told)?;
        for unit in &entry.units {
            let reasons: Vec<String> = unit
                .reasons
                .iter()
                .map(|(gate, reasons)| format!("{gate}: {}", reasons.join(", ")))
                .collect();
            let built = [
                &entry.title,
                &unit.serial,
                unit.revision.as_deref().unwrap_or_default(),
            ];
            let told_of = [
                unit.last_test.as_deref().unwrap_or_default(),
                unit.drift.as_deref().unwrap_or_default(),
                &signatures,
                &reasons.join("; "),
                &entry.file,
            ];
            table
                .write_record(built.into_iter().chain(words(&unit.gates)).chain(told_of))
                .map_err(told)?;
        }
    }
    let bytes = table.into_inner().map_err(|error| error.to_string())?;
    String::from_utf8(bytes).map_err(|error| error.to_string())
}
