//! The periodic steady state by shooting: Newton's method on the storage elements' states.
//!
//! One period is integrated together with the sensitivity M of its end to its start; the start is
//! corrected by `(I − M)⁻¹ · (end − start)`. What decides is that correction, not the change over
//! a period: a slowly charging rail changes little in a period and is still far from settled. Once
//! the correction is small the steps of the last period are kept, so that the map that is closed
//! is one smooth function.

use super::elimination::Lane;
use super::observe::{Gathering, Observed, Waveform};
use super::operating_point::Method;
use super::sensitivity::Sensitivity;
use super::stepping::Stepper;

/// What a steady state is allowed and asked.
#[derive(Debug, Clone, Copy)]
pub(super) struct Closing {
    /// Largest correction left, relative to the voltage scale.
    pub tolerance: f64,
    /// Largest local error of a kept step, relative to what a new step is allowed.
    pub kept_error: f64,
    /// Most periods.
    pub most_periods: usize,
}

/// How often the kept steps may prove too coarse and be refined.
const MOST_REFINEMENTS: usize = 6;

/// Corrections taken in full before each has to reduce the change over a period.
const FREE_CORRECTIONS: usize = 5;
/// Smallest part of a correction tried.
const LEAST_PART: f64 = 0.02;

/// The last correction that helped.
#[derive(Debug, Clone, Default)]
struct Trial {
    start: Vec<f64>,
    correction: Vec<f64>,
    /// Largest change over the period from `start`, relative to the scale.
    change: f64,
    /// Part of the correction tried last.
    part: f64,
}

/// A steady state of one lane.
#[derive(Debug, Clone)]
pub(super) struct Closed<const L: usize> {
    pub ok: [bool; L],
    pub method: [Method; L],
    pub periods: [usize; L],
    /// Largest correction left, relative to the scale.
    pub correction: Lane<L>,
    /// State with the largest correction left.
    pub worst: [usize; L],
    /// Whether Newton's method failed inside a period, and when.
    pub stuck: [Option<f64>; L],
    pub gathered: Vec<Gathering<L>>,
    pub start: Vec<Lane<L>>,
    pub grid: [Vec<f64>; L],
}

/// Closes the period from the stepper's present states.
#[inline(always)]
#[allow(clippy::inline_always)]
#[allow(
    clippy::too_many_lines,
    reason = "one loop over periods, told in order"
)]
pub(super) fn close<const L: usize>(
    stepper: &mut Stepper<'_, L>,
    observed: &[Observed],
    warm_grid: Option<[Vec<f64>; L]>,
    closing: Closing,
    mut waveform: Option<&mut Waveform>,
) -> Closed<L> {
    let count = stepper.states.len();
    let period = stepper.newton.parameters.period;
    let warm = warm_grid.is_some();
    let mut grid = warm_grid.unwrap_or_else(|| std::array::from_fn(|_| Vec::new()));
    let mut keep_grid = [warm; L];
    let mut closed = Closed {
        ok: [false; L],
        method: [Method::Shooting; L],
        periods: [0; L],
        correction: [f64::INFINITY; L],
        worst: [0; L],
        stuck: [None; L],
        gathered: Vec::new(),
        start: stepper.states.clone(),
        grid: std::array::from_fn(|_| Vec::new()),
    };
    let mut live = [true; L];
    let mut sensitivity = Sensitivity::default();
    let mut taken: [Vec<f64>; L] = std::array::from_fn(|_| Vec::new());
    // Plain periods before the first correction, when nothing is known.
    let mut settling = [if warm { 0 } else { 2 }; L];
    let mut corrections = [0_usize; L];
    let mut refined = [0_usize; L];
    let mut trials: [Trial; L] = std::array::from_fn(|_| Trial::default());
    for _ in 0..closing.most_periods {
        stepper.time = [0.0; L];
        let begin = stepper.states.clone();
        let mut gathered = vec![Gathering::new(); observed.len()];
        let started = stepper.start(observed, Some(&mut sensitivity));
        for l in 0..L {
            if live[l] && !started[l] {
                live[l] = false;
                closed.stuck[l] = Some(0.0);
            }
        }
        let mut wave = waveform.as_ref().map(|w| Waveform {
            time: Vec::new(),
            probes: vec![Vec::new(); w.probes.len()],
        });
        let offered: [Vec<f64>; L] = std::array::from_fn(|l| {
            if keep_grid[l] {
                grid[l].clone()
            } else {
                Vec::new()
            }
        });
        let outcome = stepper.run(
            &period,
            &live,
            Some(&offered),
            &mut taken,
            observed,
            &mut gathered,
            (count > 0).then_some(&mut sensitivity),
            wave.as_mut(),
        );
        if closed.gathered.is_empty() {
            closed.gathered.clone_from(&gathered);
        }
        for l in 0..L {
            if !live[l] {
                continue;
            }
            closed.periods[l] += 1;
            if !outcome.finished[l] {
                live[l] = false;
                closed.stuck[l] = Some(outcome.time[l]);
                continue;
            }
            if settling[l] > 0 && count > 0 {
                settling[l] -= 1;
                continue;
            }
            let residual: Vec<f64> = (0..count)
                .map(|s| stepper.states[s][l] - begin[s][l])
                .collect();
            let matrix: Vec<Vec<f64>> = (0..count)
                .map(|s| {
                    (0..count)
                        .map(|c| f64::from(u8::from(s == c)) - sensitivity.get(s, c, l))
                        .collect()
                })
                .collect();
            let scale: Vec<f64> = (0..count).map(|s| stepper.state_scale(s, l)).collect();
            let correction = solve_dense(matrix, &residual);
            let (mut size, mut worst, mut rounding) = (0.0_f64, 0, true);
            for s in 0..count {
                let part = correction[s].abs() / scale[s];
                if part > size || part.is_nan() {
                    (size, worst) = (part, s);
                }
                rounding &= residual[s].abs() <= 1e-13 * scale[s];
            }
            let stalled = corrections[l] > 4
                && size < 1e-3 * closing.tolerance.sqrt()
                && size > 0.3 * closed.correction[l];
            closed.correction[l] = size;
            closed.worst[l] = worst;
            let followed = keep_grid[l] && taken[l] == offered[l];
            let served = followed
                && (outcome.error[l] <= closing.kept_error || refined[l] > MOST_REFINEMENTS);
            if served && (size <= closing.tolerance || rounding || stalled) {
                live[l] = false;
                closed.ok[l] = true;
                for s in 0..count {
                    closed.start[s][l] = begin[s][l];
                }
                closed.grid[l].clone_from(&taken[l]);
                for (kept, new) in closed.gathered.iter_mut().zip(&gathered) {
                    kept.take_lane(new, l);
                }
                if let (0, Some(out), Some(wave)) = (l, waveform.as_deref_mut(), wave.take()) {
                    *out = wave;
                }
                continue;
            }
            // Far off, the correction is no better than its direction.
            let shrink = if size > 0.5 { 0.5 / size } else { 1.0 };
            // Where full corrections go round in circles (a diode conducts in every other trial),
            // go back and take less of the last one that helped.
            let change = (0..count).fold(0.0_f64, |most, s| most.max(residual[s].abs() / scale[s]));
            let trial = &mut trials[l];
            if corrections[l] > FREE_CORRECTIONS && change > trial.change && trial.part > LEAST_PART
            {
                trial.part *= 0.4;
                for s in 0..count {
                    stepper.states[s][l] = trial.start[s] + trial.part * trial.correction[s];
                }
            } else {
                *trial = Trial {
                    start: (0..count).map(|s| begin[s][l]).collect(),
                    correction: correction.iter().map(|c| shrink * c).collect(),
                    change,
                    part: 1.0,
                };
                for s in 0..count {
                    stepper.states[s][l] = begin[s][l] + shrink * correction[s];
                }
            }
            // Far off, or found too coarse, kept steps give way to new ones; near the end the
            // steps just found are kept.
            if followed {
                keep_grid[l] = size <= 0.01 && (served || size > 1e-3);
            } else {
                keep_grid[l] = size < 0.01;
                if keep_grid[l] {
                    refined[l] += 1;
                    grid[l] = balanced(&taken[l]);
                }
            }
            corrections[l] += 1;
            if corrections[l] % 25 == 0 {
                // Not converging: let the circuit settle by itself for a while.
                for s in 0..count {
                    stepper.states[s][l] = begin[s][l] + residual[s];
                }
                trials[l].change = f64::INFINITY;
                settling[l] = 10;
                keep_grid[l] = false;
                closed.method[l] = Method::SettledShooting;
            }
        }
        if !live.contains(&true) {
            break;
        }
    }
    closed
}

/// The steps refined so that they repeat after half a period: the mean of a sine over them is
/// exactly zero, and a full-wave circuit's two halves are computed alike.
fn balanced(steps: &[f64]) -> Vec<f64> {
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

/// Gaussian elimination with row pivoting; an equation without a pivot leaves its unknown zero.
fn solve_dense(mut a: Vec<Vec<f64>>, b: &[f64]) -> Vec<f64> {
    let n = b.len();
    let mut x = b.to_vec();
    for k in 0..n {
        let pivot = (k..n).max_by(|&i, &j| a[i][k].abs().total_cmp(&a[j][k].abs()));
        let Some(pivot) = pivot else { continue };
        a.swap(k, pivot);
        x.swap(k, pivot);
        if a[k][k].abs() < 1e-15 {
            continue;
        }
        for i in k + 1..n {
            let factor = a[i][k] / a[k][k];
            if factor != 0.0 {
                for j in k + 1..n {
                    a[i][j] -= factor * a[k][j];
                }
                x[i] -= factor * x[k];
            }
        }
    }
    for k in (0..n).rev() {
        if a[k][k].abs() < 1e-15 {
            x[k] = 0.0;
            continue;
        }
        for j in k + 1..n {
            x[k] -= a[k][j] * x[j];
        }
        x[k] /= a[k][k];
    }
    x
}
