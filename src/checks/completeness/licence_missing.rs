//! See [`CHECK`].

use super::stated::stated;
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
    always_assessed: "the design's own words are read",
    always_applies: "every design can say it",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    stated(
        "licence",
        context.design.licence.as_deref(),
        "The design does not say under which licence it may be built and changed.",
        "Without one nobody may copy or change it.",
        "Write `licence:` with an SPDX identifier, CC-BY-4.0 for instance.",
    )
}
