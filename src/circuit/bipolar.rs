//! The bipolar transistor, Ebers–Moll in its transport form.
//!
//! `Icc = Is·(exp(vbe/Vt) − exp(vbc/Vt))`, `Ib = Is/βF·(exp(vbe/Vt) − 1) + Is/βR·(exp(vbc/Vt) − 1)`,
//! `Ic = Icc − Is/βR·(exp(vbc/Vt) − 1)`; every voltage and current times the polarity. A leakage
//! of 10⁻¹² S lies across each junction. No Early effect, no breakdown, no charge storage.

#![allow(clippy::inline_always, reason = "runs inside the vectorised solver")]

use super::junction::{climb, climbs};
use super::real::{Mask, Real};
use super::{Bipolar, smooth};

/// Leakage across each junction [S].
const LEAKAGE: f64 = 1e-12;

/// A transistor's constants.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BipolarConstants<R> {
    /// +1, or −1 for PNP.
    pub sign: R,
    saturation: R,
    forward_part: R,
    reverse_part: R,
    thermal_voltage: R,
    steepness: R,
    critical: R,
}

/// Currents of the ports base–emitter and base–collector with slopes by `vbe`, `vbc`, all times
/// the polarity. Into the collector flows minus the second one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BipolarCurrents<R> {
    /// Into the base, out at the emitter, less what the collector brings: value, slopes [A, S].
    pub emitter: (R, [R; 2]),
    /// From base to collector: value, slopes [A, S].
    pub collector: (R, [R; 2]),
}

impl From<&Bipolar> for BipolarConstants<f64> {
    fn from(bipolar: &Bipolar) -> Self {
        Self::gather(0.0, |_| *bipolar)
    }
}

impl<R: Real> BipolarConstants<R> {
    /// A transistor per lane.
    pub fn gather(like: R, bipolar: impl Fn(usize) -> Bipolar) -> Self {
        let of = |value: fn(&Bipolar) -> f64| like.gather(|lane| value(&bipolar(lane)));
        Self {
            sign: of(|b| if b.pnp { -1.0 } else { 1.0 }),
            saturation: of(|b| b.saturation_current),
            forward_part: of(|b| 1.0 / b.forward_gain),
            reverse_part: of(|b| 1.0 / b.reverse_gain),
            thermal_voltage: of(|b| b.thermal_voltage),
            steepness: of(|b| 1.0 / b.thermal_voltage),
            critical: of(|b| {
                let vt = b.thermal_voltage;
                vt * libm::log(vt / (std::f64::consts::SQRT_2 * b.saturation_current))
            }),
        }
    }

    /// The currents at `vbe`, `vbc` linearised at `point = [vbe, vbc]` (all times the polarity).
    #[must_use]
    #[inline(always)]
    pub fn currents(&self, point: [R; 2], vbe: R, vbc: R) -> BipolarCurrents<R> {
        let forward = self.saturation * smooth::tail(point[0] * self.steepness);
        let reverse = self.saturation * smooth::tail(point[1] * self.steepness);
        let (gf, gr) = (forward * self.steepness, reverse * self.steepness);
        let transport = forward - reverse;
        let base_e = (forward - self.saturation) * self.forward_part + point[0] * LEAKAGE;
        let base_c = (reverse - self.saturation) * self.reverse_part + point[1] * LEAKAGE;
        let emitter = [gf + gf * self.forward_part + LEAKAGE, -gr];
        let collector = [-gf, gr + gr * self.reverse_part + LEAKAGE];
        let steps = [vbe - point[0], vbc - point[1]];
        BipolarCurrents {
            emitter: (
                transport + base_e + emitter[0] * steps[0] + emitter[1] * steps[1],
                emitter,
            ),
            collector: (
                base_c - transport + collector[0] * steps[0] + collector[1] * steps[1],
                collector,
            ),
        }
    }

    /// The junction voltages to linearise at, as for a diode.
    #[must_use]
    #[inline(always)]
    pub fn limited(&self, old: [R; 2], new: [R; 2]) -> [R; 2] {
        [self.climb(old[0], new[0]), self.climb(old[1], new[1])]
    }

    #[inline(always)]
    fn climb(&self, old: R, new: R) -> R {
        if climbs(old, new, self.thermal_voltage, self.critical).any() {
            climb(&old, &new, &self.thermal_voltage, &self.critical)
        } else {
            new
        }
    }
}
