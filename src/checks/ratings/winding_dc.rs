//! See [`CHECK`].

use crate::checks::prelude::*;

/// Share of the rated secondary current that may flow as DC.
const SHARE: f64 = 0.2;

check! {
    /// Compares the mean (DC) current through an AC winding with 20 % of its rated current.
    ///
    /// Unequal half-wave loads leave a direct current in the winding. It magnetises the core to
    /// one side until it saturates: the primary current rises, the adaptor hums and warms with
    /// little load on it. An LED on one rail only is enough to unbalance a light load.
    ///
    /// Limits: the magnetising current of the adaptor at hand is not known; 20 % of the rating is
    /// the lower end of what small cores magnetise with.
    id: "winding-dc", gate: Share, stage: Ratings,
    sources: [
        ("half-wave DC flux component: ATC-Frost and Petra, use about 0.5 W or less", Confirmed),
        ("flag net DC above 10–20 % of the rated secondary current", Practice),
    ],
    sign_off: "The adaptor stays no more than hand-warm after an hour under load and does not hum.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        AC_SOURCES,
        "no AC adaptor or transformer",
        |part| {
            let rating = rated(part, Property::Current)?;
            let mean = context
                .evidence
                .stress(&part.reference, Stress::CurrentMean, as_meant)?;
            let (value, situation) = if -mean.low > mean.high {
                (-mean.low, mean.low_at)
            } else {
                (mean.high, mean.high_at)
            };
            let mut comparison = Comparison::fixed(
                "direct current in the winding",
                value,
                Bound::AtMost,
                SHARE * rating,
                Unit::Ampere,
                format!("20 % of {}", amperes(rating)),
            );
            comparison.situation = Some(situation);
            Ok(Outcome::compare(at(part, "current"), comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "The winding of {} carries {} of direct current; {} is the most it should ({}).",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is
                    ),
                    "Direct current saturates the core: the adaptor hums and heats with little load.",
                    "Load both half-wave rails alike (move the LED, add a resistor), or use a bridge.",
                )
            }))
        },
    )
}
