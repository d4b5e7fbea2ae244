//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks whether the design asks for no derating at all (`derating: none`).
    ///
    /// Then every part may run at its rating, and the share gate no longer sees what will not
    /// last. The cover says so too.
    ///
    /// Limits: what the policies mean is said beside each derating check.
    id: "derating-switched-off", gate: Note, stage: Completeness,
    sources: [("run parts below their ratings: severe, benign or none, by name", Practice)],
    sign_off: "Whoever switched derating off wrote down why.",
    always_assessed: "the design's own word is read",
    always_applies: "every design has a derating policy",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let place = Place::design("derating");
    let policy = match context.design.derating {
        Derating::None => {
            return vec![Outcome::fails(
                place,
                Failure::new(
                    Gate::Note,
                    "The design switches derating off: parts are held to their bare ratings.",
                    "It may pass here and still not last.",
                    "Write `derating: benign` for indoor, attended service, or `derating: severe`.",
                ),
            )];
        }
        Derating::Benign => "benign: indoor, attended service",
        Derating::Severe => "severe: harsh service",
    };
    vec![Outcome::holds(place, policy)]
}
