//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the current taken from a DC adaptor or a battery with its rated current.
    ///
    /// A switching adaptor shuts down or hiccups above its rating; a plain one overheats; a small
    /// battery sags and heats.
    ///
    /// Limits: the mean over a mains period; a battery without a rated current is not assessed.
    id: "supply-overload", gate: Power, stage: Ratings,
    sources: [("the rating on the label is the highest continuous current", Practice)],
    sign_off: "The label of the adaptor or battery was read and carries at least the listed current.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[Kind::DcAdaptor, Kind::Battery];
    each_part(
        context,
        Gate::Power,
        kinds,
        "no DC adaptor or battery",
        |part| {
            let rating = rated(part, Property::Current)?;
            let mean = context
                .evidence
                .stress(&part.reference, Stress::CurrentMean, powered)?;
            let comparison = Comparison::at_most(
                "current drawn",
                &mean,
                rating,
                Unit::Ampere,
                "rated current",
            );
            Ok(Outcome::compare(at(part, "current"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} delivers {} and is rated {}: {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "An overloaded supply overheats, or shuts down in the middle of a show.",
                    format!(
                        "Use a supply rated at least {} at {}, or draw less.",
                        amperes(c.value * 1.25),
                        part.reference
                    ),
                )
            }))
        },
    )
}
