//! One part as built: its kind, figures, words and wiring.

use crate::catalogue::{Figure, Kind, Property};
use indexmap::IndexMap;
use std::collections::BTreeMap;

/// A part of the design with its catalogue figures already merged in (the design's own win).
#[derive(Debug, Clone)]
pub struct Part {
    /// Reference, e.g. `C1`.
    pub reference: String,
    /// Kind.
    pub kind: Kind,
    /// Catalogue type, e.g. `78L06`, when the design names one.
    pub type_name: Option<String>,
    /// Package, e.g. `TO-92`.
    pub package: Option<String>,
    /// Figures by property.
    pub figures: BTreeMap<Property, Figure>,
    /// Words by key: `law`, `control`, `colour`, `class`, `where`, `grade`, `tab-to`, `contacts` …
    pub words: BTreeMap<String, String>,
    /// Terminal (function) → net. Structured parts use `A.plus`, `A.common`, `A.up`.
    /// A terminal left open is on the reserved net `nc`.
    pub terminals: IndexMap<String, String>,
    /// Physical pin → net, when the design was wired by pins.
    pub pins: IndexMap<String, String>,
    /// Physical pin → function for this type and package, when the catalogue knows it.
    pub pin_functions: IndexMap<String, String>,
    /// Function of the metal tab, when the package has one.
    pub tab: Option<String>,
    /// Poles and throws, where the part has them.
    pub structure: Structure,
    /// Remark of the designer.
    pub note: Option<String>,
}

/// Structure beyond a fixed list of terminals.
#[derive(Debug, Clone, PartialEq)]
pub enum Structure {
    /// A fixed list of terminals.
    Plain,
    /// Switch or relay. A relay's positions are `rest` and `operated`.
    Contacts {
        /// Positions, the nominal one first.
        positions: Vec<String>,
        /// Poles by name.
        poles: IndexMap<String, Pole>,
    },
    /// Op-amp units by name: terminals are `UNIT.plus`, `UNIT.minus`, `UNIT.out`.
    Units(Vec<String>),
    /// Potentiometer or sensor law as a table: travel 0..1 → share of the resistance from `ccw`.
    Law(Vec<(f64, f64)>),
}

/// One pole of a switch or relay.
#[derive(Debug, Clone, PartialEq)]
pub struct Pole {
    /// Net of the common contact.
    pub common: String,
    /// Net of each throw, one for each position; `nc` for an open throw.
    pub throws: Vec<String>,
}

impl Part {
    /// The figure of a property.
    #[must_use]
    pub fn figure(&self, property: Property) -> Option<&Figure> {
        self.figures.get(&property)
    }

    /// Net of a terminal; `None` for an unknown terminal or one left open (`nc`).
    #[must_use]
    pub fn net(&self, terminal: &str) -> Option<&str> {
        self.terminals
            .get(terminal)
            .map(String::as_str)
            .filter(|net| *net != "nc")
    }

    /// A word, e.g. `word("control")`.
    #[must_use]
    pub fn word(&self, key: &str) -> Option<&str> {
        self.words.get(key).map(String::as_str)
    }
}
