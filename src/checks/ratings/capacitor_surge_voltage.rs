//! See [`CHECK`].

use crate::checks::prelude::*;

/// Share of its rating that an electrolytic takes for a moment, rated up to 315 V.
const SURGE: f64 = 1.15;
/// The same, rated above 315 V.
const SURGE_ABOVE: f64 = 1.10;

check! {
    /// Compares the highest voltage on every electrolytic during switch-on and switch-off with its
    /// surge voltage: 1.15 times its rating up to 315 V, 1.10 times above.
    ///
    /// Before the load draws anything the reservoir overshoots to the full peak of the mains; the
    /// rating is for every day, the surge voltage for that moment.
    ///
    /// Limits: the transients that were followed. Between two nets the difference of their
    /// extremes is taken, which may never stand at the same instant.
    id: "capacitor-surge-voltage", gate: Power, stage: Ratings,
    sources: [
        ("TDK B41858: surge voltage 1.15 times the rated voltage, 10–100 V", Confirmed),
        ("IEC 60384-4: 1.10 times above 315 V", Memory),
    ],
    sign_off: "The first switch-on was made with a lamp or resistor in series, and the reservoir's voltage watched.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Electrolytic],
        "no electrolytic in the box",
        |part| {
            let rating = rated(part, Property::Rating)?;
            let share = if rating <= 315.0 { SURGE } else { SURGE_ABOVE };
            let (one, other) = (
                reach(context, part, "positive")?,
                reach(context, part, "negative")?,
            );
            let (up, down) = (one.high - other.low, other.high - one.low);
            let mut comparison = Comparison::fixed(
                "voltage while switching",
                up.max(down),
                Bound::AtMost,
                rating * share,
                Unit::Volt,
                format!("{} of {}, for a moment", per_cent(share), volts(rating)),
            );
            comparison.situation = one.situation.or(other.situation);
            Ok(Outcome::compare(at(part, "rating"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} sees {} while the box is switched and takes {} ({}): {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "Each switch-on damages its oxide; one day it vents or shorts.",
                    format!(
                        "Fit a capacitor rated {} at {}.",
                        volts(preferred::capacitor_voltage(c.value / 0.8)),
                        part.reference
                    ),
                )
            }))
        },
    )
}

struct Reach {
    low: f64,
    high: f64,
    situation: Option<usize>,
}

fn reach(context: &Context, part: &Part, terminal: &str) -> Result<Reach, Missing> {
    match part.net(terminal) {
        None | Some("gnd") => Ok(Reach {
            low: 0.0,
            high: 0.0,
            situation: None,
        }),
        Some(net) => context.evidence.excursion(net).map(|(extent, _)| Reach {
            low: extent.low,
            high: extent.high,
            situation: Some(if -extent.low > extent.high {
                extent.low_at
            } else {
                extent.high_at
            }),
        }),
    }
}
