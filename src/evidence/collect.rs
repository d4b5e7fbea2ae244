//! Solves every situation worth looking at and fills the table.

use super::binding;
use super::cold;
use super::observe::Layout;
use super::solve::{Solved, solve_state};
use super::{
    Counts, Evidence, Measure, Recording, SituationId, ascent, carlo, sweeps, thermal, transients,
    warm,
};
use crate::circuit::{Circuit, build};
use crate::design::Design;
use crate::situations::{Corner, Parameter, Situation, State, parameters, states};
use crate::solver::{self, Settings};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Collects the evidence of a design.
///
/// In each state: nominal, each parameter alone at each end, and the worst corner of every
/// quantity; from the worst of all, on to better ones. Then output against travel, source resistance, switch-on and switch-off, and the
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
    let nominal = Situation::new(
        states.first().cloned().unwrap_or_default(),
        Corner::nominal(),
    );
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
    let enclosure = design.conditions.enclosure.as_ref();
    if enclosure.and_then(thermal::box_resistance).is_none() {
        evidence.not_analysed.push(
            "What the parts' own heat does to the circuit: nothing is said of the enclosure that \
             their heat must leave, so every part was taken to be at room temperature"
                .into(),
        );
    }
    let solved = solved_states(design, &mut evidence, &parameters, &states);
    for one in solved.values().flatten() {
        evidence.add(one);
    }
    let too_hot = warm::too_hot(design, &evidence.layout, solved.values().flatten());
    if !too_hot.is_empty() {
        evidence.not_analysed.push(format!(
            "Warming up of the situations in which {} would be over {} °C by what just after \
             switch-on gives: no model holds there",
            too_hot.into_iter().collect::<Vec<_>>().join(", "),
            warm::BEYOND
        ));
    }
    carlo::collect(design, &mut evidence, &states, &solved);
    sweeps::curves(design, &states, &mut evidence);
    sweeps::junctions_over_room(design, &mut evidence);
    sweeps::source_resistances(design, &states, &mut evidence);
    if let Some(nominal) = states.first() {
        let nets = design.nets.iter().filter(|net| *net != "gnd");
        evidence.cold_resistances = cold::resistances(design, nominal, nets);
    }
    transients::collect(design, &states, &mut evidence);
    record(design, &mut evidence);
    evidence
}

/// Every state at nominal, those that matter in their corners, the worst of these climbed from.
fn solved_states(
    design: &Design,
    evidence: &mut Evidence,
    parameters: &[Parameter],
    states: &[State],
) -> BTreeMap<usize, Vec<Solved>> {
    let (mut binding, nominal) = binding::states(design, &evidence.layout, states);
    let mut solved: BTreeMap<usize, Vec<Solved>> = BTreeMap::new();
    let layout = &evidence.layout;
    let first = binding.first().copied().unwrap_or_default();
    solved.insert(
        first,
        solve_state(design, layout, parameters, &states[first], &[]),
    );
    loop {
        let like = &solved[&first];
        let more: Vec<(usize, Vec<Solved>)> = binding
            .par_iter()
            .filter(|index| !solved.contains_key(index))
            .map(|index| {
                let state = &states[*index];
                (*index, solve_state(design, layout, parameters, state, like))
            })
            .collect();
        solved.extend(more);
        let further = binding::reaching(states, &nominal, &solved);
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
            let like = &solved[&first];
            (index, solve_state(design, layout, &[], state, like))
        })
        .collect();
    solved.extend(rest);
    ascent::climb(design, &evidence.layout, parameters, states, &mut solved);
    solved
}

impl Evidence {
    pub(super) fn add(&mut self, solved: &Solved) -> SituationId {
        let id = self.situations.len();
        if let Some(account) = &solved.account {
            self.counts.iterations += account.iterations;
            self.accounts.insert(id, account.clone());
        }
        self.situations.push(solved.situation.clone());
        match &solved.answer {
            Ok(values) => {
                self.counts.solved += 1;
                self.rows.push(values.clone());
            }
            Err(reason) => {
                self.counts.unsolved += 1;
                self.rows.push(Vec::new());
                self.unsolved.push((id, reason.clone()));
            }
        }
        id
    }
}

impl Evidence {
    /// The number of a situation; one that is not in the table yet gets a row without values.
    pub(super) fn number(&mut self, situation: &Situation) -> SituationId {
        let known = self.find(situation);
        known.unwrap_or_else(|| {
            self.situations.push(situation.clone());
            self.rows.push(Vec::new());
            self.situations.len() - 1
        })
    }
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
    let recordings: Vec<Option<Recording>> = wanted
        .into_par_iter()
        .map(|(title, id)| {
            let circuit = build(design, &evidence.situations[id]);
            recording(design, &circuit, title, id)
        })
        .collect();
    evidence.recordings.extend(recordings.into_iter().flatten());
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
