//! See [`CHECK`].

use crate::checks::prelude::*;

/// Share of the rating that a fuse carries for ever, whichever standard it is made to.
const CARRIES: f64 = 0.75;

check! {
    /// Compares the rms current through every fuse, in normal use, with 75 % of its rating.
    ///
    /// A fuse to UL 248-14 ages above 75 % of its rating; one to IEC 60127 carries its full
    /// rating. A stranger fits what the shop has.
    ///
    /// Limits: room temperature; the switch-on surge is another check's.
    id: "fuse-blows-in-use", gate: Share, stage: Ratings,
    sources: [
        ("UL fuse at most 75 % of its rating continuously, IEC fuse 100 %", Secondary),
        ("Littelfuse guide: UL 248-14 carries 100 %, opens within 1 h at 135 %", Confirmed),
    ],
    sign_off: "The fuse fitted has the listed rating and speed (T or F).",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        &[Kind::Fuse],
        "no fuse in the box",
        |part| {
            let rating =
                rated(part, Property::Value).or_else(|_| rated(part, Property::Current))?;
            let current = context
                .evidence
                .stress(&part.reference, Stress::CurrentRms, as_meant)?;
            let comparison = Comparison::at_most(
                "fuse current, rms",
                &current,
                rating * CARRIES,
                Unit::Ampere,
                format!("75 % of {}", amperes(rating)),
            );
            Ok(Outcome::compare(at(part, "value"), comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} carries {} in use; a fuse of its rating should carry {} ({}): {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "It blows one day for no reason, and is then replaced by a bigger one.",
                    format!(
                        "Fit a fuse of at least {} at {}, within what the supply may deliver.",
                        amperes(c.value / CARRIES),
                        part.reference
                    ),
                )
            }))
        },
    )
}
