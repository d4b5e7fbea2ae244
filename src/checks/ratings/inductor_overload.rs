//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the highest current through every inductor with its rated current.
    ///
    /// Beyond it the core saturates: the choke is then a piece of wire, and the ripple it was to
    /// keep out goes through.
    ///
    /// Limits: settled current; the inductance is taken as constant up to the rating.
    id: "inductor-overload", gate: Power, stage: Ratings,
    sources: [("rated current of a choke: the lower of saturation and heating, makers' sheets", Practice)],
    sign_off: "The choke's rated current is for saturation, not for its wire alone.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Inductor],
        "no inductor in the box",
        |part| {
            let rated = super::rated::Rated {
                part,
                key: "current",
                stress: Stress::CurrentPeak,
                quantity: "choke current",
                rating: rated(part, Property::Current)?,
                allowance: None,
            };
            rated.judge(
                context,
                &format!("{} carries", named(part)),
                "Its core saturates, the ripple goes through, and the winding overheats.",
                |c| {
                    format!(
                        "Fit a choke rated at least {} at {}.",
                        amperes(c.value * 1.2),
                        part.reference
                    )
                },
            )
        },
    )
}
