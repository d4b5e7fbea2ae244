//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the current through every potentiometer's wiper, at the worst setting, with its
    /// rated wiper current or, without one, with the current that loads the whole track to its
    /// rating: √(P/R).
    ///
    /// The power rating of a track is per length. With the wiper near an end the same current
    /// burns a spot.
    ///
    /// Limits: the mean current; a wiper joined to one end counts like any other.
    id: "wiper-current", gate: Power, stage: Ratings,
    sources: [
        ("rheostat limit I ≤ √(Pr/Rtotal) at any setting", Memory),
        ("10 kΩ, 0.1 W: 3.2 mA", Computed),
    ],
    sign_off: "With the control at each end in turn nothing gets warm and the track stays quiet.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Potentiometer],
        "no potentiometer in the box",
        |part| {
            let (limit, limit_is) = if let Some(figure) = part.figure(Property::WiperCurrent) {
                (figure.spread.nominal, "rated wiper current".to_owned())
            } else {
                let power = rated(part, Property::Power)?;
                let track = part
                    .figure(Property::Value)
                    .ok_or_else(|| lacks(format!("{} has no value", part.reference)))?;
                let limit = libm::sqrt(power / track.spread.high);
                (limit, format!("√(P/R) of {}", watts(power)))
            };
            let current = context
                .evidence
                .stress(&part.reference, Stress::CurrentMean, powered)?;
            let comparison =
                Comparison::at_most("wiper current", &current, limit, Unit::Ampere, limit_is);
            Ok(Outcome::compare(at(part, "nets"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "The wiper of {} carries up to {} and may carry {} ({}): {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "The track burns at one spot; from then on the control crackles or goes open.",
                    format!(
                        "Put a resistor in series with the wiper of {}, and check that no end or wiper is on a supply.",
                        part.reference
                    ),
                )
            }))
        },
    )
}
