//! From the corners that first order proposes, on to better ones.
//!
//! The corners of [`corners`](super::corners) are right where a quantity moves one way with each
//! parameter, whatever the others are. So from the lowest and the highest found of every quantity
//! that is judged, each parameter is moved alone once more; the moves that still help are made
//! together, and so on until none helps. What two parameters do only together stays unfound where
//! neither shows alone at the best corner either: boxes drawn at random are there to find it.

use super::observe::Layout;
use super::solve::{Solved, solve_all};
use super::{carlo, warm};
use crate::design::Design;
use crate::situations::{Corner, Level, Parameter, Situation, State};
use crate::solver::{self, Settings};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// A move helps where it gains more than the solver may err, as a share of the value, and this [V]
/// or [K].
const HELPS: (f64, f64) = (2e-4, 1e-5);

/// Adds to each state what goes farther than all that was solved, cold and warmed up.
pub(super) fn climb(
    design: &Design,
    layout: &Layout,
    parameters: &[Parameter],
    states: &[State],
    solved: &mut BTreeMap<usize, Vec<Solved>>,
) {
    let slots = carlo::judged(design, layout);
    let goals: Vec<(usize, f64)> = slots
        .into_iter()
        .flat_map(|slot| [(slot, 1.0), (slot, -1.0)])
        .collect();
    let found: Vec<Vec<Solved>> = goals
        .into_par_iter()
        .filter_map(|(slot, sign)| {
            let best = farthest(states, solved, slot, sign)?;
            Some(from(design, layout, parameters, best, (slot, sign)))
        })
        .collect();
    let mut corners: BTreeSet<Corner> = BTreeSet::new();
    for one in found.into_iter().flatten() {
        corners.insert(one.situation.corner);
    }
    if corners.is_empty() {
        return;
    }
    // What is better in one state may be so in others.
    let taken: Vec<usize> = solved
        .iter()
        .filter(|(state, all)| states[**state].powered && all.len() > 1)
        .map(|(state, _)| *state)
        .collect();
    let further: Vec<(usize, Vec<Solved>)> = taken
        .into_par_iter()
        .map(|index| {
            let start = solved[&index][0].state.as_ref();
            let corners = corners.iter().cloned().collect();
            let mut better = solve(design, layout, &states[index], corners, start);
            let warmed = warm::up(design, layout, &better);
            better.extend(warmed);
            (index, better)
        })
        .collect();
    for (index, better) in further {
        solved.entry(index).or_default().extend(better);
    }
}

/// Corners of one state, all from one start.
fn solve(
    design: &Design,
    layout: &Layout,
    state: &State,
    corners: Vec<Corner>,
    start: Option<&solver::State>,
) -> Vec<Solved> {
    let situations: Vec<Situation> = corners
        .into_iter()
        .map(|corner| Situation::new(state.clone(), corner))
        .collect();
    let starts = vec![start.cloned(); situations.len()];
    solve_all(
        design,
        layout,
        &situations,
        &starts,
        None,
        &Settings::sweep(),
    )
}

/// The situation, not warmed up, in which a slot is farthest out.
fn farthest<'a>(
    states: &[State],
    solved: &'a BTreeMap<usize, Vec<Solved>>,
    slot: usize,
    sign: f64,
) -> Option<&'a Solved> {
    let all = solved
        .iter()
        .filter(|(state, all)| states[**state].powered && all.len() > 1)
        .flat_map(|(_, all)| all);
    all.filter(|one| one.situation.warmed.is_none())
        .filter(|one| value(one, slot).is_some())
        .max_by(|a, b| {
            let of = |one| sign * value(one, slot).unwrap_or(f64::NEG_INFINITY);
            of(a).total_cmp(&of(b))
        })
}

fn value(one: &Solved, slot: usize) -> Option<f64> {
    let value = one.answer.as_ref().ok()?[slot];
    value.is_finite().then_some(value)
}

/// Every corner on the way to a better one, and those on it without a solution.
fn from(
    design: &Design,
    layout: &Layout,
    parameters: &[Parameter],
    best: &Solved,
    (slot, sign): (usize, f64),
) -> Vec<Solved> {
    let state = &best.situation.state;
    let mut way: Vec<Solved> = Vec::new();
    // What has no solution is solved and told with the rest: it may be where the value goes farther.
    let mut failed: Vec<Solved> = Vec::new();
    // Every round gains, and there are so many corners and no more: this ends.
    loop {
        let at = way.last().unwrap_or(best);
        let Some(here) = value(at, slot) else { break };
        let (corner, start) = (at.situation.corner.clone(), at.state.clone());
        let moves: Vec<(&Parameter, Level)> = parameters
            .iter()
            .flat_map(|parameter| [Level::Low, Level::High].map(|level| (parameter, level)))
            .filter(|(parameter, level)| corner.level(parameter) != *level)
            .collect();
        let alone = moves
            .iter()
            .map(|(parameter, level)| corner.clone().with((*parameter).clone(), *level));
        let alone = solve(design, layout, state, alone.collect(), start.as_ref());
        let gain = |one: &Solved| value(one, slot).map(|value| sign * (value - here));
        let helps = |gain: f64| gain > HELPS.0 * here.abs() + HELPS.1;
        let mut together = corner.clone();
        let mut best_of: BTreeMap<&Parameter, f64> = BTreeMap::new();
        for ((parameter, level), one) in moves.iter().zip(&alone) {
            let Some(gain) = gain(one).filter(|gain| helps(*gain)) else {
                continue;
            };
            if best_of.get(parameter).is_none_or(|known| gain > *known) {
                best_of.insert(parameter, gain);
                together = together.with((*parameter).clone(), *level);
            }
        }
        let mut better = Vec::new();
        if !best_of.is_empty() {
            better = solve(design, layout, state, vec![together], start.as_ref());
        }
        better.extend(alone);
        let (unsolved, better): (Vec<_>, Vec<_>) =
            better.into_iter().partition(|one| one.answer.is_err());
        failed.extend(unsolved);
        let gains = |one: &Solved| gain(one).unwrap_or(f64::NEG_INFINITY);
        let farthest = better
            .into_iter()
            .max_by(|a, b| gains(a).total_cmp(&gains(b)));
        match farthest {
            Some(one) if helps(gains(&one)) => way.push(one),
            _ => break,
        }
    }
    way.extend(failed);
    way
}
