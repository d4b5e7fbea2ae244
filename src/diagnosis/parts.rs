//! What the readings of a healthy unit say of its parts, and how far they lie off the prediction.
//!
//! Near the middle of their spreads the readings follow the parts in proportion: each parameter is
//! solved alone at either end of its spread, all others in the middle. Before anything is read a
//! parameter lies anywhere in its spread (standard deviation: half of it / √3, JCGM 100, 4.3.7); the
//! readings, with the meter's uncertainty, then leave it a narrower interval (linear Bayesian
//! estimation, the update of the Kalman filter; textbook). *Limits:* one linear step, capacitors and
//! junctions far from linear are told little of; a source's resistance is taken as known to ± 50 %
//! beforehand (project choice).

use super::draws::{Conditions, level, standing, uncertain};
use super::normal::{cholesky, solve_lower};
use super::places::Places;
use super::predict::{Prediction, predict, start};
use super::rank::Reading;
use super::taken::Taken;
use crate::catalogue::{Kind, Property};
use crate::design::{Design, Part};
use crate::quantity::{Spread, Unit};
use crate::records::Point;
use crate::situations::{Corner, Level, Parameter, states};

/// Standard deviation of a parameter that lies anywhere between −1 and 1.
const EVENLY: f64 = 0.577_350_269_189_625_8;
/// How far a source's resistance may lie off what its rated point gives, as a share.
const SOURCE: f64 = 0.5;
/// An estimate is worth printing when the readings leave at most this share of what was uncertain.
const NARROWED: f64 = 0.7;
/// Readings that lie farther off the healthy box than this, root mean square in uncertainties, say
/// nothing of its parts.
pub const NOT_HEALTHY: f64 = 2.0;

/// What the readings say of one figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// The part.
    pub part: String,
    /// The figure, in words.
    pub what: String,
    /// Its unit.
    pub unit: Unit,
    /// What the design allows.
    pub allowed: [f64; 2],
    /// The estimate.
    pub is: f64,
    /// Its interval, k = 2, within what the design allows.
    pub interval: [f64; 2],
}

/// One place beside its prediction.
#[derive(Debug, Clone, PartialEq)]
pub struct Residual {
    /// Where and how.
    pub point: Point,
    /// Reading less prediction under the conditions noted, all parts in the middle of their spreads.
    pub off: f64,
    /// Standard uncertainty of the reading.
    pub meter: f64,
    /// Standard deviation of what parts and conditions leave open.
    pub parts: f64,
}

/// What the readings of a unit say.
#[derive(Debug, Clone, PartialEq)]
pub struct Learnt {
    /// What they narrow down.
    pub estimates: Vec<Estimate>,
    /// Each voltage beside its prediction.
    pub residuals: Vec<Residual>,
    /// Root mean square of the readings off the healthy box, in uncertainties, correlations counted.
    pub away: f64,
    /// Were the mains noted, or are there none?
    pub mains_known: bool,
}

impl Learnt {
    /// Do the readings fit a healthy box?
    #[must_use]
    pub fn fits(&self) -> bool {
        self.away <= NOT_HEALTHY
    }
}

/// What is moved.
enum Knob {
    /// A parameter of the corners.
    Parameter(Parameter),
    /// The resistance of an adaptor or transformer, by its rated current.
    Source(String),
}

/// What a unit's readings say; `None` without a voltage that was predicted.
#[must_use]
pub fn learn(design: &Design, taken: &Taken) -> Option<Learnt> {
    let readings: Vec<&Reading> = taken
        .readings
        .iter()
        .filter(|reading| reading.point.unit == Unit::Volt && !reading.point.plugged)
        .collect();
    let knobs = knobs(design);
    let Slopes {
        kept,
        centre,
        effects,
    } = slopes(design, &readings, &knobs, &taken.conditions)?;
    let kept: Vec<&Reading> = kept.iter().map(|at| readings[*at]).collect();
    let off: Vec<f64> = kept.iter().zip(&centre).map(|(r, c)| r.reads - c).collect();
    let meter: Vec<f64> = kept.iter().map(|reading| reading.standard()).collect();
    let found = update(&effects, &off, &meter)?;
    let residuals = kept.iter().enumerate().map(|(row, reading)| Residual {
        point: reading.point.clone(),
        off: off[row],
        meter: meter[row],
        parts: found.spread[row],
    });
    Some(Learnt {
        residuals: residuals.collect(),
        estimates: knobs
            .iter()
            .zip(&found.knobs)
            .filter_map(|(knob, found)| estimate(design, knob, *found))
            .collect(),
        away: found.away,
        mains_known: design.conditions.mains.is_none() || taken.conditions.mains.is_some(),
    })
}

/// How the readings depend on the knobs.
struct Slopes {
    /// Readings of which something can be said, as indices.
    kept: Vec<usize>,
    /// What they read with everything in the middle.
    centre: Vec<f64>,
    /// For each knob, by how much half its spread moves them.
    effects: Vec<Vec<f64>>,
}

fn slopes(
    design: &Design,
    readings: &[&Reading],
    knobs: &[Knob],
    conditions: &Conditions,
) -> Option<Slopes> {
    let points: Vec<&Point> = readings.iter().map(|reading| &reading.point).collect();
    let asked: Vec<Point> = points.iter().map(|point| (*point).clone()).collect();
    let places = Places::new(design, &asked, readings.last()?.meter.input, 0);
    let nominal = states(design).0.into_iter().next()?;
    let begin = places
        .asked
        .settings
        .first()
        .and_then(|state| start(design, state));
    let solve = |design: &Design, corners: &[Corner]| {
        predict(design, &places.asked, corners, false, begin.as_ref())
    };
    let row = |prediction: &Prediction, draw: usize, way: usize| -> Option<Vec<f64>> {
        let slots = points
            .iter()
            .map(|point| places.slot(design, &nominal, point, way));
        slots.map(|slot| slot?.volts(prediction)[draw]).collect()
    };
    let middle = middle(design, conditions);
    let mut corners = vec![middle.clone()];
    for knob in knobs {
        if let Knob::Parameter(parameter) = knob {
            let moved = |way| at(design, conditions, parameter, way);
            corners
                .extend([-1.0, 1.0].map(|way| middle.clone().with(parameter.clone(), moved(way))));
        }
    }
    let solved = solve(design, &corners);
    let centre = row(&solved, 0, 0)?;
    let ways: Option<Vec<Vec<f64>>> = (0..places.ways).map(|way| row(&solved, 0, way)).collect();
    let ways = ways?;
    // What depends on where an unmentioned control stood says nothing.
    let steady = |at: &usize| {
        let off = |way: &Vec<f64>| (way[*at] - centre[*at]).abs();
        ways.iter().all(|way| off(way) < readings[*at].standard())
    };
    let kept: Vec<usize> = (0..readings.len()).filter(steady).collect();
    if kept.is_empty() {
        return None;
    }
    let mut effects = Vec::new();
    let mut draw = 1;
    for knob in knobs {
        let (low, high) = match knob {
            Knob::Parameter(_) => {
                draw += 2;
                (row(&solved, draw - 2, 0)?, row(&solved, draw - 1, 0)?)
            }
            Knob::Source(part) => {
                let end = |way: f64| {
                    let moved = with_source(design, part, 1.0 + way * SOURCE);
                    row(&solve(&moved, &corners[..1]), 0, 0)
                };
                (end(-1.0)?, end(1.0)?)
            }
        };
        effects.push(kept.iter().map(|at| 0.5 * (high[*at] - low[*at])).collect());
    }
    Some(Slopes {
        centre: kept.iter().map(|at| centre[*at]).collect(),
        kept,
        effects,
    })
}

/// Everything in the middle of its spread, under the conditions noted.
fn middle(design: &Design, conditions: &Conditions) -> Corner {
    uncertain(design)
        .into_iter()
        .fold(Corner::nominal(), |corner, parameter| {
            let level = at(design, conditions, &parameter, 0.0);
            corner.with(parameter, level)
        })
}

/// What an update gives.
struct Updated {
    /// Mean and standard deviation of each knob, −1 to 1 being its spread.
    knobs: Vec<(f64, f64)>,
    /// What the knobs leave open of each reading.
    spread: Vec<f64>,
    away: f64,
}

/// From the effect of each knob on each reading, how far the readings are off the middle, and the
/// meter's uncertainty. `None` where the covariance of the readings is not positive.
fn update(effects: &[Vec<f64>], off: &[f64], meter: &[f64]) -> Option<Updated> {
    let size = off.len();
    let prior = EVENLY * EVENLY;
    let mut covariance = vec![vec![0.0; size]; size];
    for (i, line) in covariance.iter_mut().enumerate() {
        for (j, entry) in line.iter_mut().enumerate() {
            *entry = effects.iter().map(|e| prior * e[i] * e[j]).sum();
        }
    }
    let spread = (0..size).map(|i| libm::sqrt(covariance[i][i])).collect();
    for (i, line) in covariance.iter_mut().enumerate() {
        line[i] += meter[i] * meter[i];
    }
    let root = cholesky(&covariance)?;
    let white = solve_lower(&root, off);
    let knobs = effects
        .iter()
        .map(|effect| {
            let of = solve_lower(&root, effect);
            let mean = prior * of.iter().zip(&white).map(|(a, b)| a * b).sum::<f64>();
            let left = prior - prior * prior * of.iter().map(|a| a * a).sum::<f64>();
            (mean, libm::sqrt(left.max(0.0)))
        })
        .collect();
    let square: f64 = white.iter().map(|w| w * w).sum();
    Some(Updated {
        knobs,
        spread,
        away: libm::sqrt(square / size as f64),
    })
}

fn knobs(design: &Design) -> Vec<Knob> {
    let mut knobs: Vec<Knob> = uncertain(design).into_iter().map(Knob::Parameter).collect();
    for part in design.parts.values() {
        if matches!(part.kind, Kind::AcAdaptor | Kind::Transformer) && source(part).is_some() {
            knobs.push(Knob::Source(part.reference.clone()));
        }
    }
    knobs
}

/// The resistance of a winding from its rated point [Ω].
fn source(part: &Part) -> Option<f64> {
    let of = |property| part.figure(property).map(|figure| figure.spread.nominal);
    let (rated, open) = (of(Property::Output)?, of(Property::OpenCircuit)?);
    let current = of(Property::Current).or_else(|| Some(of(Property::Va)? / rated))?;
    (open > rated).then_some((open - rated) / current)
}

/// The design with a winding of so many times the resistance.
fn with_source(design: &Design, part: &str, times: f64) -> Design {
    let mut moved = design.clone();
    if let Some(part) = moved.parts.get_mut(part) {
        let by = [Property::Current, Property::Va];
        if let Some(figure) = by
            .iter()
            .find_map(|p| part.figures.contains_key(p).then_some(*p))
            && let Some(figure) = part.figures.get_mut(&figure)
        {
            figure.spread = Spread::exact(figure.spread.nominal / times);
        }
    }
    moved
}

/// Where a parameter stands at a way of its spread, −1 to 1, in proportion to its value.
fn at(design: &Design, conditions: &Conditions, parameter: &Parameter, way: f64) -> Level {
    match spread(design, parameter) {
        Some((spread, _)) => {
            let half = 0.5 * (spread.high - spread.low);
            standing(spread, 0.5 * (spread.low + spread.high) + way * half)
        }
        None => level(design, conditions, parameter, 0.5 * (way + 1.0)),
    }
}

/// The spread of a part's figure, and its unit.
fn spread(design: &Design, parameter: &Parameter) -> Option<(Spread, Unit)> {
    let Parameter::Figure(part, property) = parameter else {
        return None;
    };
    let part = design.parts.get(part)?;
    Some((part.figure(*property)?.spread, property.unit(part.kind)))
}

fn estimate(design: &Design, knob: &Knob, (mean, deviation): (f64, f64)) -> Option<Estimate> {
    if deviation > NARROWED * EVENLY {
        return None;
    }
    let (part, what, unit, allowed) = match knob {
        Knob::Source(part) => {
            let ohms = source(design.parts.get(part)?)?;
            let ends = [ohms * (1.0 - SOURCE), ohms * (1.0 + SOURCE)];
            (
                part.clone(),
                "source resistance".to_owned(),
                Unit::Ohm,
                ends,
            )
        }
        Knob::Parameter(parameter) => {
            let (spread, unit) = spread(design, parameter)?;
            let Parameter::Figure(part, property) = parameter else {
                return None;
            };
            let what = property.key().replace('-', " ");
            (part.clone(), what, unit, [spread.low, spread.high])
        }
    };
    let value = |way: f64| 0.5 * (allowed[0] + allowed[1] + way * (allowed[1] - allowed[0]));
    let end = |way: f64| value(way).clamp(allowed[0], allowed[1]);
    Some(Estimate {
        part,
        what,
        unit,
        allowed,
        is: value(mean),
        interval: [end(mean - 2.0 * deviation), end(mean + 2.0 * deviation)],
    })
}

#[cfg(test)]
mod tests {
    use super::{EVENLY, update};

    /// One knob and one reading of it, both as uncertain: the estimate lies half way, and half of
    /// the variance is left (the mean of two equally good values, textbook).
    #[test]
    fn two_equally_good_values_meet_half_way() {
        let found = update(&[vec![1.0]], &[0.4], &[EVENLY]).expect("positive");
        let (mean, deviation) = found.knobs[0];
        assert!((mean - 0.2).abs() < 1e-12);
        assert!((deviation - EVENLY / 2.0_f64.sqrt()).abs() < 1e-12);
    }

    /// Two knobs that only ever move a reading together are not told apart.
    #[test]
    fn what_moves_together_shares_the_blame() {
        let found = update(&[vec![1.0], vec![1.0]], &[0.6], &[1e-6]).expect("positive");
        for (mean, deviation) in &found.knobs {
            assert!((mean - 0.3).abs() < 1e-6);
            assert!((deviation - EVENLY / 2.0_f64.sqrt()).abs() < 1e-6);
        }
    }
}
