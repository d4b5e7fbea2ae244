//! What may be the matter: the healthy box, and every single fault and slip, those with the same
//! circuit taken together.

use crate::circuit::{Canonical, build};
use crate::design::Design;
use crate::situations::disturbance::{Disturbance, disturbances};
use crate::situations::{Corner, Situation, State};
use rayon::prelude::*;

/// One explanation in words.
#[derive(Debug, Clone, PartialEq)]
pub enum Cause {
    /// Nothing is wrong.
    Healthy,
    /// A single fault or slip.
    Disturbed(Box<Disturbance>),
}

impl Cause {
    /// In words: `nothing is wrong`, `U1: in shorted to out`.
    #[must_use]
    pub fn describe(&self) -> String {
        match self {
            Self::Healthy => "nothing is wrong".to_owned(),
            Self::Disturbed(disturbance) => disturbance.describe(),
        }
    }
}

/// Explanations that make the same circuit wherever anything is measured.
#[derive(Debug, Clone)]
pub struct Hypothesis {
    /// The explanations, the heaviest first.
    pub causes: Vec<Cause>,
    /// Sum of their weights, of all hypotheses together 1.
    pub weight: f64,
    /// The box with it.
    pub(super) design: Design,
}

impl Hypothesis {
    /// Is the healthy box among its explanations?
    #[must_use]
    pub fn healthy(&self) -> bool {
        self.causes.contains(&Cause::Healthy)
    }
}

/// All hypotheses; the healthy box is the first. Before anything is measured it is taken for as
/// likely as everything else together (project choice); the others share the rest by their weights
/// in [`disturbance`](crate::situations::disturbance), which are from memory.
pub(super) fn hypotheses(
    design: &Design,
    settings: &[State],
    corner: &Corner,
    jacks: &[(String, String)],
) -> Vec<Hypothesis> {
    let all = disturbances(design);
    let designs: Vec<Design> = all.par_iter().map(|one| one.apply(design)).collect();
    let circuit = |design: &Design| -> Vec<Canonical> {
        settings
            .iter()
            .map(|state| wiring(design, state, corner, jacks))
            .collect()
    };
    let circuits: Vec<Vec<Canonical>> = designs.par_iter().map(circuit).collect();
    let mut found = vec![Hypothesis {
        causes: vec![Cause::Healthy],
        weight: all.iter().map(|one| one.weight).sum(),
        design: design.clone(),
    }];
    let mut known = vec![circuit(design)];
    for ((one, design), circuit) in all.into_iter().zip(designs).zip(circuits) {
        let weight = one.weight;
        let cause = Cause::Disturbed(Box::new(one));
        match known.iter().position(|other| *other == circuit) {
            Some(like) => {
                found[like].causes.push(cause);
                found[like].weight += weight;
            }
            None => {
                known.push(circuit);
                found.push(Hypothesis {
                    causes: vec![cause],
                    weight,
                    design,
                });
            }
        }
    }
    let weights: f64 = found.iter().map(|one| one.weight).sum();
    for one in &mut found {
        one.weight /= weights;
        one.causes
            .sort_by(|a, b| heaviness(b).total_cmp(&heaviness(a)));
    }
    found
}

fn heaviness(cause: &Cause) -> f64 {
    match cause {
        Cause::Healthy => f64::INFINITY,
        Cause::Disturbed(one) => one.weight,
    }
}

fn wiring(
    design: &Design,
    state: &State,
    corner: &Corner,
    jacks: &[(String, String)],
) -> Canonical {
    let situation = Situation::new(state.clone(), corner.clone());
    let circuit = build(design, &situation);
    let jacks = jacks
        .iter()
        .map(|(jack, signal)| circuit.contacts(design, jack, signal))
        .collect();
    Canonical::new(design, circuit, jacks)
}
