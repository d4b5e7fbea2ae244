//! The solver: operating point, periodic steady state and transients of any [`Netlist`].
//!
//! Owns the numerical methods; the device equations stand with the models in [`crate::circuit`],
//! and what a result means for the box is judged elsewhere. A [`topology::Topology`] is worked out
//! once per wiring, [`parameters::Parameters`] once per situation; [`newton`] solves one instant,
//! [`stepping`] one step in time, [`shooting`] one steady state.
//!
//! All quantities are in SI units. Voltages count from node 0; currents into an element at its
//! first-named terminal.

#![allow(
    clippy::needless_range_loop,
    reason = "loops over lanes index several arrays at once"
)]
#![allow(clippy::cast_precision_loss, reason = "counts here are small")]

pub mod elimination;
pub mod failure;
pub mod newton;
pub mod observe;
pub mod operating_point;
pub mod parameters;
mod sensitivity;
mod shooting;
mod stepping;
pub mod topology;
mod transient;

pub use failure::Failure;
pub use observe::{Probe, Statistics, Waveform};
pub use operating_point::Method;
pub use transient::{
    ColdStart, Initial, Transient, cold_start, settled_state, switched_off, transient,
};

use crate::circuit::{Netlist, Node};
use newton::{Newton, storage_ports};
use observe::{Gathering, Observed};
use parameters::Parameters;
use shooting::Closing;
use stepping::Stepper;
use topology::Topology;

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
            accuracy: 7e-4,
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
            accuracy: 1e-3,
            closure: 1e-5,
            ..Self::default()
        }
    }

    /// Local error that kept steps may show before they are refined.
    fn kept_error(&self) -> f64 {
        if self.closure > 1e-7 { 6.0 } else { 2.0 }
    }

    /// Tolerance of Newton's method that goes with the closure asked for.
    fn tolerance(&self) -> f64 {
        (0.01 * self.closure).clamp(1e-9, 1e-7)
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
    let parameters = Parameters::gather(&topology, [netlist])?;
    let observed = compile(probes, &topology, netlist);
    let mut newton = Newton::new(&topology, parameters);
    let method = direct_current(&mut newton, netlist)?;
    Ok(direct_result(&newton, &observed, method, settings))
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
    periodic_on(&topology, netlist, probes, start, settings)
}

/// Situations solved side by side in a sweep.
pub const LANES: usize = 8;

/// Steady states of many situations of one wiring.
///
/// The first starts from nothing, the others from its state, [`LANES`] side by side; each result
/// has the same bits whatever its neighbours are. A netlist that is wired differently gets
/// [`Failure::TopologiesDiffer`].
#[must_use]
pub fn periodic_sweep(
    netlists: &[Netlist],
    probes: &[Probe],
    settings: &Settings,
) -> Vec<Result<Periodic, Failure>> {
    let Some((first, others)) = netlists.split_first() else {
        return Vec::new();
    };
    let topology = match Topology::new(first) {
        Ok(topology) => topology,
        Err(failure) => return vec![Err(failure); netlists.len()],
    };
    let mut results = vec![periodic_on(&topology, first, probes, None, settings)];
    let start = match &results[0] {
        Ok(found) if found.periods > 0 => Some(found.state.clone()),
        _ => None,
    };
    for (chunk, group) in others.chunks(LANES).enumerate() {
        let mut side_by_side = start
            .as_ref()
            .and_then(|state| lanes(&topology, group, probes, state, settings))
            .unwrap_or_default();
        side_by_side.resize(group.len(), None);
        for (k, (netlist, found)) in group.iter().zip(side_by_side).enumerate() {
            results.push(match found {
                Some(found) => Ok(found),
                None if topology.fits(netlist) => {
                    periodic_on(&topology, netlist, probes, start.as_ref(), settings)
                }
                None => Err(Failure::TopologiesDiffer {
                    netlist: 1 + chunk * LANES + k,
                }),
            });
        }
    }
    results
}

/// Solves up to [`LANES`] situations from one state; `None` per lane that did not close, and for
/// all of them when one cannot be put into a lane.
fn lanes(
    topology: &Topology,
    group: &[Netlist],
    probes: &[Probe],
    start: &State,
    settings: &Settings,
) -> Option<Vec<Option<Periodic>>> {
    if !group.iter().all(|netlist| topology.fits(netlist)) {
        return None;
    }
    let last = group.len() - 1;
    let netlists: [&Netlist; LANES] = std::array::from_fn(|l| &group[l.min(last)]);
    let parameters = Parameters::gather(topology, netlists).ok()?;
    let period = parameters.period;
    if period.iter().any(|p| p.is_infinite()) {
        return None;
    }
    let observed = compile(probes, topology, netlists[0]);
    let mut newton = Newton::new(topology, parameters);
    newton.tolerance = settings.tolerance();
    let mut stepper = Stepper::new(newton, period, settings.accuracy);
    stepper.begin_from(&start.storage, &start.unknowns);
    let closed = dispatch(CloseLanes {
        stepper: &mut stepper,
        observed: &observed,
        grid: std::array::from_fn(|_| start.steps.clone()),
        closing: Closing {
            tolerance: settings.closure,
            kept_error: settings.kept_error(),
            most_periods: MOST_LANE_PERIODS.min(settings.most_periods),
        },
    });
    Some(
        (0..group.len())
            .map(|l| {
                closed.ok[l].then(|| Periodic {
                    probes: closed.gathered.iter().map(|g| g.statistics(l)).collect(),
                    state: State {
                        storage: closed.start.iter().map(|s| s[l]).collect(),
                        unknowns: stepper.newton.unknowns.iter().map(|u| u[l]).collect(),
                        steps: closed.grid[l].clone(),
                    },
                    iterations: stepper.newton.iterations[l],
                    periods: closed.periods[l],
                    steps: closed.grid[l].len(),
                    residual: closed.correction[l],
                    method: closed.method[l],
                    floating: topology.floating.clone(),
                    waveform: None,
                })
            })
            .collect(),
    )
}

/// The work of one group of lanes, for [`dispatch`].
struct CloseLanes<'a, 't> {
    stepper: &'a mut Stepper<'t, LANES>,
    observed: &'a [Observed],
    grid: [Vec<f64>; LANES],
    closing: Closing,
}

impl pulp::NullaryFnOnce for CloseLanes<'_, '_> {
    type Output = shooting::Closed<LANES>;

    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn call(self) -> Self::Output {
        shooting::close(
            self.stepper,
            self.observed,
            Some(self.grid),
            self.closing,
            None,
        )
    }
}

/// Runs with the widest vectors this processor has, of those compiled for. The arithmetic is the
/// same operation for operation (nothing is contracted or reordered), so the bits are too.
fn dispatch(work: CloseLanes<'_, '_>) -> shooting::Closed<LANES> {
    #[cfg(target_arch = "x86_64")]
    if let Some(simd) = pulp::x86::V3::try_new() {
        return simd.vectorize(work);
    }
    pulp::NullaryFnOnce::call(work)
}

/// Periods after which a lane that has not closed is solved by itself.
const MOST_LANE_PERIODS: usize = 12;

fn periodic_on(
    topology: &Topology,
    netlist: &Netlist,
    probes: &[Probe],
    start: Option<&State>,
    settings: &Settings,
) -> Result<Periodic, Failure> {
    let parameters = Parameters::gather(topology, [netlist])?;
    let observed = compile(probes, topology, netlist);
    let period = parameters.period;
    let mut newton = Newton::new(topology, parameters);
    newton.tolerance = settings.tolerance();
    if period[0].is_infinite() {
        let method = direct_current(&mut newton, netlist)?;
        return Ok(direct_result(&newton, &observed, method, settings));
    }
    let cold = newton.clone();
    let from_direct = direct_current(&mut newton, netlist).is_ok();
    if !from_direct {
        newton = cold.clone();
    }
    let attempt = |newton, start: Option<&State>| {
        let mut stepper = Stepper::new(newton, period, settings.accuracy);
        stepper.begin_from_newton();
        if let Some(state) = start {
            stepper.begin_from(&state.storage, &state.unknowns);
        }
        let mut waveform = settings.waveform.then(|| Waveform {
            time: Vec::new(),
            probes: vec![Vec::new(); probes.len()],
        });
        let closed = shooting::close(
            &mut stepper,
            &observed,
            start.map(|s| [s.steps.clone()]),
            Closing {
                tolerance: settings.closure,
                kept_error: settings.kept_error(),
                most_periods: settings.most_periods,
            },
            waveform.as_mut(),
        );
        (stepper, closed, waveform)
    };
    let start = start.filter(|s| s.storage.len() == storage_ports(topology).count());
    let (mut stepper, mut closed, mut waveform) = attempt(newton, start);
    if !closed.ok[0] {
        // Once more from nothing.
        (stepper, closed, waveform) = attempt(cold, None);
    }
    if closed.ok[0] {
        return Ok(Periodic {
            probes: closed.gathered.iter().map(|g| g.statistics(0)).collect(),
            state: State {
                storage: closed.start.iter().map(|s| s[0]).collect(),
                unknowns: stepper.newton.unknowns.iter().map(|u| u[0]).collect(),
                steps: closed.grid[0].clone(),
            },
            iterations: stepper.newton.iterations[0],
            periods: closed.periods[0],
            steps: closed.grid[0].len(),
            residual: closed.correction[0],
            method: closed.method[0],
            floating: topology.floating.clone(),
            waveform,
        });
    }
    Err(match closed.stuck[0] {
        Some(time) => Failure::NewtonDiverged {
            time,
            element: worst_element(&stepper.newton, netlist),
        },
        None => Failure::PeriodNotClosed {
            element: storage_element(topology, closed.worst[0])
                .map_or_else(String::new, |e| netlist.elements[e].name.clone()),
            change: closed.correction[0],
            periods: closed.periods[0],
        },
    })
}

fn compile(probes: &[Probe], topology: &Topology, netlist: &Netlist) -> Vec<Observed> {
    probes
        .iter()
        .map(|&probe| Observed::new(probe, topology, netlist))
        .collect()
}

/// Solves `newton` for direct current.
fn direct_current(newton: &mut Newton<'_, 1>, netlist: &Netlist) -> Result<Method, Failure> {
    newton.reach = [f64::MAX];
    newton.waves.copy_from_slice(&newton.parameters.steady);
    newton.bases.fill([0.0]);
    match operating_point::climb(newton) {
        Some(method) => {
            newton.refresh();
            Ok(method)
        }
        None => Err(Failure::NewtonDiverged {
            time: 0.0,
            element: worst_element(newton, netlist),
        }),
    }
}

fn direct_result(
    newton: &Newton<'_, 1>,
    observed: &[Observed],
    method: Method,
    settings: &Settings,
) -> Periodic {
    let values: Vec<f64> = observed.iter().map(|o| o.read(newton)[0]).collect();
    Periodic {
        probes: values
            .iter()
            .map(|&value| {
                let mut gathering = Gathering::<1>::new();
                gathering.point(0, 0.0, value);
                gathering.statistics(0)
            })
            .collect(),
        state: State {
            storage: direct_storage(newton),
            steps: Vec::new(),
            unknowns: newton.unknowns.iter().map(|u| u[0]).collect(),
        },
        iterations: newton.iterations[0],
        periods: 0,
        steps: 0,
        residual: 0.0,
        method,
        floating: newton.topology.floating.clone(),
        waveform: settings.waveform.then(|| Waveform {
            time: vec![0.0],
            probes: values.iter().map(|&v| vec![v]).collect(),
        }),
    }
}

/// Capacitor voltages and inductor currents of an operating point.
fn direct_storage(newton: &Newton<'_, 1>) -> Vec<f64> {
    let capacitors = newton.topology.capacitors.len();
    storage_ports(newton.topology)
        .enumerate()
        .map(|(index, port)| {
            if index < capacitors {
                newton.voltages[port][0]
            } else {
                newton.currents[port][0]
            }
        })
        .collect()
}

fn worst_element<const L: usize>(newton: &Newton<'_, L>, netlist: &Netlist) -> String {
    newton
        .worst_element(0)
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
