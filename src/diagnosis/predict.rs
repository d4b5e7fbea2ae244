//! What would be read: every draw of parts, mains and temperature solved in every
//! setting that was measured in.

use super::ohms::ohms;
use crate::circuit::{Circuit, Element, Model as Device, Netlist, build};
use crate::design::Design;
use crate::situations::{Corner, Situation, State};
use crate::solver::{self, Failure, Periodic, Probe, Settings};
use std::collections::BTreeMap;

/// What is asked of every hypothesis.
#[derive(Debug, Clone, Default)]
pub(super) struct Asked {
    /// Box on: settings of everything a person moves and plugs.
    pub settings: Vec<State>,
    /// Box off, nothing plugged in.
    pub cold: Vec<State>,
    /// Nets, against `gnd`.
    pub nets: Vec<String>,
    /// Jacks with the contact that is measured against the sleeve.
    pub jacks: Vec<(String, String)>,
    /// Nets whose resistance is measured.
    pub ohms: Vec<String>,
    /// Nets at which the meter's input resistance stands while voltages are read.
    pub loaded: Vec<String>,
    /// The meter's input resistance [Ω].
    pub input: f64,
}

/// What would be read.
#[derive(Debug, Clone, Default)]
pub(super) struct Prediction {
    /// Setting → draw → mean voltages of the nets, then of the jacks [V]; `None` without solution.
    pub volts: Vec<Vec<Option<Vec<f64>>>>,
    /// Cold setting → draw → both ends of the resistances of the nets [ln Ω].
    pub ohms: Vec<Vec<Vec<[f64; 2]>>>,
}

impl Prediction {
    /// The same with more draws of the voltages.
    pub fn with(mut self, more: Self) -> Self {
        for (known, more) in self.volts.iter_mut().zip(more.volts) {
            known.extend(more);
        }
        self
    }
}

/// Solves a box; its resistances only with `cold`.
pub(super) fn predict(
    design: &Design,
    asked: &Asked,
    draws: &[Corner],
    cold: bool,
    start: Option<&solver::State>,
) -> Prediction {
    let mut prediction = Prediction {
        volts: vec![Vec::new(); asked.settings.len()],
        ohms: Vec::new(),
    };
    // Settings of the same switches and plugs are wired alike and solved side by side.
    let mut groups: BTreeMap<_, Vec<usize>> = BTreeMap::new();
    for (index, state) in asked.settings.iter().enumerate() {
        groups
            .entry((&state.switches, &state.plugs))
            .or_default()
            .push(index);
    }
    for members in groups.into_values() {
        let states: Vec<&State> = members.iter().map(|m| &asked.settings[*m]).collect();
        let mut found = volts(design, asked, &states, draws, start).into_iter();
        for member in members {
            prediction.volts[member] = found.by_ref().take(draws.len()).collect();
        }
    }
    for state in asked.cold.iter().filter(|_| cold) {
        prediction.ohms.push(ohms(design, asked, state, draws));
    }
    prediction
}

/// The healthy box's steady state, to start the others from.
pub(super) fn start(design: &Design, state: &State) -> Option<solver::State> {
    let situation = Situation::new(state.clone(), Corner::nominal());
    let circuit = build(design, &situation);
    solver::periodic(&circuit.netlist, &[], None, &Settings::sweep())
        .ok()
        .map(|found| found.state)
}

fn volts(
    design: &Design,
    asked: &Asked,
    states: &[&State],
    draws: &[Corner],
    start: Option<&solver::State>,
) -> Vec<Option<Vec<f64>>> {
    let mut circuits = Vec::new();
    for state in states {
        for corner in draws {
            circuits.push(metered(design, asked, state, corner));
        }
    }
    let Some(first) = circuits.first() else {
        return Vec::new();
    };
    let node = |net: &String| first.nodes.get(net).copied();
    let nets = asked.nets.iter().map(|net| Some((node(net)?, 0)));
    let jacks = asked
        .jacks
        .iter()
        .map(|(jack, signal)| first.contacts(design, jack, signal));
    let places: Vec<_> = nets.chain(jacks).collect();
    let probes: Vec<Probe> = places
        .iter()
        .flatten()
        .map(|(plus, minus)| Probe::Voltage {
            plus: *plus,
            minus: *minus,
        })
        .collect();
    let netlists: Vec<Netlist> = circuits.iter().map(|c| c.netlist.clone()).collect();
    let read = |found: Result<Periodic, Failure>| {
        let found = found.ok()?;
        let mut means = found.probes.iter().map(|probe| probe.average);
        // An open contact shows nothing.
        let row = places
            .iter()
            .map(|place| place.and_then(|_| means.next()).unwrap_or(0.0));
        Some(row.collect())
    };
    sweep(&netlists, &probes, start)
        .into_iter()
        .map(read)
        .collect()
}

/// The circuit with the meter's input resistance wherever it is read.
fn metered(design: &Design, asked: &Asked, state: &State, corner: &Corner) -> Circuit {
    let situation = Situation::new(state.clone(), corner.clone());
    let mut circuit = build(design, &situation);
    let mut places: Vec<_> = asked
        .loaded
        .iter()
        .filter_map(|net| Some((circuit.nodes.get(net).copied()?, 0)))
        .collect();
    places.sort_unstable();
    places.dedup();
    for (index, (a, b)) in places.into_iter().filter(|(a, b)| a != b).enumerate() {
        circuit.netlist.elements.push(Element {
            name: format!("meter {index}"),
            model: Device::Resistor {
                a,
                b,
                resistance: asked.input,
            },
        });
    }
    circuit
}

fn sweep(
    netlists: &[Netlist],
    probes: &[Probe],
    start: Option<&solver::State>,
) -> Vec<Result<Periodic, Failure>> {
    let stores = |netlist: &Netlist| {
        let stores =
            |device: &Device| matches!(device, Device::Capacitor { .. } | Device::Inductor { .. });
        netlist.elements.iter().filter(|e| stores(&e.model)).count()
    };
    let settings = Settings::sweep();
    let fits = |state: &&solver::State| {
        netlists
            .first()
            .is_some_and(|netlist| state.storage.len() == stores(netlist))
    };
    let Some(first) = netlists.first() else {
        return Vec::new();
    };
    // The first from the healthy box's state, all others from the first's.
    let begun = solver::periodic(first, &[], start.filter(fits), &settings);
    let begun = begun.ok().map(|found| found.state);
    let starts = vec![begun; netlists.len()];
    solver::periodic_sweep(netlists, probes, &starts, &settings)
        .into_iter()
        .zip(netlists)
        .map(|(result, netlist)| match result {
            Err(Failure::TopologiesDiffer { .. }) => {
                solver::periodic(netlist, probes, None, &settings)
            }
            found => found,
        })
        .collect()
}
