//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks for a class I supply in a box that feeds an instrument.
    ///
    /// A class I supply ties the box's ground to the mains earth; the instrument has its own. The
    /// two make a loop through the signal's sleeve, and it hums.
    ///
    /// Limits: what `class:` says; a class I supply with an isolated secondary is not told apart.
    id: "earth-loop", gate: Share, stage: Isolation,
    sources: [("one earth for one signal path: class II supplies at the accessories", Practice)],
    sign_off: "With everything connected the output is free of hum.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let feeds = context
        .design
        .connections
        .values()
        .flatten()
        .any(|connection| matches!(connection, Connection::Instrument { .. }));
    each_part(
        context,
        Gate::Share,
        SOURCES,
        "no supply in the box",
        |part| {
            let place = at(part, "class");
            let earthed = part.word("class") == Some("I");
            if !earthed || !feeds {
                return Ok(Outcome::holds(place, "no second earth through the supply"));
            }
            Ok(Outcome::fails(
                place,
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} is of class I: the box's ground may be tied to the mains earth.",
                        named(part)
                    ),
                    "Together with the instrument's own earth it makes a loop that hums.",
                    "Use a class II adaptor; never lift an earth.",
                ),
            ))
        },
    )
}
