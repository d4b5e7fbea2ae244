//! The junction diode, also light-emitting and breakdown diode.
//!
//! `i = Is·(exp(vj/(N·Vt)) − 1) + Gmin·vj − Ibv·exp(−(vj + Bv)/(Nz·Vt))`, `v = vj + Rs·i`.
//! Shockley's equation with series resistance; no charge storage, no recovery. Valid where the
//! fit of the parameters is: from leakage to the surge currents of the part.

use super::{Junction, smooth};

/// Conductance put across a junction that is given none, so that a blocked junction still fixes
/// its node [S].
pub const LEAST_CONDUCTANCE: f64 = 1e-13;

/// A junction's constants, in the form the equation uses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JunctionConstants {
    /// Saturation current Is [A].
    pub saturation: f64,
    /// N·Vt [V].
    pub slope_voltage: f64,
    /// Series resistance Rs [Ω].
    pub series: f64,
    /// Parallel conductance Gmin [S].
    pub shunt: f64,
    /// Breakdown voltage Bv [V]; infinite without breakdown.
    pub breakdown: f64,
    /// Current Ibv at breakdown [A]; zero without breakdown.
    pub breakdown_current: f64,
    /// Nz·Vt [V].
    pub breakdown_slope: f64,
    /// Voltage above which a Newton step is limited: where the exponential's curvature is one
    /// over its slope, `N·Vt·ln(N·Vt/(√2·Is))` [V].
    pub critical: f64,
    /// The same for the breakdown exponential, counted from `−Bv` downwards [V].
    pub breakdown_critical: f64,
}

/// See [`JunctionConstants::critical`].
fn critical(slope: f64, current: f64) -> f64 {
    if current > 0.0 {
        slope * libm::log(slope / (std::f64::consts::SQRT_2 * current))
    } else {
        f64::INFINITY
    }
}

impl From<&Junction> for JunctionConstants {
    fn from(junction: &Junction) -> Self {
        let slope_voltage = junction.ideality * junction.thermal_voltage;
        let (breakdown, breakdown_current, breakdown_slope) = match junction.breakdown {
            Some(b) => (b.voltage, b.current, b.ideality * junction.thermal_voltage),
            None => (f64::INFINITY, 0.0, slope_voltage),
        };
        Self {
            saturation: junction.saturation_current,
            slope_voltage,
            series: junction.series_resistance,
            shunt: junction.shunt_conductance.max(LEAST_CONDUCTANCE),
            breakdown,
            breakdown_current,
            breakdown_slope,
            critical: critical(slope_voltage, junction.saturation_current),
            breakdown_critical: critical(breakdown_slope, breakdown_current),
        }
    }
}

impl JunctionConstants {
    /// No junction at all: the least conductance only.
    #[must_use]
    pub fn open() -> Self {
        Self {
            saturation: 0.0,
            slope_voltage: 1.0,
            series: 0.0,
            shunt: LEAST_CONDUCTANCE,
            breakdown: f64::INFINITY,
            breakdown_current: 0.0,
            breakdown_slope: 1.0,
            critical: f64::INFINITY,
            breakdown_critical: f64::INFINITY,
        }
    }

    /// Current and conductance at the junction voltage `vj` (series resistance not included).
    #[must_use]
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub fn at(&self, vj: f64) -> (f64, f64) {
        let forward = self.saturation * smooth::exp(vj / self.slope_voltage);
        let reverse =
            self.breakdown_current * smooth::exp(-(vj + self.breakdown) / self.breakdown_slope);
        (
            forward - self.saturation + self.shunt * vj - reverse,
            forward / self.slope_voltage + self.shunt + reverse / self.breakdown_slope,
        )
    }

    /// [`JunctionConstants::at`] for a junction without breakdown.
    #[must_use]
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub fn forward_at(&self, vj: f64) -> (f64, f64) {
        let forward = self.saturation * smooth::exp(vj / self.slope_voltage);
        (
            forward - self.saturation + self.shunt * vj,
            forward / self.slope_voltage + self.shunt,
        )
    }

    /// Whether [`JunctionConstants::limited`] may change this step.
    #[must_use]
    #[inline(always)]
    #[allow(clippy::inline_always)]
    #[allow(
        clippy::needless_bitwise_bool,
        reason = "no branch, so that a loop over lanes vectorises"
    )]
    pub fn may_limit(&self, old: f64, new: f64) -> bool {
        (new > self.critical) & (new - old > 2.0 * self.slope_voltage)
            | (-(new + self.breakdown) > self.breakdown_critical)
                & (old - new > 2.0 * self.breakdown_slope)
    }

    /// The junction voltage to linearise at when Newton's method, coming from `old`, predicts
    /// `new`: a step up the exponential goes to the voltage at which the current of the linear
    /// prediction would flow.
    #[must_use]
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub fn limited(&self, old: f64, new: f64) -> f64 {
        let forward = climb(old, new, self.slope_voltage, self.critical);
        if self.breakdown_current > 0.0 {
            -climb(
                -(old + self.breakdown),
                -(forward + self.breakdown),
                self.breakdown_slope,
                self.breakdown_critical,
            ) - self.breakdown
        } else {
            forward
        }
    }
}

/// Limits a step from `old` to `new` towards positive voltages on `exp(v/slope)`.
#[must_use]
#[inline(always)]
#[allow(clippy::inline_always)]
pub(super) fn climb(old: f64, new: f64, slope: f64, critical: f64) -> f64 {
    // Below a few slopes per step the quadratic convergence of Newton's method needs no help.
    if new > critical && new - old > 2.0 * slope {
        let from = old.max(critical);
        from + slope * libm::log1p((new - from).max(0.0) / slope)
    } else {
        new
    }
}
