//! Which hypotheses explain a set of readings, and how well.

use super::hypothesis::Cause;
use super::model::Model;
use super::normal::{Expectation, Normal};
use super::ohms::{OPEN, Spans, logarithm};
use super::places::Slot;
use super::predict::Prediction;
use crate::quantity::Unit;
use crate::records::{Meter, Point};
use rayon::prelude::*;

/// One reading to be explained.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Where and how.
    pub point: Point,
    /// What the meter showed [V, Ω]; infinite for `OL`.
    pub reads: f64,
    /// What it was read with.
    pub meter: Meter,
}

/// What no circuit here has: thermal voltages, pick-up, the meter's zero [V]; and what the solver
/// may be off by, as a share (its own limits). Both project choices.
const NOT_MODELLED: f64 = 1e-3;
const SOLVER: f64 = 5e-4;
/// Below this the meter is taken to stay on the range that shows it, whatever it was told [V]
/// (project choice: few turn the switch for a volt).
const LEFT_ON: f64 = 10.0;
/// What two meters differ by on a resistance in a circuit, as a share (common practice).
const OHMS: f64 = 0.10;

/// A hypothesis is looked at closely when no reading lies farther off than this many uncertainties
/// in the rough draws …
const CLOSE: f64 = 8.0;
/// … and so are in any case the best of the rest.
const AT_LEAST: usize = 4;
/// Least draws with a solution that say something.
const LEAST_DRAWS: usize = 6;

/// Two hypotheses whose readings lie nearer than two combined standard uncertainties (their
/// Bhattacharyya distance below 2² / 8) are not told apart: even the best rule would take one for
/// the other in a sixth of all cases.
const APART: f64 = 0.5;

/// Nothing fits when the best explanation leaves one reading farther off than this many combined
/// standard uncertainties …
pub const FARTHEST: f64 = 5.0;
/// … or all of them together, as a root mean square with correlations counted.
pub const FARTHEST_TOGETHER: f64 = 3.0;

impl Reading {
    /// As it is compared: resistances by their logarithm.
    fn compared(&self) -> f64 {
        if self.point.unit == Unit::Ohm {
            logarithm(self.reads)
        } else {
            self.reads
        }
    }

    /// Its standard uncertainty on the scale on which it is compared.
    pub(super) fn standard(&self) -> f64 {
        standard(&self.meter, self.point.unit, self.reads)
    }
}

/// The standard uncertainty of a reading on the scale on which it is compared, parts apart.
pub(super) fn standard(meter: &Meter, unit: Unit, reads: f64) -> f64 {
    if unit == Unit::Ohm {
        let ohms = reads.clamp(1.0, OPEN);
        let share = meter.uncertainty(ohms, unit) / ohms;
        return libm::hypot(OHMS, share.min(1.0));
    }
    let range = meter.range(reads, unit).max(meter.range(LEFT_ON, unit));
    let own = meter.error(reads, range, unit) / libm::sqrt(3.0);
    libm::hypot(own, NOT_MODELLED + SOLVER * reads.abs())
}

/// One way in which controls stood that the readings do not mention: what would be read.
pub(super) struct Way {
    volts: Normal,
    ohms: Vec<Spans>,
}

/// A hypothesis beside the readings.
pub(super) struct Scored {
    pub index: usize,
    pub share: f64,
    /// What would be read, the way that fits best first taken.
    pub best: Way,
    /// All ways together.
    pub pooled: Way,
}

/// The readings by sort, with where each stands in the list given.
pub(super) struct Sorted<'r> {
    pub volts: Vec<&'r Reading>,
    pub ohms: Vec<&'r Reading>,
}

impl<'r> Sorted<'r> {
    pub fn new(readings: &'r [Reading]) -> Self {
        let of = |ohms: bool| {
            readings
                .iter()
                .filter(move |reading| (reading.point.unit == Unit::Ohm) == ohms)
                .collect()
        };
        Self {
            volts: of(false),
            ohms: of(true),
        }
    }

    pub fn all(&self) -> impl Iterator<Item = &'r Reading> {
        self.volts.iter().chain(&self.ohms).copied()
    }

    fn voltages(&self) -> Vec<f64> {
        self.volts.iter().map(|reading| reading.reads).collect()
    }
}

impl Way {
    /// Each reading by itself, in the order of [`Sorted::all`].
    pub fn alone(&self, sorted: &Sorted<'_>) -> Vec<Expectation> {
        let volts = sorted.volts.iter().enumerate();
        let volts = volts.map(|(at, reading)| self.volts.alone(at, reading.compared()));
        let ohms = self.ohms.iter().zip(&sorted.ohms);
        volts
            .chain(ohms.map(|(spans, reading)| spans.expectation(reading.compared())))
            .collect()
    }

    /// Logarithm of the likelihood of each reading by itself, in the same order.
    pub fn log_alone(&self, sorted: &Sorted<'_>) -> Vec<f64> {
        let volts = sorted.volts.iter().enumerate();
        volts
            .map(|(at, reading)| self.volts.log_alone(at, reading.compared()))
            .chain(self.log_ohms(sorted))
            .collect()
    }

    fn log_ohms(&self, sorted: &Sorted<'_>) -> impl Iterator<Item = f64> {
        let ohms = self.ohms.iter().zip(&sorted.ohms);
        ohms.map(|(spans, reading)| spans.log_density(reading.compared()))
    }

    /// Voltages together, resistances one by one.
    fn log_likelihood(&self, sorted: &Sorted<'_>) -> f64 {
        self.volts.log_density(&sorted.voltages()) + self.log_ohms(sorted).sum::<f64>()
    }

    /// How far off all voltages are together.
    pub fn together(&self, sorted: &Sorted<'_>) -> f64 {
        self.volts.distance(&sorted.voltages())
    }
}

/// The draws of some voltages side by side, those without a solution left out.
pub(super) fn rows(prediction: &Prediction, slots: &[Slot]) -> Vec<Vec<f64>> {
    let columns: Vec<Vec<Option<f64>>> = slots.iter().map(|slot| slot.volts(prediction)).collect();
    let count = columns.iter().map(Vec::len).min().unwrap_or(0);
    (0..count)
        .filter_map(|draw| columns.iter().map(|column| column[draw]).collect())
        .collect()
}

/// Every way of one hypothesis, and all of them together.
fn ways(
    model: &Model<'_>,
    prediction: &Prediction,
    sorted: &Sorted<'_>,
) -> Option<(Vec<Way>, Way)> {
    let slots = |readings: &[&Reading], way: usize| -> Option<Vec<Slot>> {
        readings
            .iter()
            .map(|reading| model.slot(&reading.point, way))
            .collect()
    };
    let volts: Vec<f64> = sorted.volts.iter().map(|r| r.standard()).collect();
    let spans = |each: Vec<Vec<[f64; 2]>>| -> Vec<Spans> {
        let ohms = each.into_iter().zip(&sorted.ohms);
        ohms.map(|(spans, reading)| Spans::new(spans, reading.standard()))
            .collect()
    };
    let mut found = Vec::new();
    let mut all_rows = Vec::new();
    let mut all_spans = vec![Vec::new(); sorted.ohms.len()];
    for way in 0..model.places.ways {
        let rows = rows(prediction, &slots(&sorted.volts, way)?);
        if !volts.is_empty() && rows.len() < LEAST_DRAWS {
            return None;
        }
        let slots = slots(&sorted.ohms, way)?;
        let each: Vec<Vec<[f64; 2]>> = slots.iter().map(|slot| slot.ohms(prediction)).collect();
        for (all, each) in all_spans.iter_mut().zip(&each) {
            all.extend_from_slice(each);
        }
        found.push(Way {
            volts: Normal::of(&rows, &volts),
            ohms: spans(each),
        });
        all_rows.extend(rows);
    }
    let pooled = Way {
        volts: Normal::of(&all_rows, &volts),
        ohms: spans(all_spans),
    };
    Some((found, pooled))
}

/// All hypotheses worth naming, the likeliest first, and those that could not be computed.
pub(super) fn rank(model: &Model<'_>, sorted: &Sorted<'_>) -> (Vec<Scored>, Vec<usize>) {
    let farthest: Vec<Option<f64>> = (0..model.len())
        .into_par_iter()
        .map(|index| {
            let (ways, _) = ways(model, model.coarse(index), sorted)?;
            let of = |way: &Way| {
                let alone = way.alone(sorted);
                alone
                    .iter()
                    .fold(0.0_f64, |most, one| most.max(one.off.abs()))
            };
            ways.iter().map(of).min_by(f64::total_cmp)
        })
        .collect();
    let mut order: Vec<(usize, f64)> = farthest
        .iter()
        .enumerate()
        .filter_map(|(index, off)| Some((index, (*off)?)))
        .collect();
    order.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    let kept = order
        .iter()
        .enumerate()
        .filter(|(place, (_, off))| *place < AT_LEAST || *off < CLOSE)
        .map(|(_, (index, _))| *index);
    let kept: Vec<usize> = kept.collect();
    let scored: Vec<(usize, Option<Scored>)> = kept
        .into_par_iter()
        .map(|index| (index, score(model, sorted, index)))
        .collect();
    let mut lost: Vec<usize> = (0..model.len())
        .filter(|i| farthest[*i].is_none())
        .collect();
    lost.extend(scored.iter().filter(|(_, s)| s.is_none()).map(|(i, _)| *i));
    lost.sort_unstable();
    let mut scored: Vec<Scored> = scored
        .into_iter()
        .filter_map(|(_, scored)| scored)
        .collect();
    let most = scored
        .iter()
        .map(|one| one.share)
        .fold(f64::NEG_INFINITY, f64::max);
    let total: f64 = scored.iter().map(|one| libm::exp(one.share - most)).sum();
    for one in &mut scored {
        one.share = libm::exp(one.share - most) / total;
    }
    scored.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.index.cmp(&b.index)));
    (scored, lost)
}

/// A hypothesis closely looked at; its share is the logarithm of what it will be a share of.
fn score(model: &Model<'_>, sorted: &Sorted<'_>, index: usize) -> Option<Scored> {
    let (ways, pooled) = ways(model, model.fine(index), sorted)?;
    let each: Vec<f64> = ways.iter().map(|way| way.log_likelihood(sorted)).collect();
    let most = each.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if most == f64::NEG_INFINITY {
        return None;
    }
    let sum: f64 = each.iter().map(|one| libm::exp(one - most)).sum();
    let log_likelihood = most + libm::log(sum / each.len() as f64);
    let at = (0..each.len()).max_by(|a, b| each[*a].total_cmp(&each[*b]))?;
    let best = ways.into_iter().nth(at)?;
    Some(Scored {
        index,
        share: log_likelihood + libm::log(model.hypothesis(index).weight),
        best,
        pooled,
    })
}

/// Places in the ranking that cannot be told apart from the first of each group, which is the
/// likeliest one that no group before it holds.
pub(super) fn groups(scored: &[Scored]) -> Vec<Vec<usize>> {
    let grids: Vec<Vec<Vec<f64>>> = scored
        .par_iter()
        .map(|one| one.pooled.ohms.iter().map(Spans::grid).collect())
        .collect();
    let apart = |one: usize, other: usize| {
        let ohms = grids[one].iter().zip(&grids[other]);
        scored[one].pooled.volts.apart(&scored[other].pooled.volts)
            + ohms.map(|(f, g)| Spans::apart(f, g)).sum::<f64>()
    };
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for place in 0..scored.len() {
        let like = |group: &&mut Vec<usize>| apart(group[0], place) < APART;
        match groups.iter_mut().find(like) {
            Some(group) => group.push(place),
            None => groups.push(vec![place]),
        }
    }
    groups
}

/// The causes of some places in the ranking.
pub(super) fn causes(model: &Model<'_>, scored: &[Scored], group: &[usize]) -> Vec<Cause> {
    group
        .iter()
        .flat_map(|place| model.hypothesis(scored[*place].index).causes.clone())
        .collect()
}
