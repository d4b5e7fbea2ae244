//! What may be said of each kind of part: one row per kind.
//!
//! The reader and whoever describes the language to an editor (a JSON Schema) work from these
//! rows alone. Figures and their units are those of [`Property`]; tolerances and figures taken
//! when nothing is said are the catalogue's ([`crate::catalogue::defaults`]).

mod rows;

use crate::catalogue::{Kind, Property};

pub use rows::{ROWS, row};

/// The language's terms for one kind.
#[derive(Debug, Clone, Copy)]
pub struct Row {
    /// Kind.
    pub kind: Kind,
    /// With its article, for messages: `a resistor`.
    pub name: &'static str,
    /// How it is wired.
    pub wiring: Wiring,
    /// Figures without which nothing can be computed: of each group one must be given, by the
    /// design or by the type.
    pub needs: &'static [&'static [Property]],
    /// Figures that may be given besides.
    pub may: &'static [Property],
    /// Words that may be given.
    pub words: &'static [Word],
}

/// How a kind is wired.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wiring {
    /// One of several sets of terminals; the first is the usual one.
    Terminals(&'static [Terminals]),
    /// Terminals, and units with terminals of their own (`UNIT.plus`).
    Units {
        /// Of the whole part.
        shared: &'static [&'static str],
        /// Of each unit.
        each: &'static [&'static str],
    },
    /// Terminals, and poles with throws.
    Contacts {
        /// Of the whole part.
        shared: &'static [&'static str],
    },
    /// By the names of its own pins.
    Named,
}

/// A set of terminals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Terminals {
    /// Each must be wired (to `nc` when left open).
    pub required: &'static [&'static str],
    /// Left open when not named.
    pub optional: &'static [&'static str],
}

/// A word of a kind.
#[derive(Debug, Clone, Copy)]
pub struct Word {
    /// Key.
    pub key: &'static str,
    /// What may stand there.
    pub allowed: Allowed,
    /// Must it be given, by the design or the type?
    pub required: bool,
}

/// What may stand for a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Allowed {
    /// Any text.
    Any,
    /// One of these.
    One(&'static [&'static str]),
    /// `true` or `false`.
    Flag,
    /// `enclosure`, `free`, or a net.
    TabTo,
    /// A law: one of the words, or a table of travel and share.
    Law,
}

/// How low a figure may go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Floor {
    /// Any sign.
    Any,
    /// Zero or more.
    Zero,
    /// More than zero.
    Above,
}

/// Keys of a part that are neither figures nor words.
pub const PART_KEYS: &[&str] = &[
    "kind",
    "type",
    "package",
    "nets",
    "pins",
    "units",
    "positions",
    "poles",
    "note",
];

/// How low a figure of a kind may go.
#[must_use]
pub fn floor(property: Property, kind: Kind) -> Floor {
    use Property as P;
    match property {
        P::TemperatureCoefficient
        | P::Offset
        | P::BiasCurrent
        | P::TemperatureLimit
        | P::JunctionLimit
        | P::InputHeadroomHigh
        | P::InputHeadroomLow => Floor::Any,
        P::Resistance
        | P::Esr
        | P::EndResistance
        | P::LeakageCurrent
        | P::SeriesResistance
        | P::DynamicResistance
        | P::ContactResistance
        | P::AdjustCurrent
        | P::QuiescentCurrent
        | P::MinimumLoad
        | P::MinimumCurrent
        | P::LineRegulation
        | P::LoadRegulation
        | P::LineRegulationRatio
        | P::LoadRegulationRatio
        | P::OutputHeadroomHigh
        | P::OutputHeadroomLow
        | P::OutputResistance
        | P::InputCapacitor
        | P::OutputCapacitor
        | P::SupplyMinimum
        | P::CaseToSink
        | P::InputRange
        | P::LoadRange
        | P::DropoutLight => Floor::Zero,
        P::Current if kind == Kind::Load => Floor::Zero,
        _ => Floor::Above,
    }
}

/// Values of a kind outside which a slip of the prefix is likelier than the part; `None` where
/// anything goes. Project choice: what is on sale for small boxes.
#[must_use]
pub fn plausible(kind: Kind) -> Option<(f64, f64)> {
    Some(match kind {
        Kind::Resistor | Kind::Potentiometer | Kind::Thermistor => (0.01, 1e8),
        Kind::Electrolytic => (1e-8, 0.2),
        Kind::Tantalum => (1e-8, 3e-3),
        Kind::Ceramic | Kind::Film => (1e-13, 2e-4),
        Kind::Inductor => (1e-9, 100.0),
        Kind::Zener | Kind::TransientSuppressor => (1.0, 400.0),
        _ => return None,
    })
}

impl Row {
    /// Every figure that may be given.
    pub fn figures(&self) -> impl Iterator<Item = Property> + '_ {
        let needs = self.needs.iter().flat_map(|group| group.iter());
        needs.chain(self.may).copied()
    }

    /// Every key a part of this kind takes.
    #[must_use]
    pub fn keys(&self) -> Vec<&'static str> {
        let own = |key: &&str| match *key {
            "units" => matches!(self.wiring, Wiring::Units { .. }),
            "positions" | "poles" => matches!(self.wiring, Wiring::Contacts { .. }),
            _ => true,
        };
        let mut keys: Vec<&'static str> = PART_KEYS.iter().filter(|k| own(k)).copied().collect();
        keys.extend(self.figures().map(Property::key));
        keys.extend(self.words.iter().map(|word| word.key));
        keys
    }

    /// The rule of a word.
    #[must_use]
    pub fn word(&self, key: &str) -> Option<&'static Word> {
        self.words.iter().find(|word| word.key == key)
    }
}
