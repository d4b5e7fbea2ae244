//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the lowest and the highest current of a fixed regulator with the range of load over
    /// which its maker specifies the output.
    ///
    /// Above that range the output falls along the load regulation, which this review counts in;
    /// below it nobody promises anything: some types rise by a few tenths of a volt unloaded.
    ///
    /// Limits: settled means with everything plugged as meant; what an unloaded output does is not
    /// computed.
    id: "regulator-outside-specified-load", gate: Note, stage: Ratings,
    sources: [
        ("onsemi MC7800: output over 5 mA–1 A; Wing 78L05: over 1–40 mA at 7–20 V", Confirmed),
        ("other types likewise", Memory),
    ],
    sign_off: "The output was read once with the least load and once with the most.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Note,
        &[Kind::Regulator],
        "no fixed regulator in the box",
        |part| {
            let place = at(part, "type");
            let Some(range) = part.figure(Property::LoadRange).map(|f| f.spread) else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "no load is given over which its output is specified",
                ));
            };
            let load = context
                .evidence
                .stress(&part.reference, Stress::CurrentMean, as_meant)?;
            let idle = load.low < range.low;
            let comparison = if idle {
                Comparison::at_least(
                    "least load",
                    &load,
                    range.low,
                    Unit::Ampere,
                    "least load with a specified output",
                )
            } else {
                Comparison::at_most(
                    "load, against the specified range",
                    &load,
                    range.high,
                    Unit::Ampere,
                    "highest load with a specified output",
                )
            };
            Ok(Outcome::compare(place, comparison, |c| {
                let (does, bound, why, remedy) = if idle {
                    (
                        "delivers as little as",
                        "from",
                        "With so little to carry it may stand higher than its tolerance.",
                        "a resistor that draws the rest",
                    )
                } else {
                    (
                        "delivers up to",
                        "up to",
                        "It stands lower than its tolerance by the load regulation, which is counted in.",
                        "a type for more current",
                    )
                };
                Failure::new(
                    Gate::Note,
                    format!(
                        "{} {does} {}; its output is specified {bound} {}.",
                        named(part),
                        c.value_text(),
                        c.limit_text()
                    ),
                    why,
                    format!(
                        "Nothing, if that does no harm; else {remedy} at {}.",
                        part.reference
                    ),
                )
            }))
        },
    )
}
