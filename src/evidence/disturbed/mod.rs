//! What comes of every single fault and slip: what reaches each instrument's input, which parts
//! are over-stressed, and what a meter would read during bring-up.
//!
//! Each disturbance is solved in every state of switches, controls, plugs and devices that it can
//! change, all nominal and in the two corners in which the healthy output stands lowest and
//! highest, there with every supply at its highest and every input at its lightest; where it comes
//! near what an input survives, also in the corner in which it comes nearest. What is
//! proved to be the same circuit is solved once. Whether anything found does harm is judged
//! elsewhere.

mod limits;
mod plan;
mod search;
mod solve;

use super::{Account, Evidence, SituationId, Stress};
use crate::design::Design;
use crate::situations::disturbance::{Disturbance, disturbances};
use crate::situations::{Situation, State, states};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Every single fault and slip, and what comes of it.
#[derive(Debug, Clone, Default)]
pub struct Disturbed {
    /// The situations that each is solved in, as far as it can change them.
    pub situations: Vec<Situation>,
    /// One for each disturbance, in their order.
    pub cases: Vec<Case>,
    /// How much was computed.
    pub counts: DisturbedCounts,
}

/// How much was computed of faults and slips.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct DisturbedCounts {
    /// Disturbances whose circuit is that of the healthy box.
    pub like_healthy: usize,
    /// Disturbances whose circuit is that of another one.
    pub like_another: usize,
    /// Situations solved.
    pub solved: usize,
    /// Situations proved to be the same circuit as another, or one without any source.
    pub proved: usize,
    /// Situations without a solution.
    pub unsolved: usize,
}

impl DisturbedCounts {
    /// Adds the situations of another count.
    fn add(&mut self, other: Self) {
        self.solved += other.solved;
        self.proved += other.proved;
        self.unsolved += other.unsolved;
    }
}

/// One disturbance and what comes of it.
#[derive(Debug, Clone)]
pub struct Case {
    /// What is wrong.
    pub disturbance: Disturbance,
    /// Its circuit is proved to be another's.
    pub same_as: Option<Same>,
    /// Why nothing can be said of it, or not everything.
    pub not_assessed: Option<String>,
    /// What reaches each instrument's input.
    pub reaches: Vec<Reach>,
    /// Parts beyond their absolute ratings that are not so in the healthy box.
    pub overstressed: Vec<Overstress>,
    /// Mean voltages with the box on and nothing plugged in.
    pub settings: Vec<Setting>,
    /// Resistance from nets to ground with everything off and unplugged [Ω].
    pub cold: BTreeMap<String, f64>,
    /// How it was solved; situations proved to be another's very circuit are left out.
    pub accounts: Vec<CaseAccount>,
}

/// How a disturbance was solved in one situation.
#[derive(Debug, Clone)]
pub struct CaseAccount {
    /// Index into [`Disturbed::situations`].
    pub situation: usize,
    /// The regulator taken to pass its input through as well, if any.
    pub after: Option<String>,
    /// How it was solved.
    pub account: Account,
}

/// Whose circuit a disturbance gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Same {
    /// The healthy box's.
    Healthy,
    /// That of an earlier case.
    Case(usize),
}

/// Lowest and highest instant at an instrument's input, its signal contact against its sleeve.
#[derive(Debug, Clone)]
pub struct Reach {
    /// The jack.
    pub jack: String,
    /// Index in the jack's connections.
    pub index: usize,
    /// Lowest [V].
    pub low: f64,
    /// Highest [V].
    pub high: f64,
    /// Situation of the lowest.
    pub low_in: Situation,
    /// Situation of the highest.
    pub high_in: Situation,
    /// A regulator driven beyond its input rating, here taken to have failed and to pass its input
    /// through: at the lowest and at the highest.
    pub after: [Option<String>; 2],
}

/// A part beyond its rating.
#[derive(Debug, Clone)]
pub struct Overstress {
    /// The part.
    pub part: String,
    /// What is too much.
    pub stress: Stress,
    /// How much, in the stress's unit.
    pub value: f64,
    /// The rating.
    pub limit: f64,
    /// Its situation.
    pub situation: Situation,
}

/// Mean voltages in one setting of switches and controls, box on, nothing plugged in.
#[derive(Debug, Clone)]
pub struct Setting {
    /// Its state.
    pub state: State,
    /// Net → lowest and highest mean against `gnd` over the corners solved [V].
    pub nets: BTreeMap<String, [f64; 2]>,
    /// Jack → the same of its signal contact against its sleeve, where both are wired [V].
    pub jacks: BTreeMap<String, [f64; 2]>,
}

/// Solves every disturbance and puts the result into the evidence.
pub fn collect_disturbed(design: &Design, evidence: &mut Evidence) {
    if !evidence.incomplete.is_empty() {
        return;
    }
    let (states, _) = states(design);
    let plan = plan::Plan::new(design, evidence, &states);
    let all = disturbances(design);
    let same = plan.same(design, &all);
    let found: Vec<(Case, DisturbedCounts)> = all
        .into_par_iter()
        .zip(same.par_iter())
        .map(|(disturbance, same)| match same {
            Some(same) => (blank(disturbance, Some(*same)), DisturbedCounts::default()),
            None => solve::case(design, evidence, &plan, disturbance),
        })
        .collect();
    let mut disturbed = Disturbed::default();
    let counts = &mut disturbed.counts;
    for (case, of) in found {
        counts.add(of);
        disturbed.cases.push(case);
    }
    for index in 0..disturbed.cases.len() {
        match disturbed.cases[index].same_as {
            Some(Same::Healthy) => counts.like_healthy += 1,
            Some(Same::Case(other)) => {
                counts.like_another += 1;
                let like = disturbed.cases[other].clone();
                let case = &mut disturbed.cases[index];
                *case = Case {
                    disturbance: case.disturbance.clone(),
                    same_as: case.same_as,
                    ..like
                };
            }
            None => {}
        }
    }
    disturbed.situations = plan.situations;
    evidence.disturbed = Some(disturbed);
}

fn blank(disturbance: Disturbance, same_as: Option<Same>) -> Case {
    Case {
        disturbance,
        same_as,
        not_assessed: None,
        reaches: Vec::new(),
        overstressed: Vec::new(),
        settings: Vec::new(),
        cold: BTreeMap::new(),
        accounts: Vec::new(),
    }
}

impl Evidence {
    /// The situation's number, where it is one of the healthy box that was solved.
    #[must_use]
    pub fn find(&self, situation: &Situation) -> Option<SituationId> {
        self.situations.iter().position(|other| other == situation)
    }
}
