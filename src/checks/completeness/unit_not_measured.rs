//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks for at least one built unit with readings on record.
    ///
    /// Until one unit was built and measured, the design is a thought. Demonstration units do not
    /// count.
    ///
    /// Limits: that readings exist, not that they agree; the unit's own page says that.
    id: "unit-not-measured", gate: Share, stage: Completeness,
    sources: [("a design is shared after one unit was built and measured", Practice)],
    sign_off: "The readings on record were taken on a unit built to this revision.",
    always_assessed: "the design's own words are read",
    always_applies: "every design can say it",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let place = Place::design("title");
    let built = context.built;
    vec![if built.measured > 0 {
        Outcome::holds(place, format!("{} measured", built.measured))
    } else {
        Outcome::fails(
            place,
            Failure::new(
                Gate::Share,
                if built.demonstrations > 0 {
                    "No unit was built and measured: the one on record is a demonstration."
                } else {
                    "No unit was built and measured."
                },
                "Nobody knows yet whether it works outside this review.",
                "Build one, follow the bring-up steps, and keep its readings under `units/`.",
            ),
        )
    }]
}
