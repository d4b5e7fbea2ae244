//! See [`CHECK`].

use crate::checks::prelude::*;

/// Ripple that the smallest radial electrolytic takes [A]: below it no rating is asked for.
const ANY_PART: f64 = 0.01;

check! {
    /// Compares the rms ripple current of every electrolytic and tantalum capacitor with its
    /// rated ripple current.
    ///
    /// The reservoir behind a rectifier carries 2 to 3 times the DC load as ripple; the heat it
    /// makes in the capacitor's own resistance dries the electrolyte out and, far above the
    /// rating, boils it.
    ///
    /// Limits: makers rate at 100 or 120 Hz and the highest temperature; below 60 Hz ripple the
    /// true rating is some 20 % less. Under 10 mA no rating is asked for.
    id: "electrolytic-ripple-current", gate: Power, stage: Ratings,
    sources: [
        ("Hammond, Design Guide for Rectifier Use: capacitor ripple current 2–3 times the DC load", Confirmed),
        ("capacitor makers' ripple ratings at 120 Hz and the upper category temperature", Memory),
    ],
    sign_off: "The reservoir capacitor's series and ripple rating were read from its maker's sheet.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        POLARISED,
        "no electrolytic in the box",
        |part| {
            let place = at(part, "ripple-current");
            let ripple = context
                .evidence
                .stress(&part.reference, Stress::CurrentRms, powered)?;
            let rating = match rated(part, Property::RippleCurrent) {
                Ok(rating) => rating,
                Err(_) if ripple.high <= ANY_PART => ANY_PART,
                Err(missing) => return Err(missing),
            };
            let comparison = Comparison::at_most(
                "ripple current",
                &ripple,
                rating,
                Unit::Ampere,
                "rated ripple current",
            );
            Ok(Outcome::compare(place, comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} carries {} rms of ripple and is rated {}: {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "The ripple heats the capacitor from inside until it dries out or vents.",
                    format!(
                        "Fit a low-impedance type rated at least {} at {}, or two equal capacitors in parallel.",
                        amperes(c.value * 1.25),
                        part.reference
                    ),
                )
            }))
        },
    )
}
