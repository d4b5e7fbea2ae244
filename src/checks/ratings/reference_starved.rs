//! See [`CHECK`].

use crate::checks::prelude::*;

/// Share of its test current at which a zener still holds its voltage.
const KNEE: f64 = 0.2;
/// Below this a zener is not at work as a reference [A].
const IDLE: f64 = 50e-6;

check! {
    /// Compares the least current through every shunt reference with the least it regulates at,
    /// and through every zener that works as one with a fifth of its test current.
    ///
    /// At the knee a reference is not one: its voltage sags, and it follows the mains and every
    /// load.
    ///
    /// Limits: settled states with the box used as meant. A zener that is idle with everything
    /// nominal is a clamp and does not count.
    id: "reference-starved", gate: Share, stage: Ratings,
    sources: [
        ("TL431: cathode current 1 mA at least, 0.4 mA typical (TI, NXP)", Confirmed),
        ("hold a zener at a fifth of its test current or more", Practice),
    ],
    sign_off: "The reference stays put when its load is plugged in and out at low mains.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        &[Kind::Zener, Kind::ShuntReference],
        "no zener and no shunt reference in the box",
        |part| {
            let place = at(part, "kind");
            let mean = |when: &dyn Fn(&Situation) -> bool| {
                context
                    .evidence
                    .stress(&part.reference, Stress::CurrentMean, when)
            };
            let (current, least, words) = if part.kind == Kind::ShuntReference {
                let cathode = part
                    .net("cathode")
                    .ok_or_else(|| lacks(format!("{} has its cathode open", part.reference)))?;
                let on = Energised::of(context, cathode)?;
                if on.never() {
                    return Ok(Outcome::does_not_apply(place, "it is never alive"));
                }
                let least = rated(part, Property::MinimumCurrent)?;
                (
                    mean(&|s| on.holds(s))?,
                    least,
                    "least cathode current".to_owned(),
                )
            } else {
                let forward = mean(&as_meant)?;
                if -forward.nominal < IDLE {
                    return Ok(Outcome::does_not_apply(
                        place,
                        "a clamp: idle in normal use",
                    ));
                }
                let test = rated(part, Property::TestCurrent)?;
                let breakdown = Extent {
                    low: -forward.high,
                    nominal: -forward.nominal,
                    high: -forward.low,
                    low_at: forward.high_at,
                    nominal_at: forward.nominal_at,
                    high_at: forward.low_at,
                };
                let words = format!("a fifth of its {} test current", amperes(test));
                (breakdown, KNEE * test, words)
            };
            let comparison = Comparison::at_least(
                "current of the reference",
                &current,
                least,
                Unit::Ampere,
                words,
            );
            Ok(Outcome::compare(place, comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} is left with {} and needs {} ({}).",
                        named(part),
                        amperes(c.value.max(0.0)),
                        c.limit_text(),
                        c.limit_is
                    ),
                    "The reference sags with the mains and with every load on it.",
                    format!(
                        "Make the resistor that feeds {} smaller, until {} is left at the worst.",
                        part.reference,
                        amperes(c.limit * 1.5)
                    ),
                )
            }))
        },
    )
}
