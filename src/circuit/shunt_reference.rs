//! The adjustable shunt reference.
//!
//! `Ik = [Imin + smin(smax0((vr − Vref)/rd), limit − Imin)] · tanh(vk/1 V)` with `vr` from
//! `reference` to `anode` and `vk` from `cathode` to `anode`: the part takes its minimum current
//! before it regulates, so a starved one falls below its voltage, and it saturates near 1 V. The
//! reference input takes `bias`. No dynamics: stability into capacitive loads is a check.

#![allow(clippy::inline_always, reason = "runs inside the vectorised solver")]

use super::real::Real;
use super::{ShuntReference, regulator::not_across, smooth};

/// Cathode voltage around which the output saturates [V].
const SATURATION: f64 = 1.0;
/// Width of the corners [A].
const CORNER: f64 = 1e-5;

/// A shunt reference's constants.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShuntConstants<R> {
    reference: R,
    bias: R,
    dynamic_resistance: R,
    minimum_current: R,
    limit: R,
}

/// Where the reference is linearised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShuntPoint<R> {
    /// Reference to anode [V].
    pub reference: R,
    /// Cathode to anode [V].
    pub cathode: R,
}

/// Currents into `reference` and `cathode` (both out at `anode`), with slopes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShuntCurrents<R> {
    /// Into `reference`: value [A], slope by the reference voltage [S].
    pub reference: (R, R),
    /// Into `cathode`: value [A], slopes by reference and cathode voltage [S].
    pub cathode: (R, [R; 2]),
}

impl From<&ShuntReference> for ShuntConstants<f64> {
    fn from(shunt: &ShuntReference) -> Self {
        Self::gather(0.0, |_| *shunt)
    }
}

impl<R: Real> ShuntConstants<R> {
    /// A shunt reference per lane.
    pub fn gather(like: R, shunt: impl Fn(usize) -> ShuntReference) -> Self {
        let of = |value: fn(&ShuntReference) -> f64| like.gather(|lane| value(&shunt(lane)));
        Self {
            reference: of(|s| s.reference),
            bias: of(|s| s.bias),
            dynamic_resistance: of(|s| s.dynamic_resistance),
            minimum_current: of(|s| s.minimum_current),
            limit: of(|s| s.limit),
        }
    }

    /// The point to linearise at: neither voltage may jump across its active stretch.
    #[must_use]
    #[inline(always)]
    pub fn limited(&self, old: &ShuntPoint<R>, new: &ShuntPoint<R>) -> ShuntPoint<R> {
        let top = self.reference + self.dynamic_resistance * self.limit;
        let edge = top.splat(SATURATION);
        ShuntPoint {
            reference: not_across(old.reference, new.reference, self.reference, top),
            cathode: not_across(old.cathode, new.cathode, -edge, edge),
        }
    }

    /// The currents at `vr`, `vk`, linearised at `point`.
    #[must_use]
    #[inline(always)]
    pub fn currents(&self, point: &ShuntPoint<R>, vr: R, vk: R) -> ShuntCurrents<R> {
        let corner = vr.splat(CORNER);
        let drive = (point.reference - self.reference) / self.dynamic_resistance;
        let (active, active_slope) = smooth::positive(drive, corner);
        let room = self.limit - self.minimum_current;
        let (sunk, sunk_slope, _) = smooth::minimum(active, room, corner);
        let (fade, fade_slope) = smooth::tanh(point.cathode * (1.0 / SATURATION));
        let full = self.minimum_current + sunk;
        let by_reference = fade * sunk_slope * active_slope / self.dynamic_resistance;
        let by_cathode = full * fade_slope * (1.0 / SATURATION);
        let (level, level_slope) = smooth::tanh(point.reference);
        let bias_slope = self.bias * level_slope;
        let step = vr - point.reference;
        ShuntCurrents {
            reference: (self.bias * level + bias_slope * step, bias_slope),
            cathode: (
                full * fade + by_reference * step + by_cathode * (vk - point.cathode),
                [by_reference, by_cathode],
            ),
        }
    }
}
