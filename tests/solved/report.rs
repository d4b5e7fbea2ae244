//! How near the solver has to come, in one table, and what was found.

use std::collections::BTreeMap;

use preplug::solver::Statistics;
use serde_json::Value;

/// kind → (relative, absolute floor). Ranges of voltages are treated in [`Report::range`].
const TOLERANCES: [(&str, f64, f64); 12] = [
    ("average voltage", 1e-3, 1e-6),
    ("ripple", 1e-2, 1e-8),
    ("average current", 1e-3, 1e-9),
    ("rms current", 1e-2, 1e-9),
    ("peak current", 1e-2, 1e-9),
    ("peak capacitor current", 1e-2, 1e-9),
    ("mean dissipation", 1e-2, 1e-9),
    ("peak dissipation", 1e-2, 1e-9),
    ("inrush peak", 1e-2, 1e-9),
    ("direct voltage", 1e-6, 1e-6),
    ("direct current", 1e-6, 1e-9),
    ("settling periods", 0.0, 1.0),
];
/// A capacitor's peak currents, where they are a small part of the circuit's greatest capacitor
/// current: of that one. (A regulator's output capacitor carries the derivative of the ripple.)
pub const CAPACITOR_PEAK_FLOOR: f64 = 1e-2;
/// Minimum and maximum: of the node's largest magnitude, and of its ripple.
const RANGE: (f64, f64) = (1e-3, 1e-2);

/// What was compared, and what was not met.
#[derive(Default)]
pub struct Report {
    /// Sort of result → greatest deviation as a part of what is allowed, and where.
    pub worst: BTreeMap<String, (f64, String)>,
    /// Every result that is not met, and every circuit that was not solved.
    pub failures: Vec<String>,
    /// Results compared.
    pub compared: usize,
}

impl Report {
    pub fn note(&mut self, kind: &str, place: &str, got: f64, expected: f64, allowed: f64) {
        self.compared += 1;
        let ratio = (got - expected).abs() / allowed;
        let worst = self.worst.entry(kind.into()).or_default();
        if !(ratio <= worst.0) {
            *worst = (ratio, format!("{place}: {got} against {expected}"));
        }
        if !(ratio <= 1.0) {
            self.failures.push(format!(
                "{place}, {kind}: {got} against {expected} (allowed ±{allowed:e})"
            ));
        }
    }

    pub fn compare(&mut self, kind: &str, place: &str, got: f64, expected: f64) {
        let (_, relative, floor) = tolerance(kind);
        self.note(
            kind,
            place,
            got,
            expected,
            (relative * expected.abs()).max(floor),
        );
    }

    /// Average, minimum, maximum and ripple of a node.
    pub fn range(&mut self, place: &str, got: &Statistics, expected: &Value) {
        let (low, high) = (number(expected, "min"), number(expected, "max"));
        let ripple = number(expected, "pp");
        let allowed = (RANGE.0 * low.abs().max(high.abs()) + RANGE.1 * ripple).max(1e-6);
        self.compare(
            "average voltage",
            place,
            got.average,
            number(expected, "avg"),
        );
        self.note("minimum", place, got.minimum, low, allowed);
        self.note("maximum", place, got.maximum, high, allowed);
        self.compare("ripple", place, got.maximum - got.minimum, ripple);
    }

    /// The greatest deviation of each sort, one a line.
    pub fn show(&self) {
        for (kind, (ratio, place)) in &self.worst {
            println!(
                "{kind}: worst {:.1} % of the tolerance, {place}",
                100.0 * ratio
            );
        }
    }
}

pub fn tolerance(kind: &str) -> (&'static str, f64, f64) {
    *TOLERANCES
        .iter()
        .find(|(name, _, _)| *name == kind)
        .unwrap_or_else(|| panic!("no tolerance for {kind}"))
}

pub fn number(value: &Value, key: &str) -> f64 {
    value[key]
        .as_f64()
        .unwrap_or_else(|| panic!("no {key} in {value}"))
}

pub fn each(value: &Value) -> impl Iterator<Item = (&String, &Value)> {
    value.as_object().into_iter().flatten()
}
