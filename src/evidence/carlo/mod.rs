//! Tolerance analysis by drawing boxes at random: what most of them will do, beside what the worst
//! possible one does.
//!
//! Every parameter is drawn by itself, independent of the others; each drawn box is solved as it
//! is, from where the parameters' single moves put its start. What a run finds beyond the extremes
//! of the corner search becomes evidence like any other: nothing a run has seen is left out of a
//! check.

mod random;
pub mod statistics;

use super::observe::Layout;
use super::solve::{Solved, moved_start, solve_all};
use super::{Evidence, Measure, SituationId, Stress};
use crate::catalogue::Kind;
use crate::design::{Design, Draws};
use crate::quantity::Spread;
use crate::situations::{Corner, Parameter, Situation, State, parameters};
use crate::solver::Settings;
use std::collections::BTreeMap;

/// A value beyond the extremes by more than this is more than the solver's own error, as a share of
/// the value and of the extremes' distance.
const BEYOND: (f64, f64) = (2e-4, 2e-3);
/// No less is counted as beyond: what a meter would not show [V] or [K].
const UNSEEN: f64 = 1e-3;

/// What is looked at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Quantity {
    /// Mean voltage of a net [V].
    Net(String),
    /// Junction temperature of a part [°C].
    Junction(String),
}

/// One quantity in one state.
#[derive(Debug, Clone)]
pub struct Spreading {
    /// The quantity.
    pub quantity: Quantity,
    /// The state, all nominal.
    pub state: SituationId,
    /// Its value, all nominal.
    pub nominal: f64,
    /// Lowest and highest of the corner search.
    pub extremes: (f64, f64),
    /// Standard deviation by first order, and whether the runs bear it out.
    pub first_order: (f64, bool),
    /// Each parameter's part of the variance by first order, the greatest first.
    pub shares: Vec<(Parameter, f64)>,
    /// The runs' values, sorted.
    pub values: Vec<f64>,
    /// Runs beyond the extremes.
    pub beyond: usize,
}

/// What the runs gave.
#[derive(Debug, Clone)]
pub struct Carlo {
    /// What was drawn.
    pub draws: Draws,
    /// How many quantities there are to look at.
    pub quantities: usize,
    /// Every quantity in the states in which it stands highest and lowest at nominal.
    pub spreads: Vec<Spreading>,
    /// Runs without a solution: what rests on the others is not assessed.
    pub unsolved: usize,
}

/// The quantities that are judged: what reaches the jacks, the regulators' outputs and junctions.
fn quantities(design: &Design) -> Vec<Quantity> {
    let mut found = Vec::new();
    let mut add = |quantity: Quantity| {
        if !found.contains(&quantity) {
            found.push(quantity);
        }
    };
    for (_, net, _) in super::outputs(design) {
        add(Quantity::Net(net));
    }
    let regulators = || {
        let of_kind = |kind| matches!(kind, Kind::Regulator | Kind::AdjustableRegulator);
        design.parts.values().filter(move |part| of_kind(part.kind))
    };
    for part in regulators() {
        if let Some(net) = part.net("out") {
            add(Quantity::Net(net.to_owned()));
        }
    }
    for part in regulators() {
        add(Quantity::Junction(part.reference.clone()));
    }
    found
}

/// The slots of the quantities that are judged.
pub(super) fn judged(design: &Design, layout: &Layout) -> Vec<usize> {
    let all = quantities(design).into_iter();
    all.filter_map(|quantity| quantity.slot(layout)).collect()
}

impl Quantity {
    fn slot(&self, layout: &Layout) -> Option<usize> {
        match self {
            Self::Net(net) => layout.net(net, Measure::Mean),
            Self::Junction(part) => layout.stress(part, Stress::Junction),
        }
    }
}

/// Draws the boxes and puts what they give into the evidence.
pub(super) fn collect(
    design: &Design,
    evidence: &mut Evidence,
    states: &[State],
    solved: &BTreeMap<usize, Vec<Solved>>,
) {
    let draws = design.draws;
    let parameters = parameters(design);
    if draws.runs == 0 || parameters.is_empty() {
        return;
    }
    let layout = evidence.layout.clone();
    let slots: Vec<(Quantity, usize)> = quantities(design)
        .into_iter()
        .filter_map(|quantity| Some((quantity.clone(), quantity.slot(&layout)?)))
        .collect();
    let mut carlo = Carlo {
        draws,
        quantities: slots.len(),
        spreads: Vec::new(),
        unsolved: 0,
    };
    for (at, wanted) in chosen(states, solved, &slots) {
        let cold: Vec<&Solved> = solved[&at]
            .iter()
            .filter(|one| one.situation.warmed.is_none())
            .collect();
        // Nominal, then each parameter at both ends, in their order.
        let moves = cold
            .split_first()
            .and_then(|(nominal, moved)| Some((*nominal, moved.get(..2 * parameters.len())?)));
        let Some((nominal, ends)) = moves else {
            carlo.unsolved += draws.runs;
            continue;
        };
        let here: Vec<&(Quantity, usize)> = slots
            .iter()
            .filter(|(quantity, _)| wanted.contains(quantity))
            .collect();
        let reaches: Vec<(f64, f64)> = (0..layout.len).map(|slot| reach(&cold, slot)).collect();
        let mut samples: Vec<Vec<f64>> = vec![Vec::with_capacity(draws.runs); here.len()];
        for from in (0..draws.runs).step_by(STRETCH) {
            let runs = from..draws.runs.min(from + STRETCH);
            let origin = (nominal, ends);
            for run in draw(design, &layout, &parameters, &states[at], origin, runs) {
                let Ok(row) = &run.answer else {
                    carlo.unsolved += 1;
                    continue;
                };
                for (sample, (_, slot)) in samples.iter_mut().zip(&here) {
                    sample.push(row[*slot]);
                }
                // What goes beyond the corners in anything is evidence of its own.
                if beyond(row, &reaches) {
                    evidence.add(&run);
                }
            }
        }
        for ((quantity, slot), sample) in here.into_iter().zip(samples) {
            let of = (quantity, *slot);
            let spreading = spreading(evidence, &cold, ends, &parameters, of, sample);
            carlo.spreads.extend(spreading);
        }
    }
    evidence.carlo = Some(carlo);
}

/// Boxes drawn at a time: so many are held in memory.
const STRETCH: usize = 1024;

/// How near a state's value must be to the farthest to stand for it.
const NEAR: f64 = 0.02;

/// The states in which some quantity is highest or lowest with everything nominal, each with the
/// quantities that are so there.
fn chosen(
    states: &[State],
    solved: &BTreeMap<usize, Vec<Solved>>,
    slots: &[(Quantity, usize)],
) -> BTreeMap<usize, Vec<Quantity>> {
    let mut chosen: BTreeMap<usize, Vec<Quantity>> = BTreeMap::new();
    for (quantity, slot) in slots {
        let values = || {
            solved.iter().filter_map(|(at, all)| {
                // Corners were searched there, and the box is on.
                let value = all.first()?.answer.as_ref().ok()?[*slot];
                (all.len() > 1 && states[*at].powered && value.is_finite()).then_some((value, *at))
            })
        };
        let lowest = values().min_by(|a, b| a.0.total_cmp(&b.0));
        let highest = values().max_by(|a, b| a.0.total_cmp(&b.0));
        for (value, at) in lowest.into_iter().chain(highest) {
            // A state that is drawn already and as good as the farthest one serves as well.
            let near = |other: f64| (other - value).abs() <= NEAR * value.abs();
            let drawn = values().find(|(other, at)| chosen.contains_key(at) && near(*other));
            let at = drawn.map_or(at, |(_, at)| at);
            let wanted = chosen.entry(at).or_default();
            if !wanted.contains(quantity) {
                wanted.push(quantity.clone());
            }
        }
    }
    chosen
}

/// Some of the runs of one state.
fn draw(
    design: &Design,
    layout: &Layout,
    parameters: &[Parameter],
    state: &State,
    (nominal, ends): (&Solved, &[&Solved]),
    runs: std::ops::Range<usize>,
) -> Vec<Solved> {
    let seed = design.draws.seed;
    let spreads: Vec<Option<Spread>> = parameters
        .iter()
        .map(|parameter| parameter.spread(design))
        .collect();
    let corners = runs.map(|run| {
        let each = parameters.iter().zip(&spreads).enumerate();
        each.fold(Corner::nominal(), |corner, (at, (parameter, spread))| {
            let index = (run * parameters.len() + at) as u64;
            let level = random::level(seed, index, parameter, *spread);
            corner.with(parameter.clone(), level)
        })
    });
    let (situations, starts): (Vec<Situation>, Vec<_>) = corners
        .map(|corner| {
            let start = moved_start(nominal, ends, parameters, &corner);
            (Situation::new(state.clone(), corner), start)
        })
        .unzip();
    solve_all(
        design,
        layout,
        &situations,
        &starts,
        None,
        &Settings::drawn(),
    )
}

fn spreading(
    evidence: &Evidence,
    cold: &[&Solved],
    ends: &[&Solved],
    parameters: &[Parameter],
    (quantity, slot): (&Quantity, usize),
    mut values: Vec<f64>,
) -> Option<Spreading> {
    let value = |one: &Solved| Some(one.answer.as_ref().ok()?[slot]);
    let nominal = value(cold.first()?)?;
    values.sort_by(f64::total_cmp);
    if values.is_empty() || !nominal.is_finite() {
        return None;
    }
    let extremes = reach(cold, slot);
    let slack = slack(extremes) + UNSEEN;
    let beyond = |v: &&f64| **v < extremes.0 - slack || **v > extremes.1 + slack;
    // Rectangular: a third of the half-width's square; of the three fits, a half.
    let mut variances: Vec<(Parameter, f64)> = parameters
        .iter()
        .zip(ends.chunks(2))
        .filter_map(|(parameter, ends)| {
            let half = 0.5 * (value(ends[1])? - value(ends[0])?);
            let part = if matches!(parameter, Parameter::Drop(_)) {
                0.5
            } else {
                1.0 / 3.0
            };
            Some((parameter.clone(), part * half * half))
        })
        .collect();
    let variance: f64 = variances.iter().map(|(_, variance)| variance).sum();
    variances.sort_by(|a, b| b.1.total_cmp(&a.1));
    let deviation = variance.sqrt();
    let (_, seen) = statistics::moments(&values);
    let state = evidence.find(&cold.first()?.situation)?;
    Some(Spreading {
        quantity: quantity.clone(),
        state,
        nominal,
        extremes,
        first_order: (deviation, (deviation - seen).abs() <= AGREES * seen),
        shares: variances
            .into_iter()
            .filter(|(_, part)| *part > 0.0)
            .map(|(parameter, part)| (parameter, part / variance))
            .collect(),
        beyond: values.iter().filter(beyond).count(),
        values,
    })
}

/// How near the standard deviation by first order must come to that of the runs: a few hundred
/// runs know theirs to about five per cent.
const AGREES: f64 = 0.15;

/// Lowest and highest value of a slot over the situations of the corner search.
fn reach(cold: &[&Solved], slot: usize) -> (f64, f64) {
    let values = cold
        .iter()
        .filter_map(|one| Some(one.answer.as_ref().ok()?[slot]));
    values
        .filter(|value| value.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
            (low.min(value), high.max(value))
        })
}

fn slack((low, high): (f64, f64)) -> f64 {
    BEYOND.0 * low.abs().max(high.abs()) + BEYOND.1 * (high - low)
}

/// Does any value of a run lie beyond what the corner search reached?
fn beyond(row: &[f64], reaches: &[(f64, f64)]) -> bool {
    row.iter().zip(reaches).any(|(value, (low, high))| {
        let slack = slack((*low, *high)).max(1e-6);
        *value < low - slack || *value > high + slack
    })
}
