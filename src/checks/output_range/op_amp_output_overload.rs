//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the current that every op-amp's output delivers or takes, with everything plugged
    /// as meant, with 75 % of its limit.
    ///
    /// Near its current limit an op-amp drops, heats and loses its accuracy.
    ///
    /// Limits: mean current, states as meant.
    id: "op-amp-output-overload", gate: Share, stage: OutputRange,
    sources: [("linear IC output current 75–80 %, ECSS-Q-ST-30-11C, MIL-STD-975", Memory)],
    sign_off: "The output keeps its voltage when the instrument is plugged in.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        &[Kind::OpAmp],
        "no op-amp in the box",
        |part| {
            let able = part
                .figure(Property::OutputCurrent)
                .ok_or_else(|| lacks(format!("{} gives no `output-current`", part.reference)))?
                .spread
                .low;
            let current =
                context
                    .evidence
                    .stress(&part.reference, Stress::CurrentMean, as_meant)?;
            let (value, situation) = if -current.low > current.high {
                (-current.low, current.low_at)
            } else {
                (current.high, current.high_at)
            };
            let mut comparison = Comparison::fixed(
                "output current",
                value,
                Bound::AtMost,
                able * 0.75,
                Unit::Ampere,
                format!("75 % of {}", amperes(able)),
            );
            comparison.situation = Some(situation);
            Ok(Outcome::compare(at(part, "type"), comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "The output of {} carries {}; it should be held to {} ({}): {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "It drops, heats, and no longer follows.",
                    format!(
                        "Load {} less: at least {} at its output.",
                        part.reference,
                        ohms(10.0 / c.limit)
                    ),
                )
            }))
        },
    )
}
