//! The junction diode, also light-emitting and breakdown diode.
//!
//! `i = Is·(exp(vj/(N·Vt)) − 1) + Gmin·vj − Ibv·exp(−(vj + Bv)/(Nz·Vt))`, `v = vj + Rs·i`.
//! Shockley's equation with series resistance; no charge storage, no recovery. Valid where the
//! fit of the parameters is: from leakage to the surge currents of the part.

#![allow(clippy::inline_always, reason = "runs inside the vectorised solver")]

use super::real::{Mask, Real};
use super::{Junction, smooth};

/// Conductance put across a junction that is given none, so that a blocked junction still fixes
/// its node [S].
pub const LEAST_CONDUCTANCE: f64 = 1e-13;

/// A junction's constants, in the form the equation uses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JunctionConstants<R> {
    /// Saturation current Is [A].
    pub saturation: R,
    /// N·Vt [V], and one over it.
    slope_voltage: R,
    steepness: R,
    /// Series resistance Rs [Ω].
    pub series: R,
    /// Parallel conductance Gmin [S].
    pub shunt: R,
    /// Breakdown voltage Bv [V]; out of reach without breakdown.
    breakdown: R,
    /// Current Ibv at breakdown [A]; zero without breakdown.
    breakdown_current: R,
    /// Nz·Vt [V], and one over it.
    breakdown_slope: R,
    breakdown_steepness: R,
    /// Voltage above which a Newton step is limited: where the exponential's curvature is one
    /// over its slope, `N·Vt·ln(N·Vt/(√2·Is))` [V].
    critical: R,
    /// The same for the breakdown exponential, counted from `−Bv` downwards [V].
    breakdown_critical: R,
    /// Whether any lane has a breakdown.
    breaks_down: bool,
}

/// A voltage that no junction reaches [V].
const OUT_OF_REACH: f64 = 1e9;

/// See [`JunctionConstants::critical`].
fn critical(slope: f64, current: f64) -> f64 {
    if current > 0.0 {
        slope * libm::log(slope / (std::f64::consts::SQRT_2 * current))
    } else {
        OUT_OF_REACH
    }
}

impl From<&Junction> for JunctionConstants<f64> {
    fn from(junction: &Junction) -> Self {
        Self::gather(0.0, |_| Some(*junction))
    }
}

impl<R: Real> JunctionConstants<R> {
    /// A junction per lane; `None` is no junction at all, the least conductance only.
    pub fn gather(like: R, junction: impl Fn(usize) -> Option<Junction>) -> Self {
        let of = |value: &dyn Fn(&Junction) -> f64, open: f64| {
            like.gather(|lane| junction(lane).as_ref().map_or(open, value))
        };
        let slope = |j: &Junction| j.ideality * j.thermal_voltage;
        let breakdown_slope = |j: &Junction| match j.breakdown {
            Some(b) => b.ideality * j.thermal_voltage,
            None => slope(j),
        };
        let breakdown_current = |j: &Junction| j.breakdown.map_or(0.0, |b| b.current);
        Self {
            saturation: of(&|j| j.saturation_current, 0.0),
            slope_voltage: of(&slope, 1.0),
            steepness: of(&|j| 1.0 / slope(j), 1.0),
            series: of(&|j| j.series_resistance, 0.0),
            shunt: of(
                &|j| j.shunt_conductance.max(LEAST_CONDUCTANCE),
                LEAST_CONDUCTANCE,
            ),
            breakdown: of(
                &|j| j.breakdown.map_or(OUT_OF_REACH, |b| b.voltage),
                OUT_OF_REACH,
            ),
            breakdown_current: of(&breakdown_current, 0.0),
            breakdown_slope: of(&breakdown_slope, 1.0),
            breakdown_steepness: of(&|j| 1.0 / breakdown_slope(j), 1.0),
            critical: of(&|j| critical(slope(j), j.saturation_current), OUT_OF_REACH),
            breakdown_critical: of(
                &|j| critical(breakdown_slope(j), breakdown_current(j)),
                OUT_OF_REACH,
            ),
            breaks_down: (0..R::LANES)
                .any(|lane| junction(lane).is_some_and(|j| breakdown_current(&j) > 0.0)),
        }
    }

    /// Current and conductance at the junction voltage `vj` (series resistance not included).
    #[must_use]
    #[inline(always)]
    pub fn at(&self, vj: R) -> (R, R) {
        let forward = self.saturation * smooth::tail(vj * self.steepness);
        let (mut current, mut gain) = (
            forward - self.saturation + self.shunt * vj,
            forward * self.steepness + self.shunt,
        );
        if self.breaks_down {
            let reverse = self.breakdown_current
                * smooth::tail(-(vj + self.breakdown) * self.breakdown_steepness);
            current -= reverse;
            gain += reverse * self.breakdown_steepness;
        }
        (current, gain)
    }

    /// The junction voltage to linearise at when Newton's method, coming from `old`, predicts
    /// `new`: a step up the exponential goes to the voltage at which the current of the linear
    /// prediction would flow.
    #[must_use]
    #[inline(always)]
    pub fn limited(&self, old: R, new: R) -> R {
        let up = climbs(old, new, self.slope_voltage, self.critical);
        let (back_old, back_new) = (-(old + self.breakdown), -(new + self.breakdown));
        let down = climbs(
            back_old,
            back_new,
            self.breakdown_slope,
            self.breakdown_critical,
        );
        if !(up | down).any() {
            return new;
        }
        let forward = climb(&old, &new, &self.slope_voltage, &self.critical);
        let backward = -climb(
            &back_old,
            &back_new,
            &self.breakdown_slope,
            &self.breakdown_critical,
        ) - self.breakdown;
        R::select(up, forward, R::select(down, backward, new))
    }
}

/// Where a step from `old` to `new` goes far up `exp(v/slope)`. Below a few slopes per step the
/// quadratic convergence of Newton's method needs no help.
#[inline(always)]
pub(super) fn climbs<R: Real>(old: R, new: R, slope: R, critical: R) -> R::Mask {
    critical.less(new) & (slope * 2.0).less(new - old)
}

/// Limits a step from `old` to `new` towards positive voltages on `exp(v/slope)`. Seldom needed.
#[must_use]
#[inline(never)]
pub(super) fn climb<R: Real>(old: &R, new: &R, slope: &R, critical: &R) -> R {
    new.gather(|lane| {
        let (old, new) = (old.lane(lane), new.lane(lane));
        let (slope, critical) = (slope.lane(lane), critical.lane(lane));
        if climbs(old, new, slope, critical) {
            let from = old.max(critical);
            from + slope * libm::log1p((new - from).max(0.0) / slope)
        } else {
            new
        }
    })
}
