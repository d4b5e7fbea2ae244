//! See [`CHECK`].

use crate::checks::prelude::*;

/// Temperature limit where none is given: the lower of the two common ones [°C].
pub const LOWEST: f64 = 85.0;

check! {
    /// Compares the air around every electrolytic and tantalum capacitor with its temperature
    /// limit.
    ///
    /// Above it the electrolyte's vapour opens the seal.
    ///
    /// Limits: the box's air; a hot part close by is not known. Without a limit 85 °C
    /// is taken, of a range its low end.
    id: "electrolytic-over-temperature", gate: Power, stage: Thermal,
    sources: [("category temperatures 85 and 105 °C, makers' series", Confirmed)],
    sign_off: "No electrolytic touches a regulator, its heatsink or a warm resistor.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        POLARISED,
        "no electrolytic in the box",
        |part| {
            let limit = part
                .figure(Property::TemperatureLimit)
                .map_or(LOWEST, |f| f.spread.low);
            let air = context
                .evidence
                .stress(&part.reference, Stress::Air, powered)?;
            let comparison = Comparison::at_most(
                "air around it",
                &air,
                limit,
                Unit::Celsius,
                "temperature limit",
            );
            Ok(Outcome::compare(
                at(part, "temperature-limit"),
                comparison,
                |c| {
                    Failure::new(
                        Gate::Power,
                        format!(
                            "{} stands in air of {} and takes {}: {} too hot.",
                            named(part),
                            c.value_text(),
                            c.limit_text(),
                            c.gap()
                        ),
                        "The electrolyte boils off and the seal opens.",
                        format!("Fit a 105 °C type at {}, and cool the box.", part.reference),
                    )
                },
            ))
        },
    )
}
