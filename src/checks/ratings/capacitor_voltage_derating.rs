//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the highest voltage across every capacitor with its rating derated by the
    /// design's policy: 80 % for aluminium electrolytics in attended indoor service, 50 % for
    /// solid tantalum on a rail that can deliver a surge, 70 % for film and ceramic.
    ///
    /// A capacitor run at its rating lives, but not long, and leaves nothing for a hotter room, a
    /// stronger adaptor or a part from the junk box.
    ///
    /// Limits: the policy `none` switches derating off; a breach of the rating itself is another
    /// check's finding.
    id: "capacitor-voltage-derating", gate: Share, stage: Ratings,
    sources: [
        ("System Reliability Center, Part Derating Parameters: aluminium electrolytic 70 % severe, 80 % benign; ceramic and film 60 % and 70 %", Confirmed),
        ("solid tantalum on low-impedance rails: 50 %, makers' advice", Memory),
    ],
    sign_off: "Capacitors from old stock were re-formed and their leakage measured before use.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        CAPACITORS,
        "no capacitor in the box",
        |part| {
            let place = at(part, "rating");
            let Some(allowance) = derating::capacitor_voltage(context.design.derating, part.kind)
            else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "the design asks for no derating",
                ));
            };
            let rating = rated(part, Property::Rating)?;
            let peak = context
                .evidence
                .stress(&part.reference, Stress::PeakVoltage, any)?;
            let comparison = Comparison::at_most(
                "peak working voltage, derated",
                &peak,
                rating * allowance.share,
                Unit::Volt,
                allowance.of(&volts(rating)),
            );
            Ok(Outcome::compare(place, comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} sees up to {}, above the {} it should be held to ({}): {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "It will work, with a shorter life and nothing in hand for a stronger adaptor.",
                    format!(
                        "Fit a capacitor rated {} at {}.",
                        format_short(
                            preferred::capacitor_voltage(c.value / allowance.share),
                            Unit::Volt
                        ),
                        part.reference
                    ),
                )
            }))
        },
    )
}
