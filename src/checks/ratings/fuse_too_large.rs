//! See [`CHECK`].

use crate::checks::prelude::*;

/// Rating of the fuse as a multiple of the rated current of the supply it protects.
const MULTIPLE: f64 = 1.6;
/// Multiple of its rating at which a fuse must blow.
const BLOWS: f64 = 2.1;

check! {
    /// Compares the rating of every fuse on a supply with 1.6 times that supply's rated current.
    ///
    /// A fuse never blows at 1.5 times its rating and need not until 2.1 times. Far above the
    /// supply's rating it protects nothing: the winding burns first.
    ///
    /// Limits: fuses wired straight to an adaptor, winding or battery; a battery without a rated
    /// current must give 2.1 times the fuse's rating into a short, fresh.
    id: "fuse-too-large", gate: Power, stage: Ratings,
    sources: [
        ("IEC 60127: holds 1.5 In for an hour, blows at 2.1 In", Secondary),
        ("fuse a winding at its rated current, up to 1.6 times with a reservoir", Practice),
    ],
    sign_off: "No fuse was replaced by a larger one, by foil or by wire.",
    always_assessed: "every figure it needs must be given or has a default",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Fuse],
        "no fuse in the box",
        |part| {
            let place = at(part, "value");
            let rating =
                rated(part, Property::Value).or_else(|_| rated(part, Property::Current))?;
            let Some(source) = wiring::straight_to_supply(context.design, part) else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "it is not wired straight to a supply",
                ));
            };
            let able = match source.figure(Property::Current) {
                Some(figure) => figure.spread.nominal * MULTIPLE,
                None => short_circuit(source)? / BLOWS,
            };
            let comparison = Comparison::fixed(
                "fuse rating",
                rating,
                Bound::AtMost,
                able,
                Unit::Ampere,
                format!("what {} can bear or blow", source.reference),
            );
            Ok(Outcome::compare(place, comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} is rated {}, more than the {} that {} may be fused with.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        source.reference
                    ),
                    "With a short in the box the winding or the wiring burns before the fuse goes.",
                    format!(
                        "Fit a fuse of at most {} at {}.",
                        amperes(c.limit),
                        part.reference
                    ),
                )
                .with(vec![Place::part(&source.reference)])
            }))
        },
    )
}

fn short_circuit(battery: &Part) -> Result<f64, Missing> {
    if let Ok(current) = rated(battery, Property::ShortCircuitCurrent) {
        return Ok(current);
    }
    Ok(rated(battery, Property::Fresh)? / rated(battery, Property::Resistance)?)
}
