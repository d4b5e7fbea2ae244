//! Solves every situation worth looking at and fills the table.

use super::binding;
use super::corners::{Effect, worst_corners};
use super::observe::{Layout, Observation};
use super::{Counts, Evidence, Measure, Recording, SituationId, sweeps, thermal, transients};
use crate::circuit::{Circuit, Netlist, build};
use crate::design::Design;
use crate::situations::{Corner, Level, Parameter, Situation, State, parameters, states};
use crate::solver::{self, Settings};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// One situation's answer.
pub(super) struct Solved {
    pub situation: Situation,
    /// Slot values, or why there are none.
    pub answer: Result<Vec<f64>, String>,
    pub iterations: usize,
}

/// Collects the evidence of a design.
///
/// In each state: nominal, each parameter alone at each end, and the worst corner of every
/// quantity. Then output against travel, source resistance, switch-on and switch-off, and the
/// waveforms worth drawing.
#[must_use]
pub fn collect(design: &Design) -> Evidence {
    let layout = Layout::new(design);
    let parameters = parameters(design);
    let (states, left_out) = states(design);
    let mut evidence = Evidence {
        layout,
        ..Evidence::default()
    };
    evidence.left_out = left_out;
    evidence.not_analysed.extend(evidence.left_out.clone());
    let nominal = Situation {
        state: states.first().cloned().unwrap_or_default(),
        corner: Corner::nominal(),
    };
    evidence.incomplete = build(design, &nominal).incomplete;
    evidence.counts = Counts {
        states: states.len(),
        parameters: parameters.len(),
        ..Counts::default()
    };
    if !evidence.incomplete.is_empty() {
        evidence.situations.push(nominal);
        evidence.rows.push(Vec::new());
        return evidence;
    }
    let (mut binding, nominal) = binding::states(design, &evidence.layout, &states);
    let mut solved: BTreeMap<usize, Vec<Solved>> = BTreeMap::new();
    loop {
        let more: Vec<(usize, Vec<Solved>)> = binding
            .par_iter()
            .filter(|index| !solved.contains_key(index))
            .map(|index| {
                let state = &states[*index];
                (
                    *index,
                    solve_state(design, &evidence.layout, &parameters, state),
                )
            })
            .collect();
        solved.extend(more);
        let further = binding::reaching(&states, &nominal, &solved);
        if further.is_empty() {
            break;
        }
        binding.extend(further);
    }
    if binding.len() < states.len() {
        evidence.not_analysed.push(format!(
            "{} of {} states were solved at nominal only: even with the widest spread found in \
             any other state, no quantity would stand at its highest or lowest there",
            states.len() - binding.len(),
            states.len()
        ));
    }
    let rest: Vec<(usize, Vec<Solved>)> = (0..states.len())
        .into_par_iter()
        .filter(|index| !binding.contains(index))
        .map(|index| {
            let state = &states[index];
            (index, solve_state(design, &evidence.layout, &[], state))
        })
        .collect();
    solved.extend(rest);
    for situations in solved.into_values() {
        for solved in situations {
            evidence.add(solved);
        }
    }
    sweeps::curves(design, &states, &mut evidence);
    sweeps::source_resistances(design, &states, &mut evidence);
    sweeps::cold_resistances(design, &states, &mut evidence);
    transients::collect(design, &states, &mut evidence);
    record(design, &mut evidence);
    evidence
}

impl Evidence {
    pub(super) fn add(&mut self, solved: Solved) -> SituationId {
        let id = self.situations.len();
        self.counts.iterations += solved.iterations;
        self.situations.push(solved.situation);
        match solved.answer {
            Ok(values) => {
                self.counts.solved += 1;
                self.rows.push(values);
            }
            Err(reason) => {
                self.counts.unsolved += 1;
                self.rows.push(Vec::new());
                self.unsolved.push((id, reason));
            }
        }
        id
    }
}

/// Solves one situation.
pub(super) fn solve(
    design: &Design,
    layout: &Layout,
    situation: Situation,
    start: &mut Option<solver::State>,
) -> Solved {
    let circuit = build(design, &situation);
    let observation = Observation::new(design, layout, &circuit);
    let settings = Settings::default();
    match solver::periodic(
        &circuit.netlist,
        &observation.probes,
        start.as_ref(),
        &settings,
    ) {
        Ok(periodic) => {
            let mut values = observation.values(&periodic.probes);
            thermal::fill(design, layout, &situation, &mut values);
            let iterations = periodic.iterations;
            start.get_or_insert(periodic.state);
            Solved {
                situation,
                answer: Ok(values),
                iterations,
            }
        }
        Err(failure) => Solved {
            situation,
            answer: Err(failure.to_string()),
            iterations: 0,
        },
    }
}

fn solve_state(
    design: &Design,
    layout: &Layout,
    parameters: &[Parameter],
    state: &State,
) -> Vec<Solved> {
    let moved = parameters.iter().flat_map(|parameter| {
        [Level::Low, Level::High].map(|level| Corner::nominal().with(parameter.clone(), level))
    });
    let corners: Vec<Corner> = std::iter::once(Corner::nominal()).chain(moved).collect();
    let mut all = solve_corners(design, layout, state, corners);
    if let Ok(nominal) = &all[0].answer {
        let effects: Vec<Effect> = parameters
            .iter()
            .zip(all[1..].chunks(2))
            .filter_map(|(parameter, ends)| match ends {
                [
                    Solved {
                        answer: Ok(low), ..
                    },
                    Solved {
                        answer: Ok(high), ..
                    },
                ] => Some(Effect {
                    parameter: parameter.clone(),
                    low: low.clone(),
                    high: high.clone(),
                }),
                _ => None,
            })
            .collect();
        let found = worst_corners(nominal, &effects);
        all.extend(solve_corners(
            design,
            layout,
            state,
            found.into_iter().collect(),
        ));
    }
    all
}

/// Solves the corners of one state side by side.
pub(super) fn solve_corners(
    design: &Design,
    layout: &Layout,
    state: &State,
    corners: Vec<Corner>,
) -> Vec<Solved> {
    let situations: Vec<Situation> = corners
        .into_iter()
        .map(|corner| Situation {
            state: state.clone(),
            corner,
        })
        .collect();
    solve_all(design, layout, situations)
}

/// Solves situations side by side; those whose wiring differs from the first one's by themselves.
pub(super) fn solve_all(
    design: &Design,
    layout: &Layout,
    situations: Vec<Situation>,
) -> Vec<Solved> {
    let circuits: Vec<Circuit> = situations
        .iter()
        .map(|situation| build(design, situation))
        .collect();
    let Some(first) = circuits.first() else {
        return Vec::new();
    };
    let observation = Observation::new(design, layout, first);
    let netlists: Vec<Netlist> = circuits
        .into_iter()
        .map(|circuit| circuit.netlist)
        .collect();
    solver::periodic_sweep(&netlists, &observation.probes, &[], &Settings::sweep())
        .into_iter()
        .zip(situations)
        .map(|(result, situation)| match result {
            Err(solver::Failure::TopologiesDiffer { .. }) => {
                solve(design, layout, situation, &mut None)
            }
            Ok(periodic) => {
                let mut values = observation.values(&periodic.probes);
                thermal::fill(design, layout, &situation, &mut values);
                Solved {
                    situation,
                    answer: Ok(values),
                    iterations: periodic.iterations,
                }
            }
            Err(failure) => Solved {
                situation,
                answer: Err(failure.to_string()),
                iterations: 0,
            },
        })
        .collect()
}

/// Waveforms of every net: nominal, and the situation with the lowest trough of each net that
/// feeds a regulator.
fn record(design: &Design, evidence: &mut Evidence) {
    let mut wanted = vec![("all nominal".to_owned(), 0)];
    for part in design.parts.values() {
        let Some(net) = part.net("in") else { continue };
        let Ok(mean) = evidence.net(net, Measure::Mean, crate::situations::powered) else {
            continue;
        };
        let measure = if mean.nominal < 0.0 {
            Measure::Maximum
        } else {
            Measure::Minimum
        };
        if let Ok(extent) = evidence.net(net, measure, crate::situations::powered) {
            let at = if mean.nominal < 0.0 {
                extent.high_at
            } else {
                extent.low_at
            };
            wanted.push((format!("lowest trough of {net}"), at));
        }
    }
    wanted.dedup_by(|a, b| a.1 == b.1);
    for (title, id) in wanted {
        let situation = &evidence.situations[id];
        let circuit = build(design, situation);
        if let Some(recording) = recording(design, &circuit, title, id) {
            evidence.recordings.push(recording);
        }
    }
}

fn recording(
    design: &Design,
    circuit: &Circuit,
    title: String,
    situation: SituationId,
) -> Option<Recording> {
    let nets: Vec<(&String, usize)> = design
        .nets
        .iter()
        .filter_map(|net| circuit.nodes.get(net).map(|node| (net, *node)))
        .collect();
    let probes: Vec<solver::Probe> = nets
        .iter()
        .map(|(_, node)| solver::Probe::Voltage {
            plus: *node,
            minus: 0,
        })
        .collect();
    let settings = Settings {
        waveform: true,
        ..Settings::default()
    };
    let waveform = solver::periodic(&circuit.netlist, &probes, None, &settings)
        .ok()?
        .waveform?;
    Some(Recording {
        title,
        situation,
        time: waveform.time,
        nets: nets
            .into_iter()
            .zip(waveform.probes)
            .map(|((net, _), values)| (net.clone(), values))
            .collect(),
    })
}
