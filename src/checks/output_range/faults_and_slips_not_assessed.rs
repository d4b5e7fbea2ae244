//! See [`CHECK`].

use super::disturbed::computed;
use crate::checks::prelude::*;

/// How many are named; the rest are counted.
const NAMED: usize = 3;

check! {
    /// Looks whether every single fault and every slip could be computed.
    ///
    /// A fault that was not looked at is not a fault that does no harm: the line stays until a
    /// person has thought it through and signs it.
    ///
    /// Limits: says nothing of what was computed; see `fault-overdrives-input` and
    /// `slip-overdrives-input`.
    id: "faults-and-slips-not-assessed", gate: Plug, stage: OutputRange,
    sources: [
        ("single-fault criterion, IEC 61010-1 4.4 and IEC 62368-1 annex B", Memory),
    ],
    sign_off: "A person has gone through every part, open and short, and every swapped pair of wires that could not be computed, and asked what reaches the instrument.",
    always_applies: "every design has parts that can fail",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let place = Place::design("parts");
    let disturbed = match computed(context) {
        Ok(disturbed) => disturbed,
        Err(missing) => return vec![Outcome::missing(place, Gate::Plug, &missing)],
    };
    let unsolved: Vec<String> = disturbed
        .cases
        .iter()
        .filter_map(|case| {
            let reason = case.not_assessed.as_ref()?;
            Some(format!("{} ({reason})", case.disturbance.describe()))
        })
        .collect();
    if unsolved.is_empty() {
        let says = format!(
            "all {} single faults and slips computed",
            disturbed.cases.len()
        );
        return vec![Outcome::holds(place, says)];
    }
    let named = unsolved[..unsolved.len().min(NAMED)].join("; ");
    let what = format!(
        "{} of {} single faults and slips have no solution: {named}",
        unsolved.len(),
        disturbed.cases.len()
    );
    vec![Outcome::not_assessed(place, Gate::Plug, what)]
}
