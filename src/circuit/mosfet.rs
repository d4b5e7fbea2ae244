//! The enhancement MOSFET, square law.
//!
//! With `vov = smax0(vgs − Vt)` (20 mV corner): `Id = k·(vov·vds − vds²/2)` while `vds < vov`, then
//! `k/2·vov²`; drain and source change places for `vds < 0`. `on_resistance` is in series with the
//! channel and folded into its equation. A leakage of 10⁻¹² S lies across the channel. The body
//! diode is a junction of its own. No gate current, no charge, no breakdown but the diode's.

use super::{Mosfet, smooth};

/// Width of the threshold's corner [V].
const CORNER: f64 = 0.02;
/// Leakage across the channel [S].
const LEAKAGE: f64 = 1e-12;

/// Drain current with slopes by `vgs` and `vds`, the series resistance folded in, linearised at
/// `point = [vgs, vds of the channel]` (all times the polarity).
#[must_use]
pub fn channel_fold(mosfet: &Mosfet, point: [f64; 2], vgs: f64, vds: f64) -> (f64, [f64; 2]) {
    let (id, [by_gate, by_along]) = mosfet.channel(point[0], point[1]);
    let fold = 1.0 / (1.0 + by_along * mosfet.on_resistance);
    let current = id + by_gate * (vgs - point[0]) + by_along * (vds - point[1]);
    (current * fold, [by_gate * fold, by_along * fold])
}

impl Mosfet {
    /// Drain current and slopes by `vgs` and the channel's `vds` (times the polarity), without the
    /// series resistance.
    #[must_use]
    pub fn channel(&self, vgs: f64, vds: f64) -> (f64, [f64; 2]) {
        let reversed = vds < 0.0;
        let (gate, along) = if reversed {
            (vgs - vds, -vds)
        } else {
            (vgs, vds)
        };
        let (over, over_slope) = smooth::positive(gate - self.threshold, CORNER);
        let k = self.transconductance;
        let (id, by_gate, by_along) = if along < over {
            (
                k * (over * along - 0.5 * along * along),
                k * along * over_slope,
                k * (over - along),
            )
        } else {
            (0.5 * k * over * over, k * over * over_slope, 0.0)
        };
        if reversed {
            (
                -id + LEAKAGE * vds,
                [-by_gate, by_gate + by_along + LEAKAGE],
            )
        } else {
            (id + LEAKAGE * vds, [by_gate, by_along + LEAKAGE])
        }
    }

    /// The channel's point to linearise at: steps of at most a volt or two beyond the threshold.
    #[must_use]
    pub fn limited(&self, old: [f64; 2], new: [f64; 2]) -> [f64; 2] {
        let step = |old: f64, new: f64, most: f64| old + (new - old).clamp(-most, most);
        let gate_most = 1.0 + (old[0] - self.threshold).abs();
        [
            step(old[0], new[0], gate_most),
            step(old[1], new[1], 4.0 + old[1].abs()),
        ]
    }
}
