//! Printing values.

use super::Unit;

/// A value with its unit, three significant figures and an engineering prefix.
#[must_use]
pub fn format(value: f64, unit: Unit) -> String {
    format!("{value:.3} {}", unit.symbol())
}
