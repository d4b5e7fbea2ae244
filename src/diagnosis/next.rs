//! What to measure next: where the likeliest explanations differ most, in units of what parts, mains
//! and meter leave uncertain.

use super::hypothesis::Cause;
use super::model::Model;
use super::normal::Normal;
use super::ohms::{OPEN, Spans};
use super::places::Slot;
use super::rank::{Reading, Scored, Sorted, rows, standard};
use crate::bringup::set_of;
use crate::quantity::Unit;
use crate::records::{Meter, Point};

/// How many of the likeliest explanations are to be told apart, and how likely they must be.
const MOST: usize = 8;
const LEAST_SHARE: f64 = 0.005;
/// Beyond this separation two explanations are told apart, and no farther apart is better.
const ENOUGH: f64 = 6.0;
/// Below this separation nothing is told apart.
pub const SEPARATES: f64 = 2.0;
/// A step of the bring-up is preferred to any other place that separates little better.
const NEARLY: f64 = 0.8;

/// The measurement that separates best.
#[derive(Debug, Clone, PartialEq)]
pub struct Next {
    /// Where and how.
    pub point: Point,
    /// Is it a step of the bring-up?
    pub step: bool,
    /// Separation to be expected, in combined standard uncertainties, of two explanations drawn by
    /// their shares; none counts for more than six.
    pub separation: f64,
    /// The likeliest explanations, each with what it would read: lowest and highest of two standard
    /// uncertainties either way, in the point's unit.
    pub expected: Vec<(Cause, [f64; 2])>,
}

/// Finds it among the steps not yet read and every net and jack besides. With `cold`, only among
/// what is measured with the supply off.
pub(super) fn next(
    model: &Model<'_>,
    scored: &[Scored],
    readings: &[Reading],
    steps: &[Point],
    meter: &Meter,
    cold: bool,
) -> Option<Next> {
    let sorted = Sorted::new(readings);
    let rivals: Vec<usize> = (0..scored.len().min(MOST))
        .filter(|place| scored[*place].share >= LEAST_SHARE)
        .collect();
    if rivals.len() < 2 {
        return None;
    }
    let read = |point: &Point| readings.iter().any(|reading| reading.point.same(point));
    let steps: Vec<&Point> = steps.iter().filter(|point| !read(point)).collect();
    let others = if cold { Vec::new() } else { everywhere(model) };
    let others = others.iter().filter(|point| !read(point));
    let all = steps
        .iter()
        .map(|p| (*p, true))
        .chain(others.map(|p| (p, false)));
    let mut best: [Option<Next>; 2] = [None, None];
    for (point, step) in all.filter(|(p, _)| !p.plugged && (!cold || p.unit == Unit::Ohm)) {
        let Some(found) = separation(model, scored, &rivals, &sorted, point, step, meter) else {
            continue;
        };
        let known = &mut best[usize::from(step)];
        if known
            .as_ref()
            .is_none_or(|known| found.separation > known.separation)
        {
            *known = Some(found);
        }
    }
    let [other, step] = best;
    match (step, other) {
        (Some(step), Some(other)) if step.separation < NEARLY * other.separation => Some(other),
        (Some(step), _) => Some(step),
        (None, other) => other,
    }
}

fn separation(
    model: &Model<'_>,
    scored: &[Scored],
    rivals: &[usize],
    sorted: &Sorted<'_>,
    point: &Point,
    step: bool,
    meter: &Meter,
) -> Option<Next> {
    let each: Vec<(f64, f64)> = rivals
        .iter()
        .map(|place| expected(model, scored[*place].index, sorted, point, meter))
        .collect::<Option<_>>()?;
    let (mut sum, mut weights) = (0.0, 0.0);
    for (i, one) in each.iter().enumerate() {
        for (j, other) in each.iter().enumerate().take(i) {
            let weight = scored[rivals[i]].share * scored[rivals[j]].share;
            let away = (one.0 - other.0).abs() / libm::hypot(one.1, other.1);
            sum += weight * away.min(ENOUGH);
            weights += weight;
        }
    }
    let cause = |place: &usize| model.hypothesis(scored[*place].index).causes[0].clone();
    let ends = |(mean, standard): &(f64, f64)| {
        let ends = [mean - 2.0 * standard, mean + 2.0 * standard];
        if point.unit == Unit::Ohm {
            ends.map(|end| libm::exp(end).min(OPEN))
        } else {
            ends
        }
    };
    Some(Next {
        point: point.clone(),
        step,
        separation: sum / weights,
        expected: rivals
            .iter()
            .map(cause)
            .zip(each.iter().map(ends))
            .collect(),
    })
}

/// What a hypothesis would have a point read, after what was read already: mean and combined
/// standard uncertainty, of resistances on the scale on which they are compared.
fn expected(
    model: &Model<'_>,
    index: usize,
    sorted: &Sorted<'_>,
    point: &Point,
    meter: &Meter,
) -> Option<(f64, f64)> {
    let prediction = model.fine(index);
    if point.unit == Unit::Ohm {
        let ways = (0..model.places.ways).map(|way| model.slot(point, way));
        let slots: Vec<Slot> = ways.collect::<Option<_>>()?;
        let spans = slots.iter().flat_map(|slot| slot.ohms(prediction));
        let middle = Spans::new(spans.clone().collect(), 0.0).moments().0;
        let standard = standard(meter, point.unit, libm::exp(middle));
        return Some(Spans::new(spans.collect(), standard).moments());
    }
    let mut all = Vec::new();
    for way in 0..model.places.ways {
        let slots: Option<Vec<Slot>> = sorted
            .volts
            .iter()
            .map(|reading| &reading.point)
            .chain([point])
            .map(|point| model.slot(point, way))
            .collect();
        all.extend(rows(prediction, &slots?));
    }
    let last = sorted.volts.len();
    let reads = all.iter().map(|row| row[last]).sum::<f64>() / (all.len() as f64);
    let mut uncertainty: Vec<f64> = sorted.volts.iter().map(|r| r.standard()).collect();
    uncertainty.push(standard(meter, point.unit, reads));
    let known: Vec<f64> = sorted.volts.iter().map(|reading| reading.reads).collect();
    Normal::of(&all, &uncertainty).last_given(&known)
}

/// Every net and jack in every setting that was solved with nothing plugged in.
fn everywhere(model: &Model<'_>) -> Vec<Point> {
    let asked = &model.places.asked;
    let mut points = Vec::new();
    for state in &asked.settings {
        if state
            .plugs
            .values()
            .any(|plug| *plug != crate::situations::Plugged::Nothing)
        {
            continue;
        }
        let set = set_of(model.design, state);
        for net in &asked.nets {
            let name = model.design.test_points.iter().find(|(_, at)| *at == net);
            points.push(Point {
                alone: false,
                at: name.map_or(net, |(name, _)| name).clone(),
                net: net.clone(),
                state: set.clone(),
                jack: None,
                plugged: false,
                unit: Unit::Volt,
            });
        }
    }
    points
}
