//! What the designer intends the box to do: the requirement table.

use crate::quantity::Spread;
use crate::source::Span;
use std::collections::BTreeMap;

/// One promise.
#[derive(Debug, Clone)]
pub struct Promise {
    /// What is promised.
    pub promised: Promised,
    /// States to which it is narrowed: switch or control name → positions.
    pub when: BTreeMap<String, Vec<String>>,
    /// As the design words it, for printing.
    pub text: String,
    /// Where it stands.
    pub span: Span,
}

/// The kinds of promise.
#[derive(Debug, Clone)]
pub enum Promised {
    /// `at: NET, is: 6 V ± 5 %`: the mean stays within, at every corner.
    Is {
        /// Net.
        at: String,
        /// Range [V].
        range: Spread,
    },
    /// `at: NET, spans: -3.5..3.5 V, over: CONTROL`: the output reaches at least both ends.
    Spans {
        /// Net.
        at: String,
        /// Lower end [V].
        low: f64,
        /// Upper end [V].
        high: f64,
        /// Control swept.
        over: String,
    },
    /// `at: NET, ripple: 5 mV`: peak-to-peak at most.
    Ripple {
        /// Net.
        at: String,
        /// Limit [V peak-to-peak].
        limit: f64,
    },
    /// `part: U1, junction: 100 °C`: at most.
    Junction {
        /// Part.
        part: String,
        /// Limit [°C].
        limit: f64,
    },
}
