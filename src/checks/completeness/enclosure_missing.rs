//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks whether the design gives the size and material of its enclosure.
    ///
    /// Without them the heat in the box is a guess and nobody knows whether it conducts.
    ///
    /// Limits: that they are given.
    id: "enclosure-missing", gate: Share, stage: Completeness,
    sources: [("a thermal result names its enclosure", Practice)],
    sign_off: "The enclosure used is no smaller than the one listed.",
    always_assessed: "the design's own words are read",
    always_applies: "every design can say it",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let place = Place::design("conditions.enclosure");
    let given = context
        .design
        .conditions
        .enclosure
        .as_ref()
        .is_some_and(|e| {
            (e.size.is_some() || e.thermal_resistance.is_some()) && e.material.is_some()
        });
    vec![if given {
        Outcome::holds(place, "size and material are given")
    } else {
        Outcome::fails(
            place,
            Failure::new(
                Gate::Share,
                "The design does not give the size and material of its enclosure.",
                "The heat in the box is then a guess, and so is whether it conducts.",
                "Write `enclosure: {size: 120 x 100 x 50 mm, material: aluminium}` under `conditions:`.",
            ),
        )
    }]
}
