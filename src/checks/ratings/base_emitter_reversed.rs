//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the reverse voltage between base and emitter of every bipolar transistor with its
    /// limit, five or six volts.
    ///
    /// Beyond it the junction breaks down like a zener. It lives at a small current, with its gain
    /// spoilt: a buffer that was good drifts for ever after.
    ///
    /// Limits: settled mean voltages, the box on or off.
    id: "base-emitter-reversed", gate: Power, stage: Ratings,
    sources: [("emitter–base limit of small-signal silicon 5–6 V, makers' sheets", Memory)],
    sign_off: "No transistor's base can be pulled away from its emitter by a plug or a control.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Bipolar],
        "no bipolar transistor in the box",
        |part| {
            let limit = rated(part, Property::EmitterBaseVoltage)?;
            let (Some(base), Some(emitter)) = (part.net("base"), part.net("emitter")) else {
                return Err(lacks(format!(
                    "{} has an open base or emitter",
                    part.reference
                )));
            };
            let (plus, minus) = if part.word("polarity") == Some("pnp") {
                (base, emitter)
            } else {
                (emitter, base)
            };
            let reverse = context.evidence.between(plus, minus, any)?;
            let comparison = Comparison::at_most(
                "base to emitter, reversed",
                &reverse,
                limit,
                Unit::Volt,
                "emitter–base limit",
            );
            Ok(Outcome::compare(at(part, "nets"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} gets {} between base and emitter the wrong way round and takes {}: {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "The junction breaks down and the gain is gone.",
                    format!(
                        "Fit a 1N4148 across base and emitter of {}, against the arrow, and 1 kΩ in series with the base.",
                        part.reference
                    ),
                )
            }))
        },
    )
}
