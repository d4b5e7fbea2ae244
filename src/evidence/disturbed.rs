//! What each single fault and slip does at the outputs.
//!
//! Each is solved in every powered state in which an instrument is plugged in and on, and in the
//! same states unplugged, at nominal and at the two corners that were worst for that output when
//! healthy. What reaches the input is compared by the checks; what a meter would see of it
//! unplugged is kept for the bring-up.

use super::collect::solve;
use super::observe::Layout;
use super::{Evidence, Measure, sweeps};
use crate::design::Design;
use crate::situations::{Corner, Disturbance, Plugged, Situation, State, disturbances};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// What one disturbance does.
#[derive(Debug, Clone)]
pub struct Disturbed {
    /// What is wrong.
    pub disturbance: Disturbance,
    /// Reach of each output net with the instrument plugged in and on.
    pub outputs: BTreeMap<String, Reach>,
    /// Mean of each net, unplugged and nominal, in each state: (state in words, net) → volts.
    pub readings: BTreeMap<(String, String), f64>,
    /// Situations without a solution, and why.
    pub unsolved: Vec<String>,
}

/// How far an output goes.
#[derive(Debug, Clone, PartialEq)]
pub struct Reach {
    /// Lowest instant [V].
    pub low: f64,
    /// In which situation.
    pub low_at: String,
    /// Highest instant [V].
    pub high: f64,
    /// In which situation.
    pub high_at: String,
}

/// Fills [`Evidence::disturbed`].
pub(super) fn collect(design: &Design, states: &[State], evidence: &mut Evidence) {
    let outputs = sweeps::outputs(design);
    if outputs.is_empty() {
        return;
    }
    let jobs: Vec<(State, Vec<Corner>)> = states
        .iter()
        .filter(|state| state.powered && (state.device_on() || unplugged(state)))
        .map(|state| (state.clone(), binding_corners(evidence, state, &outputs)))
        .collect();
    let nets: Vec<String> = outputs.into_iter().map(|(_, net, _)| net).collect();
    let layout = &evidence.layout;
    let disturbed: Vec<Disturbed> = disturbances(design)
        .into_par_iter()
        .map(|disturbance| disturb(design, layout, disturbance, &jobs, &nets))
        .collect();
    evidence.counts.disturbances = disturbed.len();
    evidence.disturbed = disturbed;
}

fn unplugged(state: &State) -> bool {
    state.plugs.values().all(|plug| *plug == Plugged::Nothing)
}

/// Nominal and the corners in which the outputs stood lowest and highest in this state.
fn binding_corners(
    evidence: &Evidence,
    state: &State,
    outputs: &[(String, String, usize)],
) -> Vec<Corner> {
    let mut corners = BTreeSet::from([Corner::nominal()]);
    for (_, net, _) in outputs {
        for measure in [Measure::Minimum, Measure::Maximum] {
            if let Ok(extent) = evidence.net(net, measure, |s: &Situation| s.state == *state) {
                let at = if measure == Measure::Minimum {
                    extent.low_at
                } else {
                    extent.high_at
                };
                corners.insert(evidence.situations[at].corner.clone());
            }
        }
    }
    corners.into_iter().collect()
}

fn disturb(
    design: &Design,
    layout: &Layout,
    disturbance: Disturbance,
    jobs: &[(State, Vec<Corner>)],
    nets: &[String],
) -> Disturbed {
    let edited = disturbance.apply(design);
    let mut disturbed = Disturbed {
        disturbance,
        outputs: BTreeMap::new(),
        readings: BTreeMap::new(),
        unsolved: Vec::new(),
    };
    for (state, corners) in jobs {
        let mut start = None;
        for corner in corners {
            let situation = Situation {
                state: state.clone(),
                corner: corner.clone(),
            };
            let words = situation.describe();
            match solve(&edited, layout, situation, &mut start).answer {
                Ok(values) => {
                    if unplugged(state) && corner.is_nominal() {
                        for (net, slot) in layout.nets() {
                            let key = (state.words.clone(), net.to_owned());
                            disturbed.readings.insert(key, values[slot]);
                        }
                    }
                    if state.device_on() {
                        for net in nets {
                            disturbed.reach(layout, net, &values, &words);
                        }
                    }
                }
                Err(reason) => disturbed.unsolved.push(format!("{reason} ({words})")),
            }
        }
    }
    disturbed
}

impl Disturbed {
    fn reach(&mut self, layout: &Layout, net: &str, values: &[f64], situation: &str) {
        let slot = |measure| layout.net(net, measure).map(|slot| values[slot]);
        let (Some(low), Some(high)) = (slot(Measure::Minimum), slot(Measure::Maximum)) else {
            return;
        };
        let reach = self.outputs.entry(net.to_owned()).or_insert_with(|| Reach {
            low,
            low_at: situation.to_owned(),
            high,
            high_at: situation.to_owned(),
        });
        if low < reach.low {
            reach.low = low;
            situation.clone_into(&mut reach.low_at);
        }
        if high > reach.high {
            reach.high = high;
            situation.clone_into(&mut reach.high_at);
        }
    }
}
