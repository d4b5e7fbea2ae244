//! Which states are worth taking to the corners.
//!
//! With many switches, controls and plugs most states bind nothing: no quantity stands at its
//! highest or lowest there. Every state is solved at nominal; those in which some quantity is
//! extreme at nominal are taken to the corners, and so are all in which nothing is plugged in,
//! since the bring-up measures there. Then every other state is taken too in which some quantity
//! would pass the extreme found if it spread as widely as in any state solved so far, until there
//! is none. Small designs are taken to the corners in every state.

use super::Measure;
use super::observe::Layout;
use super::solve::{Solved, solve_corners};
use super::sweeps::outputs;
use crate::design::Design;
use crate::situations::{Corner, Plugged, State};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// Up to this many states, all are taken to the corners.
const FEW: usize = 24;

/// How far beyond the extreme found a state must promise to reach, as a share of the spread:
/// what the corners themselves are chosen to.
const CLOSE: f64 = 0.02;

/// Indices of the states to take to the corners first, and every state's values at nominal (none
/// where all states are taken).
pub(super) fn states(
    design: &Design,
    layout: &Layout,
    states: &[State],
) -> (BTreeSet<usize>, Vec<Vec<f64>>) {
    if states.len() <= FEW {
        return ((0..states.len()).collect(), Vec::new());
    }
    let rows: Vec<Vec<f64>> = states
        .par_iter()
        .map(|state| {
            let nominal = vec![(Corner::nominal(), None)];
            let solved = solve_corners(design, layout, state, nominal, None);
            solved
                .into_iter()
                .next()
                .and_then(|one| one.answer.ok())
                .unwrap_or_default()
        })
        .collect();
    let mut binding = BTreeSet::from([0]);
    let unplugged = |state: &State| state.plugs.values().all(|plug| *plug == Plugged::Nothing);
    binding.extend(
        (0..states.len()).filter(|index| states[*index].powered && unplugged(&states[*index])),
    );
    for powered in [true, false] {
        let group: Vec<usize> = (0..states.len())
            .filter(|index| states[*index].powered == powered)
            .collect();
        for slot in 0..layout.len {
            binding.extend(ends(&rows, &group, slot));
        }
    }
    // What a jack puts out is judged in each switch position and with each plug by itself.
    for (jack, net, _) in outputs(design) {
        let mut groups: BTreeMap<_, Vec<usize>> = BTreeMap::new();
        for (index, state) in states.iter().enumerate() {
            let key = (
                state.powered,
                state.switches.clone(),
                state.plugs.get(&jack).cloned(),
            );
            groups.entry(key).or_default().push(index);
        }
        for slot in [Measure::Minimum, Measure::Maximum]
            .into_iter()
            .filter_map(|measure| layout.net(&net, measure))
        {
            for group in groups.values() {
                binding.extend(ends(&rows, group, slot));
            }
        }
    }
    (binding, rows)
}

/// What a slot reaches in the states solved: lowest and highest value, and the widest spread below
/// and above nominal.
#[derive(Clone, Copy)]
struct Reached {
    low: f64,
    high: f64,
    below: f64,
    above: f64,
}

/// Indices of the states not yet taken to the corners in which some quantity would pass the extreme
/// found, if it spread as widely as in any state solved.
pub(super) fn reaching(
    states: &[State],
    nominal: &[Vec<f64>],
    solved: &BTreeMap<usize, Vec<Solved>>,
) -> BTreeSet<usize> {
    let mut found = BTreeSet::new();
    let slots = nominal.iter().map(Vec::len).max().unwrap_or(0);
    for powered in [true, false] {
        for slot in 0..slots {
            let mut reached: Option<Reached> = None;
            for (index, situations) in solved {
                if states[*index].powered == powered {
                    widen(&mut reached, situations, slot);
                }
            }
            let Some(Reached {
                low,
                high,
                below,
                above,
            }) = reached
            else {
                continue;
            };
            found.extend((0..states.len()).filter(|index| {
                let value = nominal[*index].get(slot).copied().unwrap_or(f64::NAN);
                states[*index].powered == powered
                    && !solved.contains_key(index)
                    && (value + above * (1.0 - CLOSE) > high + 1e-9
                        || value - below * (1.0 - CLOSE) < low - 1e-9)
            }));
        }
    }
    // What has no nominal solution can promise nothing, and is taken.
    found.extend((0..nominal.len()).filter(|i| nominal[*i].is_empty() && !solved.contains_key(i)));
    found
}

fn widen(reached: &mut Option<Reached>, situations: &[Solved], slot: usize) {
    let mut values = situations
        .iter()
        .filter_map(|one| one.answer.as_ref().ok()?.get(slot).copied())
        .filter(|value| value.is_finite());
    let Some(centre) = values.next() else { return };
    let (low, high) = values.fold((centre, centre), |(low, high), value| {
        (low.min(value), high.max(value))
    });
    let known = reached.get_or_insert(Reached {
        low,
        high,
        below: 0.0,
        above: 0.0,
    });
    *known = Reached {
        low: known.low.min(low),
        high: known.high.max(high),
        below: known.below.max(centre - low),
        above: known.above.max(high - centre),
    };
}

/// The members of a group in which a slot is lowest and highest.
fn ends(rows: &[Vec<f64>], group: &[usize], slot: usize) -> Vec<usize> {
    let value = |index: usize| {
        rows[index]
            .get(slot)
            .copied()
            .filter(|value| value.is_finite())
    };
    let finite = || {
        group
            .iter()
            .copied()
            .filter_map(|index| Some((value(index)?, index)))
    };
    let lowest = finite().min_by(|a, b| a.0.total_cmp(&b.0));
    let highest = finite().max_by(|a, b| a.0.total_cmp(&b.0));
    lowest
        .into_iter()
        .chain(highest)
        .map(|(_, index)| index)
        .collect()
}
