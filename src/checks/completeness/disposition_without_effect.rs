//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks whether every acceptance and signed line of the review file still does something.
    ///
    /// An acceptance that matches nothing hides that the design changed since it was reviewed;
    /// one that may not be given, or has run out, must not look as if it counted.
    ///
    /// Limits: matches by check and place, not by what the reviewer had in mind.
    id: "disposition-without-effect", gate: Share, stage: Completeness,
    sources: [("acceptances are reviewed with every revision", Practice)],
    sign_off: "The reviewer has read the findings of this revision.",
    always_assessed: "the design's own words are read",
    always_applies: "every design can say it",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    if context.stale.is_empty() {
        return vec![Outcome::holds(
            Place::design("title"),
            "every acceptance and signed line matches a finding",
        )];
    }
    context
        .stale
        .iter()
        .map(|line| {
            Outcome::fails(
                Place::design("title"),
                Failure::new(
                    Gate::Share,
                    format!("In the review file, {line}."),
                    "A decision that matches nothing, or may not be made, must not look as if it counted.",
                    "Take it out of the review file, or review the finding anew.",
                ),
            )
        })
        .collect()
}
