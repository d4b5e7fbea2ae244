//! See [`CHECK`].

use crate::checks::prelude::*;

const KINDS: &[Kind] = &[
    Kind::Resistor,
    Kind::Potentiometer,
    Kind::Electrolytic,
    Kind::Tantalum,
    Kind::Film,
    Kind::Ceramic,
];

check! {
    /// Looks whether the tolerance of every resistor, potentiometer and capacitor was given.
    ///
    /// The corners of the whole review are made of these tolerances; a part from the junk box may
    /// be ±20 % where ±5 % was in mind.
    ///
    /// Limits: where none was given the usual one of the kind was taken, and says so.
    id: "tolerance-assumed", gate: Share, stage: Completeness,
    sources: [("IEC 60062: tolerance letters; IEC 60063: series and their tolerances", Memory)],
    sign_off: "The tolerance band or letter of each part fitted is at least as close as listed.",
    always_assessed: "the design's own words are read",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        KINDS,
        "no resistor or capacitor in the box",
        |part| {
            let place = at(part, "value");
            let Some(value) = part.figure(Property::Value) else {
                return Err(lacks(format!("{} has no value", part.reference)));
            };
            if !value.tolerance_assumed {
                return Ok(Outcome::holds(place, "its tolerance is given"));
            }
            Ok(Outcome::fails(
                place,
                Failure::new(
                    Gate::Share,
                    format!("The tolerance of {} is not given.", named(part)),
                    "The usual one was assumed; with a looser part the results here do not hold.",
                    format!(
                        "Write it beside the value of {}, for instance `± 5 %`.",
                        part.reference
                    ),
                ),
            ))
        },
    )
}
