//! Many steady states of one wiring, side by side in the processor's lanes.
//!
//! A lane that has closed is loaded with the next situation, so that one slow situation does not
//! hold up its neighbours; one that takes long goes on by itself. What a situation gives does not
//! depend on its neighbours, to the bit.

use super::newton::Newton;
use super::observe::{Observed, Probe, Statistics, Waveform};
use super::parameters::Parameters;
use super::shooting::{self, Closed, Closing, Known, Lanes};
use super::stepping::Stepper;
use super::topology::Topology;
use super::trajectory::Trajectory;
use super::wide::{self, OnLanes};
use super::{Failure, Periodic, Settings, State, compile, periodic_on};
use crate::circuit::Netlist;
use crate::circuit::real::Real;

/// Most situations solved side by side in a sweep.
pub const LANES: usize = 8;
/// As many and no more are sooner solved one after the other.
const FEW: usize = 2;
/// Periods after which a lane that has not closed goes on by itself.
const MOST_LANE_PERIODS: usize = 10;

/// Steady states of many situations of one wiring.
///
/// Each result has the same bits whatever the processor. The first starts from nothing, or from
/// `starts`; the others from theirs, or else from the first one's state. A netlist that is wired
/// differently gets [`Failure::TopologiesDiffer`].
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
    let mut results: Vec<Option<Result<Periodic, Failure>>> = vec![None; netlists.len()];
    let mut shared = None;
    if own(0).is_none() {
        let found = alone(0, None);
        shared = found.as_ref().ok().map(|found| found.state.clone());
        results[0] = Some(found);
    }
    let start = |k: usize| own(k).or(shared.as_ref());
    let storage = topology.stamps.storage_ports.len();
    let tasks: Vec<Task> = (0..netlists.len())
        .filter(|&k| results[k].is_none())
        .filter_map(|number| {
            let (netlist, start) = (&netlists[number], start(number)?);
            let fits = !start.steps.is_empty()
                && start.storage.len() == storage
                && topology.fits(netlist)
                && Parameters::gather(&topology, 0.0, &[netlist])
                    .is_ok_and(|parameters| parameters.period.is_finite());
            fits.then_some(Task {
                number,
                netlist,
                start,
            })
        })
        .collect();
    let over = tasks.len() % LANES;
    let (wide, single) = tasks.split_at(if over <= FEW {
        tasks.len() - over
    } else {
        tasks.len()
    });
    let common = |tasks| Sweep {
        topology: &topology,
        observed: &observed,
        settings,
        tasks,
    };
    let mut found = Vec::new();
    if !wide.is_empty() {
        found.extend(wide::side_by_side(common(wide)));
    }
    for k in 0..single.len() {
        found.extend(common(&single[k..=k]).on(0.0));
    }
    for (number, outcome) in found {
        results[number] = Some(match outcome {
            Ok(found) => Ok(found),
            Err(state) => alone(number, Some(&state)),
        });
    }
    (0..netlists.len())
        .zip(results)
        .map(|(k, result)| result.unwrap_or_else(|| alone(k, start(k))))
        .collect()
}

/// One situation to solve, from its start.
struct Task<'a> {
    /// Its number in the sweep.
    number: usize,
    netlist: &'a Netlist,
    start: &'a State,
}

/// Situations of one wiring.
struct Sweep<'a> {
    topology: &'a Topology,
    observed: &'a [Observed],
    settings: &'a Settings,
    tasks: &'a [Task<'a>],
}

impl OnLanes for Sweep<'_> {
    /// What closed, or from where it is to go on.
    type Output = Vec<(usize, Result<Periodic, State>)>;

    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn on<R: Real>(self, zero: R) -> Self::Output {
        let mut lanes = Loaded {
            sweep: &self,
            netlists: (0..R::LANES)
                .map(|lane| self.tasks[lane.min(self.tasks.len() - 1)].netlist)
                .collect(),
            tasks: (0..R::LANES).collect(),
            next: R::LANES,
            probes: Vec::new(),
            outcomes: Vec::with_capacity(self.tasks.len()),
        };
        let Ok(parameters) = Parameters::gather(self.topology, zero, &lanes.netlists) else {
            return Vec::new();
        };
        let period = parameters.period;
        let mut newton = Newton::new(self.topology, parameters);
        newton.tolerance = self.settings.tolerance();
        let mut stepper = Stepper::new(newton, period, self.settings.accuracy);
        let known = (0..R::LANES)
            .map(|lane| {
                let task = self.tasks.get(lane)?;
                stepper.begin_lane(lane, task.start);
                Some(Known::from(task.start))
            })
            .collect();
        let closing = Closing {
            most_periods: MOST_LANE_PERIODS.min(self.settings.most_periods),
            ..self.settings.closing()
        };
        shooting::close(&mut stepper, known, closing, &mut lanes);
        lanes.outcomes
    }
}

/// Which task each lane is loaded with, and what became of the others.
struct Loaded<'a, 's> {
    sweep: &'a Sweep<'s>,
    netlists: Vec<&'s Netlist>,
    tasks: Vec<usize>,
    next: usize,
    /// Of the last period on record: by probe and lane.
    probes: Vec<Vec<Statistics>>,
    outcomes: Vec<(usize, Result<Periodic, State>)>,
}

impl<R: Real> Lanes<R> for Loaded<'_, '_> {
    fn record(&mut self, stepper: &Stepper<'_, R>, trajectory: &Trajectory<R>) {
        let parameters = &stepper.newton.parameters;
        let coarse = self.sweep.settings.coarse();
        self.probes = trajectory.statistics(self.sweep.observed, parameters, coarse);
    }

    fn done(&mut self, stepper: &Stepper<'_, R>, lane: usize, closed: Closed) {
        let task = &self.sweep.tasks[self.tasks[lane]];
        let outcome = if closed.ok {
            let probes = self.probes.iter().map(|of| of[lane]).collect();
            Ok(found(stepper, lane, closed, probes, None))
        } else if closed.stuck.is_some() {
            Err(task.start.clone())
        } else {
            Err(State {
                storage: stepper.states.iter().map(|s| s.lane(lane)).collect(),
                steps: closed.grid,
                unknowns: unknowns(stepper, lane),
                map: closed.map,
                currents: stepper.currents(lane),
            })
        };
        self.outcomes.push((task.number, outcome));
    }

    fn next(&mut self, stepper: &mut Stepper<'_, R>, lane: usize) -> Option<Known> {
        let task = self.sweep.tasks.get(self.next)?;
        self.tasks[lane] = self.next;
        self.next += 1;
        self.netlists[lane] = task.netlist;
        let zero = stepper.newton.zero;
        let parameters = Parameters::gather(self.sweep.topology, zero, &self.netlists).ok()?;
        stepper.load(parameters, lane);
        stepper.begin_lane(lane, task.start);
        Some(Known::from(task.start))
    }
}

/// One situation by itself.
pub(super) struct Alone<'a> {
    observed: &'a [Observed],
    settings: &'a Settings,
    pub closed: Option<Closed>,
    pub probes: Vec<Statistics>,
    pub waveform: Option<Waveform>,
}

impl<'a> Alone<'a> {
    pub fn new(observed: &'a [Observed], settings: &'a Settings) -> Self {
        Self {
            observed,
            settings,
            closed: None,
            probes: Vec::new(),
            waveform: None,
        }
    }

    pub fn closes(&self) -> bool {
        self.closed.as_ref().is_some_and(|closed| closed.ok)
    }
}

impl Lanes<f64> for Alone<'_> {
    fn record(&mut self, stepper: &Stepper<'_, f64>, trajectory: &Trajectory<f64>) {
        let parameters = &stepper.newton.parameters;
        let statistics = trajectory.statistics(self.observed, parameters, self.settings.coarse());
        self.probes = statistics.iter().map(|of| of[0]).collect();
        self.waveform = self
            .settings
            .waveform
            .then(|| trajectory.waveform(self.observed, parameters, 0));
    }

    fn done(&mut self, _: &Stepper<'_, f64>, _: usize, closed: Closed) {
        self.closed = Some(closed);
    }

    fn next(&mut self, _: &mut Stepper<'_, f64>, _: usize) -> Option<Known> {
        None
    }
}

/// The result of a lane that closed.
pub(super) fn found<R: Real>(
    stepper: &Stepper<'_, R>,
    lane: usize,
    closed: Closed,
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
        course: closed.course,
        steps: closed.grid.len(),
        residual: closed.correction,
        method: closed.method,
        floating: stepper.newton.topology.floating.clone(),
        waveform,
        state: State {
            storage: closed.start,
            unknowns: unknowns(stepper, lane),
            steps: closed.grid,
            map: closed.map,
            currents: stepper.currents(lane),
        },
    }
}

fn unknowns<R: Real>(stepper: &Stepper<'_, R>, lane: usize) -> Vec<f64> {
    let unknowns = &stepper.newton.unknowns;
    unknowns.iter().map(|u| u.lane(lane)).collect()
}
