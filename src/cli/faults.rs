//! The JSON of single faults and slips: what comes of each, and which bring-up step shows it.

use crate::Assessed;
use crate::bringup::Meter;
use crate::bringup::coverage::{Standing, coverage, survived};
use crate::evidence::disturbed::{Case, Overstress, Reach, Same};
use serde_json::{Value, json};

/// `faults` of a design's answer.
#[must_use]
pub fn faults(assessed: &Assessed) -> Value {
    let Some(disturbed) = &assessed.evidence.disturbed else {
        return json!({"missing": "faults and slips were not computed"});
    };
    let counts = &disturbed.counts;
    let covered = coverage(&assessed.design, &assessed.evidence, &Meter::default());
    let (standings, share) = match &covered {
        Ok(coverage) => {
            let share = coverage.share();
            (
                coverage.standings.as_slice(),
                json!({
                    "revealed": share.revealed,
                    "of": share.of,
                    "weighted_revealed": share.weighted[0],
                    "weighted_of": share.weighted[1],
                }),
            )
        }
        Err(missing) => ([].as_slice(), json!({"missing": missing.what})),
    };
    let cases: Vec<Value> = disturbed
        .cases
        .iter()
        .enumerate()
        .map(|(index, one)| {
            let worst = standings
                .iter()
                .find(|found| found.damaging() && found.case == index);
            case(assessed, one, worst)
        })
        .collect();
    json!({
        "counts": {
            "disturbances": disturbed.cases.len(),
            "same_circuit_as_healthy": counts.like_healthy,
            "same_circuit_as_another": counts.like_another,
            "situations_solved": counts.solved,
            "situations_proved": counts.proved,
            "situations_unsolved": counts.unsolved,
        },
        "coverage": share,
        "cases": cases,
    })
}

fn case(assessed: &Assessed, case: &Case, worst: Option<&Standing>) -> Value {
    let one = &case.disturbance;
    json!({
        "part": one.part,
        "class": one.class.key(),
        "what": one.words,
        "weight": one.weight,
        "same_circuit_as": case.same_as.map(|same| match same {
            Same::Healthy => "healthy".to_owned(),
            Same::Case(index) => index.to_string(),
        }),
        "not_assessed": case.not_assessed,
        "reaches": case.reaches.iter().map(|r| reach(assessed, r)).collect::<Vec<_>>(),
        "damaging": worst.map(|found| json!({
            "jack": found.jack,
            "value": found.value,
            "limit": found.limit,
            "revealed_by_step": found.revealed_by,
        })),
        "overstressed": case.overstressed.iter().map(overstress).collect::<Vec<_>>(),
    })
}

fn reach(assessed: &Assessed, reach: &Reach) -> Value {
    let survives = survived(&assessed.design, &reach.jack, reach.index).ok();
    json!({
        "jack": reach.jack,
        "connection": reach.index,
        "unit": "V",
        "low": reach.low,
        "high": reach.high,
        "low_in": reach.low_in.describe_fully(),
        "high_in": reach.high_in.describe_fully(),
        "with_failed": reach.after,
        "survives": survives.map(|(low, high)| [low, high]),
    })
}

fn overstress(over: &Overstress) -> Value {
    json!({
        "part": over.part,
        "stress": over.stress.words(),
        "unit": over.stress.unit().symbol(),
        "value": over.value,
        "limit": over.limit,
        "situation": over.situation.describe_fully(),
    })
}
