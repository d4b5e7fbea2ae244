//! See [`CHECK`].

use crate::checks::prelude::*;

/// Below this an LED is dark [A].
const DARK: f64 = 20e-6;
/// Reverse rating of an LED that gives none [V].
const COMMON: f64 = 5.0;

check! {
    /// Looks for an LED that no state of the powered box lights and that sees a reverse voltage.
    ///
    /// A turned LED stays dark: the box looks dead and people poke about in it. Below its reverse
    /// rating nothing is lost; above, the LED is.
    ///
    /// Limits: settled states with the box on.
    id: "led-turned", gate: Power, stage: Polarity,
    sources: [("an LED lights with its anode towards the more positive rail", Practice)],
    sign_off: "Each LED lights at first power.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Led],
        "no LED in the box",
        |part| {
            let place = at(part, "nets");
            let current = context
                .evidence
                .stress(&part.reference, Stress::CurrentPeak, powered)?;
            let reverse =
                context
                    .evidence
                    .stress(&part.reference, Stress::ReverseVoltage, powered)?;
            if current.high > DARK || reverse.high < 0.5 {
                return Ok(Outcome::holds(place, "lights when the box is on"));
            }
            let rating = part
                .figure(Property::ReverseVoltage)
                .map_or(COMMON, |f| f.spread.nominal);
            let gate = if reverse.high > rating {
                Gate::Power
            } else {
                Gate::Share
            };
            let anode = part.net("anode").unwrap_or("an open net");
            let cathode = part.net("cathode").unwrap_or("an open net");
            Ok(Outcome::fails(
                place,
                Failure::new(
                    gate,
                    format!(
                        "{} is turned round: it never lights and sees {} in reverse (it takes {}).",
                        named(part),
                        volts(reverse.high),
                        volts(rating)
                    ),
                    "The box looks dead with power on; above its reverse rating the LED is lost as well.",
                    format!(
                        "Turn {} round: anode to {cathode}, cathode to {anode}.",
                        part.reference
                    ),
                ),
            ))
        },
    )
}
