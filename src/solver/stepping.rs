//! Steps in time: TR-BDF2 with step control, in lanes.
//!
//! One step of length h: a trapezoidal stage to `γh`, then a second-order backward differentiation
//! to `h`, with γ = 2 − √2, as a stiffly accurate diagonally implicit Runge–Kutta method (Bank et
//! al. 1985; tableau and embedded third-order weights of Hosea and Shampine 1996). Second order,
//! L-stable: a stiff branch (a regulator's output capacitor) follows without ringing. Averages are
//! integrated with the method's own weights, so that a capacitor's mean current is exactly its
//! change of charge.

use super::elimination::Lane;
use super::newton::{Newton, storage_ports};
use super::observe::{Gathering, Observed, Waveform};
use super::sensitivity::Sensitivity;

const GAMMA: f64 = 2.0 - std::f64::consts::SQRT_2;
/// Diagonal weight d = γ/2.
const D: f64 = GAMMA / 2.0;
/// Weight of the first two stages w = √2/4.
const W: f64 = std::f64::consts::SQRT_2 / 4.0;
/// Main minus embedded weights.
const E: [f64; 3] = [(4.0 * W - 1.0) / 3.0, -1.0 / 3.0, 2.0 * D / 3.0];

/// Local error allowed per unit of accuracy: of a storage state over one step (errors of a charging
/// pulse's steps add up), and of a node voltage or a current within a step, relative to the
/// largest seen. Project choice, from the worst deviation of the reference circuits.
const STATE_PART: f64 = 0.01;
const VOLTAGE_PART: f64 = 2.0;
const CURRENT_PART: f64 = 0.7;

/// Longest step, in periods.
const LONGEST: f64 = 1.0 / 20.0;
/// Shortest step, in periods.
const SHORTEST: f64 = 1e-10;
/// Iterations of Newton's method in one stage.
const STAGE_ITERATIONS: usize = 25;

/// How well a run went, per lane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Outcome<const L: usize> {
    /// Lanes that reached the end.
    pub finished: [bool; L],
    /// Time reached [s].
    pub time: Lane<L>,
    /// Steps taken.
    pub steps: [usize; L],
    /// Largest local error of a step, relative to what is allowed.
    pub error: Lane<L>,
}

/// Integrates one or more periods of `L` situations.
#[derive(Debug, Clone)]
pub(super) struct Stepper<'t, const L: usize> {
    pub newton: Newton<'t, L>,
    /// Inner voltages of the capacitors, currents of the inductors.
    pub states: Vec<Lane<L>>,
    pub time: Lane<L>,
    /// Time unit of the step limits: the period, or a chosen span without one [s].
    pub span: Lane<L>,
    /// Relative accuracy aimed at.
    pub accuracy: f64,
    /// Size of the voltages, and of each watched current, seen so far.
    pub voltage_scale: Lane<L>,
    current_scale: Vec<Lane<L>>,
    /// Slopes of the states at the start, middle and end of the step.
    slopes: [Vec<Lane<L>>; 3],
    next: Lane<L>,
    end_states: Vec<Lane<L>>,
    errors: Vec<Lane<L>>,
    response: Vec<Lane<L>>,
    watched: Vec<usize>,
    /// Unknowns, watched currents and waves at the three stages.
    unknowns: [Vec<Lane<L>>; 3],
    currents: [Vec<Lane<L>>; 3],
    waves: [Vec<Lane<L>>; 3],
    observed: [Vec<Lane<L>>; 3],
    /// Length of the last step; negative when it was refused, zero when there is none.
    last_step: Lane<L>,
}

impl<'t, const L: usize> Stepper<'t, L> {
    pub(super) fn new(newton: Newton<'t, L>, span: Lane<L>, accuracy: f64) -> Self {
        let topology = newton.topology;
        let zeros = |n: usize| vec![[0.0; L]; n];
        let storage = topology.capacitors.len() + topology.inductors.len();
        let mut watched: Vec<usize> = storage_ports(topology).collect();
        watched.extend(topology.junctions.iter().map(|j| j.0));
        watched.extend(topology.ohmic.iter().filter_map(|&(port, origin)| {
            matches!(origin, super::topology::Ohmic::Source(..)).then_some(port)
        }));
        let mut voltage_scale: Lane<L> = [1e-3; L];
        for k in 0..topology.waves.len() {
            for l in 0..L {
                let size =
                    newton.parameters.steady[k][l].abs() + newton.parameters.peak[k][l].abs();
                voltage_scale[l] = voltage_scale[l].max(size);
            }
        }
        let threefold = |n: usize| [zeros(n), zeros(n), zeros(n)];
        Self {
            states: zeros(storage),
            time: [0.0; L],
            span,
            accuracy,
            voltage_scale,
            current_scale: vec![[1e-3; L]; watched.len()],
            slopes: threefold(storage),
            next: std::array::from_fn(|l| span[l] * 1e-3),
            end_states: zeros(storage),
            errors: zeros(storage),
            response: zeros(topology.unknowns),
            unknowns: threefold(topology.unknowns),
            currents: threefold(watched.len()),
            waves: threefold(topology.waves.len()),
            observed: threefold(0),
            watched,
            last_step: [0.0; L],
            newton,
        }
    }

    /// Takes the states and unknowns of a solved operating point.
    pub(super) fn begin_from_newton(&mut self) {
        let topology = self.newton.topology;
        for (k, &(port, _)) in topology.capacitors.iter().enumerate() {
            self.states[k] = self.newton.voltages[port];
        }
        for (k, &(port, _)) in topology.inductors.iter().enumerate() {
            self.states[topology.capacitors.len() + k] = self.newton.currents[port];
        }
        self.unknowns[0].copy_from_slice(&self.newton.unknowns);
    }

    /// Takes states, and unknowns where given, in every lane.
    pub(super) fn begin_from(&mut self, storage: &[f64], unknowns: &[f64]) {
        for (state, value) in self.states.iter_mut().zip(storage) {
            *state = [*value; L];
        }
        for (unknown, value) in self.unknowns[0].iter_mut().zip(unknowns) {
            *unknown = [*value; L];
        }
    }

    /// Size against which a state's change is judged.
    pub(super) fn state_scale(&self, state: usize, l: usize) -> f64 {
        if state < self.newton.topology.capacitors.len() {
            self.voltage_scale[l]
        } else {
            self.current_scale[state][l]
        }
    }

    /// Finds the voltages that belong to the present states and time, and the states' slopes.
    /// `true` per lane that converged.
    pub(super) fn start(
        &mut self,
        observed: &[Observed],
        sensitivity: Option<&mut Sensitivity<L>>,
    ) -> [bool; L] {
        // A backward Euler step too short to move anything.
        let reach: Lane<L> = std::array::from_fn(|l| self.span[l] * SHORTEST);
        self.newton.reach = reach;
        for (base, state) in self.newton.bases.iter_mut().zip(&self.states) {
            *base = *state;
        }
        self.set_waves(&self.time.clone());
        self.newton.unknowns.copy_from_slice(&self.unknowns[0]);
        let ok = self.newton.solve(&[true; L], 4 * STAGE_ITERATIONS);
        self.newton.refresh();
        let mut slopes = std::mem::take(&mut self.slopes[0]);
        self.read_slopes(&mut slopes);
        self.slopes[0] = slopes;
        if let Some(sensitivity) = sensitivity {
            sensitivity.begin(&self.newton);
        }
        for stage in &mut self.observed {
            stage.resize(observed.len(), [0.0; L]);
        }
        self.keep_stage(0, observed);
        self.waves[0].copy_from_slice(&self.newton.waves);
        self.last_step = [0.0; L];
        ok
    }

    fn set_waves(&mut self, time: &Lane<L>) {
        for k in 0..self.newton.waves.len() {
            for l in 0..L {
                let angle = self.angle(k, l, time[l]);
                let p = &self.newton.parameters;
                self.newton.waves[k][l] = p.steady[k][l] + p.peak[k][l] * libm::sin(angle);
            }
        }
    }

    fn angle(&self, wave: usize, l: usize, time: f64) -> f64 {
        let p = &self.newton.parameters;
        std::f64::consts::TAU * p.harmonic[wave][l] * (time / p.period[l]) + p.phase[wave][l]
    }

    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn read_slopes(&self, slopes: &mut [Lane<L>]) {
        let topology = self.newton.topology;
        for (k, &(port, _)) in topology.capacitors.iter().enumerate() {
            for l in 0..L {
                slopes[k][l] =
                    self.newton.currents[port][l] / self.newton.parameters.capacitance[k][l];
            }
        }
        let first = topology.capacitors.len();
        for (k, &(port, _)) in topology.inductors.iter().enumerate() {
            for l in 0..L {
                let p = &self.newton.parameters;
                let drop = p.winding[k][l] * self.newton.currents[port][l];
                slopes[first + k][l] = (self.newton.voltages[port][l] - drop) / p.inductance[k][l];
            }
        }
    }

    fn keep_stage(&mut self, stage: usize, observed: &[Observed]) {
        self.unknowns[stage].copy_from_slice(&self.newton.unknowns);
        for (kept, &port) in self.currents[stage].iter_mut().zip(&self.watched) {
            *kept = self.newton.currents[port];
        }
        for (kept, observed) in self.observed[stage].iter_mut().zip(observed) {
            *kept = observed.read(&self.newton);
        }
    }

    /// Tries one step; `(converged, error relative to what is allowed)` per lane.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn attempt(
        &mut self,
        h: &Lane<L>,
        live: &[bool; L],
        observed: &[Observed],
        mut sensitivity: Option<&mut Sensitivity<L>>,
    ) -> ([bool; L], Lane<L>) {
        self.newton.reach = std::array::from_fn(|l| h[l] * D);
        let middle: Lane<L> = std::array::from_fn(|l| self.time[l] + GAMMA * h[l]);
        let end: Lane<L> = std::array::from_fn(|l| self.time[l] + h[l]);
        self.set_waves(&middle);
        self.waves[1].copy_from_slice(&self.newton.waves);
        self.set_waves(&end);
        self.waves[2].copy_from_slice(&self.newton.waves);
        let mut good = *live;
        for stage in [1, 2] {
            self.prepare(stage, h, &good);
            let solved = self.newton.solve(&good, STAGE_ITERATIONS);
            good = std::array::from_fn(|l| good[l] && solved[l]);
            self.newton.refresh();
            let mut slopes = std::mem::take(&mut self.slopes[stage]);
            self.read_slopes(&mut slopes);
            self.slopes[stage] = slopes;
            if let Some(s) = sensitivity.as_deref_mut() {
                let weights = if stage == 1 { (D, 0.0) } else { (W, W) };
                s.stage(&self.newton, h, weights, stage);
            }
            self.keep_stage(stage, observed);
        }
        for (s, end) in self.end_states.iter_mut().enumerate() {
            for l in 0..L {
                end[l] = self.newton.bases[s][l] + h[l] * D * self.slopes[2][s][l];
            }
        }
        self.read_errors(h);
        let error = self.error();
        (good, error)
    }

    /// Bases, sources and predicted unknowns of a stage: the first goes on as the last step ended,
    /// the second on the straight line through the first two points.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn prepare(&mut self, stage: usize, h: &Lane<L>, live: &[bool; L]) {
        let weights = if stage == 1 { (D, 0.0) } else { (W, W) };
        for (s, base) in self.newton.bases.iter_mut().enumerate() {
            for l in 0..L {
                let sum = weights.0 * self.slopes[0][s][l] + weights.1 * self.slopes[1][s][l];
                base[l] = self.states[s][l] + h[l] * sum;
            }
        }
        let reach: Lane<L> = std::array::from_fn(|l| {
            if stage == 2 {
                1.0 / GAMMA
            } else if self.last_step[l] != 0.0 {
                -GAMMA * h[l] / ((1.0 - GAMMA) * self.last_step[l])
            } else {
                0.0
            }
        });
        // In the first stage `unknowns[1]` still holds the middle of the last step, which counts
        // backwards when that one was taken, forwards (negative) when it was refused.
        for (u, unknown) in self.newton.unknowns.iter_mut().enumerate() {
            let (start, other) = (&self.unknowns[0][u], &self.unknowns[1][u]);
            for l in 0..L {
                let predicted = start[l] + reach[l] * (other[l] - start[l]);
                unknown[l] = if live[l] { predicted } else { unknown[l] };
            }
        }
        self.newton.waves.copy_from_slice(&self.waves[stage]);
    }

    /// Local error of each state over the step, as the step's own equations damp it: the plain
    /// estimate of a stiff branch would count what the method forgets within the step.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn read_errors(&mut self, h: &Lane<L>) {
        let newton = &self.newton;
        let capacitors = newton.topology.capacitors.len();
        self.response.fill([0.0; L]);
        for (s, port) in storage_ports(newton.topology).enumerate() {
            let g = newton.storage_conductance(s);
            let error = &mut self.errors[s];
            for l in 0..L {
                error[l] = h[l]
                    * (E[0] * self.slopes[0][s][l]
                        + E[1] * self.slopes[1][s][l]
                        + E[2] * self.slopes[2][s][l]);
            }
            if s < capacitors {
                for &(unknown, sign) in &newton.topology.ports[port].terms {
                    for l in 0..L {
                        self.response[unknown][l] += sign * (g[l] * error[l]);
                    }
                }
            }
        }
        newton.respond(&mut self.response);
        for (s, &(port, _)) in newton.topology.capacitors.iter().enumerate() {
            let g = newton.storage_conductance(s);
            let c = &newton.parameters.capacitance[s];
            let mut voltage = [0.0; L];
            for &(unknown, sign) in &newton.topology.ports[port].terms {
                for l in 0..L {
                    voltage[l] += sign * self.response[unknown][l];
                }
            }
            for l in 0..L {
                let slope = g[l] * (voltage[l] - self.errors[s][l]) / c[l];
                self.errors[s][l] += h[l] * D * slope;
            }
        }
    }

    /// Largest local error over what is allowed.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn error(&self) -> Lane<L> {
        let mut worst = [0.0_f64; L];
        let capacitors = self.newton.topology.capacitors.len();
        for s in 0..self.states.len() {
            for l in 0..L {
                let scale = if s < capacitors {
                    self.voltage_scale[l]
                } else {
                    self.current_scale[s][l]
                };
                let e = self.errors[s][l].abs();
                worst[l] = larger(worst[l], e / (STATE_PART * self.accuracy * scale));
            }
        }
        for u in 0..self.unknowns[0].len() {
            for l in 0..L {
                let e = E[0] * self.unknowns[0][u][l]
                    + E[1] * self.unknowns[1][u][l]
                    + E[2] * self.unknowns[2][u][l];
                worst[l] = larger(
                    worst[l],
                    e.abs() / (VOLTAGE_PART * self.accuracy * self.voltage_scale[l]),
                );
            }
        }
        let mut largest = [1e-6_f64; L];
        for scale in &self.current_scale {
            for l in 0..L {
                largest[l] = largest[l].max(1e-3 * scale[l]);
            }
        }
        for k in 0..self.watched.len() {
            for l in 0..L {
                let [a, b, c] = std::array::from_fn(|s| self.currents[s][k][l]);
                let e = E[0] * a + E[1] * b + E[2] * c;
                let scale = self.current_scale[k][l].max(c.abs()).max(largest[l]);
                worst[l] = larger(worst[l], e.abs() / (CURRENT_PART * self.accuracy * scale));
            }
        }
        worst
    }

    fn commit(
        &mut self,
        accept: &[bool; L],
        h: &Lane<L>,
        gathered: &mut [Gathering<L>],
        sensitivity: Option<&mut Sensitivity<L>>,
        waveform: Option<&mut Waveform>,
    ) {
        if let Some(s) = sensitivity {
            s.commit(accept, h, [W, W, D]);
        }
        for (k, gathering) in gathered.iter_mut().enumerate() {
            for l in (0..L).filter(|&l| accept[l]) {
                let [a, b, c] = std::array::from_fn(|s| self.observed[s][k][l]);
                gathering.integrate(
                    l,
                    h[l],
                    h[l] * (W * (a + b) + D * c),
                    h[l] * (W * (a * a + b * b) + D * c * c),
                );
                gathering.point(l, self.time[l] + GAMMA * h[l], b);
                gathering.point(l, self.time[l] + h[l], c);
            }
        }
        if let (Some(waveform), true) = (waveform, accept[0]) {
            for (stage, fraction) in [(1, GAMMA), (2, 1.0)] {
                waveform.time.push(self.time[0] + fraction * h[0]);
                for (values, z) in waveform.probes.iter_mut().zip(&self.observed[stage]) {
                    values.push(z[0]);
                }
            }
        }
        for l in (0..L).filter(|&l| accept[l]) {
            for s in 0..self.states.len() {
                self.states[s][l] = self.end_states[s][l];
                self.slopes[0][s][l] = self.slopes[2][s][l];
            }
            for u in 0..self.unknowns[0].len() {
                self.unknowns[0][u][l] = self.unknowns[2][u][l];
                self.voltage_scale[l] = self.voltage_scale[l].max(self.newton.unknowns[u][l].abs());
            }
            for k in 0..self.watched.len() {
                self.currents[0][k][l] = self.currents[2][k][l];
                self.current_scale[k][l] =
                    self.current_scale[k][l].max(self.currents[2][k][l].abs());
            }
            for k in 0..self.waves[0].len() {
                self.waves[0][k][l] = self.waves[2][k][l];
            }
            for z in 0..self.observed[0].len() {
                self.observed[0][z][l] = self.observed[2][z][l];
            }
            self.time[l] += h[l];
            self.last_step[l] = h[l];
        }
    }

    /// Steps from the present time to `end`. With a `grid` (step lengths in spans, per lane) the
    /// steps are those recorded, as long as they serve; the steps taken are recorded in `taken`.
    #[allow(clippy::too_many_arguments)]
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub(super) fn run(
        &mut self,
        end: &Lane<L>,
        wanted: &[bool; L],
        grid: Option<&[Vec<f64>; L]>,
        taken: &mut [Vec<f64>; L],
        observed: &[Observed],
        gathered: &mut [Gathering<L>],
        mut sensitivity: Option<&mut Sensitivity<L>>,
        mut waveform: Option<&mut Waveform>,
    ) -> Outcome<L> {
        let mut live = *wanted;
        let mut on_grid: [bool; L] =
            std::array::from_fn(|l| grid.is_some_and(|g| !g[l].is_empty()));
        for l in 0..L {
            taken[l].clear();
        }
        if let Some(w) = waveform.as_deref_mut() {
            w.time.push(self.time[0]);
            for (values, z) in w.probes.iter_mut().zip(&self.observed[0]) {
                values.push(z[0]);
            }
        }
        for (gathering, z) in gathered.iter_mut().zip(&self.observed[0]) {
            for l in (0..L).filter(|&l| live[l]) {
                gathering.point(l, self.time[l], z[l]);
            }
        }
        let mut finished = [true; L];
        let mut worst = [0.0; L];
        while live.contains(&true) {
            let mut last = [false; L];
            let h: Lane<L> = std::array::from_fn(|l| {
                if !live[l] {
                    return self.span[l] * 1e-3;
                }
                let left = end[l] - self.time[l];
                let recorded = grid.and_then(|g| g[l].get(taken[l].len()));
                let h = match recorded {
                    Some(h) if on_grid[l] => h * self.span[l],
                    _ => self.next[l].min(LONGEST * self.span[l]),
                };
                if h > left * (1.0 - 1e-9) {
                    last[l] = true;
                    left
                } else if h > 0.5 * left && !on_grid[l] {
                    // Two even steps rather than a long and a tiny one.
                    0.5 * left
                } else {
                    h
                }
            });
            let (converged, error) = self.attempt(&h, &live, observed, sensitivity.as_deref_mut());
            // Recorded steps are taken as they are; whether they served is for the caller to judge.
            let accept: [bool; L] =
                std::array::from_fn(|l| live[l] && converged[l] && (on_grid[l] || error[l] <= 1.0));
            for l in 0..L {
                if accept[l] {
                    worst[l] = larger(worst[l], error[l]);
                }
            }
            self.commit(
                &accept,
                &h,
                gathered,
                sensitivity.as_deref_mut(),
                waveform.as_deref_mut(),
            );
            for l in 0..L {
                if !live[l] {
                    continue;
                }
                let factor = if !converged[l] || !error[l].is_finite() {
                    0.25
                } else if error[l] > 0.0 {
                    (0.85 / libm::cbrt(error[l])).clamp(0.15, 2.5)
                } else {
                    2.5
                };
                if accept[l] {
                    // On the grid, its own number, so that the record repeats to the bit.
                    let recorded = grid.and_then(|g| g[l].get(taken[l].len()));
                    taken[l].push(match recorded {
                        Some(&step) if on_grid[l] => step,
                        _ => h[l] / self.span[l],
                    });
                    if last[l] {
                        live[l] = false;
                        self.time[l] = end[l];
                    }
                } else {
                    on_grid[l] = false;
                    self.last_step[l] = -h[l] * GAMMA / (1.0 - GAMMA);
                    if !converged[l] {
                        self.last_step[l] = 0.0;
                        self.newton.reset(l);
                    }
                    if h[l] < SHORTEST * self.span[l] {
                        live[l] = false;
                        finished[l] = false;
                    }
                }
                if !(accept[l] && last[l] && factor > 1.0) {
                    self.next[l] = h[l] * factor;
                }
            }
        }
        Outcome {
            finished,
            time: self.time,
            steps: std::array::from_fn(|l| taken[l].len()),
            error: worst,
        }
    }
}

/// The larger of two, where what is not a number counts as infinite.
#[inline(always)]
#[allow(clippy::inline_always)]
fn larger(a: f64, b: f64) -> f64 {
    if b <= a {
        a
    } else if b.is_nan() {
        f64::INFINITY
    } else {
        b
    }
}
