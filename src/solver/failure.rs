//! What can keep the solver from an answer. Every variant names the places concerned.

use std::fmt;

/// Why there is no solution to report. A value that depends on it is *not assessed*.
#[derive(Debug, Clone, PartialEq)]
pub enum Failure {
    /// Ideal voltage sources (zero resistance) form a loop: no current satisfies them.
    SourcesInConflict {
        /// The elements of the loop.
        elements: Vec<String>,
    },
    /// Sources whose frequencies are not whole multiples of the lowest one.
    FrequenciesUnrelated {
        /// The elements, the lowest frequency first.
        elements: Vec<String>,
    },
    /// A parameter that the model cannot take.
    ParameterOutOfRange {
        /// The element.
        element: String,
        /// The parameter.
        parameter: &'static str,
        /// Its value, in SI units.
        value: f64,
    },
    /// Netlists given as one sweep differ in their elements or connections.
    TopologiesDiffer {
        /// Index of the first netlist that differs from the first.
        netlist: usize,
    },
    /// Newton's method found no solution of the equations at one instant, with every fallback.
    NewtonDiverged {
        /// Time [s]; zero for an operating point.
        time: f64,
        /// The element whose equation was furthest from being met, if one could be told.
        element: String,
    },
    /// The steady state was not found: one period did not return to its starting point.
    PeriodNotClosed {
        /// The storage element with the largest remaining change.
        element: String,
        /// That change over one period, relative to the size of its state.
        change: f64,
        /// Periods computed.
        periods: usize,
    },
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::SourcesInConflict { elements } => {
                write!(f, "ideal sources in conflict: {}", elements.join(", "))
            }
            Self::FrequenciesUnrelated { elements } => write!(
                f,
                "frequencies without a common period: {}",
                elements.join(", ")
            ),
            Self::ParameterOutOfRange {
                element,
                parameter,
                value,
            } => write!(f, "{element}: {parameter} cannot be {value}"),
            Self::TopologiesDiffer { netlist } => {
                write!(f, "circuit {netlist} of the sweep is wired differently")
            }
            Self::NewtonDiverged { time, element } => {
                let milliseconds = time * 1e3;
                write!(
                    f,
                    "no solution found at {milliseconds:.4} ms, worst at {element}"
                )
            }
            Self::PeriodNotClosed {
                element,
                change,
                periods,
            } => write!(
                f,
                "no steady state after {periods} periods: {element} still changes by {change:e} of its size"
            ),
        }
    }
}

impl std::error::Error for Failure {}
