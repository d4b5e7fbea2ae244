//! One built unit as its file tells it.

use super::Meter;
use crate::quantity;
use crate::source::Span;
use std::collections::BTreeMap;

/// A built unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Unit {
    /// Path of its file.
    pub path: String,
    /// Invented for a demonstration; never opens `share`.
    pub demonstration: bool,
    /// Serial number as written, e.g. `001`.
    pub serial: String,
    /// Title of the design it was built to, as written.
    pub design: Option<String>,
    /// Revision of the design it was built to, as written.
    pub revision: Option<String>,
    /// Who built it.
    pub builder: Option<String>,
    /// Build date, year-month-day.
    pub built: Option<String>,
    /// Parts built otherwise than designed.
    pub substitutions: Vec<Substitution>,
    /// Photographs: paths beside the unit's file.
    pub photos: Vec<String>,
    /// Sessions at the bench in the order of the file.
    pub sessions: Vec<Session>,
    /// Remarks.
    pub notes: Vec<String>,
    /// Where the file begins.
    pub span: Span,
}

/// A part built otherwise than designed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Substitution {
    /// Reference in the design.
    pub part: String,
    /// What was fitted, as written.
    pub as_built: String,
    /// Why.
    pub reason: Option<String>,
    /// Where it stands.
    pub span: Span,
}

/// One session at the bench.
#[derive(Debug, Clone, PartialEq)]
pub struct Session {
    /// Date, year-month-day.
    pub date: String,
    /// Who measured.
    pub by: Option<String>,
    /// Remark.
    pub note: Option<String>,
    /// What was measured with.
    pub meter: Meter,
    /// Mains voltage while measuring [V].
    pub mains: Option<f64>,
    /// Temperature while measuring [°C].
    pub ambient: Option<f64>,
    /// The readings in the order of the file.
    pub readings: Vec<Reading>,
    /// Where it stands.
    pub span: Span,
}

/// One reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Test point or net as written.
    pub at: String,
    /// The net that is.
    pub net: String,
    /// Controls and switches set for it, by the names the design calls them; others stand as
    /// they are nominally.
    pub state: BTreeMap<String, Setting>,
    /// What the meter showed, in `unit`.
    pub reads: f64,
    /// V, A or Ω.
    pub unit: quantity::Unit,
    /// Remark.
    pub note: Option<String>,
    /// Where it stands.
    pub span: Span,
}

/// How a control or switch was set.
#[derive(Debug, Clone, PartialEq)]
pub enum Setting {
    /// Position of a switch.
    Position(String),
    /// Travel of a control, 0 to 1.
    Travel(f64),
}
