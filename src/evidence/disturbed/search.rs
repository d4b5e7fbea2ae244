//! Where one thing wrong comes near what an input survives: the corner in which it comes nearest.
//!
//! A disturbance is solved in the corners in which the healthy output stands farthest out. What is
//! wrong may make the output depend on other parts, or the other way round. So where little is
//! left to the limit, each parameter is moved alone from the worst situation found, and the moves
//! that bring the output nearer are made together, and so on until none does. A corner on the way that
//! cannot be solved leaves the case not assessed.

use super::plan::Plan;
use super::solve::{Answer, Learned, answers, reach};
use super::{Case, DisturbedCounts};
use crate::design::{Connection, Design};
use crate::evidence::observe::Layout;
use crate::situations::{Corner, Level, Parameter, Situation, parameters};

/// Part of half of what an input survives that must be left for a reach to be far from the limit
/// (project choice: tolerances of 20 % move an output no farther).
const NEAR: f64 = 0.25;

/// An end of a reach that is near its limit.
struct End {
    /// Which of the plan's feeds.
    feed: usize,
    high: bool,
    value: f64,
    situation: Situation,
}

/// Looks for the worst corner of each reach that is near its limit, and widens it.
pub(super) fn widen(
    design: &Design,
    layout: &Layout,
    plan: &Plan,
    after: Option<&String>,
    learned: &[Learned],
    case: &mut Case,
    counts: &mut DisturbedCounts,
) {
    for mut end in near(design, plan, case, after) {
        let here = learned.iter().find(|(known, _)| *known == end.situation);
        let mut learned: Vec<Learned> = here.cloned().into_iter().collect();
        // Every round gains, and there are so many corners and no more: this ends.
        loop {
            let (tried, found) = round(design, layout, plan, &end, &mut learned, counts);
            let mut farther: Option<(f64, &Situation)> = None;
            for (situation, answer) in tried.iter().zip(&found) {
                match answer {
                    Answer::Found(_, inputs) => {
                        reach(plan, situation, Some(inputs), after, &mut case.reaches);
                    }
                    Answer::Failed(reason) => {
                        let line = format!("{reason} ({})", situation.describe());
                        case.not_assessed.get_or_insert(line);
                    }
                    Answer::AtRest => {}
                }
                if let Some(gain) = end.gain(answer).filter(|gain| helps(*gain, end.value))
                    && farther.is_none_or(|(best, _)| gain > best)
                {
                    farther = Some((gain, situation));
                }
            }
            let Some((gain, situation)) = farther else {
                break;
            };
            end.value += if end.high { gain } else { -gain };
            end.situation = situation.clone();
        }
    }
}

/// Whether a gain is more than the solver may err: a share of the value, and this [V].
fn helps(gain: f64, value: f64) -> bool {
    gain > 2e-4 * value.abs() + 1e-5
}

/// Each parameter moved alone from where an end was found, then all moves that help together.
fn round(
    design: &Design,
    layout: &Layout,
    plan: &Plan,
    end: &End,
    learned: &mut Vec<Learned>,
    counts: &mut DisturbedCounts,
) -> (Vec<Situation>, Vec<Answer>) {
    let base = &end.situation;
    // All start from here.
    if let Some(here) = learned.iter().position(|(known, _)| known == base) {
        learned.swap(0, here);
    }
    learned.truncate(1);
    let at = |corner: Corner| Situation::new(base.state.clone(), corner);
    let moves: Vec<(Parameter, Level)> = parameters(design)
        .into_iter()
        .flat_map(|parameter| [Level::Low, Level::High].map(|level| (parameter.clone(), level)))
        .filter(|(parameter, level)| base.corner.level(parameter) != *level)
        .collect();
    let mut tried: Vec<Situation> = moves
        .iter()
        .map(|(parameter, level)| at(base.corner.clone().with(parameter.clone(), *level)))
        .collect();
    let mut found = solved(design, layout, plan, &tried, learned, counts);
    let mut best: Vec<(Parameter, Level, f64)> = Vec::new();
    for ((parameter, level), answer) in moves.into_iter().zip(&found) {
        let Some(gain) = end.gain(answer).filter(|gain| *gain > 0.0) else {
            continue;
        };
        match best.iter_mut().find(|(known, ..)| *known == parameter) {
            Some(known) if known.2 >= gain => {}
            Some(known) => *known = (parameter, level, gain),
            None => best.push((parameter, level, gain)),
        }
    }
    if best.len() > 1 {
        let together = best
            .into_iter()
            .fold(base.corner.clone(), |corner, (parameter, level, _)| {
                corner.with(parameter, level)
            });
        let together = vec![at(together)];
        found.extend(solved(design, layout, plan, &together, learned, counts));
        tried.extend(together);
    }
    (tried, found)
}

impl End {
    /// How much nearer to the limit an answer lies.
    fn gain(&self, answer: &Answer) -> Option<f64> {
        let Answer::Found(_, inputs) = answer else {
            return None;
        };
        let input = inputs[self.feed]?;
        Some(if self.high {
            input.maximum - self.value
        } else {
            self.value - input.minimum
        })
    }
}

fn solved(
    design: &Design,
    layout: &Layout,
    plan: &Plan,
    situations: &[Situation],
    learned: &mut Vec<Learned>,
    counts: &mut DisturbedCounts,
) -> Vec<Answer> {
    let situations: Vec<&Situation> = situations.iter().collect();
    let (answers, more, _) = answers(design, layout, plan, &situations, learned);
    counts.add(more);
    answers
}

/// The ends, found with that regulator passing its input through, that lie inside what their
/// inputs survive and near it.
fn near(design: &Design, plan: &Plan, case: &Case, after: Option<&String>) -> Vec<End> {
    let mut ends = Vec::new();
    for reach in &case.reaches {
        let feed = plan
            .feeds
            .iter()
            .position(|feed| feed.jack == reach.jack && feed.index == reach.index);
        let survived =
            design
                .connections
                .get(&reach.jack)
                .and_then(|list| match list.get(reach.index)? {
                    Connection::Instrument {
                        instrument, input, ..
                    } => instrument.inputs.get(input)?.survived(),
                    Connection::Controller { .. } => None,
                });
        let (Some(feed), Some((floor, ceiling))) = (feed, survived) else {
            continue;
        };
        let margin = NEAR * 0.5 * (ceiling - floor);
        for (high, value, left, situation) in [
            (false, reach.low, reach.low - floor, &reach.low_in),
            (true, reach.high, ceiling - reach.high, &reach.high_in),
        ] {
            if reach.after[usize::from(high)].as_ref() == after && (0.0..margin).contains(&left) {
                ends.push(End {
                    feed,
                    high,
                    value,
                    situation: situation.clone(),
                });
            }
        }
    }
    ends
}
