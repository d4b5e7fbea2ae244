//! See [`CHECK`].

use super::stated::stated;
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
    always_assessed: "the design's own words are read",
    always_applies: "every design can say it",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    stated(
        "purpose",
        context.design.purpose.as_deref(),
        "The design does not say what it is for.",
        "A stranger cannot tell whether it fits, or whether it works.",
        "Write `purpose:` in one or two sentences.",
    )
}
