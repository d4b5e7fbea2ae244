//! What a check says of one place.

use super::Gate;
use crate::evidence::{Extent, Missing, SituationId};
use crate::quantity::{Unit, format};

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

    /// A promise, by its index in the design.
    #[must_use]
    pub fn promise(index: usize) -> Self {
        Self {
            subject: Subject::Promise(index),
            route: format!("promises.{index}"),
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

/// Share of a limit that is the rounding of arithmetic and nothing else.
const ROUNDING: f64 = 1e-9;

/// What counts as no voltage at all [V]: an output that rests at zero is solved to within this.
const ZERO: f64 = 1e-5;

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
    /// The highest value of an extent must not exceed a limit.
    pub fn at_most(
        quantity: impl Into<String>,
        extent: &Extent,
        limit: f64,
        unit: Unit,
        limit_is: impl Into<String>,
    ) -> Self {
        Self {
            quantity: quantity.into(),
            value: extent.high,
            limit,
            unit,
            bound: Bound::AtMost,
            situation: Some(extent.high_at),
            limit_is: limit_is.into(),
        }
    }

    /// The lowest value of an extent must not fall below a limit.
    pub fn at_least(
        quantity: impl Into<String>,
        extent: &Extent,
        limit: f64,
        unit: Unit,
        limit_is: impl Into<String>,
    ) -> Self {
        Self {
            quantity: quantity.into(),
            value: extent.low,
            limit,
            unit,
            bound: Bound::AtLeast,
            situation: Some(extent.low_at),
            limit_is: limit_is.into(),
        }
    }

    /// A value that no situation enters, against a limit.
    pub fn fixed(
        quantity: impl Into<String>,
        value: f64,
        bound: Bound,
        limit: f64,
        unit: Unit,
        limit_is: impl Into<String>,
    ) -> Self {
        Self {
            quantity: quantity.into(),
            value,
            limit,
            unit,
            bound,
            situation: None,
            limit_is: limit_is.into(),
        }
    }

    /// The value with its unit.
    #[must_use]
    pub fn value_text(&self) -> String {
        format(self.value, self.unit)
    }

    /// The limit with its unit.
    #[must_use]
    pub fn limit_text(&self) -> String {
        format(self.limit, self.unit)
    }

    /// By how much the limit is missed: `2.30 V (9 %)`; no share of a limit of zero or of a
    /// temperature, whose zero means nothing.
    #[must_use]
    pub fn gap(&self) -> String {
        let gap = self.margin().abs();
        if self.unit == Unit::Celsius {
            return format(gap, Unit::Kelvin);
        }
        if self.limit == 0.0 {
            return format(gap, self.unit);
        }
        let share = 100.0 * gap / self.limit.abs();
        let places = usize::from(share < 1.0);
        format!("{} ({share:.places$} %)", format(gap, self.unit))
    }

    /// Does the value stand on the good side? A value at the limit does, but for rounding; NaN
    /// never does.
    #[must_use]
    pub fn holds(&self) -> bool {
        let zero = if self.unit == Unit::Volt { ZERO } else { 0.0 };
        let slack = zero.max(ROUNDING * self.limit.abs());
        match self.bound {
            Bound::AtMost => self.value <= self.limit + slack,
            Bound::AtLeast => self.value >= self.limit - slack,
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

impl Failure {
    /// A failure in words: what is wrong, what happens then, what to do.
    pub fn new(
        gate: Gate,
        what: impl Into<String>,
        why: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            gate,
            what: what.into(),
            why: why.into(),
            remedy: remedy.into(),
            comparison: None,
            related: Vec::new(),
        }
    }

    /// The same with other places that belong to it.
    #[must_use]
    pub fn with(mut self, related: Vec<Place>) -> Self {
        self.related = related;
        self
    }
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

    /// *Holds*, without a number.
    pub fn holds(place: Place, says: impl Into<String>) -> Self {
        Self::Holds {
            place,
            says: says.into(),
            comparison: None,
        }
    }

    /// *Fails*, without a number.
    #[must_use]
    pub fn fails(place: Place, failure: Failure) -> Self {
        Self::Fails {
            place,
            failure: Box::new(failure),
        }
    }

    /// *Does not apply*.
    pub fn does_not_apply(place: Place, why: impl Into<String>) -> Self {
        Self::DoesNotApply {
            place,
            why: why.into(),
        }
    }

    /// *Not assessed*.
    pub fn not_assessed(place: Place, gate: Gate, missing: impl Into<String>) -> Self {
        Self::NotAssessed {
            place,
            gate,
            missing: missing.into(),
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
