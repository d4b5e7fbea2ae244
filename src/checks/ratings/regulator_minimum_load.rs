//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the least current a regulator delivers, everything unplugged, with the minimum
    /// load its maker asks for.
    ///
    /// An adjustable regulator sends its own supply current out of the output. Without enough
    /// load the output creeps up towards the input. The usual 240 Ω gives 5.2 mA, which meets the
    /// typical but not the maximum figure of 10 mA.
    ///
    /// Limits: types that state no minimum are left out.
    id: "regulator-minimum-load", gate: Share, stage: Ratings,
    sources: [
        ("Motorola LM317L: minimum load 3.5 mA typical, 10 mA maximum", Confirmed),
        ("R1 ≤ Vref / Imin: 125 Ω for 10 mA", Computed),
    ],
    sign_off: "The output was measured with nothing plugged in.",
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
            let Some(minimum) = part.figure(Property::MinimumLoad) else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "this type asks for no minimum load",
                ));
            };
            let input = part
                .net("in")
                .ok_or_else(|| lacks(format!("{} has no input net", part.reference)))?;
            let on = Energised::of(context, input)?;
            if on.never() {
                return Ok(Outcome::does_not_apply(place, "its input is never alive"));
            }
            let current = context
                .evidence
                .stress(&part.reference, Stress::CurrentMean, |s| on.holds(s))?;
            let comparison = Comparison::at_least(
                "least load",
                &current,
                minimum.spread.high,
                Unit::Ampere,
                "minimum load of the type",
            );
            Ok(Outcome::compare(place, comparison, |c| {
                let reference = part
                    .figure(Property::Reference)
                    .map_or(1.25, |f| f.spread.low);
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} delivers only {} and needs {} of load: {} short.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "With too little load the output rises above what was set.",
                    format!(
                        "Make the resistor from output to adjust pin at most {} at {}, or add a load of {}.",
                        ohms(reference / c.limit),
                        part.reference,
                        amperes(c.limit - c.value)
                    ),
                )
            }))
        },
    )
}
