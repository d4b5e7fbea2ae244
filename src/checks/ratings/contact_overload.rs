//! See [`CHECK`].

use super::rated::Rated;
use crate::checks::prelude::*;

/// The least rated current of common signal switches and relays [A].
const LEAST: f64 = 0.1;

check! {
    /// Compares the highest current through the contacts of every switch and relay, and of every
    /// jack, plug and connector with something plugged or normalled, with their rating, derated by
    /// the design's policy; above the rating itself the power gate is blocked.
    ///
    /// A contact that switches a reservoir or a lamp welds at its inrush; one that is always made
    /// heats and loosens.
    ///
    /// Limits: settled current peaks; a reservoir behind the contact is judged by its steady
    /// pulses. Without a rating 0.1 A is taken, the least of common signal switches and jacks.
    id: "contact-overload", gate: Power, stage: Ratings,
    sources: [
        ("switch and relay contacts: resistive 75 %, EEE-INST-002", Memory),
        ("System Reliability Center, Part Derating Parameters: connector current 70 % severe, 85 % benign", Confirmed),
        ("the smallest slide and toggle switches are rated 0.1 A and more", Practice),
    ],
    sign_off: "The rating printed on each switch is for DC where it switches DC.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[
        Kind::Switch,
        Kind::Relay,
        Kind::Jack,
        Kind::Plug,
        Kind::Connector,
    ];
    each_part(
        context,
        Gate::Power,
        kinds,
        "no switch, relay, jack or connector in the box",
        |part| {
            let normalled = ["tip-normal", "ring-normal"]
                .iter()
                .any(|contact| part.net(contact).is_some());
            let mated = !matches!(part.kind, Kind::Switch | Kind::Relay) && !normalled;
            if mated && !context.design.connections.contains_key(&part.reference) {
                return Ok(Outcome::does_not_apply(
                    at(part, "nets"),
                    "nothing is said to be plugged there",
                ));
            }
            let rated = Rated {
                part,
                key: "current",
                stress: Stress::CurrentPeak,
                quantity: "contact current",
                rating: part
                    .figure(Property::Current)
                    .map_or(LEAST, |f| f.spread.nominal),
                allowance: if mated {
                    derating::connector_current(context.design.derating)
                } else {
                    derating::contact_current(context.design.derating)
                },
            };
            let share = rated.share();
            rated.judge(
                context,
                &format!("A contact of {} carries", named(part)),
                "Overloaded contacts burn, stick, or weld shut.",
                |c| {
                    format!(
                        "Fit a {} rated at least {} at {}.",
                        part.kind.key(),
                        amperes(c.value / share),
                        part.reference
                    )
                },
            )
        },
    )
}
