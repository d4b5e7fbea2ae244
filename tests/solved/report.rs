//! How near the solver has to come, in one table, and what was found.

use std::collections::BTreeMap;

use preplug::solver::{Failure, Statistics};
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
/// A current's average, where it is the small difference of pulses either way (two rails with nearly
/// equal loads on one winding): of its rms.
const CANCELLED_AVERAGE: f64 = 1e-5;
/// Minimum and maximum: of the node's largest magnitude, and of its ripple.
const RANGE: (f64, f64) = (1e-3, 1e-2);

/// In a sweep, as the program solves its situations, a period counts as closed with more left
/// (`Settings::sweep`). That moves averages of currents, by up to this part of their rms, and every
/// voltage, by up to this part of the circuit's greatest, and every ripple, by up to this.
/// Project choice, from the settings and the worst deviation of the random circuits.
const SWEPT: (f64, f64, f64) = (1e-3, 5e-5, 1e-6);

/// How the steady states are solved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum How {
    /// One by one.
    #[default]
    Alone,
    /// As the program solves its situations.
    Swept,
    /// One by one, with much finer steps.
    Fine,
}

/// What was compared, and what was not met.
#[derive(Default)]
pub struct Report {
    pub how: How,
    /// The present circuit's greatest voltage.
    pub greatest_voltage: f64,
    /// Sort of result → greatest deviation as a part of what is allowed, and where.
    pub worst: BTreeMap<String, (f64, String)>,
    /// Every result that is not met, with its deviation as a part of what is allowed, and every
    /// circuit that was not solved. The text begins with the circuit's id.
    pub failures: Vec<(f64, String)>,
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
            let text = format!("{place}, {kind}: {got} against {expected} (allowed ±{allowed:e})");
            self.failures.push((ratio, text));
        }
    }

    /// The solver gave no solution.
    pub fn unsolved(&mut self, place: &str, failure: &Failure) {
        self.failures
            .push((f64::INFINITY, format!("{place}: {failure}")));
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

    /// An average of a current of this rms.
    pub fn average_current(&mut self, place: &str, got: f64, expected: f64, rms: f64) {
        let kind = "average current";
        let (_, relative, floor) = tolerance(kind);
        let of_rms = if self.how == How::Swept {
            SWEPT.0
        } else {
            CANCELLED_AVERAGE
        };
        let allowed = (relative * expected.abs()).max(floor).max(of_rms * rms);
        self.note(kind, place, got, expected, allowed);
    }

    /// Average, minimum, maximum and ripple of a node.
    pub fn range(&mut self, place: &str, got: &Statistics, expected: &Value) {
        let (low, high) = (number(expected, "min"), number(expected, "max"));
        let (average, ripple) = (number(expected, "avg"), number(expected, "pp"));
        let (voltage, of_ripple) = (tolerance("average voltage"), tolerance("ripple"));
        let swept = if self.how == How::Swept {
            SWEPT.1 * self.greatest_voltage
        } else {
            0.0
        };
        let floor = voltage.2.max(swept);
        let within = RANGE.0 * low.abs().max(high.abs()) + RANGE.1 * ripple;
        let ripple_floor = if self.how == How::Swept {
            voltage.2.max(SWEPT.2 * self.greatest_voltage)
        } else {
            of_ripple.2
        };
        for (kind, got, expected, within, floor) in [
            (
                voltage.0,
                got.average,
                average,
                voltage.1 * average.abs(),
                floor,
            ),
            ("minimum", got.minimum, low, within, floor),
            ("maximum", got.maximum, high, within, floor),
            (
                of_ripple.0,
                got.maximum - got.minimum,
                ripple,
                of_ripple.1 * ripple,
                ripple_floor,
            ),
        ] {
            self.note(kind, place, got, expected, within.max(floor));
        }
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
