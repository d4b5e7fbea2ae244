//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks for two regulators whose outputs are on the same net, or joined by a fuse, link,
    /// coil or switch.
    ///
    /// Two regulators never agree to the millivolt: the higher one carries all, the other is
    /// pushed backwards, and when one is switched off first its output is driven by the other.
    ///
    /// Limits: the wiring is read; outputs joined through diodes or resistors are taken as meant.
    id: "regulators-in-parallel", gate: Share, stage: Polarity,
    sources: [("regulators share a load only through ballast resistors", Practice)],
    sign_off: "With either regulator pulled out its rail reads less than a volt.",
    always_assessed: "the wiring alone is read",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    each_regulator(context, Gate::Share, |part, place, output| {
        let joined = wiring::reach(design, output);
        let other = design.parts.values().find(|other| {
            other.reference != part.reference
                && REGULATORS.contains(&other.kind)
                && other
                    .net("out")
                    .is_some_and(|net| net != "gnd" && joined.contains(&net))
        });
        Ok(match other {
                None => Outcome::holds(place, "alone on its output"),
                Some(other) => Outcome::fails(
                    place,
                    Failure::new(
                        Gate::Share,
                        format!("{} and {} both drive {output}.", named(part), named(other)),
                        "One carries all the load and heats, the other is pushed backwards.",
                        format!(
                            "Give each its own rail, or put 1 Ω in series with each output, or take one larger type than {}.",
                            part.type_name.as_deref().unwrap_or("this")
                        ),
                    )
                    .with(vec![Place::part(&other.reference)]),
                ),
            })
    })
}
