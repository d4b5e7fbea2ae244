//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the mean dissipation of every resistor with its rating derated by the design's
    /// policy (60 % benign, 50 % severe).
    ///
    /// A resistor at its full rating is too hot to touch and to stand beside an electrolytic.
    ///
    /// Limits: the policy `none` switches it off.
    id: "resistor-power-derating", gate: Share, stage: Ratings,
    sources: [
        ("EEE-INST-002, film resistor 60 % to 70 °C", Memory),
        ("ECSS-Q-ST-30-11C, film resistor 50 % to 85 °C", Memory),
        ("at most half the rating, common practice", Practice),
    ],
    sign_off: "Resistors that run warm stand clear of the board, of wires and of electrolytics.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        &[Kind::Resistor],
        "no resistor in the box",
        |part| {
            let place = at(part, "power");
            let Some(allowance) = derating::power(context.design.derating) else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "the design asks for no derating",
                ));
            };
            let rating = rated(part, Property::Power)?;
            let heat = context
                .evidence
                .stress(&part.reference, Stress::Dissipation, powered)?;
            let comparison = Comparison::at_most(
                "dissipation, derated",
                &heat,
                rating * allowance.share,
                Unit::Watt,
                allowance.of(&watts(rating)),
            );
            Ok(Outcome::compare(place, comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} dissipates {}, above the {} it should be held to ({}): {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "It runs too hot to touch, drifts, and ages what stands beside it.",
                    format!(
                        "Fit a resistor rated {} at {}.",
                        format_short(
                            preferred::resistor_power(c.value / allowance.share),
                            Unit::Watt
                        ),
                        part.reference
                    ),
                )
            }))
        },
    )
}
