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

mod dense;
mod devices;
pub mod elimination;
pub mod failure;
mod grid;
pub mod newton;
pub mod observe;
pub mod operating_point;
pub mod parameters;
mod sensitivity;
mod shooting;
mod stamps;
mod stepping;
mod sweep;
pub mod topology;
mod trajectory;
mod transient;
mod wide;

pub use failure::Failure;
pub use observe::{Probe, Statistics, Waveform};
pub use operating_point::Method;
pub use sweep::{LANES, periodic_sweep};
pub use transient::{
    ColdStart, Initial, Transient, cold_start, settled_state, switched_off, transient,
};

use crate::circuit::real::Real;
use crate::circuit::{Netlist, Node};
use newton::Newton;
use observe::Observed;
use parameters::Parameters;
use shooting::{Closing, Known};
use stepping::Stepper;
use topology::Topology;
use trajectory::Trajectory;

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
            accuracy: 1.8e-3,
            closure: 7e-6,
            ..Self::default()
        }
    }

    /// For circuits drawn at random: what is stored need not be known to more than the accuracy of
    /// the steps leaves it.
    #[must_use]
    pub fn drawn() -> Self {
        Self {
            closure: 1e-4,
            ..Self::sweep()
        }
    }

    /// Whether long steps are taken: then a voltage's mean is better read off a parabola through
    /// each step's points than by the step's own weights.
    fn coarse(&self) -> bool {
        self.accuracy > 1e-3
    }

    /// What a steady state is asked.
    fn closing(&self) -> Closing {
        Closing {
            tolerance: self.closure,
            kept_error: if self.coarse() { 6.0 } else { 2.0 },
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
    /// How a change at the start of the last period shows at its end, as far as it was found:
    /// unity less the derivative, row by row.
    map: Vec<f64>,
    /// Size of each watched current.
    currents: Vec<f64>,
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

/// One period on the way to a steady state.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passage {
    /// Its steps.
    pub steps: usize,
    /// Correction of its start that it called for, relative to the circuit's voltages; none where
    /// it was only to let the circuit settle.
    pub correction: Option<f64>,
    /// Whether the derivative of its end by its start was computed along with it.
    pub derived: bool,
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
    /// What each of these periods brought.
    pub course: Vec<Passage>,
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
            stepper.begin_lane(0, state);
        }
        let mut alone = sweep::Alone::new(observed, settings);
        let known = start.map(Known::from).unwrap_or_default();
        shooting::close(
            &mut stepper,
            vec![Some(known)],
            settings.closing(),
            &mut alone,
        );
        (stepper, alone)
    };
    let start = start.filter(|s| s.storage.len() == topology.stamps.storage_ports.len());
    // From the start, from the operating point, from nothing.
    let from_start = start.map(|start| attempt(newton.clone(), Some(start)));
    let good = |found: &(_, sweep::Alone<'_>)| found.1.closes();
    let (stepper, alone) = match from_start.filter(good) {
        Some(found) => found,
        None => {
            let mut direct = newton.clone();
            let solved = direct_current(&mut direct, netlist).is_ok();
            let found = solved.then(|| attempt(direct, None));
            found.filter(good).unwrap_or_else(|| attempt(newton, None))
        }
    };
    match alone.closed {
        Some(closed) if closed.ok => Ok(sweep::found(
            &stepper,
            0,
            closed,
            alone.probes,
            alone.waveform,
        )),
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
    let statistics = trajectory.statistics(observed, &newton.parameters, false);
    Periodic {
        probes: statistics.iter().map(|of| of[0]).collect(),
        state: State {
            storage: direct_storage(newton),
            steps: Vec::new(),
            unknowns: newton.unknowns.clone(),
            map: Vec::new(),
            currents: Vec::new(),
        },
        iterations: iterations(newton),
        periods: 0,
        course: Vec::new(),
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
