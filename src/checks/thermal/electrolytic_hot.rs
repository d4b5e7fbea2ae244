//! See [`CHECK`].

use super::electrolytic_over_temperature::LOWEST;
use crate::checks::prelude::*;

check! {
    /// Compares the air around every electrolytic and tantalum capacitor with 20 K below its
    /// temperature limit.
    ///
    /// The limit is where a new part lasts its thousand or two thousand hours, not where one
    /// should live.
    ///
    /// Limits: the box's air; the policy `none` switches it off. Without a limit 85 °C is taken.
    id: "electrolytic-hot", gate: Share, stage: Thermal,
    sources: [
        ("System Reliability Center, Part Derating Parameters: electrolytic and tantalum Tmax − 20 K", Confirmed),
    ],
    sign_off: "Electrolytics stand away from whatever runs hot.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        POLARISED,
        "no electrolytic in the box",
        |part| {
            let place = at(part, "temperature-limit");
            let Some(below) = derating::capacitor_temperature(context.design.derating, part.kind)
            else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "the design asks for no derating",
                ));
            };
            let limit = part
                .figure(Property::TemperatureLimit)
                .map_or(LOWEST, |f| f.spread.nominal);
            let air = context
                .evidence
                .stress(&part.reference, Stress::Air, powered)?;
            let comparison = Comparison::at_most(
                "air around it, derated",
                &air,
                limit - below,
                Unit::Celsius,
                format!("20 K below {}", celsius(limit)),
            );
            Ok(Outcome::compare(place, comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} stands in air of {}; it should be held to {} ({}): {} too hot.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "It dries out in a season or two.",
                    format!("Fit a 105 °C type at {}, and cool the box.", part.reference),
                )
            }))
        },
    )
}
