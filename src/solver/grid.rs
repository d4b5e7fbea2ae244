//! The steps of a period, as parts of it: refined where they are too coarse, the same in both halves.

/// Most parts that a step is divided into at once.
const MOST_PARTS: f64 = 8.0;

/// The steps with those divided evenly that have a larger error than `allowed`. On a smooth stretch
/// the error goes with the third power of the length, but what is left too coarse is a step in which
/// a diode begins to conduct or ceases: there it goes with the length.
pub(super) fn divided(steps: &[f64], errors: &[f64], allowed: f64) -> Vec<f64> {
    let parts = |k: usize| {
        let error = errors.get(k).copied().unwrap_or(0.0) / allowed;
        libm::ceil(error).clamp(1.0, MOST_PARTS)
    };
    let mut all = Vec::with_capacity(2 * steps.len());
    for (k, &step) in steps.iter().enumerate() {
        let parts = parts(k);
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a small count"
        )]
        all.extend(std::iter::repeat_n(step / parts, parts as usize));
    }
    all
}

/// The steps refined so that they repeat after half a period: the mean of a sine over them is
/// exactly zero, and a full-wave circuit's two halves are computed alike.
pub(super) fn balanced(steps: &[f64]) -> Vec<f64> {
    let mut halves: [Vec<(f64, f64)>; 2] = [Vec::new(), Vec::new()];
    let mut time = 0.0;
    for &h in steps {
        let (start, end) = (time, time + h);
        if start < 0.5 {
            halves[0].push((start, h.min(0.5 - start)));
        }
        if end > 0.5 {
            let from = (start - 0.5).max(0.0);
            halves[1].push((from, end - 0.5 - from));
        }
        time = end;
    }
    let mut half = Vec::with_capacity(steps.len());
    let mut phase = 0.0_f64;
    while phase < 0.5 {
        // The shorter of the two steps under way, and no further than any finer one that begins
        // within it reaches.
        let mut next = 0.5_f64;
        for list in &halves {
            for &(start, h) in list {
                if start <= phase + 1e-12 && phase + 1e-12 < start + h {
                    next = next.min(phase + h);
                } else if start > phase && start < next {
                    next = next.min(start + h);
                }
            }
        }
        if 0.5 - next < 0.3 * (next - phase) {
            next = 0.5;
        }
        next = next.max(phase + 1e-9);
        half.push(next - phase);
        phase = next;
    }
    [half.clone(), half].concat()
}

#[cfg(test)]
mod tests {
    use super::{balanced, divided};

    /// A step with three times the error allowed becomes three, and the sum stays.
    #[test]
    fn large_errors_divide_steps() {
        let steps = divided(&[0.1, 0.3, 0.6], &[0.5, 3.0, 1.0], 1.0);
        let expected = [0.1, 0.1, 0.1, 0.1, 0.6];
        assert!(
            steps
                .iter()
                .zip(expected)
                .all(|(a, b)| (a - b).abs() < 1e-12)
        );
        assert_eq!(steps.len(), expected.len());
    }

    /// Each half has the finer of both halves' steps.
    #[test]
    fn halves_are_alike() {
        let steps = balanced(&[0.3, 0.2, 0.1, 0.4]);
        let half = steps.len() / 2;
        assert_eq!(steps[..half], steps[half..]);
        assert!((steps.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        assert!(steps[0] <= 0.1 + 1e-12);
    }
}
