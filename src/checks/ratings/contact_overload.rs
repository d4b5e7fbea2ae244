//! See [`CHECK`].

use crate::checks::prelude::*;

/// The least rated current of common signal switches and relays [A].
const LEAST: f64 = 0.1;

check! {
    /// Compares the highest current through the contacts of every switch and relay with their
    /// rating, derated by the design's policy; above the rating itself the power gate is blocked.
    ///
    /// A contact that switches a reservoir or a lamp welds at its inrush.
    ///
    /// Limits: settled current peaks; a reservoir behind the contact is judged by its steady
    /// pulses. Without a rating 0.1 A is taken, the least of common signal switches.
    id: "contact-overload", gate: Power, stage: Ratings,
    sources: [
        ("switch and relay contacts: resistive 75 %, EEE-INST-002", Memory),
        ("the smallest slide and toggle switches are rated 0.1 A and more", Practice),
    ],
    sign_off: "The rating printed on each switch is for DC where it switches DC.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[Kind::Switch, Kind::Relay];
    each_part(
        context,
        Gate::Power,
        kinds,
        "no switch or relay in the box",
        |part| {
            let rating = part
                .figure(Property::Current)
                .map_or(LEAST, |f| f.spread.nominal);
            let (share, words) = derating::contact_current(context.design.derating)
                .map_or((1.0, "rating"), |a| (a.share, a.words));
            let peak = context
                .evidence
                .stress(&part.reference, Stress::CurrentPeak, powered)?;
            let comparison = Comparison::at_most(
                "contact current",
                &peak,
                rating * share,
                Unit::Ampere,
                format!("{words} of {}", amperes(rating)),
            );
            Ok(Outcome::compare(at(part, "current"), comparison, |c| {
                let gate = if c.value > rating {
                    Gate::Power
                } else {
                    Gate::Share
                };
                Failure::new(
                    gate,
                    format!(
                        "A contact of {} carries {}; it should be held to {} ({}): {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "Overloaded contacts burn, stick, or weld shut.",
                    format!(
                        "Fit a switch rated at least {} at {}.",
                        amperes(c.value / 0.75),
                        part.reference
                    ),
                )
            }))
        },
    )
}
