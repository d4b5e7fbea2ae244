//! The shape of the catalogue's data files, as YAML holds them.

use indexmap::IndexMap;
use serde::Deserialize;
use std::collections::BTreeMap;

/// What several data files share.
pub(super) struct Shared {
    /// Citation texts by key.
    pub(super) sources: BTreeMap<String, String>,
    /// Packages by name.
    pub(super) bodies: BTreeMap<String, Body>,
    /// Fitted forward characteristics by name.
    pub(super) junctions: BTreeMap<String, FitEntry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Body {
    pub(super) outline: String,
    pub(super) view: String,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct Family {
    #[serde(rename = "family")]
    pub(super) name: String,
    pub(super) kind: String,
    pub(super) title: String,
    #[serde(default)]
    pub(super) prefixes: Vec<String>,
    #[serde(default)]
    pub(super) words: BTreeMap<String, String>,
    #[serde(default)]
    pub(super) figures: BTreeMap<String, Entry>,
    #[serde(default)]
    pub(super) columns: BTreeMap<String, Column>,
    #[serde(default)]
    pub(super) grades: BTreeMap<String, BTreeMap<String, Entry>>,
    #[serde(default)]
    pub(super) packages: IndexMap<String, Outfit>,
    #[serde(default)]
    pub(super) fits: BTreeMap<String, FitUse>,
    #[serde(default)]
    pub(super) notes: Vec<String>,
    pub(super) rows: IndexMap<String, Row>,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct Row {
    pub(super) title: Option<String>,
    pub(super) volts: Option<f64>,
    #[serde(default)]
    pub(super) aliases: Vec<String>,
    #[serde(default)]
    pub(super) words: BTreeMap<String, String>,
    #[serde(default)]
    pub(super) cells: BTreeMap<String, Cell>,
    #[serde(default)]
    pub(super) fits: BTreeMap<String, FitUse>,
    #[serde(default)]
    pub(super) notes: Vec<String>,
}

/// One number, or low, nominal and high.
#[derive(Deserialize, Clone, Copy)]
#[serde(untagged)]
pub(super) enum Cell {
    One(f64),
    Three([f64; 3]),
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct Column {
    pub(super) unit: String,
    pub(super) source: Cited,
    pub(super) mark: String,
    /// Rows whose mark is another than the column's.
    #[serde(default)]
    pub(super) marks: BTreeMap<String, String>,
    pub(super) differ: Option<String>,
}

/// A figure as written in the data.
#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct Entry {
    pub(super) is: f64,
    pub(super) low: Option<f64>,
    pub(super) high: Option<f64>,
    pub(super) unit: String,
    #[serde(default)]
    pub(super) per_volt: bool,
    pub(super) source: Cited,
    pub(super) mark: String,
    pub(super) differ: Option<String>,
}

/// One key of the sources, or several.
#[derive(Deserialize)]
#[serde(untagged)]
pub(super) enum Cited {
    One(String),
    Several(Vec<String>),
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct Outfit {
    pub(super) pins: IndexMap<String, String>,
    pub(super) tab: Option<String>,
    #[serde(default)]
    pub(super) figures: BTreeMap<String, Entry>,
    #[serde(default)]
    pub(super) traps: Vec<String>,
    pub(super) source: Cited,
    pub(super) mark: String,
}

/// A fitted characteristic, as it is or moved to pass through a point `[A, V]`.
#[derive(Deserialize, Clone)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct FitUse {
    pub(super) fit: String,
    pub(super) moved_to: Option<[f64; 2]>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FitEntry {
    pub(super) is: f64,
    pub(super) n: f64,
    pub(super) rs: f64,
    pub(super) misfit: f64,
    pub(super) points: Vec<[f64; 2]>,
    pub(super) source: String,
    pub(super) mark: String,
}

/// Defaults of one kind.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct DefaultsEntry {
    #[serde(default)]
    pub(super) tolerances: BTreeMap<String, ToleranceEntry>,
    #[serde(default)]
    pub(super) figures: BTreeMap<String, AssumedEntry>,
}

/// Per cent below and above.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ToleranceEntry {
    pub(super) minus: f64,
    pub(super) plus: f64,
    pub(super) reason: String,
    pub(super) source: String,
    pub(super) mark: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct AssumedEntry {
    pub(super) is: f64,
    pub(super) low: Option<f64>,
    pub(super) high: Option<f64>,
    pub(super) unit: String,
    pub(super) reason: String,
    pub(super) source: String,
    pub(super) mark: String,
}
