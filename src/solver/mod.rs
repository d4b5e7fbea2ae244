//! The solver: operating point, periodic steady state and transients of any [`Netlist`].
//!
//! Owns the numerical methods; the device equations stand with the models in [`crate::circuit`],
//! and what a result means for the box is judged elsewhere. A [`topology::Topology`] is worked out
//! once per wiring, [`parameters::Parameters`] once per situation; [`newton`] solves one instant,
//! [`stepping`] one step in time, [`shooting`] one steady state.
//!
//! All quantities are in SI units. Voltages count from node 0; currents into an element at its
//! first-named terminal.

#![allow(clippy::cast_precision_loss, reason = "counts here are small")]

mod devices;
pub mod elimination;
pub mod failure;
pub mod newton;
pub mod observe;
pub mod operating_point;
pub mod parameters;
mod sensitivity;
mod shooting;
mod stamps;
mod stepping;
pub mod topology;
mod trajectory;
mod transient;
mod wide;

pub use failure::Failure;
pub use observe::{Probe, Statistics, Waveform};
pub use operating_point::Method;
pub use transient::{
    ColdStart, Initial, Transient, cold_start, settled_state, switched_off, transient,
};

use crate::circuit::real::Real;
use crate::circuit::{Netlist, Node};
use newton::Newton;
use observe::Observed;
use parameters::Parameters;
use shooting::Closing;
use stepping::Stepper;
use topology::Topology;
use trajectory::Trajectory;
use wide::OnLanes;

/// How exact, and what to keep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// Relative accuracy that the steps in time aim at.
    pub accuracy: f64,
    /// Largest correction of a state that may be left in a periodic steady state, relative to the
    /// circuit's voltages.
    pub closure: f64,
    /// Most periods computed for one steady state.
    pub most_periods: usize,
    /// Keep the probes' values over time.
    pub waveform: bool,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            accuracy: 8e-4,
            closure: 1e-9,
            most_periods: 120,
            waveform: false,
        }
    }
}

impl Settings {
    /// For sweeps: within the same limits on every result, with less to spare.
    #[must_use]
    pub fn sweep() -> Self {
        Self {
            accuracy: 3e-3,
            closure: 5e-5,
            ..Self::default()
        }
    }

    /// What a steady state is asked.
    fn closing(&self) -> Closing {
        Closing {
            tolerance: self.closure,
            kept_error: if self.closure > 1e-7 { 6.0 } else { 2.0 },
            most_periods: self.most_periods,
        }
    }

    /// Tolerance of Newton's method that goes with the closure asked for.
    fn tolerance(&self) -> f64 {
        (0.2 * self.closure).clamp(1e-9, 1e-5)
    }
}

/// A circuit's stored energy at the start of a period, to start another solution from.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct State {
    /// Inner voltage of each capacitor, then current of each inductor, in element order [V, A].
    pub storage: Vec<f64>,
    /// Steps of the last period, as parts of the period.
    pub steps: Vec<f64>,
    /// Node voltages' unknowns, to start Newton's method from.
    unknowns: Vec<f64>,
}

impl State {
    /// This state moved by shares of the changes from other states to further ones; as it is where
    /// those are of circuits with other stores.
    #[must_use]
    pub fn shifted<'a>(
        &self,
        changes: impl IntoIterator<Item = (f64, &'a Self, &'a Self)>,
    ) -> Self {
        let mut moved = self.clone();
        let lengths = |state: &Self| (state.storage.len(), state.unknowns.len());
        for (share, to, from) in changes {
            if share == 0.0 || lengths(to) != lengths(self) || lengths(from) != lengths(self) {
                continue;
            }
            let pairs = to.storage.iter().zip(&from.storage);
            for (value, (to, from)) in moved.storage.iter_mut().zip(pairs) {
                *value += share * (to - from);
            }
            let pairs = to.unknowns.iter().zip(&from.unknowns);
            for (value, (to, from)) in moved.unknowns.iter_mut().zip(pairs) {
                *value += share * (to - from);
            }
        }
        moved
    }
}

/// A steady state: one period of it, or the operating point when every source is steady.
#[derive(Debug, Clone, PartialEq)]
pub struct Periodic {
    /// Per probe, over one period.
    pub probes: Vec<Statistics>,
    /// Where the period starts.
    pub state: State,
    /// Iterations of Newton's method at instants, over all periods.
    pub iterations: usize,
    /// Periods integrated; zero for an operating point.
    pub periods: usize,
    /// Steps of the last period.
    pub steps: usize,
    /// Largest correction of a state that was left, relative to the circuit's voltages.
    pub residual: f64,
    /// How it was reached.
    pub method: Method,
    /// Nodes without a direct-current path to ground, held by
    /// [`topology::FLOATING_LEAKAGE`] alone.
    pub floating: Vec<Node>,
    /// The probes' values over the period, if asked for.
    pub waveform: Option<Waveform>,
}

/// The operating point: sources at their steady part (a sine counts as its value at time zero
/// without its alternating part, that is zero), capacitors open.
///
/// # Errors
/// Any [`Failure`] but [`Failure::PeriodNotClosed`].
pub fn operating_point(
    netlist: &Netlist,
    probes: &[Probe],
    settings: &Settings,
) -> Result<Periodic, Failure> {
    let topology = Topology::new(netlist)?;
    let parameters = Parameters::gather(&topology, 0.0, &[netlist])?;
    let observed = compile(probes, &topology, netlist);
    let mut newton = Newton::new(&topology, parameters);
    let method = direct_current(&mut newton, netlist)?;
    Ok(direct_result(&mut newton, &observed, method, settings))
}

/// The periodic steady state; with steady sources only, the operating point.
///
/// # Errors
/// Any [`Failure`].
pub fn periodic(
    netlist: &Netlist,
    probes: &[Probe],
    start: Option<&State>,
    settings: &Settings,
) -> Result<Periodic, Failure> {
    let topology = Topology::new(netlist)?;
    let observed = compile(probes, &topology, netlist);
    periodic_on(&topology, netlist, &observed, start, settings)
}

/// Most situations solved side by side in a sweep.
pub const LANES: usize = 8;
/// As many and no more are sooner solved one after the other.
const FEW: usize = 2;

/// Steady states of many situations of one wiring.
///
/// Each result has the same bits whatever its neighbours are and whatever the processor. The first
/// starts from nothing, or from `starts`; the others from theirs, or else from the first one's
/// state. A netlist that is wired differently gets [`Failure::TopologiesDiffer`].
#[must_use]
pub fn periodic_sweep(
    netlists: &[Netlist],
    probes: &[Probe],
    starts: &[Option<State>],
    settings: &Settings,
) -> Vec<Result<Periodic, Failure>> {
    let Some(first) = netlists.first() else {
        return Vec::new();
    };
    let topology = match Topology::new(first) {
        Ok(topology) => topology,
        Err(failure) => return vec![Err(failure); netlists.len()],
    };
    let observed = compile(probes, &topology, first);
    let alone = |k: usize, start: Option<&State>| {
        if topology.fits(&netlists[k]) {
            periodic_on(&topology, &netlists[k], &observed, start, settings)
        } else {
            Err(Failure::TopologiesDiffer { netlist: k })
        }
    };
    let own = |k: usize| starts.get(k).and_then(Option::as_ref);
    let mut results = Vec::with_capacity(netlists.len());
    let mut shared = None;
    if own(0).is_none() {
        results.push(alone(0, None));
        shared = results[0].as_ref().ok().map(|found| found.state.clone());
    }
    while results.len() < netlists.len() {
        let from = results.len();
        let group: Vec<usize> = (from..netlists.len().min(from + LANES)).collect();
        let given: Vec<Option<&State>> =
            group.iter().map(|&k| own(k).or(shared.as_ref())).collect();
        let side_by_side = given
            .iter()
            .copied()
            .collect::<Option<Vec<&State>>>()
            .filter(|states| states.iter().all(|state| !state.steps.is_empty()))
            .and_then(|states| {
                let group: Vec<&Netlist> = group.iter().map(|&k| &netlists[k]).collect();
                let work = |from: usize, to: usize| SideBySide {
                    topology: &topology,
                    group: &group[from..to],
                    observed: &observed,
                    starts: &states[from..to],
                    settings,
                };
                if group.len() > FEW {
                    return wide::side_by_side(work(0, group.len()));
                }
                let alone = (0..group.len()).map(|k| work(k, k + 1).on(0.0));
                alone
                    .collect::<Option<Vec<_>>>()
                    .map(|found| found.concat())
            });
        let mut found = side_by_side.unwrap_or_default();
        found.resize(group.len(), None);
        for ((k, found), start) in group.into_iter().zip(found).zip(given) {
            results.push(match found {
                Some(found) => Ok(found),
                None => alone(k, start),
            });
        }
    }
    results
}

/// Up to [`LANES`] situations with their common wiring, each from its state.
struct SideBySide<'a> {
    topology: &'a Topology,
    group: &'a [&'a Netlist],
    observed: &'a [Observed],
    starts: &'a [&'a State],
    settings: &'a Settings,
}

impl OnLanes for SideBySide<'_> {
    /// `None` per lane that did not close, and for all of them when one cannot be put into a lane.
    type Output = Option<Vec<Option<Periodic>>>;

    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn on<R: Real>(self, zero: R) -> Self::Output {
        if !self.group.iter().all(|netlist| self.topology.fits(netlist)) {
            return None;
        }
        let settings = self.settings;
        let parameters = Parameters::gather(self.topology, zero, self.group).ok()?;
        let period = parameters.period;
        if (0..R::LANES).any(|lane| period.lane(lane).is_infinite()) {
            return None;
        }
        let mut newton = Newton::new(self.topology, parameters);
        newton.tolerance = settings.tolerance();
        let mut stepper = Stepper::new(newton, period, settings.accuracy);
        let last = self.starts.len() - 1;
        let grid: Vec<Vec<f64>> = (0..R::LANES)
            .map(|lane| {
                let start = self.starts[lane.min(last)];
                stepper.begin_lane(lane, &start.storage, &start.unknowns);
                start.steps.clone()
            })
            .collect();
        let closing = Closing {
            most_periods: MOST_LANE_PERIODS.min(settings.most_periods),
            ..settings.closing()
        };
        let mut probes: Vec<Vec<Statistics>> = vec![Vec::new(); R::LANES];
        let closed = shooting::close(
            &mut stepper,
            Some(&grid),
            closing,
            |stepper, trajectory, lanes| {
                let statistics =
                    trajectory.statistics(self.observed, &stepper.newton.parameters);
                for &lane in lanes {
                    probes[lane] = statistics.iter().map(|of| of[lane]).collect();
                }
            },
        );
        Some(
            closed
                .into_iter()
                .zip(probes)
                .take(self.group.len())
                .enumerate()
                .map(|(lane, (closed, probes))| {
                    closed
                        .ok
                        .then(|| found(&stepper, lane, closed, probes, None))
                })
                .collect(),
        )
    }
}

/// Periods after which a lane that has not closed is solved by itself.
const MOST_LANE_PERIODS: usize = 12;

/// The result of a lane that closed.
fn found<R: Real>(
    stepper: &Stepper<'_, R>,
    lane: usize,
    closed: shooting::Closed,
    probes: Vec<Statistics>,
    waveform: Option<Waveform>,
) -> Periodic {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count"
    )]
    let iterations = stepper.newton.iterations.lane(lane) as usize;
    Periodic {
        probes,
        iterations,
        periods: closed.periods,
        steps: closed.grid.len(),
        residual: closed.correction,
        method: closed.method,
        floating: stepper.newton.topology.floating.clone(),
        waveform,
        state: State {
            storage: closed.start,
            unknowns: stepper
                .newton
                .unknowns
                .iter()
                .map(|u| u.lane(lane))
                .collect(),
            steps: closed.grid,
        },
    }
}

fn periodic_on(
    topology: &Topology,
    netlist: &Netlist,
    observed: &[Observed],
    start: Option<&State>,
    settings: &Settings,
) -> Result<Periodic, Failure> {
    let parameters = Parameters::gather(topology, 0.0, &[netlist])?;
    let period = parameters.period;
    let mut newton = Newton::new(topology, parameters);
    newton.tolerance = settings.tolerance();
    if period.is_infinite() {
        let method = direct_current(&mut newton, netlist)?;
        return Ok(direct_result(&mut newton, observed, method, settings));
    }
    let attempt = |newton, start: Option<&State>| {
        let mut stepper = Stepper::new(newton, period, settings.accuracy);
        stepper.begin_from_newton();
        if let Some(state) = start {
            stepper.begin_lane(0, &state.storage, &state.unknowns);
        }
        let mut kept = (Vec::new(), None);
        let grid = start.map(|state| [state.steps.clone()]);
        let closed = shooting::close(
            &mut stepper,
            grid.as_ref().map(|grid| &grid[..]),
            settings.closing(),
            |stepper, trajectory, _| {
                let parameters = &stepper.newton.parameters;
                let statistics = trajectory.statistics(observed, parameters);
                kept = (
                    statistics.iter().map(|of| of[0]).collect(),
                    settings
                        .waveform
                        .then(|| trajectory.waveform(observed, parameters, 0)),
                );
            },
        );
        (stepper, closed.into_iter().next(), kept)
    };
    let start = start.filter(|s| s.storage.len() == topology.stamps.storage_ports.len());
    // From the start, from the operating point, from nothing.
    let from_start = start.map(|start| attempt(newton.clone(), Some(start)));
    let closes = |closed: &Option<shooting::Closed>| closed.as_ref().is_some_and(|c| c.ok);
    let (stepper, closed, kept) = match from_start.filter(|(_, closed, _)| closes(closed)) {
        Some(found) => found,
        None => {
            let mut direct = newton.clone();
            let found = direct_current(&mut direct, netlist)
                .is_ok()
                .then(|| attempt(direct, None));
            found
                .filter(|(_, closed, _)| closes(closed))
                .unwrap_or_else(|| attempt(newton, None))
        }
    };
    match closed {
        Some(closed) if closed.ok => Ok(found(&stepper, 0, closed, kept.0, kept.1)),
        Some(shooting::Closed {
            stuck: Some(time), ..
        }) => Err(Failure::NewtonDiverged {
            time,
            element: worst_element(&stepper.newton, 0, netlist),
        }),
        closed => Err(Failure::PeriodNotClosed {
            element: closed
                .as_ref()
                .and_then(|closed| storage_element(topology, closed.worst))
                .map_or_else(String::new, |e| netlist.elements[e].name.clone()),
            change: closed.as_ref().map_or(f64::INFINITY, |c| c.correction),
            periods: closed.map_or(0, |c| c.periods),
        }),
    }
}

fn compile(probes: &[Probe], topology: &Topology, netlist: &Netlist) -> Vec<Observed> {
    probes
        .iter()
        .map(|&probe| Observed::new(probe, topology, netlist))
        .collect()
}

/// Solves `newton` for direct current.
fn direct_current(newton: &mut Newton<'_, f64>, netlist: &Netlist) -> Result<Method, Failure> {
    newton.reach = f64::MAX;
    for (wave, source) in newton.waves.iter_mut().zip(&newton.parameters.sources) {
        *wave = source.steady;
    }
    newton.bases.fill(0.0);
    match operating_point::climb(newton) {
        Some(method) => {
            newton.read_storage();
            Ok(method)
        }
        None => Err(Failure::NewtonDiverged {
            time: 0.0,
            element: worst_element(newton, 0, netlist),
        }),
    }
}

fn direct_result(
    newton: &mut Newton<'_, f64>,
    observed: &[Observed],
    method: Method,
    settings: &Settings,
) -> Periodic {
    newton.read_storage();
    let mut trajectory = Trajectory::new(newton.topology);
    trajectory.point(newton, 0.0);
    let statistics = trajectory.statistics(observed, &newton.parameters);
    Periodic {
        probes: statistics.iter().map(|of| of[0]).collect(),
        state: State {
            storage: direct_storage(newton),
            steps: Vec::new(),
            unknowns: newton.unknowns.clone(),
        },
        iterations: iterations(newton),
        periods: 0,
        steps: 0,
        residual: 0.0,
        method,
        floating: newton.topology.floating.clone(),
        waveform: settings
            .waveform
            .then(|| trajectory.waveform(observed, &newton.parameters, 0)),
    }
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count"
)]
fn iterations(newton: &Newton<'_, f64>) -> usize {
    newton.iterations as usize
}

/// Capacitor voltages and inductor currents of an operating point.
fn direct_storage(newton: &Newton<'_, f64>) -> Vec<f64> {
    let capacitors = newton.topology.capacitors.len();
    (0..newton.bases.len())
        .map(|index| {
            if index < capacitors {
                newton.storage_voltages[index]
            } else {
                newton.storage_currents[index]
            }
        })
        .collect()
}

fn worst_element<R: Real>(newton: &Newton<'_, R>, lane: usize, netlist: &Netlist) -> String {
    newton
        .worst_element(lane)
        .map_or_else(String::new, |e| netlist.elements[e].name.clone())
}

fn storage_element(topology: &Topology, state: usize) -> Option<usize> {
    topology
        .capacitors
        .iter()
        .chain(&topology.inductors)
        .nth(state)
        .map(|&(_, element)| element)
}
