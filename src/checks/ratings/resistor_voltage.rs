//! See [`CHECK`].

use crate::checks::prelude::*;

/// The lowest element voltage of a common resistor body (0603) [V].
const SMALLEST_BODY: f64 = 75.0;

check! {
    /// Compares the highest voltage across every resistor with the voltage limit of its body.
    ///
    /// High resistances reach the voltage limit before the power limit.
    ///
    /// Limits: without a `voltage-limit` 75 V is taken, the least of the common bodies.
    id: "resistor-voltage", gate: Power, stage: Ratings,
    sources: [
        ("limiting element voltage: 1/4 W axial 250 V, 0805 150 V, 0603 75 V", Memory),
    ],
    sign_off: "Surface-mounted resistors, where there are any, are of the listed size.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Resistor],
        "no resistor in the box",
        |part| {
            let limit = part
                .figure(Property::VoltageLimit)
                .map_or(SMALLEST_BODY, |figure| figure.spread.nominal);
            let peak = context
                .evidence
                .stress(&part.reference, Stress::PeakVoltage, any)?;
            let comparison = Comparison::at_most(
                "peak voltage",
                &peak,
                limit,
                Unit::Volt,
                "limiting element voltage",
            );
            Ok(Outcome::compare(
                at(part, "voltage-limit"),
                comparison,
                |c| {
                    Failure::new(
                        Gate::Power,
                        format!(
                            "{} sees up to {} and may see {}: {} too much.",
                            named(part),
                            c.value_text(),
                            c.limit_text(),
                            c.gap()
                        ),
                        "The element arcs over at a flaw and fails, open or as a short.",
                        format!(
                            "Fit two resistors of half the value in series at {}.",
                            part.reference
                        ),
                    )
                },
            ))
        },
    )
}
