//! Steps in time: TR-BDF2 with step control.
//!
//! One step of length h: a trapezoidal stage to `γh`, then a second-order backward differentiation
//! to `h`, with γ = 2 − √2, as a stiffly accurate diagonally implicit Runge–Kutta method (Bank et
//! al. 1985; tableau and embedded third-order weights of Hosea and Shampine 1996). Second order,
//! L-stable: a stiff branch (a regulator's output capacitor) follows without ringing. Averages are
//! integrated with the method's own weights, so that a capacitor's mean current is exactly its
//! change of charge.

#![allow(clippy::inline_always, reason = "runs inside the vectorised solver")]

use super::State;
use super::newton::Newton;
use super::operating_point::walk_from;
use super::parameters::Parameters;
use super::sensitivity::Sensitivity;
use super::topology::Ohmic;
use super::trajectory::{Foreseen, Trajectory};
use crate::circuit::real::{Mask, Real, Work};
use crate::circuit::smooth;

const GAMMA: f64 = 2.0 - std::f64::consts::SQRT_2;
/// Diagonal weight d = γ/2.
const D: f64 = GAMMA / 2.0;
/// Weight of the first two stages w = √2/4.
const W: f64 = std::f64::consts::SQRT_2 / 4.0;
/// Weights of a step's three points.
pub(super) const WEIGHTS: [f64; 3] = [W, W, D];
/// Weights of the three points with which a parabola through them is integrated exactly.
pub(super) const PARABOLA: [f64; 3] = {
    let middle = 1.0 / (6.0 * GAMMA * (1.0 - GAMMA));
    let end = 0.5 - GAMMA * middle;
    [1.0 - middle - end, middle, end]
};
/// Main minus embedded weights.
const E: [f64; 3] = [(4.0 * W - 1.0) / 3.0, -1.0 / 3.0, 2.0 * D / 3.0];

/// Local error allowed per unit of accuracy: of a storage state over one step (errors of a charging
/// pulse's steps add up), and of a node voltage or a current within a step, relative to the
/// largest seen. Project choice, from the worst deviation of the reference circuits.
const STATE_PART: f64 = 0.01;
const VOLTAGE_PART: f64 = 2.0;
const CURRENT_PART: f64 = 0.7;

/// A watched current's scale as long as nothing is known [A].
const LEAST_SCALE: f64 = 1e-3;

/// Longest step, in periods.
const LONGEST: f64 = 1.0 / 20.0;
/// Shortest step, in periods.
const SHORTEST: f64 = 1e-10;
/// What counts as an instant, in periods: in it nothing that is stored may move noticeably, however
/// fast it is (a regulator's milliohm at 100 nF is 0.1 ns).
const INSTANT: f64 = 1e-12;
/// For these two no period counts as longer than this [s]: what is instantaneous does not depend on
/// for how long a circuit is followed.
const LONGEST_PERIOD: f64 = 0.02;
/// Step below which a damped walk is tried where Newton's method alone fails, in periods.
const TETHER: f64 = 1e-7;
/// Iterations of Newton's method in one stage.
const STAGE_ITERATIONS: usize = 25;

/// How well a run went, per lane.
#[derive(Debug, Clone)]
pub(super) struct Outcome<R: Real> {
    /// Lanes that reached the end.
    pub finished: R::Mask,
    /// Largest local error of a step, relative to what is allowed.
    pub error: R,
}

/// A current whose error counts.
#[derive(Debug, Clone, Copy)]
enum Watched {
    /// A capacitor's or inductor's.
    Storage(usize),
    /// A junction's.
    Junction(usize),
    /// A source's behind its resistance: its port.
    Source(usize),
}

/// Integrates one or more periods.
#[derive(Debug, Clone)]
pub(super) struct Stepper<'t, R: Real> {
    pub newton: Newton<'t, R>,
    /// Inner voltages of the capacitors, currents of the inductors.
    pub states: Vec<R>,
    pub time: R,
    /// Time unit of the step limits: the period, or a chosen span without one [s].
    pub span: R,
    /// Relative accuracy aimed at.
    pub accuracy: f64,
    /// Size of the voltages seen so far, and of each watched current: since the last start and in
    /// the run before it. (What charged a capacitor from nothing is no scale for its later life.)
    pub voltage_scale: R,
    current_scale: Vec<R>,
    peaks: Vec<R>,
    /// Slopes of the states at the start, middle and end of the step.
    slopes: [Vec<R>; 3],
    next: R,
    errors: Vec<R>,
    response: Vec<R>,
    watched: Vec<Watched>,
    /// Unknowns and watched currents at the three points.
    unknowns: [Vec<R>; 3],
    currents: [Vec<R>; 3],
    /// Per lane, each taken step's error relative to what is allowed, as far as it was asked for.
    pub errors_taken: Vec<Vec<f64>>,
    /// Length of the last step; negative when it was refused, zero when there is none.
    last_step: R,
}

impl<'t, R: Real> Stepper<'t, R> {
    pub(super) fn new(newton: Newton<'t, R>, span: R, accuracy: f64) -> Self {
        let (topology, zero) = (newton.topology, newton.zero);
        let zeros = |n: usize| vec![zero; n];
        let storage = newton.bases.len();
        let mut watched: Vec<Watched> = (0..storage).map(Watched::Storage).collect();
        watched.extend((0..topology.junctions.len()).map(Watched::Junction));
        watched.extend(topology.ohmic.iter().filter_map(|&(port, origin)| {
            matches!(origin, Ohmic::Source(..)).then_some(Watched::Source(port))
        }));
        let voltage_scale = first_scale(&newton);
        let threefold = |n: usize| [zeros(n), zeros(n), zeros(n)];
        Self {
            states: zeros(storage),
            time: zero,
            span,
            accuracy,
            voltage_scale,
            current_scale: vec![zero.splat(LEAST_SCALE); watched.len()],
            peaks: vec![zero.splat(LEAST_SCALE); watched.len()],
            slopes: threefold(storage),
            next: span * 1e-3,
            errors: zeros(storage),
            response: zeros(topology.unknowns),
            unknowns: threefold(topology.unknowns),
            currents: threefold(watched.len()),
            watched,
            errors_taken: vec![Vec::new(); R::LANES],
            last_step: zero,
            newton,
        }
    }

    /// Takes the states and unknowns of a solved operating point.
    pub(super) fn begin_from_newton(&mut self) {
        let capacitors = self.newton.parameters.capacitance.len();
        self.newton.read_storage();
        for (s, state) in self.states.iter_mut().enumerate() {
            *state = if s < capacitors {
                self.newton.storage_voltages[s]
            } else {
                self.newton.storage_currents[s]
            };
        }
        self.unknowns[0].copy_from_slice(&self.newton.unknowns);
    }

    /// Takes other values in one lane, as [`Newton::load`] does; states are to be begun after.
    pub(super) fn load(&mut self, parameters: Parameters<R>, lane: usize) {
        self.newton.load(parameters, lane);
        let load = |to: &mut R, value: f64| *to = to.with_lane(lane, value);
        load(&mut self.span, self.newton.parameters.period.lane(lane));
        load(&mut self.next, self.span.lane(lane) * 1e-3);
        load(
            &mut self.voltage_scale,
            first_scale(&self.newton).lane(lane),
        );
        for peak in &mut self.peaks {
            load(peak, LEAST_SCALE);
        }
        for value in self.unknowns.iter_mut().flatten() {
            load(value, 0.0);
        }
    }

    /// Begins one lane from a state: what is stored, the unknowns, and the size of the currents,
    /// as far as they are known.
    pub(super) fn begin_lane(&mut self, lane: usize, state: &State) {
        let take = |to: &mut [R], from: &[f64]| {
            for (to, from) in to.iter_mut().zip(from) {
                *to = to.with_lane(lane, *from);
            }
        };
        take(&mut self.states, &state.storage);
        take(&mut self.unknowns[0], &state.unknowns);
        if state.currents.len() == self.peaks.len() {
            take(&mut self.peaks, &state.currents);
        }
    }

    /// Size of the watched currents in one lane's last period.
    pub(super) fn currents(&self, lane: usize) -> Vec<f64> {
        self.peaks.iter().map(|peak| peak.lane(lane)).collect()
    }

    /// Size against which a state's change is judged.
    pub(super) fn state_scale(&self, state: usize, lane: usize) -> f64 {
        if state < self.newton.parameters.capacitance.len() {
            self.voltage_scale.lane(lane)
        } else {
            self.current_scale[state].lane(lane)
        }
    }

    /// The time to which the shortest times are parts [s].
    #[inline(always)]
    fn short_span(&self) -> R {
        self.span.lesser(self.span.splat(LONGEST_PERIOD))
    }

    /// Finds the voltages that belong to the present states and time, and the states' slopes.
    /// True where it converged.
    #[inline(always)]
    pub(super) fn start(
        &mut self,
        trajectory: Option<&mut Trajectory<R>>,
        sensitivity: Option<&mut Sensitivity<R>>,
    ) -> R::Mask {
        self.current_scale.copy_from_slice(&self.peaks);
        self.peaks.fill(self.newton.zero.splat(LEAST_SCALE));
        // A backward Euler step too short to move anything.
        self.newton.reach = self.short_span() * INSTANT;
        self.newton.bases.copy_from_slice(&self.states);
        self.set_waves(self.time);
        self.newton.unknowns.copy_from_slice(&self.unknowns[0]);
        let all = self.newton.zero.less(self.span);
        self.newton.keep_matrix = sensitivity.is_some();
        let mut ok = self.newton.solve(all, 4 * STAGE_ITERATIONS);
        // By itself, a situation may take the long way.
        if R::LANES == 1 && !ok.any() {
            let walked = walk_from(&mut self.newton, &self.unknowns[0]);
            ok = self.newton.zero.mask(|_| walked);
        }
        self.newton.read_storage();
        self.read_slopes(0);
        if let Some(sensitivity) = sensitivity {
            sensitivity.begin(&self.newton);
        }
        self.keep_stage(0);
        if let Some(trajectory) = trajectory {
            trajectory.clear();
            trajectory.point(&self.newton, self.time);
        }
        self.last_step = self.newton.zero;
        ok
    }

    #[inline(always)]
    fn set_waves(&mut self, time: R) {
        let p = &self.newton.parameters;
        let periods = time / p.period;
        for (wave, source) in self.newton.waves.iter_mut().zip(&p.sources) {
            *wave = if source.alternating {
                let turns = source.harmonic * periods + source.phase;
                source.steady + source.peak * smooth::sine(turns)
            } else {
                source.steady
            };
        }
    }

    #[inline(always)]
    fn read_slopes(&mut self, stage: usize) {
        let p = &self.newton.parameters;
        let capacitors = p.capacitance.len();
        for (s, slope) in self.slopes[stage].iter_mut().enumerate() {
            let current = self.newton.storage_currents[s];
            *slope = if s < capacitors {
                current / p.capacitance[s]
            } else {
                let k = s - capacitors;
                (self.newton.storage_voltages[s] - p.winding[k] * current) / p.inductance[k]
            };
        }
    }

    #[inline(always)]
    fn keep_stage(&mut self, stage: usize) {
        self.unknowns[stage].copy_from_slice(&self.newton.unknowns);
        for (kept, watched) in self.currents[stage].iter_mut().zip(&self.watched) {
            *kept = match *watched {
                Watched::Storage(index) => self.newton.storage_currents[index],
                Watched::Junction(index) => self.newton.devices.currents[index],
                Watched::Source(port) => self
                    .newton
                    .linear_current(port, self.newton.port_voltage(port)),
            };
        }
    }

    /// Tries one step; where it converged, and its error relative to what is allowed, if `judged`.
    fn attempt(
        &mut self,
        h: R,
        live: R::Mask,
        judged: bool,
        trajectory: Option<&mut Trajectory<R>>,
        sensitivity: Option<&mut Sensitivity<R>>,
    ) -> (R::Mask, R) {
        self.newton.zero.run(Attempt {
            stepper: self,
            h,
            live,
            judged,
            trajectory,
            sensitivity,
        })
    }

    #[inline(always)]
    fn step(
        &mut self,
        h: R,
        live: R::Mask,
        judged: bool,
        mut trajectory: Option<&mut Trajectory<R>>,
        mut sensitivity: Option<&mut Sensitivity<R>>,
    ) -> (R::Mask, R) {
        self.newton.reach = h * D;
        let mut good = live;
        for (stage, fraction, weights) in [(1, GAMMA, (D, 0.0)), (2, 1.0, (W, W))] {
            let time = self.time + h * fraction;
            self.set_waves(time);
            let foreseen = trajectory.as_deref().and_then(Trajectory::foreseen);
            self.prepare(stage, h, good, weights, foreseen.as_ref());
            self.newton.keep_matrix = sensitivity.is_some() || (judged && stage == 2);
            let solved = self.newton.solve(good, STAGE_ITERATIONS);
            // By itself and at the end of its tether, a situation may take the long way.
            let short = h.lane(0) < TETHER * self.span.lane(0);
            good = if R::LANES == 1 && short && good.any() && !solved.any() {
                h.mask(|_| walk_from(&mut self.newton, &self.unknowns[0]))
            } else {
                good & solved
            };
            self.newton.read_storage();
            self.read_slopes(stage);
            if let Some(s) = sensitivity.as_deref_mut() {
                s.stage(&self.newton, h, weights, stage);
            }
            self.keep_stage(stage);
            if let Some(t) = trajectory.as_deref_mut() {
                t.point(&self.newton, time);
            }
        }
        if !judged {
            return (good, self.newton.zero);
        }
        self.read_errors(h);
        (good, self.error())
    }

    /// Bases and predicted unknowns of a stage: from where it begins by as much as in the run
    /// before, if that took the same steps; else the first stage goes on as the last step ended,
    /// the second on the straight line through the first two points.
    #[inline(always)]
    fn prepare(
        &mut self,
        stage: usize,
        h: R,
        live: R::Mask,
        weights: (f64, f64),
        foreseen: Option<&Foreseen<'_, R>>,
    ) {
        for (s, base) in self.newton.bases.iter_mut().enumerate() {
            let sum = self.slopes[0][s] * weights.0 + self.slopes[1][s] * weights.1;
            *base = self.states[s] + h * sum;
        }
        let zero = self.newton.zero;
        let ahead = if stage == 2 {
            zero.splat(1.0 / GAMMA)
        } else {
            // The middle of the last step counts backwards when that one was taken, forwards
            // (negative) when it was refused.
            let none = !(zero.less(self.last_step) | self.last_step.less(zero));
            let ratio = -(h * GAMMA) / (self.last_step * (1.0 - GAMMA));
            R::select(none, zero, ratio)
        };
        for (u, unknown) in self.newton.unknowns.iter_mut().enumerate() {
            let (start, other) = (self.unknowns[0][u], self.unknowns[1][u]);
            *unknown = R::select(live, start + ahead * (other - start), *unknown);
        }
        if let Some(&Foreseen { from, to, alike }) = foreseen {
            let begin = &self.unknowns[stage - 1];
            for (u, unknown) in self.newton.unknowns.iter_mut().enumerate() {
                *unknown = R::select(live & alike, to[u] + (begin[u] - from[u]), *unknown);
            }
        }
    }

    /// Local error of each state over the step, as the step's own equations damp it: the plain
    /// estimate of a stiff branch would count what the method forgets within the step.
    #[inline(always)]
    fn read_errors(&mut self, h: R) {
        let newton = &self.newton;
        let stamps = &newton.topology.stamps;
        let capacitors = newton.parameters.capacitance.len();
        self.response.fill(newton.zero);
        for (s, &port) in stamps.storage_ports.iter().enumerate() {
            let error = h
                * (self.slopes[0][s] * E[0] + self.slopes[1][s] * E[1] + self.slopes[2][s] * E[2]);
            self.errors[s] = error;
            if s < capacitors {
                let injected = newton.storage[s] * error;
                for &(unknown, sign) in stamps.terms.get(port) {
                    self.response[unknown] += injected * sign;
                }
            }
        }
        newton.respond(&mut self.response);
        for s in 0..capacitors {
            let mut voltage = newton.zero;
            for &(unknown, sign) in stamps.terms.get(stamps.storage_ports[s]) {
                voltage += self.response[unknown] * sign;
            }
            let current = newton.storage[s] * (voltage - self.errors[s]);
            self.errors[s] += h * D * current / newton.parameters.capacitance[s];
        }
    }

    /// Largest local error over what is allowed.
    #[inline(always)]
    fn error(&self) -> R {
        let zero = self.newton.zero;
        let one = zero.splat(1.0);
        let capacitors = self.newton.parameters.capacitance.len();
        // Voltages share their scale.
        let mut states = zero;
        // Not finite as soon as one of the errors is not.
        let mut total = zero;
        for error in &self.errors[..capacitors] {
            total += *error;
            states = states.greater(error.abs());
        }
        let mut voltages = zero;
        for u in 0..self.unknowns[0].len() {
            let [a, b, c] = &self.unknowns;
            let error = difference(a[u], b[u], c[u]);
            total += error;
            voltages = voltages.greater(error);
        }
        let per_volt = one / (self.voltage_scale * self.accuracy);
        let mut worst =
            (states * (1.0 / STATE_PART)).greater(voltages * (1.0 / VOLTAGE_PART)) * per_volt;
        for s in capacitors..self.states.len() {
            let allowed = self.current_scale[s] * (STATE_PART * self.accuracy);
            let error = self.errors[s].abs() / allowed;
            total += error;
            worst = worst.greater(error);
        }
        let mut largest = zero.splat(1e-6);
        for scale in &self.current_scale {
            largest = largest.greater(*scale * 1e-3);
        }
        for k in 0..self.watched.len() {
            let [a, b, c] = &self.currents;
            let scale = self.current_scale[k].greater(c[k].abs()).greater(largest);
            let error = difference(a[k], b[k], c[k]) / (scale * (CURRENT_PART * self.accuracy));
            total += error;
            worst = worst.greater(error);
        }
        larger(worst, total * 0.0)
    }

    #[inline(always)]
    fn commit(&mut self, accept: R::Mask, h: R, sensitivity: Option<&mut Sensitivity<R>>) {
        if let Some(s) = sensitivity {
            s.commit(accept, h, WEIGHTS);
        }
        for (s, state) in self.states.iter_mut().enumerate() {
            let end = self.newton.bases[s] + h * D * self.slopes[2][s];
            *state = R::select(accept, end, *state);
            self.slopes[0][s] = R::select(accept, self.slopes[2][s], self.slopes[0][s]);
        }
        for u in 0..self.unknowns[0].len() {
            let end = self.unknowns[2][u];
            self.unknowns[0][u] = R::select(accept, end, self.unknowns[0][u]);
            let scale = self.voltage_scale.greater(end.abs());
            self.voltage_scale = R::select(accept, scale, self.voltage_scale);
        }
        for (k, peak) in self.peaks.iter_mut().enumerate() {
            let end = self.currents[2][k];
            self.currents[0][k] = R::select(accept, end, self.currents[0][k]);
            *peak = R::select(accept, peak.greater(end.abs()), *peak);
            self.current_scale[k] = self.current_scale[k].greater(*peak);
        }
        self.time = R::select(accept, self.time + h, self.time);
        self.last_step = R::select(accept, h, self.last_step);
    }

    /// Steps from the present time to `end`. With a `grid` (step lengths in spans, per lane) the
    /// steps are those recorded, as long as they serve; the steps taken are recorded in `taken`.
    /// Where the recorded steps are `proven` their errors are not asked for again.
    #[inline(always)]
    #[allow(
        clippy::too_many_lines,
        clippy::too_many_arguments,
        reason = "one loop over steps, told in order, with all that it fills"
    )]
    pub(super) fn run(
        &mut self,
        end: R,
        wanted: R::Mask,
        grid: Option<&[Vec<f64>]>,
        proven: R::Mask,
        taken: &mut [Vec<f64>],
        mut trajectory: Option<&mut Trajectory<R>>,
        mut sensitivity: Option<&mut Sensitivity<R>>,
    ) -> Outcome<R> {
        let zero = self.newton.zero;
        let mut live = wanted;
        let mut on_grid = zero.mask(|lane| grid.is_some_and(|g| !g[lane].is_empty()));
        for (steps, errors) in taken.iter_mut().zip(&mut self.errors_taken) {
            steps.clear();
            errors.clear();
        }
        let mut finished = wanted | !wanted;
        let mut worst = zero;
        while live.any() {
            let mut last = zero.less(zero);
            // What is recorded for this step, in spans; zero off the grid.
            let mut recorded = zero;
            let h = self.span.gather(|lane| {
                if !live.lane(lane) {
                    return self.span.lane(lane) * 1e-3;
                }
                let left = end.lane(lane) - self.time.lane(lane);
                let step = grid.and_then(|g| g[lane].get(taken[lane].len()));
                let span = self.span.lane(lane);
                let h = match step {
                    Some(&step) if on_grid.lane(lane) => {
                        recorded = recorded.with_lane(lane, step);
                        step * span
                    }
                    _ => self.next.lane(lane).min(LONGEST * span),
                };
                if h > left * (1.0 - 1e-9) {
                    last = last.with_lane(lane, true);
                    left
                } else if h > 0.5 * left && !on_grid.lane(lane) {
                    // Two even steps rather than a long and a tiny one.
                    0.5 * left
                } else {
                    h
                }
            });
            let judged = (live & !(on_grid & proven)).any();
            let (converged, error) = self.attempt(
                h,
                live,
                judged,
                trajectory.as_deref_mut(),
                sensitivity.as_deref_mut(),
            );
            // Recorded steps are taken as they are; whether they served is for the caller to judge.
            let small = !zero.splat(1.0).less(error);
            let accept = live & converged & (on_grid | small);
            worst = R::select(accept, larger(worst, error), worst);
            self.commit(accept, h, sensitivity.as_deref_mut());
            if let Some(trajectory) = trajectory.as_deref_mut() {
                if accept.any() {
                    trajectory.step(R::select(accept, h, zero));
                } else {
                    trajectory.refuse();
                }
            }
            let underway = live;
            for lane in (0..R::LANES).filter(|&lane| underway.lane(lane)) {
                let accepted = accept.lane(lane);
                let length = h.lane(lane);
                let span = self.span.lane(lane);
                if accepted && judged {
                    self.errors_taken[lane].push(error.lane(lane));
                }
                if accepted && on_grid.lane(lane) {
                    // On the grid, its own number, so that the record repeats to the bit.
                    taken[lane].push(if recorded.lane(lane) > 0.0 {
                        recorded.lane(lane)
                    } else {
                        length / span
                    });
                    if last.lane(lane) {
                        live = live.with_lane(lane, false);
                        self.time = self.time.with_lane(lane, end.lane(lane));
                        continue;
                    }
                    if grid.is_some_and(|g| taken[lane].len() < g[lane].len()) {
                        continue;
                    }
                }
                let factor = step_factor(converged.lane(lane), error.lane(lane));
                if accepted {
                    if !on_grid.lane(lane) {
                        taken[lane].push(length / span);
                        if last.lane(lane) {
                            live = live.with_lane(lane, false);
                            self.time = self.time.with_lane(lane, end.lane(lane));
                        }
                    }
                } else {
                    on_grid = on_grid.with_lane(lane, false);
                    let refused = if converged.lane(lane) {
                        -length * GAMMA / (1.0 - GAMMA)
                    } else {
                        self.newton.reset(lane);
                        0.0
                    };
                    self.last_step = self.last_step.with_lane(lane, refused);
                    if length < SHORTEST * self.short_span().lane(lane) {
                        live = live.with_lane(lane, false);
                        finished = finished.with_lane(lane, false);
                    }
                }
                if !(accepted && last.lane(lane) && factor > 1.0) {
                    self.next = self.next.with_lane(lane, length * factor);
                }
            }
        }
        Outcome {
            finished,
            error: worst,
        }
    }
}

/// [`Stepper::attempt`], compiled once.
struct Attempt<'a, 't, R: Real> {
    stepper: &'a mut Stepper<'t, R>,
    h: R,
    live: R::Mask,
    judged: bool,
    trajectory: Option<&'a mut Trajectory<R>>,
    sensitivity: Option<&'a mut Sensitivity<R>>,
}

impl<R: Real> Work for Attempt<'_, '_, R> {
    type Output = (R::Mask, R);

    #[inline(always)]
    fn call(self) -> (R::Mask, R) {
        self.stepper.step(
            self.h,
            self.live,
            self.judged,
            self.trajectory,
            self.sensitivity,
        )
    }
}

/// Size of the voltages as far as the sources tell it.
fn first_scale<R: Real>(newton: &Newton<'_, R>) -> R {
    let sources = &newton.parameters.sources;
    sources
        .iter()
        .fold(newton.zero.splat(1e-3), |scale, source| {
            scale.greater(source.steady.abs() + source.peak.abs())
        })
}

/// Next step over this one.
fn step_factor(converged: bool, error: f64) -> f64 {
    if !converged || !error.is_finite() {
        0.25
    } else if error > 0.0 {
        (0.85 / libm::cbrt(error)).clamp(0.15, 2.5)
    } else {
        2.5
    }
}

/// Magnitude of the difference between the step's two methods.
#[inline(always)]
fn difference<R: Real>(a: R, b: R, c: R) -> R {
    (a * E[0] + b * E[1] + c * E[2]).abs()
}

/// The larger of two, where what is not a number counts as infinite.
#[inline(always)]
fn larger<R: Real>(a: R, b: R) -> R {
    let finite = (b * 0.0).less(b.splat(1.0));
    R::select(finite, a.greater(b), b.splat(f64::INFINITY))
}
