//! Smooth building blocks of the device equations: exponential, sine, corners, and their slopes.
//!
//! Plain IEEE arithmetic without branches and without fused operations, for any [`Real`]. Knows
//! nothing of circuits.

use super::real::{Mask, Real};

/// Largest exponent that [`exp`] evaluates; beyond it, it saturates.
const EXP_LIMIT: f64 = 700.0;
/// 1.5 · 2⁵²: adding it rounds to an integer, held in the low mantissa bits.
const SHIFT: f64 = 6_755_399_441_055_744.0;

/// `eˣ`, within 1.5 units in the last place for |x| ≤ 700, saturating outside.
///
/// Range reduction by multiples of ln 2 (split in two so that the product with an integer below
/// 2¹⁰ is exact) and the Taylor polynomial of degree 13 on |r| ≤ ln 2 / 2 (remainder 5 · 10⁻¹⁸).
#[must_use]
#[inline(always)]
#[allow(clippy::inline_always)]
pub fn exp<R: Real>(x: R) -> R {
    const LN_2_HIGH: f64 = 6.931_471_803_691_238e-1;
    const LN_2_LOW: f64 = 1.908_214_929_270_587_7e-10;
    let x = x.lesser(x.splat(EXP_LIMIT)).greater(x.splat(-EXP_LIMIT));
    let shifted = x * std::f64::consts::LOG2_E + SHIFT;
    let n = shifted - SHIFT;
    let r = (x - n * LN_2_HIGH) - n * LN_2_LOW;
    let mut p = r * (1.0 / 6_227_020_800.0) + 1.0 / 479_001_600.0;
    p = p * r + 1.0 / 39_916_800.0;
    p = p * r + 1.0 / 3_628_800.0;
    p = p * r + 1.0 / 362_880.0;
    p = p * r + 1.0 / 40_320.0;
    p = p * r + 1.0 / 5_040.0;
    p = p * r + 1.0 / 720.0;
    p = p * r + 1.0 / 120.0;
    p = p * r + 1.0 / 24.0;
    p = p * r + 1.0 / 6.0;
    p = p * r + 0.5;
    p = p * r + 1.0;
    p = p * r + 1.0;
    p * shifted.power_of_two()
}

/// Exponent below which [`tail`] is zero: e⁻⁶⁰ ≈ 10⁻²⁶.
const NOTHING: f64 = -60.0;

/// `eˣ`, or exactly zero below −60, where no device current could tell; costs next to nothing where
/// that is so for all lanes, as for most junctions most of the time.
#[must_use]
#[inline(always)]
#[allow(clippy::inline_always)]
pub fn tail<R: Real>(x: R) -> R {
    let zero = x.splat(0.0);
    let nothing = x.less(x.splat(NOTHING));
    if (!nothing).any() {
        R::select(nothing, zero, exp(x))
    } else {
        zero
    }
}

/// `sin(2π · turns)`, within 4 · 10⁻¹⁶ for |turns| < 10⁶.
///
/// Reduced to a quarter turn either side of zero, where the Taylor polynomial of degree 21 leaves
/// less than 2 · 10⁻¹⁸.
#[must_use]
#[inline(always)]
#[allow(clippy::inline_always)]
pub fn sine<R: Real>(turns: R) -> R {
    let part = turns - ((turns + SHIFT) - SHIFT);
    // Beyond a quarter turn, the mirrored angle has the same sine.
    let mirrored = R::select(part.less(part.splat(0.0)), -(part + 0.5), -(part - 0.5));
    let beyond = part.splat(0.25).less(part.abs());
    let x = R::select(beyond, mirrored, part) * std::f64::consts::TAU;
    let s = x * x;
    let mut p = s * (1.0 / 51_090_942_171_709_440_000.0) - 1.0 / 121_645_100_408_832_000.0;
    p = p * s + 1.0 / 355_687_428_096_000.0;
    p = p * s - 1.0 / 1_307_674_368_000.0;
    p = p * s + 1.0 / 6_227_020_800.0;
    p = p * s - 1.0 / 39_916_800.0;
    p = p * s + 1.0 / 362_880.0;
    p = p * s - 1.0 / 5_040.0;
    p = p * s + 1.0 / 120.0;
    p = p * s - 1.0 / 6.0;
    x + x * s * p
}

/// Argument beyond which [`tanh`] is one to the last digit.
const FULL: f64 = 20.0;

/// `(tanh x, d tanh x / dx)`; costs next to nothing where it is full for all lanes, as a regulator's
/// quiescent current mostly is.
#[must_use]
#[inline(always)]
#[allow(clippy::inline_always)]
pub fn tanh<R: Real>(x: R) -> (R, R) {
    let one = x.splat(1.0);
    let full = R::select(x.less(x.splat(0.0)), -one, one);
    let flat = x.splat(0.0);
    let curved = !x.splat(FULL).less(x.abs());
    if !curved.any() {
        return (full, flat);
    }
    let q = one / (exp(x * 2.0) + 1.0);
    (
        R::select(curved, -(q * 2.0) + 1.0, full),
        R::select(curved, q * 4.0 * (-q + 1.0), flat),
    )
}

/// Smooth `max(x, 0)`: `(x + √(x² + w²))/2` and its slope, without cancellation for `x < 0`.
#[must_use]
#[inline(always)]
#[allow(clippy::inline_always)]
pub fn positive<R: Real>(x: R, width: R) -> (R, R) {
    let square = width * width;
    let root = (x * x + square).sqrt();
    let far = root + x.abs();
    // One division for both quotients.
    let inverse = x.splat(0.5) / (root * far);
    let below = x.less(x.splat(0.0));
    let small = square * inverse;
    (
        R::select(below, small * root, far * 0.5),
        R::select(below, small, far * far * inverse),
    )
}

/// Smooth `min(x, y)`: `(x + y − √((x−y)² + w²))/2`, and its slopes towards `x` and `y`.
#[must_use]
#[inline(always)]
#[allow(clippy::inline_always)]
pub fn minimum<R: Real>(x: R, y: R, width: R) -> (R, R, R) {
    // Counted down from the lesser one, so that a far greater one leaves no rounding.
    let first = x.less(y);
    let (below, minor) = positive(-(x - y).abs(), width);
    let major = -minor + 1.0;
    let by_x = R::select(first, major, minor);
    let by_y = R::select(first, minor, major);
    (R::select(first, x, y) - below, by_x, by_y)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exponential_follows_the_library() {
        for k in -6990..6990 {
            let x = f64::from(k) * 0.1 + 0.013;
            let exact = libm::exp(x);
            assert!((exp(x) - exact).abs() <= 3.4e-16 * exact, "exp({x})");
        }
    }

    #[test]
    fn sine_follows_the_library() {
        for k in -4000..4000 {
            let turns = f64::from(k) * 0.001 + 0.000_37;
            let exact = libm::sin(std::f64::consts::TAU * (turns - turns.round()));
            assert!((sine(turns) - exact).abs() <= 5e-16, "sine({turns})");
        }
    }

    #[test]
    fn corners_have_the_slopes_they_claim() {
        for k in -40..40 {
            let (x, y, w, d) = (f64::from(k) * 0.1, 0.31, 0.05, 1e-6);
            let slope = (positive(x + d, w).0 - positive(x - d, w).0) / (2.0 * d);
            assert!((positive(x, w).1 - slope).abs() < 1e-7);
            let slope = (minimum(x + d, y, w).0 - minimum(x - d, y, w).0) / (2.0 * d);
            assert!((minimum(x, y, w).1 - slope).abs() < 1e-7);
            let slope = (tanh(x + d).0 - tanh(x - d).0) / (2.0 * d);
            assert!((tanh(x).1 - slope).abs() < 1e-7);
        }
    }
}
