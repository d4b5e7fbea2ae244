//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks for a resistor between whatever drives the output and the jack.
    ///
    /// A plug shorts tip to ring and sleeve on its way in. Without a resistor the op-amp or the
    /// regulator is shorted each time, and a fault in the box reaches the instrument unlimited.
    ///
    /// Limits: the wiring is read: an output that is a supply's or an op-amp's own pin.
    id: "output-unprotected", gate: Share, stage: OutputRange,
    sources: [
        ("series protection 1 kΩ typical, 220 Ω to 10 kΩ", Practice),
        ("ANSI E1.3: controller output ≤ 100 Ω, short-proof", Memory),
    ],
    sign_off: "The output survives a shorted plug, tried once at the bench.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_feed(
        context,
        Gate::Share,
        "the box feeds no instrument",
        |feed| {
            let place = at(feed.jack, "nets");
            Ok(match wiring::driven_directly(context.design, feed.net) {
            None => Outcome::holds(place, "nothing drives the contact without a resistor"),
            Some(driver) => Outcome::fails(
                place,
                Failure::new(
                    Gate::Share,
                    format!("{} drives the {} of {} directly.", named(driver), feed.input.signal, feed.jack.reference),
                    "Each plug going in shorts it, and whatever goes wrong in the box reaches the instrument unlimited.",
                    format!("Put 1 kΩ in series with the {} of {}.", feed.input.signal, feed.jack.reference),
                )
                .with(vec![Place::part(&driver.reference)]),
            ),
        })
        },
    )
}
