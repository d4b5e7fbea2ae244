//! See [`CHECK`].

use crate::checks::prelude::*;

use crate::checks::prospective::short_circuit;

/// Trip current as a multiple of the hold current, where none is given.
const TRIPS: f64 = 2.0;

check! {
    /// Compares the current that the supply drives into a short with the current at which the
    /// resettable fuse behind it trips.
    ///
    /// A small adaptor cannot deliver twice the hold current of a large resettable fuse. Then the
    /// winding takes the short for as long as it lasts, and the fuse never notices.
    ///
    /// Limits: resettable fuses wired straight to a supply; the lowest current the supply drives,
    /// at low mains or on a flat battery; without `trip-current:` twice the hold current.
    id: "ptc-never-trips", gate: Power, stage: Ratings,
    sources: [("polymer PTC: trip about twice the hold current", Memory)],
    sign_off: "With the output shorted through a meter the resettable fuse tripped within seconds.",
    always_assessed: "every figure it needs must be given or has a default",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Ptc],
        "no resettable fuse in the box",
        |part| {
            let place = at(part, "trip-current");
            let trip = rated(part, Property::TripCurrent)
                .or_else(|_| rated(part, Property::HoldCurrent).map(|hold| TRIPS * hold))?;
            let Some(source) = wiring::straight_to_supply(context.design, part) else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "it is not wired straight to a supply",
                ));
            };
            let comparison = Comparison::fixed(
                "current into a short",
                short_circuit(context.design, source)?.least,
                Bound::AtLeast,
                trip,
                Unit::Ampere,
                format!("trip current of {}", part.reference),
            );
            Ok(Outcome::compare(place, comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} drives only {} into a short and {} trips at {}: it never trips.",
                        named(source),
                        c.value_text(),
                        part.reference,
                        c.limit_text()
                    ),
                    "The supply's winding takes the short until it burns or its own thermal fuse goes.",
                    format!(
                        "Fit a resettable fuse that trips below {} at {}.",
                        amperes(c.value * 0.8),
                        part.reference
                    ),
                )
                .with(vec![Place::part(&source.reference)])
            }))
        },
    )
}
