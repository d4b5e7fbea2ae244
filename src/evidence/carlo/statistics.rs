//! What a sample says, and how surely: distribution-free, from the order of its values alone.

/// Confidence of every interval given here.
pub const CONFIDENCE: f64 = 0.95;

/// Chances that at most 0, 1, 2 … of `n` independent runs hit what has the chance `p`, strictly
/// between 0 and 1.
fn at_most(n: usize, p: f64) -> impl Iterator<Item = f64> {
    // Terms by their ratios, from the logarithm of the first: (1 − p)ⁿ may be tiny.
    let (n_f, ratio) = (n as f64, p / (1.0 - p));
    let (mut log, mut sum) = (n_f * libm::log1p(-p), 0.0);
    (0..=n).map(move |j| {
        sum += libm::exp(log);
        log += libm::log((n_f - j as f64) / (j as f64 + 1.0) * ratio);
        sum.min(1.0)
    })
}

/// A quantile with the interval that holds the true one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantile {
    /// The value below which the part asked for lies.
    pub value: f64,
    /// The interval; an end is infinite where the sample is too small to bound it.
    pub interval: (f64, f64),
}

/// The quantile `part` of a sorted sample. The number of values below the true quantile is
/// binomial, whatever the distribution, so two order statistics enclose it.
#[must_use]
pub fn quantile(sorted: &[f64], part: f64) -> Quantile {
    let n = sorted.len();
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "an index"
    )]
    let middle = ((part * n as f64) as usize).min(n.saturating_sub(1));
    let tail = 0.5 * (1.0 - CONFIDENCE);
    // The value with `below` others below it lies above the quantile with the chance that at most
    // so many are below that.
    let (mut lower, mut upper) = (None, None);
    for (below, chance) in at_most(n, part).take(n).enumerate() {
        if chance <= tail {
            lower = Some(below);
        }
        if 1.0 - chance <= tail && upper.is_none() {
            upper = Some(below);
        }
    }
    Quantile {
        value: sorted.get(middle).copied().unwrap_or(f64::NAN),
        interval: (
            lower.map_or(f64::NEG_INFINITY, |at| sorted[at]),
            upper.map_or(f64::INFINITY, |at| sorted[at]),
        ),
    }
}

/// How large a part of all boxes at most does what none of `runs` did (the exact bound of
/// Clopper and Pearson for no hit): three over the number of runs, nearly.
#[must_use]
pub fn unseen(runs: usize) -> f64 {
    1.0 - libm::pow(1.0 - CONFIDENCE, 1.0 / runs as f64)
}

/// Mean and standard deviation.
#[must_use]
pub fn moments(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|v| (v - mean) * (v - mean)).sum();
    (mean, (squares / (n - 1.0).max(1.0)).sqrt())
}

#[cfg(test)]
mod tests {
    use super::{at_most, quantile, unseen};

    /// Wilks 1941, as nuclear safety analysis uses it (from memory): of 59 runs the greatest bounds
    /// the 95 % quantile with 95 % confidence, of 58 it does not; two-sided it takes 93.
    #[test]
    fn wilks_sample_sizes() {
        let chance = |k: usize, n: usize, p: f64| at_most(n, p).nth(k).unwrap();
        let covered = |n: usize| chance(n - 1, n, 0.95);
        assert!(covered(59) >= 0.95 && covered(58) < 0.95);
        // Both ends: the part between least and greatest is at least 95 % unless fewer than two fall
        // outside in n runs.
        let both = |n: usize| 1.0 - chance(1, n, 0.05);
        assert!(both(93) >= 0.95 && both(92) < 0.95);
    }

    /// None of 59: at most 4.95 % with 95 % confidence; the rule of three says 3/n.
    #[test]
    fn what_was_never_seen() {
        assert!((unseen(59) - 0.0495).abs() < 1e-4);
        assert!((unseen(1000) - 0.003).abs() < 1e-5);
    }

    /// Of 1..=1000 the median is 500, between the 469th and the 532nd (binomial table, n = 1000,
    /// p = ½, ± 1.96·√250).
    #[test]
    fn medians_and_their_intervals() {
        let sample: Vec<f64> = (1..=1000).map(f64::from).collect();
        let median = quantile(&sample, 0.5);
        assert!((median.value - 501.0).abs() < 1.5);
        assert!((median.interval.0 - 469.0).abs() <= 1.0, "{median:?}");
        assert!((median.interval.1 - 532.0).abs() <= 1.0, "{median:?}");
        // Twenty values cannot bound the lowest two per cent from below.
        assert!(quantile(&sample[..20], 0.02).interval.0.is_infinite());
    }
}
