//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the highest reverse voltage of every diode with its rating derated by the
    /// design's policy (80 % benign, 70 % severe).
    ///
    /// Mains spikes come through a small transformer; a 40 V Schottky in a half-wave rectifier
    /// fails this from about 16 V of peak winding voltage on.
    ///
    /// Limits: the policy `none` switches it off; the size of the spikes is not modelled.
    id: "diode-reverse-derating", gate: Share, stage: Ratings,
    sources: [
        ("System Reliability Center, Part Derating Parameters: diode VR 70 % severe, 80 % benign", Confirmed),
    ],
    sign_off: "No diode was replaced by one of lower voltage that looks the same.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[Kind::Diode, Kind::Bridge];
    each_part(context, Gate::Share, kinds, "no diode in the box", |part| {
        let place = at(part, "type");
        let Some(allowance) = derating::diode_voltage(context.design.derating) else {
            return Ok(Outcome::does_not_apply(
                place,
                "the design asks for no derating",
            ));
        };
        let rating = rated(part, Property::ReverseVoltage)?;
        let reverse = context
            .evidence
            .stress(&part.reference, Stress::ReverseVoltage, any)?;
        let comparison = Comparison::at_most(
            "peak reverse voltage, derated",
            &reverse,
            rating * allowance.share,
            Unit::Volt,
            allowance.of(&volts(rating)),
        );
        Ok(Outcome::compare(place, comparison, |c| {
            Failure::new(
                Gate::Share,
                format!(
                    "{} blocks up to {}, above the {} it should be held to ({}): {} too much.",
                    named(part),
                    c.value_text(),
                    c.limit_text(),
                    c.limit_is,
                    c.gap()
                ),
                "A spike on the mains has little left to go before the diode breaks down.",
                format!(
                    "Fit a diode rated at least {} at {}.",
                    volts(c.value / allowance.share),
                    part.reference
                ),
            )
        }))
    })
}
