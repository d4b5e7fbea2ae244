//! See [`CHECK`].

use crate::checks::prelude::*;

use crate::checks::prospective::short_circuit;

/// What a glass fuse of low breaking capacity interrupts, or ten times its rating if that is
/// more [A].
const LOW: f64 = 35.0;

check! {
    /// Compares the current that the supply drives into a dead short with what a small glass fuse
    /// can interrupt: 35 A, or ten times its rating.
    ///
    /// A fuse that is asked to break more than it can draws an arc inside the glass and goes on
    /// conducting, or bursts. Adaptors never come near; battery packs and car supplies do.
    ///
    /// Limits: fuses wired straight to a supply; the supply's inner resistance alone limits, wire
    /// and holder are not counted. A ceramic (high breaking capacity) fuse takes 1500 A and is not
    /// told apart.
    id: "fuse-breaking-capacity", gate: Power, stage: Ratings,
    sources: [("IEC 60127-2: low breaking capacity 35 A or 10 In, high 1500 A", Memory)],
    sign_off: "On a battery or another supply that can deliver tens of amperes the fuse is a ceramic one.",
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
            let place = at(part, "current");
            let rating = rated(part, Property::Current)?;
            let Some(source) = wiring::straight_to_supply(context.design, part) else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "it is not wired straight to a supply",
                ));
            };
            let comparison = Comparison::fixed(
                "current into a short",
                short_circuit(context.design, source)?.most,
                Bound::AtMost,
                LOW.max(10.0 * rating),
                Unit::Ampere,
                "what a glass fuse interrupts",
            );
            Ok(Outcome::compare(place, comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} drives {} into a short; a glass fuse such as {} interrupts {}.",
                        named(source),
                        c.value_text(),
                        part.reference,
                        c.limit_text()
                    ),
                    "The arc goes on inside the fuse: it bursts, or the fault burns on.",
                    format!(
                        "Fit a ceramic fuse of high breaking capacity at {}, or put {} in series with {}.",
                        part.reference,
                        format_short(preferred::e12(context_voltage(source) / c.limit), Unit::Ohm),
                        source.reference
                    ),
                )
                .with(vec![Place::part(&source.reference)])
            }))
        },
    )
}

fn context_voltage(source: &Part) -> f64 {
    [Property::OpenCircuit, Property::Fresh, Property::Output]
        .iter()
        .find_map(|property| source.figure(*property))
        .map_or(1.0, |figure| figure.spread.high.abs())
}
