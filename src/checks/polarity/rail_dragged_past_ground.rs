//! See [`CHECK`].

use crate::checks::prelude::*;

/// How far a rail may stand on the wrong side of ground, the drop of a clamp diode included [V].
const PAST: f64 = 1.0;

check! {
    /// Compares how far every regulated rail goes past ground, the wrong way, during switch-on and
    /// switch-off with one volt.
    ///
    /// The rail that comes up first pulls the other across ground through whatever joins them; a
    /// regulator that starts so may latch, and its output capacitor is reversed meanwhile.
    ///
    /// Limits: the transients that were followed; both halves of a dual supply start from empty
    /// reservoirs together.
    id: "rail-dragged-past-ground", gate: Share, stage: Polarity,
    sources: [("electrolytics take a volt in reverse for a short while, makers' sheets", Memory)],
    sign_off: "Both rails were watched on a scope at switch-on and switch-off.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_regulator(context, Gate::Share, |part, place, output| {
        let (reach, event) = context.evidence.excursion(output)?;
        let (value, situation) = if wiring::polarity(part) > 0.0 {
            (-reach.low, reach.low_at)
        } else {
            (reach.high, reach.high_at)
        };
        let mut comparison = Comparison::fixed(
            "rail past ground while switching",
            value,
            Bound::AtMost,
            PAST,
            Unit::Volt,
            "what a clamp diode leaves",
        );
        comparison.situation = Some(situation);
        Ok(Outcome::compare(place, comparison, |c| {
            let band = if wiring::polarity(part) > 0.0 {
                output
            } else {
                "gnd"
            };
            Failure::new(
                Gate::Share,
                format!(
                    "At {event} {output}, the rail of {}, goes {} past ground the wrong way; {} is the most.",
                    named(part),
                    c.value_text(),
                    c.limit_text()
                ),
                "The regulator may latch and not come up, and its output capacitor is reversed.",
                format!("Fit a 1N4001 between {output} and gnd, its band to {band}."),
            )
        }))
    })
}
