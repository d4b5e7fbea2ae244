//! The reach of one quantity over situations.

use super::SituationId;

/// Lowest, nominal and highest value found, and where.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extent {
    /// Lowest.
    pub low: f64,
    /// In the nominal situation, or in the first that matched.
    pub nominal: f64,
    /// Highest.
    pub high: f64,
    /// Situation of the lowest.
    pub low_at: SituationId,
    /// Situation of the nominal.
    pub nominal_at: SituationId,
    /// Situation of the highest.
    pub high_at: SituationId,
}

/// Why a quantity has no value. Becomes *not assessed*.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    /// What is missing, ready to print.
    pub what: String,
}

impl Missing {
    /// Says what is missing.
    #[must_use]
    pub fn new(what: impl Into<String>) -> Self {
        Self { what: what.into() }
    }
}
