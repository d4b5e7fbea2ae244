//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks for a transformer or supply whose primary is inside the box.
    ///
    /// Mains wiring in a home-built box can kill whoever touches it, years later. This tool does
    /// not judge it: fuse, earth, cord grip, creepage and insulation are a licensed person's work
    /// under the local code. The power gate stays shut until such a person has inspected the unit
    /// and signed this line.
    ///
    /// Limits: what `where: inside` says; a transformer that does not say is taken as inside.
    id: "primary-inside-box", gate: Power, stage: Isolation,
    sources: [
        ("IEC 61558-2-6: safety isolating transformers", Confirmed),
        ("no user-made mains wiring; local codes and licensed practice go before", Practice),
    ],
    sign_off: "Where mains is inside, a licensed person has inspected that side of this unit and signed for it.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        SOURCES,
        "no supply in the box",
        |part| {
            let place = at(part, "where");
            let inside = match part.word("where") {
                Some(word) => word == "inside",
                None => part.kind == Kind::Transformer,
            };
            Ok(if !inside {
                Outcome::holds(place, "no mains in the box")
            } else if part.kind == Kind::Battery {
                Outcome::does_not_apply(place, "a battery has no mains side")
            } else {
                Outcome::not_assessed(
                    place,
                    Gate::Power,
                    format!(
                        "{} has its mains side inside the box: a licensed person must inspect it and sign this line",
                        named(part)
                    ),
                )
            })
        },
    )
}
