//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks whether the design names its revision and says what changed in it.
    ///
    /// Two boxes of two revisions look alike; the one that was never corrected is the one that
    /// fails.
    ///
    /// Limits: the current revision only.
    id: "revision-notes-missing", gate: Share, stage: Completeness,
    sources: [("a build record names the design revision", Practice)],
    sign_off: "The revision is written inside each box.",
    always_assessed: "the design's own words are read",
    always_applies: "every design can say it",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let place = Place::design("revision");
    let trouble = match &design.revision {
        None => Some((
            "The design names no revision.".to_owned(),
            "Write `revision: A` and say under `revisions:` what it is.".to_owned(),
        )),
        Some(revision) if !design.revisions.contains_key(revision) => Some((
            format!("Nothing says what changed in revision {revision}."),
            format!("Add `{revision}:` under `revisions:`."),
        )),
        Some(_) => None,
    };
    vec![match trouble {
        None => Outcome::holds(place, "the revision and what changed in it are stated"),
        Some((what, remedy)) => Outcome::fails(
            place,
            Failure::new(
                Gate::Share,
                what,
                "Nobody can tell a corrected box from one that was not.",
                remedy,
            ),
        ),
    }]
}
