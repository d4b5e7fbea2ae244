//! See [`CHECK`].

use super::rated::Rated;
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
            let rated = Rated {
                part,
                key: "power",
                stress: Stress::Dissipation,
                quantity: "dissipation",
                rating: rated(part, Property::Power)?,
                allowance: derating::power(context.design.derating),
            };
            let share = rated.share();
            rated.judge(
                context,
                &format!("{} dissipates", named(part)),
                "It overheats and fails as a short, or open, and then no longer protects anything.",
                |c| {
                    format!(
                        "Make the resistor that feeds {} larger, or fit a type rated {}.",
                        part.reference,
                        format_short(preferred::resistor_power(c.value / share), Unit::Watt)
                    )
                },
            )
        },
    )
}
