//! See [`CHECK`].

use crate::checks::prelude::*;

/// Rating of a sensor or thermistor that gives none: small photoresistors and beads [W].
const LEAST: f64 = 0.05;

check! {
    /// Compares the dissipation of every sensor and thermistor with its rating derated by the
    /// design's policy; above the rating itself the power gate is blocked.
    ///
    /// A photoresistor in full light, or a force sensor pressed hard, is a small resistor across
    /// the supply; it also warms itself and drifts.
    ///
    /// Limits: the positions of its travel that were solved. Without `power:` 50 mW is taken, the
    /// least of small photoresistors and beads.
    id: "sensor-overload", gate: Power, stage: Ratings,
    sources: [("small photoresistors 50–100 mW, makers' sheets", Memory)],
    sign_off: "The sensor stays cool at the end of its travel where its resistance is lowest.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Sensor, Kind::Thermistor],
        "no sensor and no thermistor in the box",
        |part| {
            let rated = super::rated::Rated {
                part,
                key: "resistance",
                stress: Stress::Dissipation,
                quantity: "dissipation",
                rating: part
                    .figure(Property::Power)
                    .map_or(LEAST, |f| f.spread.nominal),
                allowance: derating::power(context.design.derating),
            };
            rated.judge(
                context,
                &format!("{} dissipates", named(part)),
                "It warms itself, drifts, and then fails.",
                |c| {
                    format!(
                        "Put a resistor in series with {} or lower its supply, until {} is left.",
                        part.reference,
                        watts(c.limit)
                    )
                },
            )
        },
    )
}
