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
    /// What was done to it since it was built, in the order of the file.
    pub reworks: Vec<Rework>,
    /// Remarks.
    pub notes: Vec<String>,
    /// Lines of the record that were altered after they were written; what they say is not taken.
    pub altered: Vec<usize>,
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
    /// Keys of the part as the design file would write them, where the unit's file gives them.
    pub with: BTreeMap<String, String>,
    /// Why.
    pub reason: Option<String>,
    /// Where it stands.
    pub span: Span,
}

/// One session at the bench.
#[derive(Debug, Clone, PartialEq)]
pub struct Session {
    /// Number in the record, from 1.
    pub number: u32,
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
    /// Revision of the design it was measured against.
    pub revision: Option<String>,
    /// Fingerprint of the design it was measured against.
    pub design: Option<String>,
    /// A guided bring-up?
    pub guided: bool,
    /// Has a guided bring-up come to its end?
    pub closed: bool,
    /// The readings in the order of the file.
    pub readings: Vec<Reading>,
    /// Steps left out, in the order of the file.
    pub skips: Vec<Skip>,
    /// Remarks made on the way.
    pub remarks: Vec<String>,
    /// Where it stands.
    pub span: Span,
}

/// Where and how something is measured: what a reading and a step of the bring-up have in common.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Test point or net as written; or a supply, measured by itself.
    pub at: String,
    /// The net that is, or the supply.
    pub net: String,
    /// Controls and switches set for it, by the names the design calls them; others stand as
    /// they are nominally.
    pub state: BTreeMap<String, Setting>,
    /// The jack at whose plug it was measured, signal contact against sleeve; at the net against
    /// `gnd` otherwise.
    pub jack: Option<String>,
    /// At a supply's own leads, joined to nothing?
    pub alone: bool,
    /// Plugged into the instrument? Nothing is plugged in otherwise.
    pub plugged: bool,
    /// V with the supply on, Ω with the supply off, A.
    pub unit: quantity::Unit,
}

/// One reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Where and how.
    pub point: Point,
    /// What the meter showed, in the point's unit; infinite for `OL`.
    pub reads: f64,
    /// Remark.
    pub note: Option<String>,
    /// Place in the order of the whole record.
    pub order: usize,
    /// Where it stands.
    pub span: Span,
}

/// A step that was left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Skip {
    /// Where and how it should have been measured.
    pub point: Point,
    /// Why not.
    pub reason: String,
    /// Place in the order of the whole record.
    pub order: usize,
}

/// Something that was done to the unit: what was measured before says nothing of it any more.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rework {
    /// Date, year-month-day.
    pub date: String,
    /// Who.
    pub by: Option<String>,
    /// What was done.
    pub what: String,
    /// Place in the order of the whole record.
    pub order: usize,
}

/// How a control or switch was set.
#[derive(Debug, Clone, PartialEq)]
pub enum Setting {
    /// Position of a switch.
    Position(String),
    /// Travel of a control, 0 to 1.
    Travel(f64),
}

impl Setting {
    /// In words: `up`, `at 50 %`.
    #[must_use]
    pub fn describe(&self) -> String {
        match self {
            Self::Position(position) => position.clone(),
            Self::Travel(travel) => format!("at {} %", percent(*travel)),
        }
    }
}

/// Per cent of a travel as short as it can be written.
pub(super) fn percent(travel: f64) -> String {
    format!("{}", libm::round(travel * 1e6) / 1e4)
}

impl Point {
    /// The same place measured the same way? `TP1` and the net it stands for are one place.
    #[must_use]
    pub fn same(&self, other: &Self) -> bool {
        self.net == other.net
            && self.jack == other.jack
            && self.alone == other.alone
            && self.plugged == other.plugged
            && self.unit == other.unit
            && self.state == other.state
    }

    /// In words: `TP5, Lever at 50 %`.
    #[must_use]
    pub fn describe(&self) -> String {
        let mut words = vec![self.at.clone()];
        for (control, setting) in &self.state {
            words.push(format!("{control} {}", setting.describe()));
        }
        if let Some(jack) = &self.jack {
            words.push(format!("at the plug in {jack}"));
        }
        if self.alone {
            words.push("by itself".to_owned());
        }
        if self.plugged {
            words.push("plugged in".to_owned());
        }
        if self.unit == quantity::Unit::Ohm {
            words.push("supply off".to_owned());
        }
        words.join(", ")
    }
}
