//! From the corners that first order proposes, on to better ones.
//!
//! The corners of [`corners`](super::corners) are right where a quantity moves one way with each
//! parameter, whatever the others are. So from the lowest and the highest found of every quantity
//! that is judged, each parameter is moved alone once more; the moves that still help are made
//! together, and so on until none helps. What two parameters do only together stays unfound where
//! neither shows alone at the best corner either: boxes drawn at random are there to find it.

use super::observe::Layout;
use super::solve::{Solved, moved_start, solve_corners};
use super::{carlo, warm};
use crate::design::Design;
use crate::situations::{Corner, Level, Parameter, State};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// A move helps where it gains more than the solver may err, as a share of the value, and this [V]
/// or [K].
const HELPS: (f64, f64) = (2e-4, 1e-5);

/// One quantity on its way to an end.
struct Goal<'a> {
    slot: usize,
    sign: f64,
    /// Where it stands farthest out so far.
    at: Base<'a>,
}

/// A situation that parameters are moved from, of a state whose solutions are known.
#[derive(Clone)]
struct Base<'a> {
    at: Solved,
    /// Of the same state: nominal, then each parameter at each end.
    known: &'a [Solved],
}

/// What one base's moves gave.
struct Moved<'a> {
    base: Base<'a>,
    moves: Vec<(&'a Parameter, Level)>,
    alone: Vec<Solved>,
}

/// Adds to each state what goes farther than all that was solved, cold and warmed up.
pub(super) fn climb(
    design: &Design,
    layout: &Layout,
    parameters: &[Parameter],
    states: &[State],
    solved: &mut BTreeMap<usize, Vec<Solved>>,
) {
    let corners = better_corners(design, layout, parameters, states, solved);
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
            let known = &solved[&index];
            let corners: Vec<Corner> = corners.iter().cloned().collect();
            let base = Base {
                at: known[0].clone(),
                known,
            };
            let mut better = base.solve(design, layout, parameters, corners);
            let warmed = warm::up(design, layout, &better);
            better.extend(warmed);
            (index, better)
        })
        .collect();
    for (index, better) in further {
        solved.entry(index).or_default().extend(better);
    }
}

/// Every corner on the way to a better one, and those on it without a solution: they may be where
/// a value goes farther.
fn better_corners(
    design: &Design,
    layout: &Layout,
    parameters: &[Parameter],
    states: &[State],
    solved: &BTreeMap<usize, Vec<Solved>>,
) -> BTreeSet<Corner> {
    let mut corners = BTreeSet::new();
    let slots = carlo::judged(design, layout).into_iter();
    let mut goals: Vec<Goal> = slots
        .flat_map(|slot| [(slot, 1.0), (slot, -1.0)])
        .filter_map(|(slot, sign)| {
            let at = farthest(states, solved, slot, sign)?;
            Some(Goal { slot, sign, at })
        })
        .collect();
    // Every round gains, and there are so many corners and no more: this ends.
    while !goals.is_empty() {
        let mut bases: Vec<Base> = Vec::new();
        for goal in &goals {
            if bases
                .iter()
                .all(|base| base.at.situation != goal.at.at.situation)
            {
                bases.push(goal.at.clone());
            }
        }
        let moved: Vec<Moved> = bases
            .into_par_iter()
            .map(|base| base.moved(design, layout, parameters))
            .collect();
        let of = |goal: &Goal| {
            let here = |moved: &&Moved| moved.base.at.situation == goal.at.at.situation;
            moved.iter().find(here)
        };
        // What helps each goal, made together.
        let mut together: Vec<(&Base, BTreeSet<Corner>)> = moved
            .iter()
            .map(|moved| (&moved.base, BTreeSet::new()))
            .collect();
        for goal in &goals {
            let Some(moved) = of(goal) else { continue };
            if let (Some(corner), Some((_, corners))) = (
                goal.together(moved),
                together
                    .iter_mut()
                    .find(|(base, _)| base.at.situation == moved.base.at.situation),
            ) {
                corners.insert(corner);
            }
        }
        let together: Vec<Solved> = together
            .into_par_iter()
            .filter(|(_, corners)| !corners.is_empty())
            .flat_map_iter(|(base, corners)| {
                base.solve(design, layout, parameters, corners.into_iter().collect())
            })
            .collect();
        let all = || {
            together
                .iter()
                .chain(moved.iter().flat_map(|moved| &moved.alone))
        };
        let failed = all().filter(|one| one.answer.is_err());
        corners.extend(failed.map(|one| one.situation.corner.clone()));
        goals = goals
            .iter()
            .filter_map(|goal| goal.farther(of(goal)?, &together))
            .collect();
        corners.extend(goals.iter().map(|goal| goal.at.at.situation.corner.clone()));
    }
    corners
}

impl<'a> Base<'a> {
    /// Each parameter moved alone to where it does not stand.
    fn moved(self, design: &Design, layout: &Layout, parameters: &'a [Parameter]) -> Moved<'a> {
        let corner = &self.at.situation.corner;
        let moves: Vec<(&Parameter, Level)> = parameters
            .iter()
            .flat_map(|parameter| [Level::Low, Level::High].map(|level| (parameter, level)))
            .filter(|(parameter, level)| corner.level(parameter) != *level)
            .collect();
        let corners = moves
            .iter()
            .map(|(parameter, level)| corner.clone().with((*parameter).clone(), *level));
        let alone = self.solve(design, layout, parameters, corners.collect());
        Moved {
            base: self,
            moves,
            alone,
        }
    }

    /// Corners of this state, each from here by what its moves did one by one.
    fn solve(
        &self,
        design: &Design,
        layout: &Layout,
        parameters: &[Parameter],
        corners: Vec<Corner>,
    ) -> Vec<Solved> {
        let ends: Vec<&Solved> = self.known[1..].iter().take(2 * parameters.len()).collect();
        let foreseen = |corner: &Corner| moved_start(&self.known[0], &ends, parameters, corner);
        let here = foreseen(&self.at.situation.corner);
        let corners = corners.into_iter().map(|corner| {
            let change = foreseen(&corner);
            let change = change
                .as_ref()
                .zip(here.as_ref())
                .map(|(to, from)| (1.0, to, from));
            let start = self.at.state.as_ref().map(|state| state.shifted(change));
            (corner, start)
        });
        let state = &self.at.situation.state;
        solve_corners(design, layout, state, corners.collect(), None)
    }
}

impl<'a> Goal<'a> {
    /// How much farther out a situation lies than where this goal stands, where that is more than
    /// the solver may err.
    fn gain(&self, one: &Solved) -> Option<f64> {
        let (here, there) = (value(&self.at.at, self.slot)?, value(one, self.slot)?);
        let gain = self.sign * (there - here);
        (gain > HELPS.0 * here.abs() + HELPS.1).then_some(gain)
    }

    /// All moves that help, made at once.
    fn together(&self, moved: &Moved) -> Option<Corner> {
        let mut best: BTreeMap<&Parameter, (f64, Level)> = BTreeMap::new();
        for ((parameter, level), one) in moved.moves.iter().zip(&moved.alone) {
            let Some(gain) = self.gain(one) else { continue };
            if best.get(parameter).is_none_or(|(known, _)| gain > *known) {
                best.insert(parameter, (gain, *level));
            }
        }
        let from = moved.base.at.situation.corner.clone();
        (!best.is_empty()).then(|| {
            best.into_iter()
                .fold(from, |corner, (parameter, (_, level))| {
                    corner.with(parameter.clone(), level)
                })
        })
    }

    /// This goal where it stands farther out; `None` where nothing helps.
    fn farther(&self, moved: &Moved<'a>, together: &[Solved]) -> Option<Goal<'a>> {
        let state = &self.at.at.situation.state;
        let here = together.iter().filter(|one| one.situation.state == *state);
        let all = here.chain(&moved.alone);
        let gains = all.filter_map(|one| Some((self.gain(one)?, one)));
        let (_, best) = gains.max_by(|a, b| a.0.total_cmp(&b.0))?;
        let at = Base {
            at: best.clone(),
            known: self.at.known,
        };
        Some(Goal { at, ..*self })
    }
}

/// The situation, not warmed up, in which a slot is farthest out.
fn farthest<'a>(
    states: &[State],
    solved: &'a BTreeMap<usize, Vec<Solved>>,
    slot: usize,
    sign: f64,
) -> Option<Base<'a>> {
    let all = solved
        .iter()
        .filter(|(state, all)| states[**state].powered && all.len() > 1)
        .flat_map(|(_, all)| all.iter().map(move |one| (all, one)));
    let cold = all.filter(|(_, one)| one.situation.warmed.is_none());
    let valued = cold.filter_map(|(all, one)| Some((sign * value(one, slot)?, all, one)));
    let (_, known, at) = valued.max_by(|a, b| a.0.total_cmp(&b.0))?;
    let at = at.clone();
    Some(Base { at, known })
}

fn value(one: &Solved, slot: usize) -> Option<f64> {
    let value = one.answer.as_ref().ok()?[slot];
    value.is_finite().then_some(value)
}
