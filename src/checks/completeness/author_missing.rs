//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks whether the design says who made it.
    ///
    /// Nobody can be asked when it does not work.
    ///
    /// Limits: that something is written, not whether it is right.
    id: "author-missing", gate: Share, stage: Completeness,
    sources: [("a shared document names its author", Practice)],
    sign_off: "The author can be reached.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let place = Place::design("author");
    let written = context
        .design
        .author
        .as_deref()
        .is_some_and(|text| !text.trim().is_empty());
    vec![if written {
        Outcome::holds(place, "it is stated")
    } else {
        Outcome::fails(
            place,
            Failure::new(
                Gate::Share,
                "The design does not say who made it.",
                "Nobody can be asked when it does not work.",
                "Write `author:` in the design.",
            ),
        )
    }]
}
