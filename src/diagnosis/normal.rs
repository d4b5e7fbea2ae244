//! Several readings at once as one distribution: mean and covariance of the draws, the meter's
//! uncertainty on top.
//!
//! A finite number of draws knows mean and covariance only so well; what it predicts of one more
//! reading is Student's multivariate distribution (Gelman and others, Bayesian Data Analysis, from
//! memory). Its long tails also keep one bad reading from deciding alone.

use std::f64::consts::PI;

/// Degrees of freedom at most: with these, a reading ten uncertainties off costs as much as one
/// five and a half off would under a normal distribution (project choice).
const MOST_FREEDOM: f64 = 12.0;

/// Mean and covariance of what is read in several places.
#[derive(Debug, Clone)]
pub(super) struct Normal {
    pub mean: Vec<f64>,
    /// Row by row; the meter's uncertainty included.
    pub covariance: Vec<Vec<f64>>,
    freedom: f64,
}

/// Where a reading stands under a distribution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expectation {
    /// Lowest to be expected: two combined standard uncertainties (parts, mains, meter) below; of
    /// resistances the logarithm.
    pub low: f64,
    /// Highest.
    pub high: f64,
    /// How many uncertainties the reading is off.
    pub off: f64,
}

impl Normal {
    /// From one row for each draw; `standard` is the uncertainty of each reading apart from it.
    pub fn of(rows: &[Vec<f64>], standard: &[f64]) -> Self {
        let count = rows.len() as f64;
        let size = standard.len();
        let mean: Vec<f64> = (0..size)
            .map(|at| rows.iter().map(|row| row[at]).sum::<f64>() / count)
            .collect();
        let mut covariance = vec![vec![0.0; size]; size];
        // One more draw scatters about its mean, which is itself known to a share only.
        let scale = (1.0 + 1.0 / count) / (count - 1.0);
        for (i, line) in covariance.iter_mut().enumerate() {
            for (j, entry) in line.iter_mut().enumerate() {
                let products = rows
                    .iter()
                    .map(|row| (row[i] - mean[i]) * (row[j] - mean[j]));
                *entry = scale * products.sum::<f64>();
            }
            line[i] += standard[i] * standard[i];
        }
        Self {
            mean,
            covariance,
            freedom: (count - 1.0).min(MOST_FREEDOM),
        }
    }

    /// Logarithm of the density at a set of readings; −∞ where the covariance is not positive.
    pub fn log_density(&self, reads: &[f64]) -> f64 {
        let size = reads.len();
        if size == 0 {
            return 0.0;
        }
        let Some(root) = cholesky(&self.covariance) else {
            return f64::NEG_INFINITY;
        };
        let away = solve_lower(&root, &self.away(reads));
        let square: f64 = away.iter().map(|w| w * w).sum();
        let (v, m) = (self.freedom, size as f64);
        libm::lgamma(0.5 * (v + m))
            - libm::lgamma(0.5 * v)
            - 0.5 * m * libm::log(v * PI)
            - log_diagonal(&root)
            - 0.5 * (v + m) * libm::log1p(square / v)
    }

    /// Root mean square of what is left of a set of readings, in uncertainties, correlations
    /// counted.
    pub fn distance(&self, reads: &[f64]) -> f64 {
        let Some(root) = cholesky(&self.covariance).filter(|_| !reads.is_empty()) else {
            return 0.0;
        };
        let away = solve_lower(&root, &self.away(reads));
        let square: f64 = away.iter().map(|w| w * w).sum();
        libm::sqrt(square / reads.len() as f64)
    }

    fn away(&self, reads: &[f64]) -> Vec<f64> {
        reads.iter().zip(&self.mean).map(|(r, m)| r - m).collect()
    }

    /// One reading by itself.
    pub fn alone(&self, at: usize, reads: f64) -> Expectation {
        let standard = libm::sqrt(self.covariance[at][at]);
        Expectation {
            low: self.mean[at] - 2.0 * standard,
            high: self.mean[at] + 2.0 * standard,
            off: (reads - self.mean[at]) / standard,
        }
    }

    /// One of the readings, the others left out.
    pub fn only(&self, at: usize) -> Self {
        Self {
            mean: vec![self.mean[at]],
            covariance: vec![vec![self.covariance[at][at]]],
            freedom: self.freedom,
        }
    }

    /// Logarithm of the density of one reading by itself.
    pub fn log_alone(&self, at: usize, reads: f64) -> f64 {
        self.only(at).log_density(&[reads])
    }

    /// The last entry with all others known.
    pub fn last_given(&self, others: &[f64]) -> Option<(f64, f64)> {
        let root = cholesky(&self.covariance)?;
        let last = others.len();
        let mut away = self.away(others);
        away.push(0.0);
        // The last row of the root holds what the others say of the last entry.
        let white = solve_lower(&root, &away);
        let mean = (0..last).map(|k| root[last][k] * white[k]).sum::<f64>() + self.mean[last];
        Some((mean, root[last][last]))
    }

    /// Bhattacharyya distance to another distribution of the same readings, both taken as normal:
    /// an eighth of the squared separation of the means where the spreads agree (Bhattacharyya
    /// 1943; Fukunaga, Introduction to Statistical Pattern Recognition, from memory).
    pub fn apart(&self, other: &Self) -> f64 {
        let size = self.mean.len();
        let middle: Vec<Vec<f64>> = (0..size)
            .map(|i| {
                (0..size)
                    .map(|j| 0.5 * (self.covariance[i][j] + other.covariance[i][j]))
                    .collect()
            })
            .collect();
        let roots = (
            cholesky(&middle),
            cholesky(&self.covariance),
            cholesky(&other.covariance),
        );
        let (Some(middle), Some(one), Some(two)) = roots else {
            return f64::INFINITY;
        };
        let away = solve_lower(&middle, &self.away(&other.mean));
        let square: f64 = away.iter().map(|w| w * w).sum();
        0.125 * square + log_diagonal(&middle) - 0.5 * (log_diagonal(&one) + log_diagonal(&two))
    }
}

/// Half the logarithm of the determinant, from the root.
fn log_diagonal(root: &[Vec<f64>]) -> f64 {
    (0..root.len()).map(|i| libm::log(root[i][i])).sum()
}

/// The lower triangular root of a positive matrix.
pub(super) fn cholesky(matrix: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let size = matrix.len();
    let mut root = vec![vec![0.0; size]; size];
    for i in 0..size {
        for j in 0..=i {
            let before: f64 = (0..j).map(|k| root[i][k] * root[j][k]).sum();
            let left = matrix[i][j] - before;
            if i == j {
                if left <= 0.0 || !left.is_finite() {
                    return None;
                }
                root[i][i] = libm::sqrt(left);
            } else {
                root[i][j] = left / root[j][j];
            }
        }
    }
    Some(root)
}

pub(super) fn solve_lower(root: &[Vec<f64>], right: &[f64]) -> Vec<f64> {
    let mut found: Vec<f64> = Vec::with_capacity(right.len());
    for (i, value) in right.iter().enumerate() {
        let before: f64 = found.iter().zip(&root[i]).map(|(x, l)| x * l).sum();
        found.push((value - before) / root[i][i]);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::Normal;

    fn pair(correlation: f64) -> Normal {
        Normal {
            mean: vec![1.0, 2.0],
            covariance: vec![vec![4.0, 6.0 * correlation], vec![6.0 * correlation, 9.0]],
            freedom: 1e6,
        }
    }

    /// With very many degrees of freedom Student's density is the normal one: at the mean of two
    /// independent readings `1 / (2π · 2 · 3)`, one standard deviation off in each `e` times less.
    #[test]
    fn the_density_is_the_normal_one_in_the_limit() {
        let at_mean = pair(0.0).log_density(&[1.0, 2.0]);
        assert!((at_mean + (2.0 * std::f64::consts::PI * 6.0).ln()).abs() < 1e-4);
        let off = pair(0.0).log_density(&[3.0, 5.0]);
        assert!((at_mean - off - 1.0).abs() < 1e-4);
    }

    /// Regression of one normal variable on another: `μ₂ + ρ σ₂/σ₁ (x − μ₁)`, spread
    /// `σ₂ √(1 − ρ²)` (textbook).
    #[test]
    fn a_known_reading_says_what_to_expect_of_another() {
        let (mean, spread) = pair(0.8).last_given(&[3.0]).expect("positive");
        assert!((mean - (2.0 + 0.8 * 1.5 * 2.0)).abs() < 1e-12);
        assert!((spread - 3.0 * 0.6).abs() < 1e-12);
    }

    /// Equal spreads, means two standard deviations apart: 2² / 8.
    #[test]
    fn the_distance_between_equal_spreads_is_an_eighth_of_the_square() {
        let mut other = pair(0.0);
        other.mean[0] += 4.0;
        assert!((pair(0.0).apart(&other) - 0.5).abs() < 1e-12);
        assert!(pair(0.3).apart(&pair(0.3)).abs() < 1e-12);
    }
}
