//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks whether the sleeve of every jack is on `gnd`.
    ///
    /// The sleeve of an instrument's jack is its ground, and its case. A box that puts anything
    /// else there shifts or shorts its supply as soon as the plug is in, and again through any
    /// second cable.
    ///
    /// Limits: jacks with nothing to do with an instrument block the share gate only.
    id: "jack-sleeve-not-ground", gate: Plug, stage: Pinout,
    sources: [("tip, ring, sleeve: the sleeve is ground, IEC 60603-11", Memory)],
    sign_off: "The sleeve of each jack measures zero ohms to the box's ground.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Plug,
        &[Kind::Jack],
        "no jack in the box",
        |part| {
            let place = at(part, "nets");
            let sleeve = part.net("sleeve").unwrap_or("nc");
            if sleeve == "gnd" {
                return Ok(Outcome::holds(place, "sleeve on gnd"));
            }
            let feeds = context
                .design
                .connections
                .get(&part.reference)
                .is_some_and(|list| {
                    list.iter()
                        .any(|c| matches!(c, Connection::Instrument { .. }))
                });
            let gate = if feeds { Gate::Plug } else { Gate::Share };
            Ok(Outcome::fails(
                place,
                Failure::new(
                    gate,
                    if sleeve == "nc" {
                        format!("The sleeve of {} is open.", part.reference)
                    } else {
                        format!(
                            "The sleeve of {} is on {sleeve}, not on gnd.",
                            part.reference
                        )
                    },
                    "The instrument's ground meets that net: it is shorted, or the output has no return.",
                    format!("Put the sleeve of {} on gnd.", part.reference),
                ),
            ))
        },
    )
}
