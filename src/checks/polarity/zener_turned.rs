//! See [`CHECK`].

use crate::checks::prelude::*;

/// Forward current from which on a zener works as a plain diode [A].
const FORWARD: f64 = 100e-6;

check! {
    /// Looks for a zener that conducts forward and is never reversed by as much as half its
    /// voltage.
    ///
    /// A zener turned round clamps at 0.7 V instead of its voltage: the rail behind it collapses,
    /// or the instrument's protection does nothing on one side.
    ///
    /// Limits: settled states with the box on; a zener that only clamps on a fault never conducts
    /// and is not found here.
    id: "zener-turned", gate: Power, stage: Polarity,
    sources: [("a zener works with its cathode on the more positive net", Practice)],
    sign_off: "The band of each zener was compared with the drawing before power.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Zener],
        "no zener in the box",
        |part| {
            let place = at(part, "nets");
            let value = rated(part, Property::Value)?;
            let reverse =
                context
                    .evidence
                    .stress(&part.reference, Stress::ReverseVoltage, powered)?;
            let forward = context
                .evidence
                .stress(&part.reference, Stress::CurrentMean, powered)?;
            if forward.high <= FORWARD || reverse.high >= value / 2.0 {
                return Ok(Outcome::holds(place, "does not conduct forward"));
            }
            let anode = part.net("anode").unwrap_or("an open net");
            let cathode = part.net("cathode").unwrap_or("an open net");
            Ok(Outcome::fails(
                place,
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} is turned round: it conducts {} forward and is reversed by {} at most, never by its {}.",
                        named(part),
                        amperes(forward.high),
                        volts(reverse.high.max(0.0)),
                        volts(value)
                    ),
                    "It clamps at 0.7 V instead of its voltage: what it should hold up collapses.",
                    format!(
                        "Turn {} round: cathode (band) to {anode}, anode to {cathode}.",
                        part.reference
                    ),
                ),
            ))
        },
    )
}
