//! Smooth building blocks of the device equations: exponential, corners, and their slopes.
//!
//! Plain IEEE arithmetic without branches and without fused operations, so that a loop over lanes
//! vectorises and gives the same bits at every vector width. Knows nothing of circuits.

/// Largest exponent that [`exp`] evaluates; beyond it, it saturates.
const EXP_LIMIT: f64 = 700.0;

/// `eˣ`, within 1.5 units in the last place for |x| ≤ 700, saturating outside.
///
/// Range reduction by multiples of ln 2 (split in two so that the product with an integer below
/// 2¹⁰ is exact) and the Taylor polynomial of degree 13 on |r| ≤ ln 2 / 2 (remainder 5 · 10⁻¹⁸).
#[must_use]
#[inline(always)]
#[allow(clippy::inline_always)]
pub fn exp(x: f64) -> f64 {
    /// 1.5 · 2⁵²: adding it rounds to an integer, held in the low mantissa bits.
    const SHIFT: f64 = 6_755_399_441_055_744.0;
    const LN_2_HIGH: f64 = 6.931_471_803_691_238e-1;
    const LN_2_LOW: f64 = 1.908_214_929_270_587_7e-10;
    let x = if x > EXP_LIMIT { EXP_LIMIT } else { x };
    let x = if x < -EXP_LIMIT { -EXP_LIMIT } else { x };
    let shifted = x * std::f64::consts::LOG2_E + SHIFT;
    let n = shifted - SHIFT;
    let r = (x - n * LN_2_HIGH) - n * LN_2_LOW;
    let mut p = 1.0 / 6_227_020_800.0;
    p = p * r + 1.0 / 479_001_600.0;
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
    p * f64::from_bits(shifted.to_bits().wrapping_add(1023) << 52)
}

/// `(tanh x, d tanh x / dx)`.
#[must_use]
#[inline(always)]
#[allow(clippy::inline_always)]
pub fn tanh(x: f64) -> (f64, f64) {
    let x = if x > 40.0 { 40.0 } else { x };
    let x = if x < -40.0 { -40.0 } else { x };
    let q = 1.0 / (exp(2.0 * x) + 1.0);
    (1.0 - 2.0 * q, 4.0 * q * (1.0 - q))
}

/// Smooth `max(x, 0)`: `(x + √(x² + w²))/2` and its slope, without cancellation for `x < 0`.
#[must_use]
#[inline(always)]
#[allow(clippy::inline_always)]
pub fn positive(x: f64, width: f64) -> (f64, f64) {
    let root = (x * x + width * width).sqrt();
    let far = root + x.abs();
    let small = 0.5 * width * width / far;
    let value = if x < 0.0 { small } else { 0.5 * far };
    (value, value / root)
}

/// Smooth `min(x, y)`: `(x + y − √((x−y)² + w²))/2`, and its slopes towards `x` and `y`.
#[must_use]
#[inline(always)]
#[allow(clippy::inline_always)]
pub fn minimum(x: f64, y: f64, width: f64) -> (f64, f64, f64) {
    // Counted down from the lesser one, so that a far greater one leaves no rounding.
    let lesser = if x < y { x } else { y };
    let (below, minor) = positive(-(x - y).abs(), width);
    let by_x = if x < y { 1.0 - minor } else { minor };
    (lesser - below, by_x, 1.0 - by_x)
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
