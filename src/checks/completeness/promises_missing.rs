//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks whether the design promises anything: its rails, the span of its output, its ripple.
    ///
    /// Without promises a review can say that nothing breaks, not that the box does what it is
    /// for.
    ///
    /// Limits: a note; that there are promises, not that they are the right ones.
    id: "promises-missing", gate: Note, stage: Completeness,
    sources: [("a requirement, how it was shown, margin, verdict", Practice)],
    sign_off: "The promises are what the user needs.",
    always_assessed: "the design's own words are read",
    always_applies: "every design can say it",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let place = Place::design("promises");
    vec![if context.design.promises.is_empty() {
        Outcome::fails(
            place,
            Failure::new(
                Gate::Note,
                "The design promises nothing.",
                "It is reviewed against the instrument and the ratings alone.",
                "Write `promises:` for each rail and for the span of the output.",
            ),
        )
    } else {
        Outcome::holds(place, format!("{} promises", context.design.promises.len()))
    }]
}
