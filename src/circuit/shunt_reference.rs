//! The adjustable shunt reference.
//!
//! `Ik = [Imin + smin(smax0((vr − Vref)/rd), limit − Imin)] · tanh(vk/1 V)` with `vr` from
//! `reference` to `anode` and `vk` from `cathode` to `anode`: the part takes its minimum current
//! before it regulates, so a starved one falls below its voltage, and it saturates near 1 V. The
//! reference input takes `bias`. No dynamics: stability into capacitive loads is a check.

use super::{ShuntReference, regulator::not_across, smooth};

/// Cathode voltage around which the output saturates [V].
const SATURATION: f64 = 1.0;
/// Width of the corners [A].
const CORNER: f64 = 1e-5;

/// Where the reference is linearised.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ShuntPoint {
    /// Reference to anode [V].
    pub reference: f64,
    /// Cathode to anode [V].
    pub cathode: f64,
}

/// Currents into `reference` and `cathode` (both out at `anode`), with slopes.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ShuntCurrents {
    /// Into `reference`: value [A], slope by the reference voltage [S].
    pub reference: (f64, f64),
    /// Into `cathode`: value [A], slopes by reference and cathode voltage [S].
    pub cathode: (f64, [f64; 2]),
}

impl ShuntReference {
    /// The point to linearise at: neither voltage may jump across its active stretch.
    #[must_use]
    pub fn limited(&self, old: &ShuntPoint, new: &ShuntPoint) -> ShuntPoint {
        let top = self.reference + self.dynamic_resistance * self.limit;
        ShuntPoint {
            reference: not_across(old.reference, new.reference, self.reference, top),
            cathode: not_across(old.cathode, new.cathode, -SATURATION, SATURATION),
        }
    }

    /// The currents at `vr`, `vk`, linearised at `point`.
    #[must_use]
    pub fn currents(&self, point: &ShuntPoint, vr: f64, vk: f64) -> ShuntCurrents {
        let drive = (point.reference - self.reference) / self.dynamic_resistance;
        let (active, active_slope) = smooth::positive(drive, CORNER);
        let room = self.limit - self.minimum_current;
        let (sunk, sunk_slope, _) = smooth::minimum(active, room, CORNER);
        let (fade, fade_slope) = smooth::tanh(point.cathode / SATURATION);
        let full = self.minimum_current + sunk;
        let by_reference = fade * sunk_slope * active_slope / self.dynamic_resistance;
        let by_cathode = full * fade_slope / SATURATION;
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
