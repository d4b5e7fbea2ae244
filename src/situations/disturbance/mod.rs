//! Disturbances: one thing wrong with a box that is otherwise as designed.
//!
//! A disturbance is an edit of the design, so that the circuit of the disturbed box is built like
//! any other. Owns the list of what can go wrong and what each does to the wiring; knows nothing
//! of what comes of it.

mod edit;
mod faults;
mod slips;
mod weight;

use crate::design::{Design, Part};
use edit::Edit;

/// What sort of thing is wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Class {
    /// A part or a joint has failed, or was bad when it was fitted.
    Fault,
    /// The builder wired or fitted something wrongly.
    Slip,
    /// The user plugs or feeds it wrongly, on any day.
    Handling,
}

impl Class {
    /// The word in tables and JSON.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Fault => "fault",
            Self::Slip => "slip",
            Self::Handling => "handling",
        }
    }
}

/// One thing wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct Disturbance {
    /// The part at which it is.
    pub part: String,
    /// What sort of thing.
    pub class: Class,
    /// In words, to follow the part's name: `in shorted to out, passes its input through`.
    pub words: String,
    /// How much it counts in a weighted coverage: see [`weight`](self).
    pub weight: f64,
    edits: Vec<Edit>,
}

impl Disturbance {
    /// The design with this wrong.
    #[must_use]
    pub fn apply(&self, design: &Design) -> Design {
        let mut disturbed = design.clone();
        for edit in &self.edits {
            edit.apply(&mut disturbed, &self.part);
        }
        disturbed
    }

    /// The same, followed by a pair of another part's terminals going short.
    #[must_use]
    pub fn followed_by_short(&self, design: &Design, part: &str, one: &str, other: &str) -> Design {
        let mut disturbed = self.apply(design);
        Edit::Short {
            one: one.to_owned(),
            other: other.to_owned(),
        }
        .apply(&mut disturbed, part);
        disturbed
    }

    /// `U1: in shorted to out`.
    #[must_use]
    pub fn describe(&self) -> String {
        format!("{}: {}", self.part, self.words)
    }

    /// Does it show only while something is plugged in?
    #[must_use]
    pub fn only_plugged(&self) -> bool {
        self.edits
            .iter()
            .any(|edit| matches!(edit, Edit::HalfIn | Edit::Lead { .. }))
    }
}

/// Everything that can go wrong singly: first what fails, then what a builder or user does, each in
/// the order of the design file.
#[must_use]
pub fn disturbances(design: &Design) -> Vec<Disturbance> {
    let mut all: Vec<Disturbance> = design.parts.values().flat_map(faults::of).collect();
    all.extend(
        design
            .parts
            .values()
            .flat_map(|part| slips::of(design, part)),
    );
    weight::share_out(design, &mut all);
    all
}

/// A disturbance that weighs nothing yet.
fn new(part: &Part, class: Class, words: impl Into<String>, edits: Vec<Edit>) -> Disturbance {
    Disturbance {
        part: part.reference.clone(),
        class,
        words: words.into(),
        weight: 1.0,
        edits,
    }
}

/// A part's wired terminals with their nets, in the order of the file.
fn wired(part: &Part) -> Vec<(&str, &str)> {
    part.terminals
        .iter()
        .filter(|(_, net)| *net != "nc")
        .map(|(terminal, net)| (terminal.as_str(), net.as_str()))
        .collect()
}

/// Every pair of terminals that stand on different nets.
fn pairs<'a>(terminals: &[(&'a str, &str)]) -> Vec<(&'a str, &'a str)> {
    let mut pairs = Vec::new();
    for (index, (one, net)) in terminals.iter().enumerate() {
        for (other, far) in &terminals[index + 1..] {
            if net != far {
                pairs.push((*one, *other));
            }
        }
    }
    pairs
}
