//! See [`CHECK`].

use super::led_turned::DARK;
use crate::checks::prelude::*;

/// Below this an LED is not seen in daylight [A].
const DIM: f64 = 0.5e-3;

check! {
    /// Compares the current of every LED, in the state in which it is brightest, with half a
    /// milliampere.
    ///
    /// An indicator that nobody can see is worse than none: the box is taken for off and opened.
    ///
    /// Limits: mean current; high-efficiency types are seen at less. An LED that is dark because it
    /// is turned round is another check's.
    id: "led-dark", gate: Share, stage: Polarity,
    sources: [("panel LEDs 2–5 mA, seen from about half a milliampere on", Practice)],
    sign_off: "Each LED is seen at arm's length with the stage lights on.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        &[Kind::Led],
        "no LED in the box",
        |part| {
            let stress = |what| context.evidence.stress(&part.reference, what, powered);
            let current = stress(Stress::CurrentMean)?;
            let reverse = stress(Stress::ReverseVoltage)?;
            let place = at(part, "kind");
            if current.high <= DARK && reverse.high > 0.5 {
                return Ok(Outcome::does_not_apply(place, "it is turned round"));
            }
            let mut comparison = Comparison::fixed(
                "LED current at its brightest",
                current.high,
                Bound::AtLeast,
                DIM,
                Unit::Ampere,
                "seen in daylight",
            );
            comparison.situation = Some(current.high_at);
            Ok(Outcome::compare(place, comparison, |c| {
                let never = c.value <= DARK;
                Failure::new(
                    if never { Gate::Share } else { Gate::Note },
                    if never {
                        format!("{} never lights in any state of the box.", named(part))
                    } else {
                        format!(
                            "{} gets {} at its brightest; from {} on it is seen.",
                            named(part),
                            c.value_text(),
                            c.limit_text()
                        )
                    },
                    "The box looks dead with power on.",
                    if never {
                        format!(
                            "Find what cuts {} off: an open net, a switch, a supply below its forward voltage.",
                            part.reference
                        )
                    } else {
                        format!(
                            "Make the resistor in series with {} {:.0} times smaller.",
                            part.reference,
                            (2e-3 / c.value).min(100.0)
                        )
                    },
                )
            }))
        },
    )
}
