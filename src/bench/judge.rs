//! One reading against what was predicted of its point, and against what the design promises.

use super::nominal_setting;
use crate::bringup::{Decision, Limits, Rule, cold_expected, open, output_of, window};
use crate::design::{Design, Promised, Structure};
use crate::evidence::Evidence;
use crate::quantity::Unit;
use crate::records::{Point, Reading, Session, Setting};
use crate::situations::{Plugged, Situation, State, control_name};

/// What a reading says.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// How far the true value may lie from the reading, by the meter's specification.
    pub limit_of_error: f64,
    /// Against the prediction; why not, where there is none.
    pub predicted: Result<Predicted, String>,
    /// Against what the design promises of that point.
    pub promised: Option<Kept>,
}

/// A reading against the window of all corners.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Predicted {
    /// What the meter would show at the worst corners, its own error left out.
    pub limits: Limits,
    /// What it would show with everything nominal.
    pub nominal: Option<f64>,
    /// The decision.
    pub decision: Decision,
}

/// A reading against a promise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kept {
    /// The promised limits.
    pub limits: Limits,
    /// The decision.
    pub decision: Decision,
}

/// Judges one reading.
#[must_use]
pub fn judge(
    design: &Design,
    evidence: &Evidence,
    session: &Session,
    reading: &Reading,
    rule: &Rule,
) -> Judged {
    let (meter, unit) = (&session.meter, reading.point.unit);
    let limit_of_error = if reading.reads.is_finite() {
        meter.limit(reading.reads, unit)
    } else {
        0.0
    };
    let decide = |limits: Limits| rule.judge(reading.reads, unit, meter, limits);
    let predicted =
        limits(design, evidence, session, &reading.point).map(|(limits, nominal)| Predicted {
            limits,
            nominal,
            decision: decide(limits),
        });
    let promised = promise(design, &reading.point).map(|limits| Kept {
        limits,
        decision: decide(limits),
    });
    Judged {
        limit_of_error,
        predicted,
        promised,
    }
}

/// What may be read at a point: limits, and the nominal where there is one.
fn limits(
    design: &Design,
    evidence: &Evidence,
    session: &Session,
    point: &Point,
) -> Result<(Limits, Option<f64>), String> {
    match point.unit {
        Unit::Volt if point.alone => open(design, &point.net)
            .map(|open| (open.limits, Some(open.nominal)))
            .ok_or_else(|| "the design does not say what it gives by itself".to_owned()),
        Unit::Volt => {
            let when =
                |situation: &Situation| situation.state.powered && here(design, situation, point);
            window(evidence, &session.meter, &point.net, when)
                .map(|window| (window.limits, Some(window.nominal)))
                .map_err(|missing| missing.what)
        }
        Unit::Ohm => {
            let expected = cold_expected(design, evidence, &point.net);
            let nominal = evidence.cold_resistances.get(&point.net).copied();
            expected
                .limits()
                .map(|limits| (limits, nominal.filter(|ohms| *ohms < 2e7)))
                .ok_or_else(|| "the resistance was not computed".to_owned())
        }
        _ => Err("only voltages and resistances are predicted".to_owned()),
    }
}

/// Was a point measured in this situation? What it does not name is as it is nominally.
fn here(design: &Design, situation: &Situation, point: &Point) -> bool {
    let state = &situation.state;
    plugged(design, state, point) && set(design, state, point)
}

fn plugged(design: &Design, state: &State, point: &Point) -> bool {
    if !point.plugged {
        return state.plugs.values().all(|plug| *plug == Plugged::Nothing);
    }
    let on = |plug: &Plugged| matches!(plug, Plugged::Device { on: true, .. });
    match output_of(design, &point.net) {
        Some(jack) => state.plugs.get(&jack).is_some_and(on),
        None => state.plugs.values().any(on),
    }
}

fn set(design: &Design, state: &State, point: &Point) -> bool {
    let travels = state.travel.iter().all(|(reference, travel)| {
        let wanted = match point.state.get(control_name(design, reference)) {
            Some(Setting::Travel(travel)) => *travel,
            _ => 0.5,
        };
        (travel - wanted).abs() < 1e-9
    });
    let switches = state.switches.iter().all(|(reference, index)| {
        let structure = design.parts.get(reference).map(|part| &part.structure);
        let Some(Structure::Contacts { positions, .. }) = structure else {
            return *index == 0;
        };
        match point.state.get(control_name(design, reference)) {
            Some(Setting::Position(wanted)) => positions.get(*index) == Some(wanted),
            _ => *index == 0,
        }
    });
    travels && switches
}

/// What the design promises of the mean voltage of a point in its state.
fn promise(design: &Design, point: &Point) -> Option<Limits> {
    if point.unit != Unit::Volt {
        return None;
    }
    let applies = |when: &std::collections::BTreeMap<String, Vec<String>>| {
        when.iter().all(|(control, positions)| {
            let setting = point.state.get(control).cloned();
            match setting.or_else(|| nominal_setting(design, control)) {
                Some(Setting::Position(position)) => positions.contains(&position),
                _ => false,
            }
        })
    };
    design
        .promises
        .iter()
        .filter(|promise| applies(&promise.when))
        .find_map(|promise| match &promise.promised {
            Promised::Is { at, range } if *at == point.net => Some(Limits {
                low: range.low,
                high: range.high,
            }),
            _ => None,
        })
}
