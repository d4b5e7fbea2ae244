//! What a check says of one place.

use super::Gate;
use crate::evidence::{Missing, SituationId};
use crate::quantity::Unit;

/// What an outcome speaks of.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Subject {
    /// A part by reference.
    Part(String),
    /// A net.
    Net(String),
    /// A promise by index.
    Promise(usize),
    /// The design as a whole.
    Design,
}

/// A place: the subject and the key route in the design file that it stands at.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// Subject.
    pub subject: Subject,
    /// Key route, e.g. `parts.C1.rating`; the nearest existing prefix is shown.
    pub route: String,
}

impl Place {
    /// A part.
    #[must_use]
    pub fn part(reference: &str) -> Self {
        Self {
            subject: Subject::Part(reference.into()),
            route: format!("parts.{reference}"),
        }
    }

    /// A part, at one key of its entry.
    #[must_use]
    pub fn part_key(reference: &str, key: &str) -> Self {
        Self {
            subject: Subject::Part(reference.into()),
            route: format!("parts.{reference}.{key}"),
        }
    }

    /// A net; printed at `route`.
    #[must_use]
    pub fn net(net: &str, route: &str) -> Self {
        Self {
            subject: Subject::Net(net.into()),
            route: route.into(),
        }
    }

    /// The design as a whole, at a key.
    #[must_use]
    pub fn design(route: &str) -> Self {
        Self {
            subject: Subject::Design,
            route: route.into(),
        }
    }

    /// Short name: `C1`, `rail+`, `the design`.
    #[must_use]
    pub fn label(&self) -> String {
        match &self.subject {
            Subject::Part(name) | Subject::Net(name) => name.clone(),
            Subject::Promise(index) => format!("promise {}", index + 1),
            Subject::Design => "the design".into(),
        }
    }
}

/// Which side of the limit is good.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bound {
    /// The value must not exceed the limit.
    AtMost,
    /// The value must not fall below the limit.
    AtLeast,
}

/// A computed value against its limit.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// What was compared, e.g. `peak reverse voltage`.
    pub quantity: String,
    /// The worst value.
    pub value: f64,
    /// The limit.
    pub limit: f64,
    /// Unit of both.
    pub unit: Unit,
    /// Which side is good.
    pub bound: Bound,
    /// Situation of the worst value; `None` where no situation enters.
    pub situation: Option<SituationId>,
    /// What the limit is and where it came from, e.g. `80 % of 35 V (benign derating)`.
    pub limit_is: String,
}

impl Comparison {
    /// Does the value stand on the good side? A value at the limit does; NaN never does.
    #[must_use]
    pub fn holds(&self) -> bool {
        match self.bound {
            Bound::AtMost => self.value <= self.limit,
            Bound::AtLeast => self.value >= self.limit,
        }
    }

    /// Distance to the limit, positive on the good side, in the unit.
    #[must_use]
    pub fn margin(&self) -> f64 {
        match self.bound {
            Bound::AtMost => self.limit - self.value,
            Bound::AtLeast => self.value - self.limit,
        }
    }
}

/// Something is wrong at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Failure {
    /// The gate this failure blocks (at most as severe as its check's).
    pub gate: Gate,
    /// What is wrong and how bad, one sentence with numbers and units.
    pub what: String,
    /// What happens then.
    pub why: String,
    /// What to do, naming parts and values.
    pub remedy: String,
    /// The numbers, where there are any.
    pub comparison: Option<Comparison>,
    /// Other places that belong to it.
    pub related: Vec<Place>,
}

/// What a check says of one place.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// It holds, with its margin where there is a number.
    Holds {
        /// Where.
        place: Place,
        /// Short statement, e.g. `connected the right way round`.
        says: String,
        /// The numbers.
        comparison: Option<Comparison>,
    },
    /// It fails.
    Fails {
        /// Where.
        place: Place,
        /// The failure.
        failure: Box<Failure>,
    },
    /// It does not apply.
    DoesNotApply {
        /// Where.
        place: Place,
        /// Why not.
        why: String,
    },
    /// It could not be assessed: blocks the gate until a person signs the line.
    NotAssessed {
        /// Where.
        place: Place,
        /// The gate that stays blocked.
        gate: Gate,
        /// What is missing.
        missing: String,
    },
}

impl Outcome {
    /// The place.
    #[must_use]
    pub fn place(&self) -> &Place {
        match self {
            Self::Holds { place, .. }
            | Self::Fails { place, .. }
            | Self::DoesNotApply { place, .. }
            | Self::NotAssessed { place, .. } => place,
        }
    }

    /// *Not assessed* for want of evidence.
    #[must_use]
    pub fn missing(place: Place, gate: Gate, missing: &Missing) -> Self {
        Self::NotAssessed {
            place,
            gate,
            missing: missing.what.clone(),
        }
    }

    /// *Holds* or *fails* by a comparison; `failure` is asked for only when it fails.
    #[must_use]
    pub fn compare(
        place: Place,
        comparison: Comparison,
        failure: impl FnOnce(&Comparison) -> Failure,
    ) -> Self {
        if comparison.holds() {
            let says = comparison.quantity.clone();
            Self::Holds {
                place,
                says,
                comparison: Some(comparison),
            }
        } else {
            let mut failure = failure(&comparison);
            failure.comparison = Some(comparison);
            Self::Fails {
                place,
                failure: Box::new(failure),
            }
        }
    }
}
