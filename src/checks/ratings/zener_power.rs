//! See [`CHECK`].

use crate::checks::prelude::*;

const KINDS: &[Kind] = &[Kind::Zener, Kind::TransientSuppressor, Kind::ShuntReference];

check! {
    /// Compares the mean dissipation of zeners, suppressors and shunt references with their
    /// rating derated by the design's policy; above the rating itself the power gate is blocked.
    ///
    /// A shunt element carries most when its load is unplugged and the mains is high.
    ///
    /// Limits: the rating is at 25 °C or a lead temperature that few boxes hold; the derating is
    /// there for that.
    id: "zener-power", gate: Power, stage: Ratings,
    sources: [
        ("zener power 50 %, EEE-INST-002", Memory),
        ("1N4733A: rated 1.3 W, practically 500 mW", Secondary),
    ],
    sign_off: "The wattage of each zener fitted was read from its type number, not from its size.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        KINDS,
        "no zener, suppressor or shunt reference",
        |part| {
            let rating = rated(part, Property::Power)?;
            let heat = context
                .evidence
                .stress(&part.reference, Stress::Dissipation, powered)?;
            let (share, words) = derating::power(context.design.derating)
                .map_or((1.0, "rating"), |a| (a.share, a.words));
            let comparison = Comparison::at_most(
                "dissipation",
                &heat,
                rating * share,
                Unit::Watt,
                format!("{words} of {}", watts(rating)),
            );
            Ok(Outcome::compare(at(part, "power"), comparison, |c| {
                let gate = if c.value > rating {
                    Gate::Power
                } else {
                    Gate::Share
                };
                Failure::new(
                    gate,
                    format!(
                        "{} dissipates {}; it should be held to {} ({}): {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "It overheats and fails as a short, or open, and then no longer protects anything.",
                    format!(
                        "Make the resistor that feeds {} larger, or fit a type rated {}.",
                        part.reference,
                        watts(preferred::resistor_power(c.value / share))
                    ),
                )
            }))
        },
    )
}
