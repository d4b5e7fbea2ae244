//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the volt-amperes that an AC adaptor or transformer delivers with its rating.
    ///
    /// The VA a rectifier with a reservoir asks for is far above the watts of its load: a factor
    /// of 1.4 to 2.3 by circuit.
    ///
    /// Limits: without a `va` the product of rated output and current is taken.
    id: "apparent-power", gate: Power, stage: Ratings,
    sources: [
        ("ATC-Frost: VA = 2.3 times the DC watts for half-wave with capacitor", Confirmed),
        ("Myrra: with rectifier and capacitor the VA needed is far above Vdc × Idc", Confirmed),
    ],
    sign_off: "The VA on the transformer's or adaptor's label is at least the one listed.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        AC_SOURCES,
        "no AC adaptor or transformer",
        |part| {
            let rating = match part.figure(Property::Va) {
                Some(figure) => figure.spread.nominal,
                None => rated(part, Property::Output)? * rated(part, Property::Current)?,
            };
            let va = context
                .evidence
                .stress(&part.reference, Stress::ApparentPower, powered)?;
            let comparison = Comparison::at_most(
                "apparent power",
                &va,
                rating,
                Unit::VoltAmpere,
                "rated apparent power",
            );
            Ok(Outcome::compare(at(part, "va"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} delivers {} and is rated {}: {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "The transformer overheats; the VA count, not the watts of the load.",
                    format!(
                        "Use one rated at least {} at {}.",
                        format(c.value * 1.25, Unit::VoltAmpere),
                        part.reference
                    ),
                )
            }))
        },
    )
}
