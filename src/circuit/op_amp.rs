//! The operational amplifier, limited by its supplies and its output current.
//!
//! With voltages from `supply_minus`, `vs` the supply and `vd` the differential input: the drive
//! `x = vs/2 + gain·(vd + offset)` is held between `low_headroom` and `vs − high_headroom`
//! (smooth corners 1 mV wide), stands behind `output_resistance`, and the output current is held
//! within ±`limit`. The current comes from one supply or goes to the other. Below about 1 V of
//! supply the output fades to an open circuit. No slew rate, no bandwidth: for settled voltages.

use super::{OpAmp, regulator::not_across, smooth};

/// Width of the voltage corners [V].
const CORNER: f64 = 1e-3;
/// Supply voltage at which the output stage has come to life [V].
const WAKING: f64 = 1.0;
/// Leakage of an output without supply [S].
const LEAKAGE: f64 = 1e-9;

/// Where the amplifier is linearised.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct OpAmpPoint {
    /// Drive `x` [V].
    pub drive: f64,
    /// Supply to supply [V].
    pub supply: f64,
    /// Output to `supply_minus` [V].
    pub output: f64,
}

/// Currents into the `supply_plus`–`supply_minus` and `output`–`supply_minus` ports, and their
/// slopes towards differential input, supply and output.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct OpAmpCurrents {
    /// Through supply to supply: value, slopes [A, S].
    pub supply: (f64, [f64; 3]),
    /// Into the output, out at `supply_minus`: value, slopes [A, S].
    pub output: (f64, [f64; 3]),
}

impl OpAmp {
    /// The point at `vd`, `vs`, `vo`.
    #[must_use]
    pub fn point(&self, vd: f64, vs: f64, vo: f64) -> OpAmpPoint {
        OpAmpPoint {
            drive: 0.5 * vs + self.gain * (vd + self.offset),
            supply: vs,
            output: vo,
        }
    }

    /// The point to linearise at: the drive may not jump from one supply across to the other,
    /// nor the output current across its range.
    #[must_use]
    pub fn limited(&self, old: &OpAmpPoint, new: &OpAmpPoint) -> OpAmpPoint {
        let (low, high, _) = self.range(new.supply);
        OpAmpPoint {
            drive: not_across(old.drive, new.drive, low.0, high.0),
            supply: new.supply,
            output: new.output,
        }
    }

    /// Lowest and highest drive with their slopes by the supply, and the fade with its slope.
    fn range(&self, vs: f64) -> ((f64, f64), (f64, f64), (f64, f64)) {
        let half = 0.5 * vs;
        // The lower bound never passes the middle of a supply too small for the headrooms.
        let (low, _, low_by_half) = smooth::minimum(self.low_headroom, half, CORNER);
        let (excess, excess_slope) = smooth::positive(half - self.high_headroom, CORNER);
        let (ratio, ratio_slope) = smooth::positive(vs / WAKING, 0.1);
        let (level, level_slope) = smooth::tanh(ratio * ratio);
        (
            (low, 0.5 * low_by_half),
            (half + excess, 0.5 + 0.5 * excess_slope),
            (level, level_slope * 2.0 * ratio * ratio_slope / WAKING),
        )
    }

    /// The currents at `vd`, `vs`, `vo`, linearised at `point`.
    #[must_use]
    pub fn currents(&self, point: &OpAmpPoint, vd: f64, vs: f64, vo: f64) -> OpAmpCurrents {
        let (low, high, fade) = self.range(point.supply);
        let (topped, top_by_drive, top_by_high) = smooth::minimum(point.drive, high.0, CORNER);
        let (above, above_slope) = smooth::positive(topped - low.0, CORNER);
        let target = low.0 + above;
        let by_drive = above_slope * top_by_drive;
        let by_supply = low.1 * (1.0 - above_slope) + above_slope * top_by_high * high.1;
        // Unlimited current out of the output, then its limit.
        let wish = (target - point.output) / self.output_resistance;
        let limit = self.limit * fade.0 + 1e-12;
        let corner = 1e-3 * self.limit;
        let (capped, cap_by_wish, cap_by_limit) = smooth::minimum(wish, limit, corner);
        let (lifted, lift_slope) = smooth::positive(capped + limit, corner);
        let io = lifted - limit;
        let io_by_wish = lift_slope * cap_by_wish;
        let io_by_limit = lift_slope * (1.0 + cap_by_limit) - 1.0;
        let g = io_by_wish / self.output_resistance;
        let slopes = [
            g * by_drive * self.gain,
            g * (by_supply + 0.5 * by_drive) + io_by_limit * self.limit * fade.1,
            -g,
        ];
        let (source, source_slope) = smooth::positive(io, 1e-3 * corner);
        let (level, level_slope) = smooth::tanh(point.supply);
        let quiescent = self.quiescent * level;
        let quiescent_slope = self.quiescent * level_slope;
        // Linear continuation from the point to the actual voltages.
        let point_vd = (point.drive - 0.5 * point.supply) / self.gain - self.offset;
        let steps = [vd - point_vd, vs - point.supply, vo - point.output];
        let along = |s: &[f64; 3]| s[0] * steps[0] + s[1] * steps[1] + s[2] * steps[2];
        let supply_slopes = [
            source_slope * slopes[0],
            source_slope * slopes[1] + quiescent_slope,
            source_slope * slopes[2],
        ];
        let output_slopes = [-slopes[0], -slopes[1], -slopes[2] + LEAKAGE];
        OpAmpCurrents {
            supply: (source + quiescent + along(&supply_slopes), supply_slopes),
            output: (
                LEAKAGE * point.output - io + along(&output_slopes),
                output_slopes,
            ),
        }
    }
}
