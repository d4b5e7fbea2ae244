//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks for a photo of a built unit among the records.
    ///
    /// A stranger builds from the photo and looks at the drawing only when it does not work.
    ///
    /// Limits: that there is one, not what it shows.
    id: "photos-missing", gate: Share, stage: Completeness,
    sources: [("a build record carries a photo", Practice)],
    sign_off: "The photo shows the wiring of this revision, in focus.",
    always_assessed: "the design's own words are read",
    always_applies: "every design can say it",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let place = Place::design("title");
    vec![if context.built.photos > 0 {
        Outcome::holds(place, format!("{} on record", context.built.photos))
    } else {
        Outcome::fails(
            place,
            Failure::new(
                Gate::Share,
                "There is no photo of a built unit.",
                "A stranger has nothing to compare the wiring with.",
                "Photograph the open box and name the file in the unit's record.",
            ),
        )
    }]
}
