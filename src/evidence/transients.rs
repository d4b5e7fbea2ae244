//! Switch-on and switch-off: the highest current of every part and the reach of every net.
//!
//! Switch-on starts with every capacitor empty, at the phase of the mains that draws the largest
//! current; switch-off starts from the steady state and takes the sources away. Both are followed
//! until the circuit has settled or a stated time is over. They are solved at the nominal corner
//! and at high mains, in every state in which an instrument that is on is plugged in, and in the
//! nominal state unplugged; and where each output stands lowest and highest, plugged in and not.
//! The other corners are not followed through time.

use super::sweeps::outputs;
use super::traces::{keep_extreme, thinned};
use super::{Evidence, Excursion, Measure, Trace};
use crate::circuit::{Circuit, Model, build};
use crate::design::Design;
use crate::situations::{Corner, Level, Parameter, Plugged, Situation, State};
use crate::solver::{self, ColdStart, Initial, Probe, Settings, Transient};
use rayon::prelude::*;

/// Periods of the mains for which a switch-on is followed.
const PERIODS: usize = 15;
/// The half-cycle of 60 Hz for which makers rate a diode's surge [s].
const HALF_CYCLE: f64 = 8.3e-3;
/// What stands for a period where every source is steady [s].
const FALLBACK_PERIOD: f64 = 0.02;
/// Most plugged states that are all followed; beyond it see [`wanted`].
const MOST_STATES: usize = 12;
/// A switch-off is followed for this long [s], then as long again, then twice as long and so on …
const AFTER_OFF: f64 = 1.0;
/// … until no net has moved by more than this in the last of them [V], or that many are over.
/// Nor is a net counted as on its way after switch-on that is as near to where it stays.
const STILL: f64 = 0.01;
const MOST_STRETCHES: usize = 6;

struct Followed {
    situation: Situation,
    excursions: Vec<(String, &'static str, f64, f64)>,
    surges: Vec<(String, f64, f64)>,
    /// Highest voltage across each capacitor, `positive − negative`.
    capacitors: Vec<(String, f64)>,
    /// Each output over time; the number of the situation is put in afterwards.
    traces: Vec<Trace>,
    /// Whether every net was where it stays when switch-on was followed no longer.
    arrived: bool,
    /// Whether everything was still at the end of switch-off.
    still: bool,
}

/// Fills the excursions and surges.
pub(super) fn collect(design: &Design, states: &[State], evidence: &mut Evidence) {
    let situations = wanted(design, states, evidence);
    let plugged = states
        .iter()
        .filter(|state| state.powered && state.device_on())
        .count();
    if plugged > MOST_STATES {
        evidence.not_analysed.push(format!(
            "switch-on and switch-off were followed in every switch position with what is nominally \
             plugged in and the controls together at an end or the middle, not in all {plugged} \
             plugged states"
        ));
    }
    let followed: Vec<Result<Followed, String>> = situations
        .into_par_iter()
        .map(|situation| follow(design, situation))
        .collect();
    let (mut arriving, mut moving) = (0, 0);
    for result in followed {
        match result {
            Ok(followed) => {
                arriving += usize::from(!followed.arrived);
                moving += usize::from(!followed.still);
                evidence.counts.transients += 2;
                let id = evidence.situations.len();
                evidence.situations.push(followed.situation);
                // The table has no steady-state row for it: a transient is not a steady state.
                evidence.rows.push(Vec::new());
                for (net, event, low, high) in followed.excursions {
                    evidence.excursions.push(Excursion {
                        net,
                        event,
                        low,
                        high,
                        situation: id,
                    });
                }
                for trace in followed.traces {
                    let situation = id;
                    keep_extreme(&mut evidence.traces, Trace { situation, ..trace });
                }
                for (part, voltage) in followed.capacitors {
                    let known = evidence
                        .capacitor_surges
                        .entry(part)
                        .or_insert((voltage, id));
                    if voltage > known.0 {
                        *known = (voltage, id);
                    }
                }
                for (part, current, half_cycle) in followed.surges {
                    for (surges, current) in [
                        (&mut evidence.surges, current),
                        (&mut evidence.surge_half_cycles, half_cycle),
                    ] {
                        let known = surges.entry(part.clone()).or_insert((current, id));
                        if current > known.0 {
                            *known = (current, id);
                        }
                    }
                }
            }
            Err(reason) => evidence.no_transients = Some(reason),
        }
    }
    if arriving > 0 {
        evidence.not_analysed.push(format!(
            "switch-on was followed for {PERIODS} periods of the mains, after which nets were still \
             on their way in {arriving} of the situations: where they arrive was solved, what they \
             do on the rest of the way was not"
        ));
    }
    if moving > 0 {
        evidence.not_analysed.push(format!(
            "switch-off was followed for a minute, after which nets still moved in {moving} of the \
             situations: what they do later is not known"
        ));
    }
}

/// The situations to follow through time.
fn wanted(design: &Design, states: &[State], evidence: &Evidence) -> Vec<Situation> {
    let unplugged = states
        .iter()
        .find(|state| state.powered && state.plugs.values().all(|plug| *plug == Plugged::Nothing));
    let mut corners = vec![Corner::nominal()];
    if design
        .conditions
        .mains
        .is_some_and(|mains| mains.voltage.is_spread())
    {
        corners.push(Corner::nominal().with(Parameter::Mains, Level::High));
    }
    let mut plugged: Vec<&State> = states
        .iter()
        .filter(|state| state.powered && state.device_on())
        .collect();
    if plugged.len() > MOST_STATES {
        // Every switch position with what is nominally plugged in, all controls at the same place.
        let nominal = states.first().map(|state| state.plugs.clone());
        plugged.retain(|state| {
            let mut travel = state.travel.values();
            let first = travel.next();
            Some(&state.plugs) == nominal.as_ref() && travel.all(|other| Some(other) == first)
        });
    }
    let mut wanted: Vec<Situation> = plugged
        .into_iter()
        .chain(unplugged)
        .flat_map(|state| {
            corners
                .iter()
                .map(|corner| Situation::new(state.clone(), corner.clone()))
        })
        .collect();
    for (_, net, _) in outputs(design) {
        for plugged in [true, false] {
            let here = |situation: &Situation| {
                let state = &situation.state;
                let on = state.device_on() == plugged;
                state.powered && on && situation.warmed.is_none()
            };
            let Ok(extent) = evidence.net(&net, Measure::Mean, here) else {
                continue;
            };
            for at in [extent.low_at, extent.high_at] {
                let farthest = &evidence.situations[at];
                if !wanted.contains(farthest) {
                    wanted.push(farthest.clone());
                }
            }
        }
    }
    wanted
}

fn follow(design: &Design, situation: Situation) -> Result<Followed, String> {
    let on = build(design, &situation);
    let mut off_state = situation.clone();
    off_state.state.powered = false;
    let off = build(design, &off_state);
    let nets: Vec<(String, usize)> = design
        .nets
        .iter()
        .filter_map(|net| Some((net.clone(), *on.nodes.get(net)?)))
        .collect();
    let elements: Vec<(&String, usize)> = on.elements.iter().map(|(n, i)| (n, *i)).collect();
    let mut probes: Vec<Probe> = nets
        .iter()
        .map(|(_, node)| Probe::Voltage {
            plus: *node,
            minus: 0,
        })
        .collect();
    probes.extend(elements.iter().map(|(_, index)| Probe::Current(*index)));
    let capacitors: Vec<(String, Probe)> = elements
        .iter()
        .filter_map(|(name, index)| match on.netlist.elements[*index].model {
            Model::Capacitor {
                positive, negative, ..
            } => Some((
                (*name).clone(),
                Probe::Voltage {
                    plus: positive,
                    minus: negative,
                },
            )),
            _ => None,
        })
        .collect();
    probes.extend(capacitors.iter().map(|(_, probe)| *probe));

    let settings = Settings::sweep();
    let started = switch_on(&on, &probes, nets.len(), &settings)
        .map_err(|failure| format!("switch-on: {failure} ({})", situation.describe()))?;
    let steady = solver::periodic(&on.netlist, &probes, None, &settings)
        .map_err(|failure| format!("before switch-off: {failure} ({})", situation.describe()))?;
    let arrived = arrived(&started, &steady, nets.len());
    let (stopped, still) = switch_off(&off, &probes, nets.len(), steady.state, &settings)
        .map_err(|failure| format!("switch-off: {failure} ({})", situation.describe()))?;

    let mut excursions = Vec::new();
    let duration = started.waveform.time.last().copied().unwrap_or_default();
    let mut traces = Vec::new();
    for (event, waveform) in [
        ("switch-on", &started.waveform),
        ("switch-off", &stopped.waveform),
    ] {
        for (_, net, _) in outputs(design) {
            if let Some(at) = nets.iter().position(|(known, _)| *known == net) {
                traces.push(Trace {
                    net,
                    event,
                    situation: 0,
                    points: thinned(&waveform.time, &waveform.probes[at]),
                });
            }
        }
    }
    let started = started.envelope;
    for (event, statistics) in [("switch-on", &started), ("switch-off", &stopped.probes)] {
        for ((net, _), reach) in nets.iter().zip(statistics) {
            excursions.push((net.clone(), event, reach.minimum, reach.maximum));
        }
    }
    let surges = elements
        .iter()
        .zip(&started[nets.len()..])
        .map(|((name, _), reach)| {
            let part = name.split('.').next().unwrap_or(name).to_owned();
            let peak = reach.maximum.abs().max(reach.minimum.abs());
            // ∫i²dt of a half sine of peak I and length T is I²·T/2.
            let heating = reach.rms * reach.rms * duration;
            (part, peak, peak.min((2.0 * heating / HALF_CYCLE).sqrt()))
        })
        .collect();
    let first = nets.len() + elements.len();
    let capacitors = capacitors
        .into_iter()
        .enumerate()
        .map(|(at, (name, _))| {
            let highest = started[first + at]
                .maximum
                .max(stopped.probes[first + at].maximum);
            (name, highest)
        })
        .collect();
    Ok(Followed {
        situation,
        excursions,
        surges,
        capacitors,
        traces,
        arrived,
        still,
    })
}

/// Whether the first `nets` probes were, at the end of switch-on, where they stay.
fn arrived(started: &ColdStart, steady: &solver::Periodic, nets: usize) -> bool {
    (0..nets).all(|net| {
        let stays = &steady.probes[net];
        let stays = stays.minimum - STILL..=stays.maximum + STILL;
        let last = started.waveform.probes[net].last();
        last.is_none_or(|last| stays.contains(last))
    })
}

/// What every probe does after switch-off, until the first `nets` of them are still, and whether
/// they came to be.
fn switch_off(
    circuit: &Circuit,
    probes: &[Probe],
    nets: usize,
    state: solver::State,
    settings: &Settings,
) -> Result<(Transient, bool), solver::Failure> {
    let mut stretch = AFTER_OFF;
    let run = |from: solver::State, stretch: f64| {
        let from = Initial::State(from);
        solver::transient(&circuit.netlist, probes, &from, stretch, settings)
    };
    let mut all = run(state, stretch)?;
    for _ in 1..MOST_STRETCHES {
        let next = run(all.state.clone(), stretch)?;
        let still = next.probes[..nets]
            .iter()
            .all(|reach| reach.maximum - reach.minimum <= STILL);
        all.then(next);
        if still {
            return Ok((all, true));
        }
        stretch *= 2.0;
    }
    Ok((all, false))
}

/// The reach of every probe after switch-on with everything empty, at the phase that draws the
/// largest current from the first source.
fn switch_on(
    circuit: &Circuit,
    probes: &[Probe],
    nets: usize,
    settings: &Settings,
) -> Result<ColdStart, solver::Failure> {
    let source = circuit
        .netlist
        .elements
        .iter()
        .position(|element| matches!(element.model, Model::VoltageSource { .. }))
        .unwrap_or(0);
    let inrush = probes[nets..]
        .iter()
        .position(|probe| *probe == Probe::Current(source))
        .map_or(nets, |index| nets + index);
    solver::cold_start(
        &circuit.netlist,
        probes,
        inrush,
        &[],
        PERIODS,
        FALLBACK_PERIOD,
        settings,
    )
}
