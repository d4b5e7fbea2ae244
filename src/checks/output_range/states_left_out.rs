//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks whether every combination of switch positions, control ends and plugs was solved.
    ///
    /// With many switches and jacks there are more combinations than are taken; a rating or an
    /// output that is passed in one of the others would go unseen.
    ///
    /// Limits: between its ends and its middle a control is looked at only along the output's
    /// curve.
    id: "states-left-out", gate: Power, stage: OutputRange,
    sources: [
        ("worst case over every operating mode, ECSS-Q-HB-30-01A", Memory),
    ],
    sign_off: "A person has gone through the combinations of switches, controls and plugs that were left out, and found none worse than those computed.",
    always_applies: "every design has at least one state",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let place = Place::design("parts");
    let evidence = context.evidence;
    if let Some(left_out) = &evidence.left_out {
        return vec![Outcome::not_assessed(place, Gate::Power, left_out)];
    }
    if evidence.situations.is_empty() {
        return vec![Outcome::not_assessed(
            place,
            Gate::Power,
            "nothing was solved",
        )];
    }
    let says = format!("all {} states looked at", evidence.counts.states);
    vec![Outcome::holds(place, says)]
}
