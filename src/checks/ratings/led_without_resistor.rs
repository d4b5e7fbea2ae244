//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks for something that limits the current of every LED: a resistor in series with it or
    /// with the string it stands in, or a transistor that drives it.
    ///
    /// An LED across a supply draws whatever the supply has until one of them fails.
    ///
    /// Limits: the wiring alone is read: from the LED outward through switches, links, fuses and
    /// other diodes until the net branches. A resistor beyond a branch is not counted.
    id: "led-without-resistor", gate: Power, stage: Ratings,
    sources: [("an LED needs its current limited; 2.2 kΩ from an unregulated rail is customary", Practice)],
    sign_off: "Each LED's resistor was measured before the LED was soldered in.",
    always_assessed: "the wiring decides; a computed current only illustrates it",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Led, Kind::Optocoupler],
        "no LED and no optocoupler in the box",
        |part| {
            let place = at(part, "nets");
            let feeds = wiring::stiff(context.design, part, "anode", true);
            let drains = wiring::stiff(context.design, part, "cathode", false);
            let limited = feeds
                .iter()
                .all(|feed| drains.iter().all(|drain| feed == drain));
            if limited {
                return Ok(Outcome::holds(
                    place,
                    "no supply reaches both its leads without a resistor",
                ));
            }
            let leads = ["anode", "cathode"].map(|lead| part.net(lead));
            let driven = leads.into_iter().flatten().any(|net| {
                wiring::on(context.design, net)
                    .iter()
                    .any(|(other, terminal)| {
                        matches!(other.kind, Kind::Bipolar | Kind::Mosfet)
                            && matches!(*terminal, "collector" | "drain")
                    })
            });
            if driven {
                return Ok(Outcome::does_not_apply(
                    place,
                    "a transistor drives it: see its current",
                ));
            }
            let current = context
                .evidence
                .stress(&part.reference, Stress::CurrentMean, powered)
                .map_or_else(
                    |_| String::new(),
                    |c| format!(" ({} computed)", amperes(c.high)),
                );
            Ok(Outcome::fails(
                place,
                Failure::new(
                    Gate::Power,
                    format!("Nothing limits the current of {}{current}.", named(part)),
                    "An LED without a resistor takes all the supply has until one of them fails.",
                    format!(
                        "Put a resistor in series with {}: 2.2 kΩ from an unregulated rail of about 15 V, 1 kΩ from 5 to 6 V.",
                        part.reference
                    ),
                ),
            ))
        },
    )
}
