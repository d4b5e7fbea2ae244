//! Forward characteristics of junctions: the fitted equation at low, typical and high drop.

use super::Mark;

/// kT/q at 25 °C [V], at which the fits were made.
pub const FIT_THERMAL_VOLTAGE: f64 = 0.025_693;

/// Which of a junction's forward characteristics.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Drop {
    /// Least forward voltage: highest rails, highest reverse voltage on the others.
    Low,
    /// Typical.
    Typical,
    /// Highest forward voltage that the makers allow: lowest rails.
    High,
}

/// `v = N·Vt·ln(i/Is + 1) + i·Rs` with `Vt` = 25.693 mV (25 °C); v in V, i in A.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Saturation current Is [A].
    pub saturation_current: f64,
    /// Ideality factor N.
    pub ideality: f64,
    /// Series resistance Rs [Ω].
    pub series_resistance: f64,
    /// The points it was fitted to.
    pub points: Vec<Point>,
    /// Largest distance of a point from the curve [V]; 0 where the fit was shifted, not made.
    pub misfit: f64,
    /// Where the points came from, and how the fit was made.
    pub source: String,
    /// How far the points were confirmed (the weakest of them).
    pub mark: Mark,
}

/// One point of a forward characteristic.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Current [A].
    pub current: f64,
    /// Voltage [V].
    pub voltage: f64,
}

/// The three forward characteristics of a junction.
///
/// Take [`Drop::Typical`] at nominal and the other two at the corners. Where only a typical curve
/// was fitted, low and high are that curve moved along the voltage axis to the ends of the
/// type's `forward-voltage` at its `test-current` (the saturation current is scaled; N and Rs
/// stay), which says no more than that figure does.
#[derive(Debug, Clone, PartialEq)]
pub struct Fits {
    /// Least drop.
    pub low: Fit,
    /// Typical drop.
    pub typical: Fit,
    /// Highest drop.
    pub high: Fit,
}

impl Fits {
    /// The fit at one end.
    #[must_use]
    pub fn at(&self, drop: Drop) -> &Fit {
        match drop {
            Drop::Low => &self.low,
            Drop::Typical => &self.typical,
            Drop::High => &self.high,
        }
    }
}

impl Fit {
    /// Forward voltage [V] at a current [A] and 25 °C.
    #[must_use]
    pub fn voltage(&self, current: f64) -> f64 {
        self.ideality * FIT_THERMAL_VOLTAGE * libm::log1p(current / self.saturation_current)
            + current * self.series_resistance
    }

    /// The same curve moved so that it passes through `voltage` at `current`: the saturation
    /// current is scaled by `exp(−Δv/(N·Vt))`.
    #[must_use]
    pub fn through(&self, current: f64, voltage: f64) -> Self {
        let shift = voltage - self.voltage(current);
        let scale = libm::exp(-shift / (self.ideality * FIT_THERMAL_VOLTAGE));
        Self {
            saturation_current: self.saturation_current * scale,
            points: vec![Point { current, voltage }],
            misfit: 0.0,
            source: format!(
                "{}, moved to {voltage:.2} V at {:.0} mA",
                self.source,
                current * 1e3
            ),
            ..self.clone()
        }
    }
}
