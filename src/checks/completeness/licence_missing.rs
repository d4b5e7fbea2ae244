//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks whether the design says under which licence it may be built and changed.
    ///
    /// Without one nobody may copy or change it.
    ///
    /// Limits: that something is written, not whether it is right.
    id: "licence-missing", gate: Share, stage: Completeness,
    sources: [("a shared document states its licence, SPDX identifiers", Practice)],
    sign_off: "All who worked on it agreed to the licence.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let place = Place::design("licence");
    let written = context
        .design
        .licence
        .as_deref()
        .is_some_and(|text| !text.trim().is_empty());
    vec![if written {
        Outcome::holds(place, "it is stated")
    } else {
        Outcome::fails(
            place,
            Failure::new(
                Gate::Share,
                "The design does not say under which licence it may be built and changed.",
                "Without one nobody may copy or change it.",
                "Write `licence:` with an SPDX identifier, CC-BY-4.0 for instance.",
            ),
        )
    }]
}
