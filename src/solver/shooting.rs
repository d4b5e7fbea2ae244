//! The periodic steady state by shooting: Newton's method on the storage elements' states.
//!
//! One period is integrated together with the sensitivity M of its end to its start; the start is
//! corrected by `(I − M)⁻¹ · (end − start)`. What decides is that correction, not the change over
//! a period: a slowly charging rail changes little in a period and is still far from settled. Once
//! the correction is small the steps of the last period are kept, so that the map that is closed
//! is one smooth function.
//!
//! M costs as much as the period itself, so it is taken over: from the similar situation that the
//! start came from, then from period to period, changed by the least that explains what the last
//! correction brought (Broyden 1965). It is found anew where the corrections do not shrink.

#![allow(clippy::inline_always, reason = "runs inside the vectorised solver")]

use super::dense;
use super::grid::{balanced, divided};
use super::operating_point::Method;
use super::sensitivity::Sensitivity;
use super::stepping::Stepper;
use super::trajectory::Trajectory;
use super::{Passage, State};
use crate::circuit::real::{Mask, Real};

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

/// Part of the error allowed that steps may have which others take over: theirs will be larger.
const SPARING: f64 = 0.5;
/// How often the kept steps may prove too coarse and be refined.
const MOST_REFINEMENTS: usize = 6;
/// Corrections taken in full before each has to reduce the change over a period.
const FREE_CORRECTIONS: usize = 5;
/// A correction beyond which kept steps no longer fit.
const FAR: f64 = 2.0;
/// A correction below which steps just found are kept …
const CLOSE: f64 = 1e-2;
/// … and below which the errors of kept steps are those of the steady state, not of the way to it.
const CLOSER: f64 = 1e-3;
/// Smallest part of a correction tried.
const LEAST_PART: f64 = 0.02;
/// M is taken over for corrections below this …
const NEAR: f64 = 10.0;
/// … or this, where it cannot come from a similar situation and others may take it from here …
const NEAR_ALONE: f64 = 1e-4;
/// … as long as each is at most this part of the one before.
const SHRINKING: f64 = 0.2;

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

/// The last correction, whatever became of it.
#[derive(Debug, Clone)]
struct Moved {
    by: Vec<f64>,
    /// Change over the period before it, and that period's steps.
    residual: Vec<f64>,
    steps: Vec<f64>,
}

/// One lane's way to its steady state.
#[derive(Debug, Clone)]
#[allow(clippy::struct_excessive_bools, reason = "each says another thing")]
pub(super) struct Closed {
    pub ok: bool,
    pub method: Method,
    pub periods: usize,
    /// Largest correction left, relative to the scale.
    pub correction: f64,
    /// State with the largest correction left.
    pub worst: usize,
    /// Whether Newton's method failed inside a period, and when.
    pub stuck: Option<f64>,
    pub start: Vec<f64>,
    pub grid: Vec<f64>,
    /// Plain periods before the next correction.
    settling: usize,
    keep_grid: bool,
    /// The last period took the steps it was offered.
    followed: bool,
    /// The kept steps are fine enough.
    proven: bool,
    /// I − M, row by row.
    pub map: Vec<f64>,
    /// It is to be found anew.
    renew: bool,
    /// It was taken over from a similar situation.
    inherited: bool,
    /// The periods so far.
    pub course: Vec<Passage>,
    /// The last correction.
    moved: Option<Moved>,
    corrections: usize,
    refined: usize,
    trial: Trial,
}

/// What happens between periods.
pub(super) trait Lanes<R: Real> {
    /// Takes what became of a lane, closed or not, while its last period is on record.
    fn done(&mut self, stepper: &Stepper<'_, R>, lane: usize, closed: Closed);
    /// Takes the record of a period in which lanes closed, before they are reported done.
    fn record(&mut self, stepper: &Stepper<'_, R>, trajectory: &Trajectory<R>);
    /// Loads the lane with another situation and says what is known of it, if there is one.
    fn next(&mut self, stepper: &mut Stepper<'_, R>, lane: usize) -> Option<Known>;
}

/// What a similar situation tells beforehand; empty where nothing is known.
#[derive(Debug, Clone, Default)]
pub(super) struct Known {
    /// Its steps.
    grid: Vec<f64>,
    /// Its I − M, row by row.
    map: Vec<f64>,
}

impl From<&State> for Known {
    fn from(state: &State) -> Self {
        Self {
            grid: state.steps.clone(),
            map: state.map.clone(),
        }
    }
}

/// Closes the period in every lane, from the stepper's present states. `known` says what to begin
/// with, nothing at all in a lane that is idle. A lane that is done is loaded again until there is
/// nothing left.
#[inline(always)]
pub(super) fn close<R: Real>(
    stepper: &mut Stepper<'_, R>,
    known: Vec<Option<Known>>,
    closing: Closing,
    work: &mut impl Lanes<R>,
) {
    let count = stepper.states.len();
    let zero = stepper.newton.zero;
    let mut live = zero.mask(|lane| known[lane].is_some());
    let mut lanes: Vec<Closed> = known
        .into_iter()
        .map(|known| Closed::new(known.unwrap_or_default()))
        .collect();
    let mut sensitivity = Sensitivity::new(&stepper.newton);
    let mut trajectory = Trajectory::new(stepper.newton.topology);
    let mut taken: Vec<Vec<f64>> = vec![Vec::new(); R::LANES];
    while live.any() {
        stepper.time = zero;
        let begin = stepper.states.clone();
        let renewing = count > 0
            && (0..R::LANES)
                .any(|lane| live.lane(lane) && lanes[lane].renew && lanes[lane].settling == 0);
        let started = stepper.start(Some(&mut trajectory), renewing.then_some(&mut sensitivity));
        for (lane, one) in lanes.iter_mut().enumerate() {
            if live.lane(lane) && !started.lane(lane) {
                one.stuck = Some(0.0);
            }
        }
        let offered: Vec<Vec<f64>> = lanes
            .iter()
            .map(|one| {
                if one.keep_grid {
                    one.grid.clone()
                } else {
                    Vec::new()
                }
            })
            .collect();
        trajectory.resembles(zero.mask(|lane| {
            let one = &lanes[lane];
            one.followed && one.keep_grid && one.grid == taken[lane]
        }));
        let outcome = stepper.run(
            stepper.newton.parameters.period,
            live & started,
            Some(&offered),
            zero.mask(|lane| lanes[lane].proven),
            &mut taken,
            Some(&mut trajectory),
            renewing.then_some(&mut sensitivity),
        );
        let mut done = Vec::new();
        for (lane, one) in lanes.iter_mut().enumerate() {
            if !live.lane(lane) {
                continue;
            }
            let stays = one.stuck.is_none() && {
                one.periods += 1;
                if outcome.finished.lane(lane) {
                    let period = Period {
                        begin: begin.iter().map(|state| state.lane(lane)).collect(),
                        taken: &taken[lane],
                        offered: &offered[lane],
                        error: outcome.error.lane(lane),
                    };
                    one.judge(lane, stepper, &sensitivity, period, closing)
                        && one.periods < closing.most_periods
                } else {
                    one.stuck = Some(stepper.time.lane(lane));
                    false
                }
            };
            if !stays {
                done.push(lane);
            }
        }
        if done.iter().any(|&lane| lanes[lane].ok) {
            trajectory.close(zero.mask(|lane| done.contains(&lane)));
            work.record(stepper, &trajectory);
        }
        for lane in done {
            let mut fresh = Closed::new(Known::default());
            std::mem::swap(&mut fresh, &mut lanes[lane]);
            work.done(stepper, lane, fresh);
            match work.next(stepper, lane) {
                Some(known) => lanes[lane] = Closed::new(known),
                None => live = live.with_lane(lane, false),
            }
        }
    }
}

/// What a period of one lane leaves behind.
struct Period<'a> {
    begin: Vec<f64>,
    taken: &'a [f64],
    offered: &'a [f64],
    /// Largest local error of a step, relative to what is allowed.
    error: f64,
}

impl Closed {
    /// Nothing done yet.
    fn new(known: Known) -> Self {
        let Known { grid, map } = known;
        let warm = !grid.is_empty();
        Self {
            ok: false,
            method: Method::Shooting,
            periods: 0,
            correction: f64::INFINITY,
            worst: 0,
            stuck: None,
            start: Vec::new(),
            grid,
            // When nothing is known, let two periods pass first.
            settling: if warm { 0 } else { 2 },
            keep_grid: warm,
            followed: false,
            proven: false,
            renew: map.is_empty(),
            inherited: !map.is_empty(),
            map,
            course: Vec::new(),
            moved: None,
            corrections: 0,
            refined: 0,
            trial: Trial::default(),
        }
    }

    /// Judges a period of one lane and sets the next one's start; `false` when it is the last.
    fn judge<R: Real>(
        &mut self,
        lane: usize,
        stepper: &mut Stepper<'_, R>,
        sensitivity: &Sensitivity<R>,
        period: Period<'_>,
        closing: Closing,
    ) -> bool {
        let Period {
            begin,
            taken,
            offered,
            error,
        } = period;
        let count = begin.len();
        let mut passage = Passage {
            steps: taken.len(),
            correction: None,
            derived: self.renew,
        };
        if self.settling > 0 && count > 0 {
            self.settling -= 1;
            passage.derived = false;
            self.course.push(passage);
            return true;
        }
        let residual: Vec<f64> = (0..count)
            .map(|s| stepper.states[s].lane(lane) - begin[s])
            .collect();
        let scale: Vec<f64> = (0..count).map(|s| stepper.state_scale(s, lane)).collect();
        if self.renew {
            self.map.clear();
            for s in 0..count {
                for c in 0..count {
                    let unit = f64::from(u8::from(s == c));
                    self.map.push(unit - sensitivity.get(s, c, lane));
                }
            }
        } else {
            self.follow(&residual, &scale, taken);
        }
        let correction = dense::solve(self.map.clone(), &residual);
        let (mut size, mut worst, mut rounding) = (0.0_f64, 0, true);
        for s in 0..count {
            let part = correction[s].abs() / scale[s];
            if part > size || part.is_nan() {
                (size, worst) = (part, s);
            }
            rounding &= residual[s].abs() <= 1e-13 * scale[s];
        }
        passage.correction = Some(size);
        self.course.push(passage);
        let stalled = self.corrections > 4
            && size < 1e-3 * closing.tolerance.sqrt()
            && size > 0.3 * self.correction;
        let shrinking = self.renew || size < SHRINKING * self.correction;
        let near = if self.inherited { NEAR } else { NEAR_ALONE };
        self.renew = size > near || !shrinking;
        self.correction = size;
        self.worst = worst;
        let followed = self.keep_grid && taken == offered;
        self.followed = followed;
        let allowed = if self.inherited {
            closing.kept_error
        } else {
            SPARING * closing.kept_error
        };
        let served =
            followed && (self.proven || error <= allowed || self.refined > MOST_REFINEMENTS);
        self.proven = served && size <= CLOSE;
        if served && (size <= closing.tolerance || rounding || stalled) {
            self.ok = true;
            self.start = begin;
            self.grid = taken.to_vec();
            return false;
        }
        let by = self.correct(lane, stepper, &begin, &residual, &correction, &scale);
        self.moved = Some(Moved {
            by,
            residual: residual.clone(),
            steps: taken.to_vec(),
        });
        // Far off, kept steps give way to new ones; near the end those found too coarse are
        // divided, and steps just found are kept.
        self.keep_grid = size <= if followed { FAR } else { CLOSE };
        self.proven &= self.keep_grid;
        if !followed && size <= CLOSE {
            self.refined += 1;
            self.grid = balanced(taken);
        } else if followed && !served && size <= CLOSER {
            self.refined += 1;
            self.grid = balanced(&divided(taken, &stepper.errors_taken[lane], 0.75 * allowed));
        }
        self.corrections += 1;
        if self.corrections.is_multiple_of(25) {
            // Not converging: let the circuit settle by itself for a while.
            for s in 0..count {
                stepper.states[s] = stepper.states[s].with_lane(lane, begin[s] + residual[s]);
            }
            self.trial.change = f64::INFINITY;
            self.settling = 10;
            self.keep_grid = false;
            self.proven = false;
            self.renew = true;
            self.moved = None;
            self.method = Method::SettledShooting;
        }
        true
    }

    /// Sets the next period's start; by how much it moves.
    fn correct<R: Real>(
        &mut self,
        lane: usize,
        stepper: &mut Stepper<'_, R>,
        begin: &[f64],
        residual: &[f64],
        correction: &[f64],
        scale: &[f64],
    ) -> Vec<f64> {
        let largest = |values: &[f64]| {
            values
                .iter()
                .zip(scale)
                .fold(0.0_f64, |most, (value, scale)| {
                    most.max(value.abs() / scale)
                })
        };
        // Far off, the correction is no better than its direction.
        let size = largest(correction);
        let shrink = if size > 1.0 { 1.0 / size } else { 1.0 };
        let change = largest(residual);
        let trial = &mut self.trial;
        // Where full corrections go round in circles (a diode conducts in every other trial),
        // go back and take less of the last one that helped.
        if self.corrections > FREE_CORRECTIONS && change > trial.change && trial.part > LEAST_PART {
            trial.part *= 0.4;
        } else {
            *trial = Trial {
                start: begin.to_vec(),
                correction: correction.iter().map(|c| shrink * c).collect(),
                change,
                part: 1.0,
            };
        }
        let mut moved = Vec::with_capacity(begin.len());
        for (s, state) in stepper.states.iter_mut().enumerate() {
            let start = trial.start[s] + trial.part * trial.correction[s];
            moved.push(start - begin[s]);
            *state = state.with_lane(lane, start);
        }
        moved
    }

    /// Changes I − M by the least that makes it explain what the last correction brought. Near
    /// the end other steps change more than a correction does, and nothing is learnt over them.
    fn follow(&mut self, residual: &[f64], scale: &[f64], steps: &[f64]) {
        let tells = |moved: &Moved| self.correction > CLOSE || moved.steps == steps;
        let Some(moved) = self.moved.take().filter(tells) else {
            return;
        };
        let by = moved.by.iter().zip(scale);
        let scaled: Vec<f64> = by.map(|(by, s)| by / (s * s)).collect();
        let length: f64 = moved.by.iter().zip(&scaled).map(|(by, s)| by * s).sum();
        if !(length > 0.0 && length.is_finite()) {
            return;
        }
        let count = scaled.len();
        for (s, row) in self.map.chunks_mut(count).enumerate() {
            let told: f64 = row
                .iter()
                .zip(&moved.by)
                .map(|(entry, by)| entry * by)
                .sum();
            let miss = (moved.residual[s] - residual[s] - told) / length;
            for (entry, direction) in row.iter_mut().zip(&scaled) {
                *entry += miss * direction;
            }
        }
    }
}
