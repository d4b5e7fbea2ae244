//! See [`CHECK`].

use super::rated::Rated;
use crate::checks::prelude::*;

check! {
    /// Compares the dissipation of every potentiometer's track, at the worst setting, with its
    /// rating derated by the design's policy; above the rating itself the power gate is blocked.
    ///
    /// A pot used as a variable resistor puts all its current through what little track is left
    /// near the end, and burns it there.
    ///
    /// Limits: the rating belongs to the whole track; the wiper check guards the short piece.
    id: "potentiometer-power", gate: Power, stage: Ratings,
    sources: [
        ("16 mm carbon tracks 0.1–0.2 W linear, half of that for audio law", Memory),
        ("variable resistor power 60–70 %, EEE-INST-002", Memory),
    ],
    sign_off: "The potentiometer fitted has the listed body size and law.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Potentiometer],
        "no potentiometer in the box",
        |part| {
            let rated = Rated {
                part,
                key: "power",
                stress: Stress::Dissipation,
                quantity: "track dissipation",
                rating: rated(part, Property::Power)?,
                allowance: derating::power(context.design.derating),
            };
            rated.judge(
                context,
                &format!("The track of {} dissipates", named(part)),
                "The track burns or turns scratchy where it is loaded most.",
                |_| {
                    format!(
                        "Use a higher resistance or a larger potentiometer at {}, or a resistor in series with its track.",
                        part.reference
                    )
                },
            )
        },
    )
}
