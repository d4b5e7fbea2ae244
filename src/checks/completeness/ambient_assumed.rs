//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks whether the design says in what temperatures the box is to work.
    ///
    /// Heat, drop-out and electrolytic life all start from the room. A lighting bridge is not a
    /// bench.
    ///
    /// Limits: without it a usual range was taken.
    id: "ambient-assumed", gate: Share, stage: Completeness,
    sources: [("a thermal result names its ambient", Practice)],
    sign_off: "The box is used within the stated temperatures.",
    always_assessed: "the design's own words are read",
    always_applies: "every design can say it",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let place = Place::design("conditions.ambient");
    let conditions = &context.design.conditions;
    vec![if conditions.ambient_assumed {
        Outcome::fails(
            place,
            Failure::new(
                Gate::Share,
                format!(
                    "The design does not say in what temperatures the box works; {} to {} was assumed.",
                    celsius(conditions.ambient.low),
                    celsius(conditions.ambient.high)
                ),
                "In a hotter place the thermal results here do not hold.",
                "Write `ambient: 5..35 °C`, or what is true, under `conditions:`.",
            ),
        )
    } else {
        Outcome::holds(place, "the ambient is given")
    }]
}
