//! See [`CHECK`].

use crate::checks::prelude::*;

/// Share of the hold current left in a warm box.
const WARM: f64 = 0.7;

check! {
    /// Compares the rms current through every resettable fuse, in normal use, with 70 % of its
    /// hold current.
    ///
    /// The hold current is stated at 20 or 25 °C; at 60 °C, beside a regulator, some 70 % is left.
    ///
    /// Limits: the temperature at the part is not looked at; 60 °C is assumed.
    id: "ptc-trips-in-use", gate: Share, stage: Ratings,
    sources: [("polymer PTC: hold current at 60 °C about 0.7 times", Memory)],
    sign_off: "The resettable fuse does not touch anything warm.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        &[Kind::Ptc],
        "no resettable fuse in the box",
        |part| {
            let hold = rated(part, Property::HoldCurrent)?;
            let current = context
                .evidence
                .stress(&part.reference, Stress::CurrentRms, as_meant)?;
            let comparison = Comparison::at_most(
                "current, rms",
                &current,
                hold * WARM,
                Unit::Ampere,
                format!("70 % of the {} hold current, at 60 °C", amperes(hold)),
            );
            Ok(Outcome::compare(
                at(part, "hold-current"),
                comparison,
                |c| {
                    Failure::new(
                        Gate::Share,
                        format!(
                            "{} carries {} in use and holds {} when warm: {} too much.",
                            named(part),
                            c.value_text(),
                            c.limit_text(),
                            c.gap()
                        ),
                        "It trips on a warm evening and the box goes dead until it cools.",
                        format!(
                            "Fit one that holds at least {} at {}.",
                            amperes(c.value / WARM),
                            part.reference
                        ),
                    )
                },
            ))
        },
    )
}
