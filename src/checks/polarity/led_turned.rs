//! See [`CHECK`].

use crate::checks::prelude::*;

/// Below this an LED is dark [A].
pub const DARK: f64 = 20e-6;
/// Reverse rating of an LED that gives none [V].
const COMMON: f64 = 5.0;
/// Less than this in reverse is leakage, not a turned part [V].
const REVERSED: f64 = 0.5;

check! {
    /// Looks for an LED that no state of the powered box lights and that sees a reverse voltage.
    ///
    /// A turned LED stays dark: the box looks dead and people poke about in it. Below its reverse
    /// rating nothing is lost; above, the LED is.
    ///
    /// Limits: settled states with the box on. An LED that is dark without being reversed is
    /// another check's.
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
            let stress = |what| context.evidence.stress(&part.reference, what, powered);
            // The mean forward current: a peak may be that of the reverse breakdown.
            let current = stress(Stress::CurrentMean)?;
            let reverse = stress(Stress::ReverseVoltage)?;
            if current.high > DARK {
                return Ok(Outcome::holds(
                    place,
                    format!("conducts forward, up to {}", amperes(current.high)),
                ));
            }
            if reverse.high < REVERSED {
                return Ok(Outcome::holds(
                    place,
                    "no voltage turns it against its arrow, though none lights it either",
                ));
            }
            let rating = part
                .figure(Property::ReverseVoltage)
                .map_or(COMMON, |f| f.spread.nominal);
            let (gate, then) = if reverse.high > rating {
                (
                    Gate::Power,
                    "The LED is destroyed, and the box looks dead with power on.",
                )
            } else {
                (
                    Gate::Share,
                    "The box looks dead with power on; the LED itself survives.",
                )
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
                    then,
                    format!(
                        "Turn {} round: anode to {cathode}, cathode to {anode}.",
                        part.reference
                    ),
                ),
            ))
        },
    )
}
