//! How a situation was solved, for a log that a developer can read.

use crate::solver::{Method, Passage, Periodic};

/// How one situation was solved.
#[derive(Debug, Clone, PartialEq)]
pub struct Account {
    /// How its solution was reached.
    pub method: Method,
    /// Iterations of Newton's method at instants, over all periods.
    pub iterations: usize,
    /// The periods integrated; none for an operating point.
    pub course: Vec<Passage>,
    /// Largest correction of a state that was left, relative to the circuit's voltages.
    pub residual: f64,
}

impl From<&Periodic> for Account {
    fn from(found: &Periodic) -> Self {
        Self {
            method: found.method,
            iterations: found.iterations,
            course: found.course.clone(),
            residual: found.residual,
        }
    }
}
