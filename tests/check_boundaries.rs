//! Every numeric limit is sharp: with a value one per cent beyond it the check fails, with one a
//! per cent inside it holds.
//!
//! The designs are made from the fixtures. First a lever is looked for: a rating, a promise, a
//! figure of the instrument or the mains that moves the limit of the comparison while what was
//! computed stays. Where the limit is fixed, the fixture has a `boundary` section with one number
//! in `⟦ ⟧`, which is moved, and the circuit solved anew, until the value stands there.

mod fixture;

use fixture::{Fixture, Section, evidence_for, of, read};
use preplug::catalogue::Property;
use preplug::checks::{Bound, Check, Comparison, Outcome, REGISTRY};
use preplug::design::{Connection, Design, Promised};
use preplug::quantity::Spread;
use rayon::prelude::*;

/// Checks with a comparison that cannot be set to a per cent, and why.
const LEFT_OUT: &[(&str, &str)] = &[
    (
        "op-amp-supply-swapped",
        "the limit is zero volts, of which there is no per cent",
    ),
    (
        "useful-travel",
        "dead travel is counted in twentieths, the steps of the curve",
    ),
];

/// Where the value stands beyond its limit, as a share of the limit: positive is bad.
fn beyond(c: &Comparison) -> f64 {
    let distance = match c.bound {
        Bound::AtMost => c.value - c.limit,
        Bound::AtLeast => c.limit - c.value,
    };
    distance / c.limit.abs().max(1e-12)
}

fn compared(outcome: &Outcome) -> Option<(String, &Comparison, bool)> {
    match outcome {
        Outcome::Holds {
            place,
            comparison: Some(c),
            ..
        } => Some((place.route.clone(), c, true)),
        Outcome::Fails { place, failure } => {
            Some((place.route.clone(), failure.comparison.as_ref()?, false))
        }
        _ => None,
    }
}

/// The comparison at a place: how far beyond, and whether the check holds.
fn at(outcomes: &[Outcome], route: &str) -> Option<(f64, bool)> {
    outcomes
        .iter()
        .filter_map(compared)
        .find(|(place, ..)| place == route)
        .map(|(_, c, holds)| (beyond(c), holds))
}

/// Something in a design that may be scaled without solving it anew.
#[derive(Debug, Clone)]
enum Lever {
    Figure(String, Property),
    Promise(usize),
    Accepts,
    Survives,
    Impedance,
    Supply,
    Mains,
}

fn scale(spread: &mut Spread, by: f64) {
    spread.low *= by;
    spread.nominal *= by;
    spread.high *= by;
}

fn levers(design: &Design) -> Vec<Lever> {
    let mut levers = Vec::new();
    for part in design.parts.values() {
        for property in part.figures.keys() {
            levers.push(Lever::Figure(part.reference.clone(), *property));
        }
    }
    levers.extend((0..design.promises.len()).map(Lever::Promise));
    levers.extend([
        Lever::Accepts,
        Lever::Survives,
        Lever::Impedance,
        Lever::Supply,
        Lever::Mains,
    ]);
    levers
}

fn pulled(design: &Design, lever: &Lever, by: f64) -> Design {
    let mut design = design.clone();
    match lever {
        Lever::Figure(part, property) => {
            if let Some(figure) = design
                .parts
                .get_mut(part)
                .and_then(|part| part.figures.get_mut(property))
            {
                scale(&mut figure.spread, by);
            }
        }
        Lever::Promise(index) => match &mut design.promises[*index].promised {
            Promised::Is { range, .. } => scale(range, by),
            Promised::Spans { low, high, .. } => {
                *low *= by;
                *high *= by;
            }
            Promised::Ripple { limit, .. } | Promised::Junction { limit, .. } => *limit *= by,
        },
        Lever::Mains => {
            if let Some(mains) = &mut design.conditions.mains {
                let nominal = mains.voltage.nominal;
                mains.voltage.low = nominal - (nominal - mains.voltage.low) * by;
                mains.voltage.high = nominal + (mains.voltage.high - nominal) * by;
            }
        }
        _ => {
            for connection in design.connections.values_mut().flatten() {
                let Connection::Instrument {
                    instrument, input, ..
                } = connection
                else {
                    continue;
                };
                let Some(input) = instrument.inputs.get_mut(input) else {
                    continue;
                };
                let figure = match lever {
                    Lever::Accepts => Some(&mut input.accepts),
                    Lever::Survives => input.survives.as_mut(),
                    Lever::Impedance => input.impedance.as_mut(),
                    _ => input.supply.as_mut().map(|supply| &mut supply.voltage),
                };
                if let Some(figure) = figure {
                    scale(&mut figure.spread, by);
                }
            }
        }
    }
    design
}

/// The factor at which the value stands `wanted` beyond its limit: bisection on a grid of factors.
fn factor(probe: &impl Fn(f64) -> Option<f64>, wanted: f64, grid: &[f64]) -> Option<f64> {
    let away = |by: f64| probe(by).map(|beyond| beyond - wanted);
    let points: Vec<(f64, f64)> = grid
        .iter()
        .filter_map(|by| Some((*by, away(*by)?)))
        .collect();
    let (mut low, mut high) = points
        .windows(2)
        .map(|pair| (pair[0], pair[1]))
        .find(|(one, other)| one.1 * other.1 <= 0.0)?;
    for _ in 0..60 {
        if (high.0 / low.0 - 1.0).abs() < 1e-7 {
            break;
        }
        let middle = (low.0 * high.0).sqrt();
        let there = (middle, away(middle)?);
        if there.1.abs() < 2e-3 {
            return Some(middle);
        }
        if low.1 * there.1 <= 0.0 {
            high = there;
        } else {
            low = there;
        }
    }
    let middle = (low.0 * high.0).sqrt();
    (away(middle)?.abs() < 2e-3).then_some(middle)
}

enum Found {
    Sharp,
    NoNumber,
    NoLever,
    Blunt(String),
}

fn by_lever(check: &Check, fixture: &Fixture, section: &Section) -> Found {
    let Ok((design, _)) = read(fixture, &section.design) else {
        return Found::NoNumber;
    };
    let evidence = evidence_for(check, &design);
    let outcomes = section.outcomes(check, &design, &evidence);
    let routes: Vec<String> = outcomes
        .iter()
        .filter_map(compared)
        .map(|(r, ..)| r)
        .collect();
    if routes.is_empty() {
        return Found::NoNumber;
    }
    let grid: Vec<f64> = (-30..=30)
        .map(|step| 10_f64.powf(f64::from(step) / 10.0))
        .collect();
    for route in &routes {
        let Some((here, _)) = at(&outcomes, route) else {
            continue;
        };
        for lever in levers(&design) {
            let judged = |by: f64| {
                let pulled = pulled(&design, &lever, by);
                at(&section.outcomes(check, &pulled, &evidence), route)
            };
            let moved = judged(1.07).is_some_and(|(there, _)| (there - here).abs() > 1e-4);
            if !moved {
                continue;
            }
            let probe = |by: f64| judged(by).map(|(beyond, _)| beyond);
            let (Some(bad), Some(good)) =
                (factor(&probe, 0.01, &grid), factor(&probe, -0.01, &grid))
            else {
                continue;
            };
            let ends = (judged(bad).map(|j| j.1), judged(good).map(|j| j.1));
            return if ends == (Some(false), Some(true)) {
                Found::Sharp
            } else {
                Found::Blunt(format!("{route} by {lever:?}: {ends:?}"))
            };
        }
    }
    Found::NoLever
}

/// Moves the number in `⟦ ⟧`, solving anew each time.
fn by_knob(check: &Check, fixture: &Fixture, section: &Section) -> Found {
    let Some((before, rest)) = section.design.split_once('⟦') else {
        return Found::NoLever;
    };
    let Some((number, after)) = rest.split_once('⟧') else {
        return Found::Blunt("an open ⟦".to_owned());
    };
    let Ok(number) = number.parse::<f64>() else {
        return Found::Blunt(format!("{number} is no number"));
    };
    let judged = |by: f64| {
        let text = format!("{before}{:.9}{after}", number * by);
        let (design, _) = read(fixture, &text).ok()?;
        let outcomes = section.outcomes(check, &design, &evidence_for(check, &design));
        outcomes
            .iter()
            .filter_map(compared)
            .map(|(_, c, holds)| (beyond(c), holds))
            .max_by(|a, b| a.0.total_cmp(&b.0))
    };
    let probe = |by: f64| judged(by).map(|(beyond, _)| beyond);
    let grid = [0.5, 1.0, 2.0];
    let (Some(bad), Some(good)) = (factor(&probe, 0.01, &grid), factor(&probe, -0.01, &grid))
    else {
        let there: Vec<_> = grid.iter().map(|by| (*by, judged(*by))).collect();
        return Found::Blunt(format!(
            "half to double the number does not cross the limit: {there:?}"
        ));
    };
    let ends = (judged(bad).map(|j| j.1), judged(good).map(|j| j.1));
    if ends == (Some(false), Some(true)) {
        Found::Sharp
    } else {
        Found::Blunt(format!("by ⟦ ⟧: {ends:?}"))
    }
}

fn complaint(check: &Check) -> Option<String> {
    let fixture = of(check);
    if LEFT_OUT.iter().any(|(id, _)| *id == check.id) {
        return None;
    }
    let mut numbers = false;
    for section in &fixture.sections {
        let found = if section.heading.starts_with("boundary") {
            numbers = true;
            by_knob(check, &fixture, section)
        } else if section.heading.starts_with("fires") || section.heading.starts_with("just inside")
        {
            by_lever(check, &fixture, section)
        } else {
            continue;
        };
        match found {
            Found::Sharp => return None,
            Found::NoNumber => {}
            Found::NoLever => numbers = true,
            Found::Blunt(how) => {
                return Some(format!("{} / {}: {how}", check.id, section.heading));
            }
        }
    }
    numbers.then(|| {
        format!(
            "{}: a numeric limit, and nothing moves it: add `## boundary`",
            check.id
        )
    })
}

#[test]
fn every_numeric_limit_is_sharp_to_a_per_cent() {
    let only = std::env::var("PREPLUG_FIXTURE").ok();
    let mut complaints: Vec<String> = REGISTRY
        .par_iter()
        .filter(|check| only.as_deref().is_none_or(|id| id == check.id))
        .filter_map(complaint)
        .collect();
    complaints.sort();
    assert!(
        complaints.is_empty(),
        "{}:\n{}",
        complaints.len(),
        complaints.join("\n")
    );
}
