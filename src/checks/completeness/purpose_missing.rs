//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks whether the design says what it is for.
    ///
    /// A stranger cannot tell whether it fits, or whether it works.
    ///
    /// Limits: that something is written, not whether it is right.
    id: "purpose-missing", gate: Share, stage: Completeness,
    sources: [("a shared document says what it is for", Practice)],
    sign_off: "The purpose says what the box does, not what it is made of.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let place = Place::design("purpose");
    let written = context
        .design
        .purpose
        .as_deref()
        .is_some_and(|text| !text.trim().is_empty());
    vec![if written {
        Outcome::holds(place, "it is stated")
    } else {
        Outcome::fails(
            place,
            Failure::new(
                Gate::Share,
                "The design does not say what it is for.",
                "A stranger cannot tell whether it fits, or whether it works.",
                "Write `purpose:` in one or two sentences.",
            ),
        )
    }]
}
