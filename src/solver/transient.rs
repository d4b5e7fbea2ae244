//! Transients: switch-on, switch-off, and the cold start at the worst switching phase.

use super::newton::Newton;
use super::observe::{Observed, Probe, Statistics, Waveform};
use super::parameters::Parameters;
use super::stepping::Stepper;
use super::topology::Topology;
use super::trajectory::Trajectory;
use super::wide::{OnLanes, side_by_side};
use super::{
    Failure, LANES, Settings, State, compile, direct_current, direct_storage, iterations,
    worst_element,
};
use crate::circuit::real::{Mask, Real};
use crate::circuit::{Model, Netlist, Wave};

/// Where a transient starts.
#[derive(Debug, Clone, PartialEq)]
pub enum Initial {
    /// Every capacitor empty, every inductor without current.
    Empty,
    /// As another circuit of the same storage elements left them.
    State(State),
}

/// A transient.
#[derive(Debug, Clone, PartialEq)]
pub struct Transient {
    /// Per probe, over the whole time.
    pub probes: Vec<Statistics>,
    /// The probes over time (always kept).
    pub waveform: Waveform,
    /// What is stored at the end.
    pub state: State,
    /// Steps taken.
    pub steps: usize,
    /// Iterations of Newton's method.
    pub iterations: usize,
}

impl Transient {
    /// Appends what follows it; averages and rms values are those of the whole.
    pub fn then(&mut self, next: Self) {
        let span = |transient: &Self| transient.waveform.time.last().copied().unwrap_or(0.0);
        let (before, after) = (span(self), span(&next));
        for (all, new) in self.probes.iter_mut().zip(&next.probes) {
            *all = joined(all, before, new, after);
        }
        let time = next.waveform.time.iter().skip(1);
        self.waveform.time.extend(time.map(|t| t + before));
        for (all, new) in self.waveform.probes.iter_mut().zip(next.waveform.probes) {
            all.extend(new.into_iter().skip(1));
        }
        self.state = next.state;
        self.steps += next.steps;
        self.iterations += next.iterations;
    }
}

/// Statistics of two stretches of time, one after the other.
fn joined(one: &Statistics, length: f64, other: &Statistics, other_length: f64) -> Statistics {
    let whole = length + other_length;
    let mean = |a: f64, b: f64| (a * length + b * other_length) / whole;
    Statistics {
        average: mean(one.average, other.average),
        minimum: one.minimum.min(other.minimum),
        maximum: one.maximum.max(other.maximum),
        rms: mean(one.rms * one.rms, other.rms * other.rms).sqrt(),
    }
}

/// Integrates `duration` [s] from `start`.
///
/// # Errors
/// [`Failure::NewtonDiverged`] with the time reached, and whatever [`Topology::new`] and
/// [`Parameters::gather`] refuse.
pub fn transient(
    netlist: &Netlist,
    probes: &[Probe],
    start: &Initial,
    duration: f64,
    settings: &Settings,
) -> Result<Transient, Failure> {
    let topology = Topology::new(netlist)?;
    let mut course = Course::new(&topology, netlist, probes, duration, settings)?;
    if let Initial::State(state) = start
        && state.storage.len() == topology.stamps.storage_ports.len()
    {
        // What is stored, and nothing else: the circuit may be another one.
        let stored = State {
            storage: state.storage.clone(),
            ..State::default()
        };
        course.stepper.begin_lane(0, &stored);
    }
    course.follow(duration)
}

/// A circuit followed through time, one stretch after the other.
struct Course<'a> {
    netlist: &'a Netlist,
    observed: Vec<Observed>,
    stepper: Stepper<'a, f64>,
    trajectory: Trajectory<f64>,
}

impl<'a> Course<'a> {
    /// At rest; `duration` [s] is that of the stretches to follow.
    fn new(
        topology: &'a Topology,
        netlist: &'a Netlist,
        probes: &[Probe],
        duration: f64,
        settings: &Settings,
    ) -> Result<Self, Failure> {
        let parameters = Parameters::gather(topology, 0.0, &[netlist])?;
        let span = if parameters.period.is_finite() {
            parameters.period.min(duration)
        } else {
            duration
        };
        let newton = Newton::new(topology, parameters);
        Ok(Self {
            netlist,
            observed: compile(probes, topology, netlist),
            stepper: Stepper::new(newton, span, settings.accuracy),
            trajectory: Trajectory::new(topology),
        })
    }

    /// Goes on for so long [s]. The sources begin anew: a stretch is whole periods, or the last.
    fn follow(&mut self, duration: f64) -> Result<Transient, Failure> {
        let stepper = &mut self.stepper;
        let stuck = |stepper: &Stepper<'_, f64>| Failure::NewtonDiverged {
            time: stepper.time,
            element: worst_element(&stepper.newton, 0, self.netlist),
        };
        let before = iterations(&stepper.newton);
        stepper.time = 0.0;
        if !stepper.start(Some(&mut self.trajectory), None) {
            return Err(stuck(stepper));
        }
        let mut taken = [Vec::new()];
        let outcome = stepper.run(
            duration,
            true,
            None,
            false,
            &mut taken,
            Some(&mut self.trajectory),
            None,
        );
        if !outcome.finished {
            return Err(stuck(stepper));
        }
        let parameters = &stepper.newton.parameters;
        let statistics = self.trajectory.statistics(&self.observed, parameters, true);
        Ok(Transient {
            probes: statistics.iter().map(|of| of[0]).collect(),
            waveform: self.trajectory.waveform(&self.observed, parameters, 0),
            state: State {
                storage: stepper.states.clone(),
                steps: Vec::new(),
                unknowns: stepper.newton.unknowns.clone(),
                map: Vec::new(),
                currents: Vec::new(),
            },
            steps: taken[0].len(),
            iterations: iterations(&stepper.newton) - before,
        })
    }
}

/// A cold start at the worst switching phase.
#[derive(Debug, Clone, PartialEq)]
pub struct ColdStart {
    /// Greatest magnitude of the inrush probe in the first period.
    pub inrush: f64,
    /// Source phase at switch-on that gives it [rad]; zero with steady sources.
    pub phase: f64,
    /// First period (counted from 1) from which every period's mean of each settling probe stays
    /// within 1 % of its steady mean; `None` if that was not reached in the periods computed.
    pub settle_periods: Option<usize>,
    /// Per probe, over the whole start (worst phase).
    pub envelope: Vec<Statistics>,
    /// The probes over time (worst phase).
    pub waveform: Waveform,
    /// Per-period means of each settling probe (worst phase).
    pub period_means: Vec<Vec<f64>>,
}

/// Phases tried before the search narrows in.
const PHASES: usize = 24;

/// Switches the circuit on, everything empty, at the source phase with the greatest magnitude of
/// `probes[inrush]` in the first period, and follows it for `periods` periods.
///
/// `settling` names probes (by index) and their steady means. With steady sources a period is
/// `fallback_period` [s].
///
/// # Errors
/// As [`transient`].
pub fn cold_start(
    netlist: &Netlist,
    probes: &[Probe],
    inrush: usize,
    settling: &[(usize, f64)],
    periods: usize,
    fallback_period: f64,
    settings: &Settings,
) -> Result<ColdStart, Failure> {
    let topology = Topology::new(netlist)?;
    let period = Parameters::gather(&topology, 0.0, &[netlist])?.period;
    let steady = period.is_infinite();
    let period = if steady { fallback_period } else { period };
    let observed = compile(&probes[inrush..=inrush], &topology, netlist);
    let peaks = |phases: &[f64]| -> Result<(f64, f64), Failure> {
        let shifted: Vec<Netlist> = phases
            .iter()
            .map(|&phase| shifted(netlist, phase, period))
            .collect();
        let mut best = (0.0, f64::NEG_INFINITY);
        for (phases, netlists) in phases.chunks(LANES).zip(shifted.chunks(LANES)) {
            let peaks = first_peaks(&topology, netlists, &observed, period, settings)?;
            for (&phase, peak) in phases.iter().zip(peaks) {
                if peak > best.1 * (1.0 + 1e-9) || best.1 < 0.0 {
                    best = (phase, peak);
                }
            }
        }
        Ok(best)
    };
    let mut best = (0.0, 0.0);
    if steady {
        best.1 = peaks(&[0.0])?.1;
    } else {
        let mut step = std::f64::consts::TAU / PHASES as f64;
        let all: Vec<f64> = (0..PHASES).map(|k| step * k as f64).collect();
        best = peaks(&all)?;
        for _ in 0..2 {
            // Between the neighbours of the best so far.
            let around = LANES as f64 + 1.0;
            let from = best.0 - step;
            step *= 2.0 / around;
            let finer: Vec<f64> = (1..=LANES).map(|k| from + step * k as f64).collect();
            let found = peaks(&finer)?;
            if found.1 > best.1 {
                best = found;
            }
        }
    }
    let (phase, inrush_peak) = best;
    let circuit = shifted(netlist, phase, period);
    let mut course = Course::new(&topology, &circuit, probes, period, settings)?;
    let mut waveform = Waveform {
        time: Vec::new(),
        probes: vec![Vec::new(); probes.len()],
    };
    let mut envelope: Vec<Statistics> = Vec::new();
    let mut period_means = vec![Vec::new(); settling.len()];
    for k in 0..periods {
        let run = course.follow(period)?;
        for (means, (probe, _)) in period_means.iter_mut().zip(settling) {
            means.push(run.probes[*probe].average);
        }
        merge(&mut envelope, &run.probes, k);
        let offset = k as f64 * period;
        let skip = usize::from(k > 0);
        waveform
            .time
            .extend(run.waveform.time[skip..].iter().map(|t| t + offset));
        for (all, new) in waveform.probes.iter_mut().zip(&run.waveform.probes) {
            all.extend(&new[skip..]);
        }
    }
    let settled = |k: usize| {
        settling
            .iter()
            .zip(&period_means)
            .all(|((_, steady), means)| {
                means[k..]
                    .iter()
                    .all(|m| (m - steady).abs() <= 0.01 * steady.abs())
            })
    };
    Ok(ColdStart {
        inrush: inrush_peak,
        phase,
        settle_periods: (0..periods).find(|&k| settled(k)).map(|k| k + 1),
        envelope,
        waveform,
        period_means,
    })
}

/// Greatest magnitude of one probe in the first period of up to [`LANES`] circuits of one wiring,
/// everything empty.
fn first_peaks(
    topology: &Topology,
    netlists: &[Netlist],
    observed: &[Observed],
    period: f64,
    settings: &Settings,
) -> Result<Vec<f64>, Failure> {
    let peaks = |netlists| FirstPeaks {
        topology,
        netlists,
        observed,
        period,
        settings,
    };
    let found = side_by_side(peaks(netlists))?;
    // By itself a circuit may take the long way.
    let alone = |k: usize| peaks(&netlists[k..=k]).on(0.0)?.swap_remove(0);
    (0..netlists.len())
        .zip(found)
        .map(|(k, found)| found.or_else(|_| alone(k)))
        .collect()
}

/// [`first_peaks`] on numbers side by side.
struct FirstPeaks<'a> {
    topology: &'a Topology,
    netlists: &'a [Netlist],
    observed: &'a [Observed],
    period: f64,
    settings: &'a Settings,
}

impl OnLanes for FirstPeaks<'_> {
    /// One for each circuit.
    type Output = Result<Vec<Result<f64, Failure>>, Failure>;

    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn on<R: Real>(self, zero: R) -> Self::Output {
        let netlists: Vec<&Netlist> = self.netlists.iter().collect();
        let parameters = Parameters::gather(self.topology, zero, &netlists)?;
        let newton = Newton::new(self.topology, parameters);
        let span = zero.splat(self.period);
        let mut stepper = Stepper::new(newton, span, self.settings.accuracy);
        let mut trajectory = Trajectory::new(self.topology);
        let started = stepper.start(Some(&mut trajectory), None);
        let mut taken = vec![Vec::new(); R::LANES];
        let outcome = stepper.run(
            span,
            started,
            None,
            !started & started,
            &mut taken,
            Some(&mut trajectory),
            None,
        );
        let statistics = trajectory.statistics(self.observed, &stepper.newton.parameters, true);
        let found = (0..netlists.len()).map(|lane| {
            if !started.lane(lane) || !outcome.finished.lane(lane) {
                return Err(Failure::NewtonDiverged {
                    time: stepper.time.lane(lane),
                    element: worst_element(&stepper.newton, lane, netlists[lane]),
                });
            }
            let reach = &statistics[0][lane];
            Ok(reach.maximum.abs().max(reach.minimum.abs()))
        });
        Ok(found.collect())
    }
}

/// Joins one period's statistics to those of the `count` periods before.
fn merge(all: &mut Vec<Statistics>, new: &[Statistics], count: usize) {
    if count == 0 {
        all.extend_from_slice(new);
        return;
    }
    for (a, b) in all.iter_mut().zip(new) {
        *a = joined(a, count as f64, b, 1.0);
    }
}

/// The netlist with every sine advanced in time by `phase` of the fundamental.
fn shifted(netlist: &Netlist, phase: f64, period: f64) -> Netlist {
    let mut netlist = netlist.clone();
    for element in &mut netlist.elements {
        if let Model::VoltageSource {
            wave:
                Wave::Sine {
                    frequency,
                    phase: own,
                    ..
                },
            ..
        } = &mut element.model
        {
            *own += phase * *frequency * period;
        }
    }
    netlist
}

/// The netlist with every source switched off: voltage sources at 0 V behind their resistance,
/// current sources at 0 A.
#[must_use]
pub fn switched_off(netlist: &Netlist) -> Netlist {
    let mut netlist = netlist.clone();
    for element in &mut netlist.elements {
        match &mut element.model {
            Model::VoltageSource { wave, .. } => *wave = Wave::Steady(0.0),
            Model::CurrentSource { current, .. } => *current = 0.0,
            _ => {}
        }
    }
    netlist
}

/// What a circuit of steady sources has stored once settled, to start a transient from.
///
/// # Errors
/// As [`operating_point`](super::operating_point()).
pub fn settled_state(netlist: &Netlist) -> Result<State, Failure> {
    let topology = Topology::new(netlist)?;
    let parameters = Parameters::gather(&topology, 0.0, &[netlist])?;
    let mut newton = Newton::new(&topology, parameters);
    direct_current(&mut newton, netlist)?;
    Ok(State {
        storage: direct_storage(&newton),
        steps: Vec::new(),
        unknowns: newton.unknowns.clone(),
        map: Vec::new(),
        currents: Vec::new(),
    })
}
