//! Which states are worth taking to the corners.
//!
//! With many switches, controls and plugs most states bind nothing: no quantity stands at its
//! highest or lowest there. Every state is solved at nominal; those in which some quantity is
//! extreme at nominal are taken to the corners, and so are all in which nothing is plugged in,
//! since the bring-up measures there. A state that is extreme only in a corner, and not at nominal,
//! is missed; small designs are therefore taken to the corners in every state.

use super::Measure;
use super::collect::solve_corners;
use super::observe::Layout;
use super::sweeps::outputs;
use crate::design::Design;
use crate::situations::{Corner, Plugged, State};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// Up to this many states, all are taken to the corners.
const FEW: usize = 24;

/// Indices of the states to take to the corners.
pub(super) fn states(design: &Design, layout: &Layout, states: &[State]) -> BTreeSet<usize> {
    if states.len() <= FEW {
        return (0..states.len()).collect();
    }
    let rows: Vec<Vec<f64>> = states
        .par_iter()
        .map(|state| {
            let solved = solve_corners(design, layout, state, vec![Corner::nominal()]);
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
    binding
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
