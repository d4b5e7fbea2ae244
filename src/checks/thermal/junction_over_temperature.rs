//! See [`CHECK`].

use super::heat::{SEMICONDUCTORS, junction, limit};
use crate::checks::prelude::*;

check! {
    /// Compares the junction temperature of every regulator, diode, zener and transistor, at the
    /// hottest ambient, highest mains and fullest load, with its limit.
    ///
    /// A TO-92 regulator rises 200 K for each watt in free air: 12 V down to 5 V at 50 mA is
    /// already 70 K. Beyond its limit it shuts down, drifts, or dies passing its whole input.
    ///
    /// Limits: settled heat, still air; thermal shutdown is not counted as protection. A part
    /// without a thermal resistance is bounded at 400 K/W and assessed only where that suffices.
    id: "junction-over-temperature", gate: Power, stage: Thermal,
    sources: [
        ("Tj = Ta + P θJA; heromicro news 313: 2 W at 60 K/W and 50 °C is 170 °C", Confirmed),
        ("78L in TO-92: 200 K/W (ST, onsemi), limit 125 °C (ST)", Confirmed),
    ],
    sign_off: "After an hour under load in the closed box no part is too hot to touch, or it is meant to be.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        SEMICONDUCTORS,
        "no semiconductor that heats",
        |part| {
            let limit = limit(part);
            let reached = junction(context, part, limit)?;
            let comparison = Comparison::at_most(
                "junction temperature",
                &reached,
                limit,
                Unit::Celsius,
                "highest junction temperature",
            );
            Ok(Outcome::compare(at(part, "package"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "The junction of {} reaches {} and may reach {}: {} too hot.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "It shuts down or dies; a regulator that dies may pass its whole input on.",
                    super::heat::remedy(context, part, limit),
                )
            }))
        },
    )
}
