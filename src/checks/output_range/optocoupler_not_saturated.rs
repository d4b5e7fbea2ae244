//! See [`CHECK`].

use crate::checks::prelude::*;

/// What is left of the transfer ratio of an LED at the end of its life.
const AGED: f64 = 0.5;

check! {
    /// Compares what every optocoupler's transistor carries, as a multiple of its LED's current,
    /// with half of the least current transfer ratio of its type, in every state with the LED lit.
    ///
    /// The ratio differs by six to one between two parts of one type, falls as the LED ages, and
    /// with heat. A transistor that has to carry less than the least ratio allows is saturated and
    /// switches whatever part is fitted; one that carries all the ratio gives puts out something
    /// else in every box.
    ///
    /// Limits: mean currents; below 10 µA the LED counts as dark. The ratio is the maker's at 5 or
    /// 10 mA; below 1 mA it is less.
    id: "optocoupler-not-saturated", gate: Share, stage: OutputRange,
    sources: [
        ("current transfer ratio 50–600 % (PC817 class), 100 % at least (4N35), makers' sheets", Memory),
        ("an optocoupler's LED loses half its light over its life, makers' notes", Memory),
    ],
    sign_off: "With the LED lit the voltage across the optocoupler's transistor was measured: below 0.4 V.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        &[Kind::Optocoupler],
        "no optocoupler in the box",
        |part| {
            let stress = |what| context.evidence.stress(&part.reference, what, as_meant);
            let ratio = stress(Stress::TransferRatio)?;
            let lit = stress(Stress::CurrentMean)?;
            let least = part
                .figure(Property::CurrentTransferRatio)
                .ok_or_else(|| {
                    lacks(format!(
                        "{} gives no `current-transfer-ratio`",
                        part.reference
                    ))
                })?
                .spread
                .low;
            let comparison = Comparison::at_most(
                "collector current over LED current",
                &ratio,
                AGED * least,
                Unit::Ratio,
                format!("half of the least transfer ratio, {}", per_cent(least)),
            );
            Ok(Outcome::compare(at(part, "nets"), comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "The transistor of {} carries {:.2} times the current of its LED; {:.2} times is what every part gives, aged too ({}).",
                        named(part),
                        c.value,
                        c.limit,
                        c.limit_is
                    ),
                    "It is not sure to saturate: what it puts out differs from part to part and from year to year.",
                    format!(
                        "Make the resistor at its collector so large that it carries at most {} with the {} of its LED, or give the LED more.",
                        amperes(c.limit * lit.high),
                        amperes(lit.high)
                    ),
                )
            }))
        },
    )
}
