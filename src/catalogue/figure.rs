//! One figure of a part and where it came from.

use crate::quantity::Spread;

/// How far a published value was confirmed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mark {
    /// Seen in the primary document.
    Confirmed,
    /// Seen on a secondary page only.
    Secondary,
    /// From memory, not confirmed.
    Memory,
    /// Computed from a stated formula.
    Computed,
    /// Common practice of the trade.
    Practice,
}

impl Mark {
    /// The mark as printed beside a source.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Confirmed => "confirmed",
            Self::Secondary => "seen at second hand",
            Self::Memory => "from memory",
            Self::Computed => "computed",
            Self::Practice => "common practice",
        }
    }
}

/// Where a figure came from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Pedigree {
    /// The designer wrote it in the design file, with the note given beside it, if any.
    Written(Option<String>),
    /// Measured, as the file says.
    Measured(Option<String>),
    /// Guessed, as the file says: printed as guessed.
    Guessed(Option<String>),
    /// Nobody gave it: the kind's default was taken, for the reason given.
    Assumed(String),
    /// From the catalogue: citation and how far it was confirmed.
    Published(String, Mark),
    /// Computed from other figures; says how.
    Derived(String),
}

/// A figure in the unit of its [`crate::catalogue::Property`].
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Low, nominal, high.
    pub spread: Spread,
    /// Source of the nominal.
    pub pedigree: Pedigree,
    /// `true` when the tolerance was not given and the kind's default was taken.
    pub tolerance_assumed: bool,
}
