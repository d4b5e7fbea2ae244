//! Solves situations of a design: one state with its corners, or any list.

use super::corners::{Effect, worst_corners};
use super::observe::{Layout, Observation};
use super::{Account, thermal, warm};
use crate::circuit::{Circuit, Netlist, build};
use crate::design::Design;
use crate::situations::{Corner, Level, Parameter, Situation, State};
use crate::solver::{self, Settings};
use rayon::prelude::*;

/// One situation's answer.
#[derive(Clone)]
pub(super) struct Solved {
    pub situation: Situation,
    /// Slot values, or why there are none.
    pub answer: Result<Vec<f64>, String>,
    /// How it was solved; none where it is another's very circuit, or has no solution.
    pub account: Option<Account>,
    /// Where its period starts, to start others from.
    pub state: Option<solver::State>,
}

/// Solves one state at nominal, with each parameter at each end, in its worst corners, and what of
/// these matters once more warmed up. Each starts from where the first order puts it: from nominal
/// by what the same move did in the state that is `like` it, a corner by what its moves did one by
/// one.
pub(super) fn solve_state(
    design: &Design,
    layout: &Layout,
    parameters: &[Parameter],
    state: &State,
    like: &[Solved],
) -> Vec<Solved> {
    let there = |index: usize| like.get(index).and_then(|solved| solved.state.as_ref());
    let mut all = solve_corners(
        design,
        layout,
        state,
        vec![(Corner::nominal(), there(0).cloned())],
        None,
    );
    let here = all[0].state.clone();
    let moved = parameters.iter().flat_map(|parameter| {
        [Level::Low, Level::High].map(|level| Corner::nominal().with(parameter.clone(), level))
    });
    let moved = moved.enumerate().map(|(index, corner)| {
        let change = there(index + 1)
            .zip(there(0))
            .map(|(to, from)| (1.0, to, from));
        let start = here.as_ref().map(|here| here.shifted(change));
        (corner, start)
    });
    let ends = solve_corners(design, layout, state, moved.collect(), all.first());
    all.extend(ends);
    let Ok(nominal) = &all[0].answer else {
        return all;
    };
    let mut effects = Vec::new();
    for (parameter, ends) in parameters.iter().zip(all[1..].chunks(2)) {
        if let [
            Solved {
                answer: Ok(low), ..
            },
            Solved {
                answer: Ok(high), ..
            },
        ] = ends
        {
            effects.push(Effect {
                parameter: parameter.clone(),
                low: low.clone(),
                high: high.clone(),
            });
        }
    }
    let moved: Vec<&Solved> = all[1..].iter().collect();
    let corners = worst_corners(nominal, &effects).into_iter().map(|corner| {
        let start = moved_start(&all[0], &moved, parameters, &corner);
        (corner, start)
    });
    let corners = solve_corners(design, layout, state, corners.collect(), all.first());
    all.extend(corners);
    let warmed = warm::up(design, layout, &all);
    all.extend(warmed);
    all
}

/// Where a corner's period starts, from nominal and from each parameter alone at its low and its
/// high end, in the parameters' order: what its moves did one by one.
pub(super) fn moved_start(
    nominal: &Solved,
    ends: &[&Solved],
    parameters: &[Parameter],
    corner: &Corner,
) -> Option<solver::State> {
    let here = nominal.state.as_ref()?;
    let changes = parameters
        .iter()
        .zip(ends.chunks(2))
        .filter_map(|(parameter, ends)| {
            let (low, high) = (ends[0].state.as_ref()?, ends.get(1)?.state.as_ref()?);
            let (to_low, to_high) = corner.level(parameter).shares();
            Some([(to_low, low, here), (to_high, high, here)])
        });
    Some(here.shifted(changes.flatten()))
}

/// Solves corners of one state side by side, each from its start if it has one; `nominal` is known.
pub(super) fn solve_corners(
    design: &Design,
    layout: &Layout,
    state: &State,
    corners: Vec<(Corner, Option<solver::State>)>,
    nominal: Option<&Solved>,
) -> Vec<Solved> {
    let (situations, starts): (Vec<Situation>, Vec<_>) = corners
        .into_iter()
        .map(|(corner, start)| {
            let state = state.clone();
            (Situation::new(state, corner), start)
        })
        .unzip();
    solve_all(
        design,
        layout,
        &situations,
        &starts,
        nominal,
        &Settings::sweep(),
    )
}

/// Solves situations, those of one wiring side by side, each from its start or else from the first
/// one's state. What turns out to be the very circuit of the one that is `known` is not solved
/// again.
pub(super) fn solve_all(
    design: &Design,
    layout: &Layout,
    situations: &[Situation],
    starts: &[Option<solver::State>],
    known: Option<&Solved>,
    settings: &Settings,
) -> Vec<Solved> {
    let circuits: Vec<Circuit> = situations
        .iter()
        .map(|situation| build(design, situation))
        .collect();
    let known = known.and_then(|known| {
        let values = known.answer.as_ref().ok()?;
        Some((
            build(design, &known.situation).netlist,
            values,
            &known.state,
        ))
    });
    let finish = |situation: Situation, mut values: Vec<f64>, account, state| {
        thermal::fill(design, layout, &situation, &mut values);
        Solved {
            situation,
            answer: Ok(values),
            account,
            state,
        }
    };
    let mut solved: Vec<Option<Solved>> = (0..situations.len()).map(|_| None).collect();
    let mut open = Vec::new();
    for (index, circuit) in circuits.iter().enumerate() {
        match &known {
            Some((netlist, values, state)) if *netlist == circuit.netlist => {
                let situation = situations[index].clone();
                solved[index] = Some(finish(situation, (*values).clone(), None, (*state).clone()));
            }
            _ => open.push(index),
        }
    }
    let start = |index: usize| starts.get(index).cloned().flatten();
    let sweep = |indices: &[usize], start: &(dyn Fn(usize) -> Option<solver::State> + Sync)| {
        let observation = Observation::new(design, layout, &circuits[indices[0]]);
        let netlists: Vec<Netlist> = indices
            .iter()
            .map(|index| circuits[*index].netlist.clone())
            .collect();
        let starts: Vec<_> = indices.iter().map(|index| start(*index)).collect();
        solver::periodic_sweep(&netlists, &observation.probes, &starts, settings)
            .into_iter()
            .zip(indices)
            .map(|(result, index)| {
                let own;
                let (result, observation) = match result {
                    Err(solver::Failure::TopologiesDiffer { .. }) => {
                        let netlist = &circuits[*index].netlist;
                        own = Observation::new(design, layout, &circuits[*index]);
                        let start = start(*index);
                        let found =
                            solver::periodic(netlist, &own.probes, start.as_ref(), settings);
                        (found, &own)
                    }
                    result => (result, &observation),
                };
                let situation = situations[*index].clone();
                let solved = match result {
                    Ok(found) => finish(
                        situation,
                        observation.values(&found.probes),
                        Some(Account::from(&found)),
                        Some(found.state),
                    ),
                    Err(failure) => Solved {
                        situation,
                        answer: Err(failure.to_string()),
                        account: None,
                        state: None,
                    },
                };
                (*index, solved)
            })
            .collect::<Vec<_>>()
    };
    // One without a start goes first, for the others to start from.
    let mut first = None;
    if let Some(at) = open.iter().position(|index| start(*index).is_none()) {
        for (index, found) in sweep(&[open.remove(at)], &start) {
            first.clone_from(&found.state);
            solved[index] = Some(found);
        }
    }
    let start = |index: usize| start(index).or_else(|| first.clone());
    let found: Vec<(usize, Solved)> = open
        .par_chunks(4 * solver::LANES)
        .flat_map_iter(|indices| sweep(indices, &start))
        .collect();
    for (index, found) in found {
        solved[index] = Some(found);
    }
    solved.into_iter().flatten().collect()
}
