//! See [`CHECK`].

use crate::checks::prelude::*;

/// The least rated voltage of common switches and relays [V].
const LEAST: f64 = 30.0;

check! {
    /// Compares the highest voltage across the contacts of every switch and relay with their
    /// rating.
    ///
    /// A contact that opens above its rating draws an arc; with DC the arc stays.
    ///
    /// Limits: without a rating 30 V is taken, the least of common signal switches.
    id: "contact-over-voltage", gate: Power, stage: Ratings,
    sources: [("the smallest slide and toggle switches are rated 30 V DC and more", Practice)],
    sign_off: "The rating printed on each switch is for DC where it switches DC.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[Kind::Switch, Kind::Relay];
    each_part(
        context,
        Gate::Power,
        kinds,
        "no switch or relay in the box",
        |part| {
            let rating = part
                .figure(Property::Voltage)
                .map_or(LEAST, |f| f.spread.nominal);
            let peak = context
                .evidence
                .stress(&part.reference, Stress::PeakVoltage, any)?;
            let comparison = Comparison::at_most(
                "voltage across contacts",
                &peak,
                rating,
                Unit::Volt,
                "rated voltage",
            );
            Ok(Outcome::compare(at(part, "voltage"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "Open contacts of {} see {} and are rated {}: {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "The contact arcs as it opens and burns away.",
                    format!(
                        "Fit a switch rated at least {} at {}.",
                        volts(c.value),
                        part.reference
                    ),
                )
            }))
        },
    )
}
