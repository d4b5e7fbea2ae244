//! See [`CHECK`].

use crate::checks::prelude::*;

/// Film resistors carry their full rating up to this temperature [°C] …
const FULL: f64 = 70.0;
/// … and nothing at this one [°C].
const ZERO: f64 = 155.0;

check! {
    /// Compares the mean dissipation of every resistor with its rating at the temperature of the
    /// air around it.
    ///
    /// A resistor above its rating discolours, drifts and chars the board below it.
    ///
    /// Limits: film resistors: full rating to 70 °C, then in a straight line to nothing at
    /// 155 °C; short pulses are averaged over the mains period.
    id: "resistor-power", gate: Power, stage: Ratings,
    sources: [
        ("film resistor derating: full to 70 °C, linear to zero at 155 °C", Memory),
    ],
    sign_off: "Each resistor fitted has at least the body size of its listed power.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Resistor],
        "no resistor in the box",
        |part| {
            let rating = rated(part, Property::Power)?;
            let heat = context
                .evidence
                .stress(&part.reference, Stress::Dissipation, powered)?;
            let air = context
                .evidence
                .stress(&part.reference, Stress::Air, powered)?;
            let share = ((ZERO - air.high) / (ZERO - FULL)).clamp(0.0, 1.0);
            let comparison = Comparison::at_most(
                "dissipation",
                &heat,
                rating * share,
                Unit::Watt,
                if share < 1.0 {
                    format!(
                        "{} rated, less in air of {}",
                        watts(rating),
                        celsius(air.high)
                    )
                } else {
                    "its rating".to_owned()
                },
            );
            Ok(Outcome::compare(at(part, "power"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} dissipates {} and may dissipate {} ({}): {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "It overheats, drifts, and chars what it touches.",
                    format!(
                        "Fit a resistor rated {} at {}.",
                        format_short(preferred::resistor_power(c.value / 0.6), Unit::Watt),
                        part.reference
                    ),
                )
            }))
        },
    )
}
