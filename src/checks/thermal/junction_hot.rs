//! See [`CHECK`].

use super::heat::{SEMICONDUCTORS, junction, limit};
use crate::checks::prelude::*;

check! {
    /// Compares the junction temperature of every semiconductor with its limit derated by the
    /// design's policy: benign, 25 K below the limit and at most 110 °C; severe, 40 K below and at
    /// most 95 °C.
    ///
    /// Every 10 K less roughly doubles the life; a regulator near its limit drifts, and the
    /// control voltage with it.
    ///
    /// Limits: as for the limit itself; the policy `none` switches it off.
    id: "junction-hot", gate: Share, stage: Thermal,
    sources: [
        ("System Reliability Center, Part Derating Parameters: diode Tj 95 °C severe; 115 °C benign, where 110 °C is taken", Confirmed),
        ("ECSS-Q-ST-30-11C: 110 °C or Tjmax − 40 K", Memory),
    ],
    sign_off: "Parts that run hot stand clear of electrolytics and of the control's wiring.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        SEMICONDUCTORS,
        "no semiconductor that heats",
        |part| {
            let place = at(part, "package");
            let limit = limit(part);
            let Some((allowed, words)) = derating::junction(context.design.derating, limit) else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "the design asks for no derating",
                ));
            };
            let reached = junction(context, part, allowed)?;
            let comparison = Comparison::at_most(
                "junction temperature, derated",
                &reached,
                allowed,
                Unit::Celsius,
                format!("{words}, {}", celsius(limit)),
            );
            Ok(Outcome::compare(place, comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "The junction of {} reaches {}; it should be held to {} ({}): {} too hot.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "It works, but drifts as it warms up and does not last.",
                    super::heat::remedy(context, part, limit),
                )
            }))
        },
    )
}
