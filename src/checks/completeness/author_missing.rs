//! See [`CHECK`].

use super::stated::stated;
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
    always_assessed: "the design's own words are read",
    always_applies: "every design can say it",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    stated(
        "author",
        context.design.author.as_deref(),
        "The design does not say who made it.",
        "Nobody can be asked when it does not work.",
        "Write `author:` in the design.",
    )
}
