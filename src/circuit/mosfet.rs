//! The enhancement MOSFET, square law.
//!
//! With `vov = smax0(vgs − Vt)` (20 mV corner): `Id = k·(vov·vds − vds²/2)` while `vds < vov`, then
//! `k/2·vov²`; drain and source change places for `vds < 0`. `on_resistance` is in series with the
//! channel and folded into its equation. A leakage of 10⁻¹² S lies across the channel. The body
//! diode is a junction of its own. No gate current, no charge, no breakdown but the diode's.

#![allow(clippy::inline_always, reason = "runs inside the vectorised solver")]

use super::real::Real;
use super::{Mosfet, smooth};

/// Width of the threshold's corner [V].
const CORNER: f64 = 0.02;
/// Leakage across the channel [S].
const LEAKAGE: f64 = 1e-12;

/// A MOSFET's constants.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MosfetConstants<R> {
    /// +1, or −1 for P channel.
    pub sign: R,
    threshold: R,
    transconductance: R,
    /// In series with the channel [Ω].
    pub on_resistance: R,
}

impl From<&Mosfet> for MosfetConstants<f64> {
    fn from(mosfet: &Mosfet) -> Self {
        Self::gather(0.0, |_| *mosfet)
    }
}

impl<R: Real> MosfetConstants<R> {
    /// A MOSFET per lane, without its body diode.
    pub fn gather(like: R, mosfet: impl Fn(usize) -> Mosfet) -> Self {
        let of = |value: fn(&Mosfet) -> f64| like.gather(|lane| value(&mosfet(lane)));
        Self {
            sign: of(|m| if m.p_channel { -1.0 } else { 1.0 }),
            threshold: of(|m| m.threshold),
            transconductance: of(|m| m.transconductance),
            on_resistance: of(|m| m.on_resistance),
        }
    }

    /// Drain current with slopes by `vgs` and `vds`, the series resistance folded in, linearised
    /// at `point = [vgs, vds of the channel]` (all times the polarity).
    #[must_use]
    #[inline(always)]
    pub fn folded(&self, point: [R; 2], vgs: R, vds: R) -> (R, [R; 2]) {
        let (id, [by_gate, by_along]) = self.channel(point[0], point[1]);
        let fold = id.splat(1.0) / (by_along * self.on_resistance + 1.0);
        let current = id + by_gate * (vgs - point[0]) + by_along * (vds - point[1]);
        (current * fold, [by_gate * fold, by_along * fold])
    }

    /// Drain current and slopes by `vgs` and the channel's `vds` (times the polarity), without the
    /// series resistance.
    #[must_use]
    #[inline(always)]
    pub fn channel(&self, vgs: R, vds: R) -> (R, [R; 2]) {
        let zero = vds.splat(0.0);
        let reversed = vds.less(zero);
        let gate = R::select(reversed, vgs - vds, vgs);
        let along = vds.abs();
        let (over, over_slope) = smooth::positive(gate - self.threshold, vds.splat(CORNER));
        let k = self.transconductance;
        let ohmic = along.less(over);
        let reach = R::select(ohmic, along, over);
        let id = k * (over * reach - reach * reach * 0.5);
        let by_gate = k * reach * over_slope;
        let by_along = R::select(ohmic, k * (over - along), zero);
        let leak = vds * LEAKAGE;
        (
            R::select(reversed, -id, id) + leak,
            [
                R::select(reversed, -by_gate, by_gate),
                R::select(reversed, by_gate + by_along, by_along) + LEAKAGE,
            ],
        )
    }

    /// The channel's point to linearise at: steps of at most a volt or two beyond the threshold.
    #[must_use]
    #[inline(always)]
    pub fn limited(&self, old: [R; 2], new: [R; 2]) -> [R; 2] {
        let gate_most = (old[0] - self.threshold).abs() + 1.0;
        [
            step(old[0], new[0], gate_most),
            step(old[1], new[1], old[1].abs() + 4.0),
        ]
    }
}

/// From `old` towards `new`, by at most `most`.
#[inline(always)]
fn step<R: Real>(old: R, new: R, most: R) -> R {
    old + (new - old).lesser(most).greater(-most)
}
