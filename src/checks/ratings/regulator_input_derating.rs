//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares a regulator's highest input with its absolute maximum derated by the design's
    /// policy (90 % benign, 80 % severe).
    ///
    /// Mains spikes, a slightly stronger adaptor or another maker's lower maximum use up what
    /// is left.
    ///
    /// Limits: the policy `none` switches it off.
    id: "regulator-input-derating", gate: Share, stage: Ratings,
    sources: [
        ("linear IC input: EEE-INST-002 80 %, ECSS-Q-ST-30-11C 90 %", Memory),
    ],
    sign_off: "The maker's sheet of the regulator fitted gives no lower maximum than the one listed.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        REGULATORS,
        "no regulator in the box",
        |part| {
            let place = at(part, "type");
            let Some(allowance) = derating::regulator_input(context.design.derating) else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "the design asks for no derating",
                ));
            };
            let (property, stress) = if part.kind == Kind::AdjustableRegulator {
                (Property::InputOutputLimit, Stress::InputOutput)
            } else {
                (Property::InputLimit, Stress::InputVoltage)
            };
            let limit = rated(part, property)?.abs();
            let seen = context.evidence.stress(&part.reference, stress, powered)?;
            let comparison = Comparison::at_most(
                "input voltage, derated",
                &seen,
                limit * allowance.share,
                Unit::Volt,
                allowance.of(&volts(limit)),
            );
            Ok(Outcome::compare(place, comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} sees {}, above the {} it should be held to ({}): {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "A mains spike or a slightly stronger adaptor takes it past its maximum.",
                    "Use an adaptor of lower open-circuit voltage, or a resistor before the reservoir.",
                )
            }))
        },
    )
}
