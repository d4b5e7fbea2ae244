//! The worst corner of every quantity, by sensitivity.
//!
//! In one state, each parameter is moved alone to each end of its spread. The sign of what that
//! does to a quantity says at which end the parameter stands in the corner that makes the quantity
//! highest, and lowest. Every such corner is then solved for itself: the values in the table are
//! solutions, never linear predictions. This is extreme-value analysis; it holds where a quantity
//! moves one way with a parameter over its spread. Where both ends move it the same way the
//! extreme lies inside: a parabola through both ends and the nominal says where, and the corner
//! has the parameter stand there.

use crate::situations::{Corner, Level, Parameter};
use std::collections::BTreeSet;

/// A change below this share of a quantity's size is taken for no change …
const NEGLIGIBLE: f64 = 1e-6;
/// … and so is one below this share of what the strongest parameter does to the quantity: thirty
/// such together move the worst case by less than a tenth of that parameter's effect.
const MINOR: f64 = 3e-3;

/// How near its worst prediction a quantity's corner must be predicted, as a share of that change.
const CLOSE: f64 = 0.01;

/// What one parameter does, alone, to every slot.
#[derive(Debug, Clone)]
pub struct Effect {
    /// The parameter.
    pub parameter: Parameter,
    /// Values with it low.
    pub low: Vec<f64>,
    /// Values with it high.
    pub high: Vec<f64>,
}

/// The corners worth solving in a state, nominal and single moves to an end left out, from the
/// nominal values and the effects.
///
/// Many quantities share their worst corner, or nearly: of the candidates the fewest are taken
/// with which every quantity has a corner whose linear prediction lies within [`CLOSE`] of its own
/// worst prediction. Which corners are solved is so decided by prediction; what they give is not.
#[must_use]
pub fn worst_corners(nominal: &[f64], effects: &[Effect]) -> BTreeSet<Corner> {
    let mut candidates: BTreeSet<Corner> = BTreeSet::new();
    // For each quantity and direction: slot, sign, predicted worst change.
    let mut targets = Vec::new();
    for (slot, centre) in nominal.iter().enumerate() {
        if !centre.is_finite() {
            continue;
        }
        let moves = |effect: &Effect| (effect.low[slot] - centre, effect.high[slot] - centre);
        let strongest = effects
            .iter()
            .map(moves)
            .fold(0.0_f64, |strongest, (low, high)| {
                strongest.max(low.abs()).max(high.abs())
            });
        let negligible = (NEGLIGIBLE * (centre.abs() + 1e-6)).max(MINOR * strongest);
        let mut highest = Corner::nominal();
        let mut lowest = Corner::nominal();
        for effect in effects {
            let (low, high) = moves(effect);
            if !(low.abs() > negligible || high.abs() > negligible) {
                continue;
            }
            let (mut up, mut down) = if high >= low {
                (Level::High, Level::Low)
            } else {
                (Level::Low, Level::High)
            };
            if low * high > 0.0 {
                let inside = vertex(low, high);
                if low < 0.0 {
                    up = inside;
                } else {
                    down = inside;
                }
            }
            highest = highest.with(effect.parameter.clone(), up);
            lowest = lowest.with(effect.parameter.clone(), down);
        }
        for (corner, sign) in [(highest, 1.0), (lowest, -1.0)] {
            if corner.moved() > 1 || corner.between() {
                let worst = sign * predicted(&levels(&corner, effects), effects, slot, *centre);
                targets.push((slot, sign, worst));
                candidates.insert(corner);
            }
        }
    }
    fewest(nominal, effects, candidates, &targets)
}

/// Where a parabola through both ends and the nominal has its extreme, from the changes at both
/// ends, which have one sign: less than half of the way to an end.
fn vertex(low: f64, high: f64) -> Level {
    let (slope, bend) = (0.5 * (high - low), 0.5 * (high + low));
    let way = libm::round(-500.0 * slope / bend);
    if way == 0.0 || !way.is_finite() {
        return Level::Nominal;
    }
    #[allow(clippy::cast_possible_truncation, reason = "at most 500 either way")]
    Level::Between(way as i16)
}

/// Where each effect's parameter stands in a corner.
fn levels(corner: &Corner, effects: &[Effect]) -> Vec<Level> {
    effects
        .iter()
        .map(|effect| corner.level(&effect.parameter))
        .collect()
}

/// Change of a slot in a corner, from each parameter's own: at an end as solved, between by the
/// parabola.
fn predicted(levels: &[Level], effects: &[Effect], slot: usize, centre: f64) -> f64 {
    effects
        .iter()
        .zip(levels)
        .map(|(effect, level)| {
            let (to_low, to_high) = level.shares();
            to_low * (effect.low[slot] - centre) + to_high * (effect.high[slot] - centre)
        })
        .sum()
}

/// Greedy cover: again and again the candidate that serves most of the targets still open.
fn fewest(
    nominal: &[f64],
    effects: &[Effect],
    candidates: BTreeSet<Corner>,
    targets: &[(usize, f64, f64)],
) -> BTreeSet<Corner> {
    let serves: Vec<(Corner, Vec<bool>)> = candidates
        .into_iter()
        .map(|corner| {
            let levels = levels(&corner, effects);
            let row = targets
                .iter()
                .map(|(slot, sign, worst)| {
                    let change = sign * predicted(&levels, effects, *slot, nominal[*slot]);
                    change >= worst - CLOSE * worst.abs()
                })
                .collect();
            (corner, row)
        })
        .collect();
    let mut open = vec![true; targets.len()];
    let mut chosen = BTreeSet::new();
    while open.iter().any(|open| *open) {
        let gain = |row: &Vec<bool>| row.iter().zip(&open).filter(|(r, o)| **r && **o).count();
        // The first of equals, so that the choice does not depend on anything but the design.
        let mut best: Option<(usize, &Corner, &Vec<bool>)> = None;
        for (corner, row) in &serves {
            let gain = gain(row);
            if best.is_none_or(|(most, ..)| gain > most) {
                best = Some((gain, corner, row));
            }
        }
        let Some((gain, corner, row)) = best else {
            break;
        };
        if gain == 0 {
            break;
        }
        for (open, served) in open.iter_mut().zip(row) {
            *open &= !served;
        }
        chosen.insert(corner.clone());
    }
    chosen
}

#[cfg(test)]
mod tests {
    use super::{Effect, worst_corners};
    use crate::situations::{Corner, Level, Parameter};

    fn effect(name: &str, low: &[f64], high: &[f64]) -> Effect {
        let parameter = Parameter::Drop(name.into());
        Effect {
            parameter,
            low: low.to_vec(),
            high: high.to_vec(),
        }
    }

    /// One quantity that rises with A and falls with B; its opposite needs the mirrored corner.
    #[test]
    fn signs_decide_the_corner() {
        let effects = [effect("A", &[9.0], &[11.0]), effect("B", &[12.0], &[8.0])];
        let found = worst_corners(&[10.0], &effects);
        let corner = |a, b| {
            Corner::nominal()
                .with(Parameter::Drop("A".into()), a)
                .with(Parameter::Drop("B".into()), b)
        };
        assert!(found.contains(&corner(Level::High, Level::Low)));
        assert!(found.contains(&corner(Level::Low, Level::High)));
        assert_eq!(found.len(), 2);
    }

    /// `5 − (x − 0.2)²` over −1..1 is highest at a fifth of the way up.
    #[test]
    fn an_extreme_inside_is_found_where_it_lies() {
        let at = |x: f64| 5.0 - (x - 0.2) * (x - 0.2);
        let other = effect("B", &[at(0.0) - 1.0], &[at(0.0) + 1.0]);
        let inner = effect("A", &[at(-1.0)], &[at(1.0)]);
        let found = worst_corners(&[at(0.0)], &[inner, other]);
        let highest = Corner::nominal()
            .with(Parameter::Drop("A".into()), Level::Between(200))
            .with(Parameter::Drop("B".into()), Level::High);
        assert!(found.contains(&highest), "{found:?}");
    }
}
