//! The bipolar transistor, Ebers–Moll in its transport form.
//!
//! `Icc = Is·(exp(vbe/Vt) − exp(vbc/Vt))`, `Ib = Is/βF·(exp(vbe/Vt) − 1) + Is/βR·(exp(vbc/Vt) − 1)`,
//! `Ic = Icc − Is/βR·(exp(vbc/Vt) − 1)`; every voltage and current times the polarity. A leakage
//! of 10⁻¹² S lies across each junction. No Early effect, no breakdown, no charge storage.

use super::{Bipolar, junction, smooth};

/// Leakage across each junction [S].
const LEAKAGE: f64 = 1e-12;

/// Currents of the ports base–emitter and base–collector with slopes by `vbe`, `vbc`, all times
/// the polarity. Into the collector flows minus the second one.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BipolarCurrents {
    /// Into the base, out at the emitter, less what the collector brings: value, slopes [A, S].
    pub emitter: (f64, [f64; 2]),
    /// From base to collector: value, slopes [A, S].
    pub collector: (f64, [f64; 2]),
}

impl Bipolar {
    /// The currents at `vbe`, `vbc` linearised at `point = [vbe, vbc]` (all times the polarity).
    #[must_use]
    pub fn currents(&self, point: [f64; 2], vbe: f64, vbc: f64) -> BipolarCurrents {
        let vt = self.thermal_voltage;
        let is = self.saturation_current;
        let forward = is * smooth::exp(point[0] / vt);
        let reverse = is * smooth::exp(point[1] / vt);
        let (gf, gr) = (forward / vt, reverse / vt);
        let transport = forward - reverse;
        let base_e = (forward - is) / self.forward_gain + LEAKAGE * point[0];
        let base_c = (reverse - is) / self.reverse_gain + LEAKAGE * point[1];
        let emitter = [gf + gf / self.forward_gain + LEAKAGE, -gr];
        let collector = [-gf, gr + gr / self.reverse_gain + LEAKAGE];
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
    pub fn limited(&self, old: [f64; 2], new: [f64; 2]) -> [f64; 2] {
        let vt = self.thermal_voltage;
        let critical = vt * libm::log(vt / (std::f64::consts::SQRT_2 * self.saturation_current));
        let climb = |old, new| junction::climb(old, new, vt, critical);
        [climb(old[0], new[0]), climb(old[1], new[1])]
    }
}
