//! Warming up: what the parts' own heat does to the circuit.
//!
//! Every situation is first solved as just after switch-on, each part at ambient. Those in which a
//! quantity stands at its lowest or highest are solved again with each part at the temperature
//! that its dissipation there gives it, again and again until the temperatures hold. Both are
//! kept: what a box does lies between its first second and its warmest hour. The cooling is the
//! poorest that the parts' figures allow, as in [`thermal`].
//!
//! Windings keep the resistance of their rated point, at which makers measure them warm.

use super::observe::Layout;
use super::solve::{Solved, solve_all};
use super::thermal;
use crate::circuit::ambient;
use crate::design::Design;
use crate::situations::{Situation, Temperatures};
use crate::solver::{self, Settings};
use std::collections::BTreeSet;

/// Temperatures hold when none moves by more than this [K]: a millivolt of a junction's drop.
const HELD: f64 = 0.5;
/// Parts no warmer than this above ambient leave the circuit as it was [K].
const COOL: f64 = 1.0;
/// A part as hot as this is beyond any model [°C]: what is so when first solved has failed its
/// checks already and is not followed further.
pub const BEYOND: f64 = 300.0;
/// Rounds after which temperatures are said not to settle.
const ROUNDS: usize = 15;
/// Steepest answer of a part to its own temperature that is followed [K/K].
const STEEPEST: f64 = -9.0;

/// A situation on its way to its settled temperatures.
struct Warming {
    situation: Situation,
    start: Option<solver::State>,
    /// What its parts are taken to be at.
    taken: Temperatures,
    /// What they were taken to be at before, and what their dissipation then gave.
    before: [Temperatures; 2],
}

/// The warm counterparts of those situations of one state that matter.
pub(super) fn up(design: &Design, layout: &Layout, cold: &[Solved]) -> Vec<Solved> {
    let mut warming: Vec<Warming> = extremes(cold)
        .into_iter()
        .filter_map(|index| Warming::begin(design, layout, &cold[index]))
        .collect();
    let mut settled = Vec::new();
    for round in 1..=ROUNDS {
        if warming.is_empty() {
            break;
        }
        let (situations, starts): (Vec<Situation>, Vec<_>) = warming
            .iter()
            .map(|one| (one.at_taken(), one.start.clone()))
            .unzip();
        let solved = solve_all(
            design,
            layout,
            &situations,
            &starts,
            None,
            &Settings::sweep(),
        );
        let mut open = Vec::new();
        for (mut one, mut solved) in warming.into_iter().zip(solved) {
            let given = match &solved.answer {
                Ok(values) => thermal::temperatures(design, layout, values),
                Err(_) => one.taken.clone(),
            };
            let (part, moved) = one.furthest(&given);
            if moved <= HELD {
                settled.push(solved);
            } else if round == ROUNDS || beyond(&given) {
                solved.answer = Err(format!(
                    "the temperatures do not settle: {part} would go {moved:.0} K further"
                ));
                settled.push(solved);
            } else {
                one.start = solved.state;
                one.follow(given);
                open.push(one);
            }
        }
        warming = open;
    }
    settled
}

/// Indices of the situations in which some value is lowest or highest.
fn extremes(solved: &[Solved]) -> BTreeSet<usize> {
    let rows: Vec<(usize, &Vec<f64>)> = solved
        .iter()
        .enumerate()
        .filter_map(|(index, one)| Some((index, one.answer.as_ref().ok()?)))
        .collect();
    let slots = rows.first().map_or(0, |(_, row)| row.len());
    let mut found = BTreeSet::new();
    for slot in 0..slots {
        let values = || {
            rows.iter()
                .map(|(index, row)| (row[slot], *index))
                .filter(|(value, _)| value.is_finite())
        };
        let lowest = values().min_by(|a, b| a.0.total_cmp(&b.0));
        let highest = values().max_by(|a, b| a.0.total_cmp(&b.0));
        // What does not vary has no extremes.
        if let (Some(lowest), Some(highest)) = (lowest, highest)
            && lowest.0 < highest.0
        {
            found.extend([lowest.1, highest.1]);
        }
    }
    // The nominal one stands for itself.
    found.extend(rows.first().map(|(index, _)| *index));
    found
}

/// The parts that are beyond any model when first solved: those situations are not warmed up.
pub(super) fn too_hot<'a>(
    design: &Design,
    layout: &Layout,
    solved: impl IntoIterator<Item = &'a Solved>,
) -> BTreeSet<String> {
    let cold = solved
        .into_iter()
        .filter(|one| one.situation.warmed.is_none())
        .filter_map(|one| one.answer.as_ref().ok());
    cold.flat_map(|values| thermal::temperatures(design, layout, values))
        .filter_map(|(part, at)| (at > BEYOND).then_some(part))
        .collect()
}

fn beyond(temperatures: &Temperatures) -> bool {
    temperatures.values().any(|at| *at > BEYOND)
}

impl Warming {
    /// `None` where nothing warms.
    fn begin(design: &Design, layout: &Layout, cold: &Solved) -> Option<Self> {
        let ambient = ambient(design, &cold.situation);
        let taken = thermal::temperatures(design, layout, cold.answer.as_ref().ok()?);
        let warms = taken.values().any(|at| *at > ambient + COOL);
        (warms && !beyond(&taken)).then(|| Self {
            situation: cold.situation.clone(),
            start: cold.state.clone(),
            before: [
                taken.keys().map(|part| (part.clone(), ambient)).collect(),
                taken.clone(),
            ],
            taken,
        })
    }

    fn at_taken(&self) -> Situation {
        Situation {
            warmed: Some(self.taken.clone()),
            ..self.situation.clone()
        }
    }

    /// The part that is furthest from what was taken, and by how much [K].
    fn furthest(&self, given: &Temperatures) -> (&str, f64) {
        let moves = self.taken.iter().map(|(part, taken)| {
            let given = given.get(part).copied().unwrap_or(*taken);
            (part.as_str(), (given - taken).abs())
        });
        moves
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap_or(("nothing", 0.0))
    }

    /// Takes the next temperatures: what was given, but a part that cools as it is taken to be
    /// warmer only goes as far as its last two rounds say that it will get (the secant method, part
    /// by part). A thermistor would otherwise swing ever wider.
    fn follow(&mut self, given: Temperatures) {
        let [taken_before, given_before] = &self.before;
        let next = given
            .iter()
            .map(|(part, given)| {
                let of = |all: &Temperatures| all.get(part).copied().unwrap_or(*given);
                let taken = of(&self.taken);
                let moved = taken - of(taken_before);
                // What moves little answers to other parts, not to itself.
                let slope = if moved.abs() > HELD {
                    ((given - of(given_before)) / moved).clamp(STEEPEST, 0.0)
                } else {
                    0.0
                };
                (part.clone(), taken + (given - taken) / (1.0 - slope))
            })
            .collect();
        self.before = [std::mem::replace(&mut self.taken, next), given];
    }
}

#[cfg(test)]
mod tests {
    use super::{HELD, Warming};
    use crate::situations::{Corner, Situation, State, Temperatures};

    /// Rounds until `given` holds, from what `given` says of 20 °C; `None` if it never does.
    fn rounds(given: impl Fn(f64) -> f64) -> Option<(usize, f64)> {
        let one = |at: f64| Temperatures::from([("R".to_owned(), at)]);
        let mut warming = Warming {
            situation: Situation::new(State::default(), Corner::nominal()),
            start: None,
            taken: one(given(20.0)),
            before: [one(20.0), one(given(20.0))],
        };
        for round in 1..=super::ROUNDS {
            let at = warming.taken["R"];
            let now = given(at);
            if (now - at).abs() <= HELD {
                return Some((round, at));
            }
            warming.follow(one(now));
        }
        None
    }

    /// A thermistor on a fixed current I: T = Ta + θ·I²·R25·exp(B·(1/T − 1/298.15)), whose plain
    /// repetition swings ever wider (its slope is −2.4 there), and which has one solution.
    #[test]
    fn a_thermistor_settles() {
        let given =
            |at: f64| 20.0 + 900.0 * libm::exp(3000.0 * (1.0 / (at + 273.15) - 1.0 / 298.15));
        let (_, at) = rounds(given).unwrap();
        let (mut low, mut high) = (20.0, 400.0);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if given(middle) > middle {
                low = middle;
            } else {
                high = middle;
            }
        }
        assert!((at - low).abs() < 0.3, "{at} against {low}");
    }

    /// Heat that grows faster with temperature than the cooling carries off never settles.
    #[test]
    fn a_runaway_does_not_settle() {
        assert_eq!(rounds(|at| 25.0 + 1.5 * (at - 15.0)), None);
    }
}
