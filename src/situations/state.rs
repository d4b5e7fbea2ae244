//! States: what a person at the box can choose.

use crate::design::Design;
use std::collections::BTreeMap;

/// What is in a jack.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Plugged {
    /// Nothing.
    Nothing,
    /// One of the jack's connections.
    Device {
        /// Index in [`Design::connections`] of the jack.
        index: usize,
        /// Index of the controller's wiring; 0 for an instrument.
        wiring: usize,
        /// Is the device switched on?
        on: bool,
    },
    /// A two-contact plug in a three-contact jack, with nothing on its far end: ring to sleeve.
    TwoContactLead,
}

/// One state of the box and what is plugged into it.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    /// Is the box's own supply on?
    pub powered: bool,
    /// Switch reference → index of its position.
    pub switches: BTreeMap<String, usize>,
    /// Potentiometer or sensor reference (or jack of a plugged controller) → travel, 0..=1.
    pub travel: BTreeMap<String, f64>,
    /// Jack → what is in it.
    pub plugs: BTreeMap<String, Plugged>,
    /// The state in words.
    pub words: String,
}

impl State {
    /// In words.
    #[must_use]
    pub fn describe(&self) -> String {
        self.words.clone()
    }
}

/// Every state of a design, the nominal one first.
#[must_use]
pub fn states(design: &Design) -> Vec<State> {
    let _ = design;
    Vec::new()
}
