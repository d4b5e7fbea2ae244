//! The operational amplifier, limited by its supplies and its output current.
//!
//! With voltages from `supply_minus`, `vs` the supply and `vd` the differential input: the drive
//! `x = vs/2 + gain·(vd + offset)` is held between `low_headroom` and `vs − high_headroom`
//! (smooth corners 1 mV wide), stands behind `output_resistance`, and the output current is held
//! within ±`limit`. The current comes from one supply or goes to the other. Below about 1 V of
//! supply the output fades to an open circuit. No slew rate, no bandwidth: for settled voltages.

#![allow(clippy::inline_always, reason = "runs inside the vectorised solver")]

use super::real::Real;
use super::{OpAmp, regulator::not_across, smooth};

/// Width of the voltage corners [V].
const CORNER: f64 = 1e-3;
/// Supply voltage at which the output stage has come to life [V].
const WAKING: f64 = 1.0;
/// Leakage of an output without supply [S].
const LEAKAGE: f64 = 1e-9;

/// An op-amp's constants.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpAmpConstants<R> {
    gain: R,
    offset: R,
    high_headroom: R,
    low_headroom: R,
    output_resistance: R,
    limit: R,
    quiescent: R,
}

/// Where the amplifier is linearised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpAmpPoint<R> {
    /// Drive `x` [V].
    pub drive: R,
    /// Supply to supply [V].
    pub supply: R,
    /// Output to `supply_minus` [V].
    pub output: R,
}

/// Currents into the `supply_plus`–`supply_minus` and `output`–`supply_minus` ports, and their
/// slopes towards differential input, supply and output.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpAmpCurrents<R> {
    /// Through supply to supply: value, slopes [A, S].
    pub supply: (R, [R; 3]),
    /// Into the output, out at `supply_minus`: value, slopes [A, S].
    pub output: (R, [R; 3]),
}

impl From<&OpAmp> for OpAmpConstants<f64> {
    fn from(op_amp: &OpAmp) -> Self {
        Self::gather(0.0, |_| *op_amp)
    }
}

impl<R: Real> OpAmpConstants<R> {
    /// An op-amp per lane.
    pub fn gather(like: R, op_amp: impl Fn(usize) -> OpAmp) -> Self {
        let of = |value: fn(&OpAmp) -> f64| like.gather(|lane| value(&op_amp(lane)));
        Self {
            gain: of(|a| a.gain),
            offset: of(|a| a.offset),
            high_headroom: of(|a| a.high_headroom),
            low_headroom: of(|a| a.low_headroom),
            output_resistance: of(|a| a.output_resistance),
            limit: of(|a| a.limit),
            quiescent: of(|a| a.quiescent),
        }
    }

    /// The point at `vd`, `vs`, `vo`.
    #[must_use]
    #[inline(always)]
    pub fn point(&self, vd: R, vs: R, vo: R) -> OpAmpPoint<R> {
        OpAmpPoint {
            drive: vs * 0.5 + self.gain * (vd + self.offset),
            supply: vs,
            output: vo,
        }
    }

    /// The point to linearise at: the drive may not jump from one supply across to the other, nor
    /// the output current from one limit to the other. Beyond both, nothing depends on anything,
    /// and Newton's method would swing between them for ever.
    #[must_use]
    #[inline(always)]
    pub fn limited(&self, old: &OpAmpPoint<R>, new: &OpAmpPoint<R>) -> OpAmpPoint<R> {
        let (low, high, _) = self.range(new.supply);
        let drive = not_across(old.drive, new.drive, low.0, high.0);
        let target = drive.lesser(high.0).greater(low.0);
        let before = old.drive.lesser(high.0).greater(low.0) - old.output;
        let most = self.limit * self.output_resistance;
        OpAmpPoint {
            drive,
            supply: new.supply,
            // The voltage across the output resistance is what decides on the current.
            output: target - not_across(before, target - new.output, -most, most),
        }
    }

    /// Lowest and highest drive with their slopes by the supply, and the fade with its slope.
    #[inline(always)]
    fn range(&self, vs: R) -> ((R, R), (R, R), (R, R)) {
        let corner = vs.splat(CORNER);
        let half = vs * 0.5;
        // The lower bound never passes the middle of a supply too small for the headrooms.
        let (low, _, low_by_half) = smooth::minimum(self.low_headroom, half, corner);
        let (excess, excess_slope) = smooth::positive(half - self.high_headroom, corner);
        let (ratio, ratio_slope) = smooth::positive(vs * (1.0 / WAKING), vs.splat(0.1));
        let (level, level_slope) = smooth::tanh(ratio * ratio);
        (
            (low, low_by_half * 0.5),
            (half + excess, excess_slope * 0.5 + 0.5),
            (level, level_slope * ratio * ratio_slope * (2.0 / WAKING)),
        )
    }

    /// The currents at `vd`, `vs`, `vo`, linearised at `point`.
    #[must_use]
    #[inline(always)]
    pub fn currents(&self, point: &OpAmpPoint<R>, vd: R, vs: R, vo: R) -> OpAmpCurrents<R> {
        let width = vs.splat(CORNER);
        let (low, high, fade) = self.range(point.supply);
        let (topped, top_by_drive, top_by_high) = smooth::minimum(point.drive, high.0, width);
        let (above, above_slope) = smooth::positive(topped - low.0, width);
        let target = low.0 + above;
        let by_drive = above_slope * top_by_drive;
        let by_supply = low.1 * (-above_slope + 1.0) + above_slope * top_by_high * high.1;
        // Unlimited current out of the output, then its limit.
        let wish = (target - point.output) / self.output_resistance;
        let limit = self.limit * fade.0 + 1e-12;
        let corner = self.limit * 1e-3;
        let (capped, cap_by_wish, cap_by_limit) = smooth::minimum(wish, limit, corner);
        let (lifted, lift_slope) = smooth::positive(capped + limit, corner);
        let io = lifted - limit;
        let io_by_wish = lift_slope * cap_by_wish;
        let io_by_limit = lift_slope * (cap_by_limit + 1.0) - 1.0;
        let g = io_by_wish / self.output_resistance;
        let slopes = [
            g * by_drive * self.gain,
            g * (by_supply + by_drive * 0.5) + io_by_limit * self.limit * fade.1,
            -g,
        ];
        let (source, source_slope) = smooth::positive(io, corner * 1e-3);
        let (level, level_slope) = smooth::tanh(point.supply);
        let quiescent = self.quiescent * level;
        let quiescent_slope = self.quiescent * level_slope;
        // Linear continuation from the point to the actual voltages.
        let point_vd = (point.drive - point.supply * 0.5) / self.gain - self.offset;
        let steps = [vd - point_vd, vs - point.supply, vo - point.output];
        let supply_slopes = [
            source_slope * slopes[0],
            source_slope * slopes[1] + quiescent_slope,
            source_slope * slopes[2],
        ];
        let output_slopes = [-slopes[0], -slopes[1], -slopes[2] + LEAKAGE];
        OpAmpCurrents {
            supply: (
                source + quiescent + along(&supply_slopes, &steps),
                supply_slopes,
            ),
            output: (
                point.output * LEAKAGE - io + along(&output_slopes, &steps),
                output_slopes,
            ),
        }
    }
}

#[inline(always)]
fn along<R: Real>(slopes: &[R; 3], steps: &[R; 3]) -> R {
    slopes[0] * steps[0] + slopes[1] * steps[1] + slopes[2] * steps[2]
}
