//! What is the matter with a built unit: the healthy box and every single fault and slip, ranked by
//! how well they explain its readings.
//!
//! The method. For each hypothesis the circuit is solved many times with random parts, mains and
//! temperature ([`draws`]), the same draws for each. Mean and covariance of what would be read, with
//! the meter's standard uncertainty (its limit of error / √3, JCGM 100) on top of the diagonal, make
//! a distribution of all readings together: what moves them together, above all the mains, is
//! so known to do it. Its density at the readings (Student's, for the finite number of draws) is the
//! likelihood; times the weight of the fault or slip, over the sum of all, it is the share. The
//! weights are those of the coverage, mode shares from memory and all slips of a part alike; the
//! healthy box weighs as much as all of them together. Resistances measured with the supply off are
//! compared one by one on a scale of decades, between what the circuit shows with its semiconductors
//! conducting and without them, since meters differ in what they put across a junction. Where
//! readings do not say how a control stood, its ends and middle are each tried.
//!
//! *Limits:* one thing wrong at a time, settled, fuses whole and parts not yet burnt; a meter's errors
//! are taken as independent from reading to reading; a fault that is no part of the list (a wrong
//! value fitted, a dry joint that is neither open nor whole) can only come out as *nothing fits*, or as
//! its nearest neighbour.

mod draws;
mod hypothesis;
mod model;
mod next;
mod normal;
mod ohms;
pub mod parts;
mod places;
mod predict;
mod rank;
mod taken;
pub mod units;

pub use draws::{Conditions, Numbers, level, uncertain};
pub use hypothesis::{Cause, Hypothesis};
pub use model::Model;
pub use next::{Next, SEPARATES};
pub use normal::Expectation;
pub use ohms::OPEN;
pub use rank::{FARTHEST, FARTHEST_TOGETHER, Reading};
pub use taken::{Taken, taken};

use crate::records::{Meter, Point};
use rank::{Scored, Sorted, causes, groups, rank};

/// Explanations that the readings cannot tell apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// The explanations, the likeliest circuit first.
    pub causes: Vec<Cause>,
    /// How many of them are the healthy circuit itself: slips that change nothing.
    pub without_effect: usize,
    /// Its share of all.
    pub share: f64,
    /// The reading that speaks most for it or against it.
    pub telling: Telling,
}

/// What one reading says of an explanation beside its strongest rival.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Telling {
    /// Index of the reading.
    pub reading: usize,
    /// What it should have been; of resistances the logarithm.
    pub expected: Expectation,
    /// How much likelier it makes the explanation than the rival, as a natural logarithm.
    pub weighs: f64,
}

/// How badly the best explanation does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Misfit {
    /// Index of the reading that is farthest off.
    pub reading: usize,
    /// What it should have been under the best explanation.
    pub expected: Expectation,
    /// How far off all voltages are together, root mean square in uncertainties.
    pub together: f64,
}

impl Misfit {
    /// So badly that nothing fits?
    #[must_use]
    pub fn nothing_fits(&self) -> bool {
        self.expected.off.abs() > FARTHEST || self.together > FARTHEST_TOGETHER
    }
}

/// The whole answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnosis {
    /// Likeliest first.
    pub groups: Vec<Group>,
    /// What the best explanation leaves.
    pub misfit: Misfit,
    /// What to measure next; `None` when one explanation alone is left, or nothing else can be
    /// measured.
    pub next: Option<Next>,
    /// Explanations compared with the readings.
    pub considered: usize,
    /// Those of which nothing could be computed: they are not ruled out.
    pub not_computed: Vec<Cause>,
    /// Indices of readings at places that the design does not have: they were not compared.
    pub unplaced: Vec<usize>,
}

impl Diagnosis {
    /// Is the healthy box in the likeliest group, and does it fit?
    #[must_use]
    pub fn healthy(&self) -> bool {
        !self.misfit.nothing_fits()
            && self
                .groups
                .first()
                .is_some_and(|group| group.causes.contains(&Cause::Healthy))
    }
}

/// Ranks everything by a unit's readings. `steps` are the places of its bring-up, `meter` what will
/// be measured with next; with `cold`, nothing is proposed that needs power.
///
/// `None` without readings, or when nothing at all could be computed.
#[must_use]
pub fn diagnose(
    model: &Model<'_>,
    readings: &[Reading],
    steps: &[Point],
    meter: &Meter,
    cold: bool,
) -> Option<Diagnosis> {
    let usable: Vec<Reading> = readings
        .iter()
        .filter(|reading| model.slot(&reading.point, 0).is_some())
        .cloned()
        .collect();
    if usable.is_empty() {
        return None;
    }
    let sorted = Sorted::new(&usable);
    let (scored, lost) = rank(model, &sorted);
    let grouped = groups(&scored);
    let first = scored.first()?;
    // The readings in the order in which they are compared, as places in the list given.
    let order: Vec<usize> = sorted
        .all()
        .filter_map(|reading| readings.iter().position(|other| other == reading))
        .collect();
    let alone = first.best.alone(&sorted);
    let farthest =
        (0..alone.len()).max_by(|a, b| alone[*a].off.abs().total_cmp(&alone[*b].off.abs()))?;
    let found = grouped
        .iter()
        .enumerate()
        .map(|(at, group)| Group {
            causes: causes(model, &scored, group),
            share: group.iter().map(|place| scored[*place].share).sum(),
            telling: telling(&scored, &grouped, at, &sorted, &order),
            without_effect: group
                .iter()
                .map(|place| model.hypothesis(scored[*place].index))
                .filter(|hypothesis| hypothesis.healthy())
                .map(|hypothesis| hypothesis.causes.len() - 1)
                .sum(),
        })
        .collect();
    Some(Diagnosis {
        groups: found,
        misfit: Misfit {
            reading: order[farthest],
            expected: alone[farthest],
            together: first.best.together(&sorted),
        },
        next: next::next(model, &scored, &usable, steps, meter, cold),
        considered: (0..model.len())
            .map(|index| model.hypothesis(index).causes.len())
            .sum(),
        not_computed: lost
            .iter()
            .flat_map(|index| model.hypothesis(*index).causes.clone())
            .collect(),
        unplaced: (0..readings.len())
            .filter(|index| !usable.contains(&readings[*index]))
            .collect(),
    })
}

/// The reading that makes the greatest difference between a group and its strongest rival.
fn telling(
    scored: &[Scored],
    groups: &[Vec<usize>],
    at: usize,
    sorted: &Sorted<'_>,
    order: &[usize],
) -> Telling {
    let own = &scored[groups[at][0]].best;
    let rival = groups
        .get(usize::from(at == 0))
        .filter(|_| groups.len() > 1);
    let ours = own.log_alone(sorted);
    let theirs = match rival {
        Some(rival) => scored[rival[0]].best.log_alone(sorted),
        None => vec![0.0; ours.len()],
    };
    let alone = own.alone(sorted);
    let weighs: Vec<f64> = ours.iter().zip(&theirs).map(|(a, b)| a - b).collect();
    let most = (0..weighs.len())
        .max_by(|a, b| weighs[*a].abs().total_cmp(&weighs[*b].abs()))
        .unwrap_or(0);
    Telling {
        reading: order[most],
        expected: alone[most],
        weighs: weighs[most],
    }
}
