//! The JSON of `diagnose --format json`, version `preplug-diagnosis/1`.
//!
//! ```text
//! {format: "preplug-diagnosis/1", file, title, revision, unit, demonstration, dates: [first, last],
//!  readings: [{at, unit, reads | null for OL, outside}], mains: [low, high], ambient: [low, high],
//!  considered, nothing_fits, farthest: {reading, expected: [low, high], off, together},
//!  healthy, groups: [{share, causes: [CAUSE], without_effect, telling: {reading,
//!  expected: [low, high], off, weighs}}], next: {at, step, unit, separation,
//!  expected: [{cause: CAUSE, low, high}]}, supply_must_stay_off, cold_checks_open, outdated,
//!  not_computed: [CAUSE], unknown_substitutions: [], not_used: [{at, why}]}
//! ```
//!
//! CAUSE: {part, class: healthy|fault|slip|handling, what, weight}
//! Values are in SI units; `reading` counts from 0. Keys may be added; none is removed or
//! changes its meaning within /1.

use super::diagnose::Found;
use super::diagnose_report::not_used;
use crate::diagnosis::{Cause, Expectation};
use crate::quantity::Unit;
use serde_json::{Value, json};

/// Lowest and highest to be expected, in the reading's unit.
pub(super) fn ends(expected: &Expectation, unit: Unit) -> [f64; 2] {
    let ends = [expected.low, expected.high];
    if unit == Unit::Ohm {
        ends.map(libm::exp)
    } else {
        ends
    }
}

/// For programs.
pub(super) fn json(found: &Found) -> Value {
    let diagnosis = &found.diagnosis;
    let misfit = &diagnosis.misfit;
    let unit_of = |reading: usize| found.readings[reading].point.unit;
    let readings = found.readings.iter().enumerate().map(|(index, reading)| {
        json!({
            "at": reading.point.describe(),
            "unit": reading.point.unit.symbol(),
            "reads": reading.reads.is_finite().then_some(reading.reads),
            "outside": found.outside.contains(&index),
        })
    });
    let groups = diagnosis.groups.iter().map(|group| {
        let telling = &group.telling;
        json!({
            "share": group.share,
            "causes": group.causes.iter().map(cause).collect::<Vec<_>>(),
            "without_effect": group.without_effect,
            "telling": {
                "reading": telling.reading,
                "expected": ends(&telling.expected, unit_of(telling.reading)),
                "off": telling.expected.off,
                "weighs": telling.weighs,
            },
        })
    });
    let next = diagnosis.next.as_ref().map(|next| {
        let expected = next
            .expected
            .iter()
            .map(|(one, ends)| json!({"cause": cause(one), "low": ends[0], "high": ends[1]}));
        json!({
            "at": next.point.describe(),
            "step": found.steps.iter().find(|s| s.place.same(&next.point)).map(|s| s.number),
            "unit": next.point.unit.symbol(),
            "separation": next.separation,
            "expected": expected.collect::<Vec<_>>(),
        })
    });
    json!({
        "format": "preplug-diagnosis/1",
        "file": found.path,
        "title": found.design.title,
        "revision": found.design.revision,
        "unit": found.unit.serial,
        "demonstration": found.unit.demonstration,
        "dates": found.dates,
        "readings": readings.collect::<Vec<_>>(),
        "mains": found.conditions.mains,
        "ambient": found.conditions.ambient,
        "considered": diagnosis.considered,
        "nothing_fits": misfit.nothing_fits(),
        "farthest": {
            "reading": misfit.reading,
            "expected": ends(&misfit.expected, unit_of(misfit.reading)),
            "off": misfit.expected.off,
            "together": misfit.together,
        },
        "healthy": diagnosis.healthy(),
        "groups": groups.collect::<Vec<_>>(),
        "next": next,
        "supply_must_stay_off": found.unpowered,
        "cold_checks_open": found.cold_open,
        "outdated": found.outdated,
        "not_computed": diagnosis.not_computed.iter().map(cause).collect::<Vec<_>>(),
        "unknown_substitutions": found.unknown,
        "not_used": not_used(found)
            .into_iter()
            .map(|(at, why)| json!({ "at": at, "why": why }))
            .collect::<Vec<_>>(),
    })
}

fn cause(cause: &Cause) -> Value {
    match cause {
        Cause::Healthy => json!({
            "part": null, "class": "healthy", "what": "nothing is wrong", "weight": null,
        }),
        Cause::Disturbed(one) => json!({
            "part": one.part, "class": one.class.key(), "what": one.words, "weight": one.weight,
        }),
    }
}
