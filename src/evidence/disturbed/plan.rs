//! Which situations each disturbance is solved in, and which disturbances are the same circuit.

use super::Same;
use crate::catalogue::{Kind, Property};
use crate::circuit::{Canonical, Circuit, Node, build};
use crate::design::{Connection, Design};
use crate::evidence::solve::solve_all;
use crate::evidence::{Evidence, Measure};
use crate::situations::disturbance::Disturbance;
use crate::situations::{Corner, Level, Parameter, Situation, State, parameters};
use crate::solver::{self, Settings};
use rayon::prelude::*;
use std::collections::{BTreeSet, HashMap};
use std::hash::{DefaultHasher, Hash, Hasher};

/// An instrument's input that a jack may meet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Feed {
    pub jack: String,
    pub index: usize,
    /// The contact that the instrument takes its signal from.
    pub signal: String,
}

impl Feed {
    /// Nodes of the signal and of the sleeve as the jack is wired; `None` when one is open.
    pub fn nodes(&self, design: &Design, circuit: &Circuit) -> Option<(Node, Node)> {
        circuit.contacts(design, &self.jack, &self.signal)
    }
}

/// What is solved of every disturbance.
pub(super) struct Plan {
    pub feeds: Vec<Feed>,
    /// The situations; the first is nominal.
    pub situations: Vec<Situation>,
    /// The healthy box's steady state in each, to start from.
    pub starts: Vec<Option<solver::State>>,
    /// Indices of situations by the digest of each.
    index: HashMap<u64, Vec<usize>>,
    /// The highest value of each of the layout's slots in the healthy box.
    pub highest: Vec<f64>,
    /// Nets whose resistance to ground the cold checks of a bring-up measure.
    pub cold: Vec<String>,
}

impl Plan {
    pub fn new(design: &Design, evidence: &Evidence, states: &[State]) -> Self {
        let feeds = feeds(design);
        let extremes: Vec<Parameter> = parameters(design)
            .into_iter()
            .filter(|parameter| drives_hard(design, parameter))
            .collect();
        let mut situations = Vec::new();
        for state in states {
            let mut corners = BTreeSet::from([Corner::nominal()]);
            for base in worst(design, evidence, &feeds, state) {
                let hard = extremes.iter().fold(base, |corner, parameter| {
                    corner.with(parameter.clone(), Level::High)
                });
                corners.insert(hard);
            }
            situations.extend(
                corners
                    .into_iter()
                    .map(|corner| Situation::new(state.clone(), corner)),
            );
        }
        let starts = solve_all(
            design,
            &evidence.layout,
            &situations,
            &[],
            None,
            &Settings::sweep(),
        )
        .into_iter()
        .map(|solved| solved.state)
        .collect();
        let mut index: HashMap<u64, Vec<usize>> = HashMap::new();
        for (at, situation) in situations.iter().enumerate() {
            index.entry(digest(situation)).or_default().push(at);
        }
        let mut highest = vec![f64::NEG_INFINITY; evidence.layout.len];
        for row in &evidence.rows {
            for (most, value) in highest.iter_mut().zip(row) {
                *most = most.max(*value);
            }
        }
        Self {
            feeds,
            situations,
            starts,
            index,
            highest,
            cold: measured(design),
        }
    }

    /// Where the healthy box's period starts in one of the situations.
    pub fn start(&self, situation: &Situation) -> Option<&solver::State> {
        let alike = self.index.get(&digest(situation))?;
        let at = alike
            .iter()
            .find(|at| self.situations[**at] == *situation)?;
        self.starts[*at].as_ref()
    }

    /// For each disturbance, the healthy box or the first other one with the very same circuit in
    /// every situation.
    pub fn same(&self, design: &Design, all: &[Disturbance]) -> Vec<Option<Same>> {
        let Some(first) = self.situations.first() else {
            return vec![None; all.len()];
        };
        let designs: Vec<Design> = all.par_iter().map(|one| one.apply(design)).collect();
        let nominal: Vec<Canonical> = designs
            .par_iter()
            .map(|disturbed| self.canonical(disturbed, first))
            .collect();
        let equal = |one: &Design, other: &Design| {
            self.situations
                .iter()
                .skip(1)
                .all(|s| self.canonical(one, s) == self.canonical(other, s))
        };
        let healthy = self.canonical(design, first);
        (0..all.len())
            .into_par_iter()
            .map(|index| {
                if nominal[index] == healthy && equal(&designs[index], design) {
                    return Some(Same::Healthy);
                }
                (0..index)
                    .find(|other| {
                        all[*other].only_plugged() == all[index].only_plugged()
                            && nominal[*other] == nominal[index]
                            && equal(&designs[*other], &designs[index])
                    })
                    .map(Same::Case)
            })
            .collect()
    }

    /// A circuit without its names, and with the ends of what has none in one order.
    fn canonical(&self, design: &Design, situation: &Situation) -> Canonical {
        let circuit = build(design, situation);
        let inputs = self
            .feeds
            .iter()
            .map(|feed| feed.nodes(design, &circuit))
            .collect();
        Canonical::new(design, circuit, inputs)
    }
}

/// The same for equal situations, and for hardly any others.
fn digest(situation: &Situation) -> u64 {
    let mut hasher = DefaultHasher::new();
    (&situation.state.words, &situation.corner).hash(&mut hasher);
    hasher.finish()
}

fn feeds(design: &Design) -> Vec<Feed> {
    let mut feeds = Vec::new();
    for (jack, connections) in &design.connections {
        for (index, connection) in connections.iter().enumerate() {
            if let Connection::Instrument {
                instrument, input, ..
            } = connection
                && let Some(input) = instrument.inputs.get(input)
            {
                feeds.push(Feed {
                    jack: jack.clone(),
                    index,
                    signal: input.signal.clone(),
                });
            }
        }
    }
    feeds
}

/// Does more of it mean more at the output whatever is broken: supplies, and lightly loading
/// inputs?
fn drives_hard(design: &Design, parameter: &Parameter) -> bool {
    match parameter {
        Parameter::Mains | Parameter::Charge(_) => true,
        Parameter::Device(_, figure) => figure == "input impedance" || figure == "supply voltage",
        Parameter::Figure(part, property) => {
            matches!(property, Property::OpenCircuit | Property::Output)
                && design.parts.get(part).is_some_and(|part| {
                    matches!(
                        part.kind,
                        Kind::AcAdaptor | Kind::DcAdaptor | Kind::Transformer
                    )
                })
        }
        _ => false,
    }
}

/// The corners in which the healthy outputs stand lowest and highest in a state; nominal for a box
/// that feeds no instrument.
fn worst(design: &Design, evidence: &Evidence, feeds: &[Feed], state: &State) -> Vec<Corner> {
    let mut corners = vec![];
    for feed in feeds {
        let net = design
            .parts
            .get(&feed.jack)
            .and_then(|part| part.net(&feed.signal));
        let Some(net) = net else { continue };
        let here = |situation: &Situation| situation.state == *state;
        if let Ok(low) = evidence.net(net, Measure::Minimum, here) {
            corners.push(evidence.situations[low.low_at].corner.clone());
        }
        if let Ok(high) = evidence.net(net, Measure::Maximum, here) {
            corners.push(evidence.situations[high.high_at].corner.clone());
        }
    }
    if corners.is_empty() {
        corners.push(Corner::nominal());
    }
    corners
}

/// Test points, regulators' inputs and outputs, and jacks' contacts.
fn measured(design: &Design) -> Vec<String> {
    let mut nets: Vec<String> = design.test_points.values().cloned().collect();
    for part in design.parts.values() {
        let wanted: &[&str] = match part.kind {
            Kind::Regulator | Kind::AdjustableRegulator => &["in", "out"],
            Kind::Jack | Kind::Plug => &["tip", "ring"],
            _ => &[],
        };
        nets.extend(
            wanted
                .iter()
                .filter_map(|terminal| part.net(terminal))
                .map(str::to_owned),
        );
    }
    nets.retain(|net| net != "gnd");
    nets.sort();
    nets.dedup();
    nets
}
