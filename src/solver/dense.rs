//! Small dense equations: the corrections of shooting.

/// Gaussian elimination with row pivoting of a matrix row by row; an equation without a pivot
/// leaves its unknown zero.
pub(super) fn solve(mut a: Vec<f64>, b: &[f64]) -> Vec<f64> {
    let n = b.len();
    let mut x = b.to_vec();
    for k in 0..n {
        let size = |row: usize| a[row * n + k].abs();
        let Some(pivot) = (k..n).max_by(|&i, &j| size(i).total_cmp(&size(j))) else {
            continue;
        };
        if pivot != k {
            for column in 0..n {
                a.swap(k * n + column, pivot * n + column);
            }
            x.swap(k, pivot);
        }
        if a[k * n + k].abs() < 1e-15 {
            continue;
        }
        for i in k + 1..n {
            let factor = a[i * n + k] / a[k * n + k];
            if factor != 0.0 {
                for j in k + 1..n {
                    a[i * n + j] -= factor * a[k * n + j];
                }
                x[i] -= factor * x[k];
            }
        }
    }
    for k in (0..n).rev() {
        if a[k * n + k].abs() < 1e-15 {
            x[k] = 0.0;
            continue;
        }
        for j in k + 1..n {
            x[k] -= a[k * n + j] * x[j];
        }
        x[k] /= a[k * n + k];
    }
    x
}

#[cfg(test)]
mod tests {
    use super::solve;

    /// A zero on the diagonal needs a row swap; an empty equation leaves its unknown at zero.
    #[test]
    fn pivots_and_passes_over() {
        let x = solve(vec![0.0, 2.0, 1.0, 1.0], &[4.0, 5.0]);
        assert!((x[0] - 3.0).abs() < 1e-14 && (x[1] - 2.0).abs() < 1e-14);
        let x = solve(vec![2.0, 0.0, 0.0, 0.0], &[6.0, 0.0]);
        assert!((x[0] - 3.0).abs() < 1e-14 && x[1].abs() < 1e-14);
    }
}
