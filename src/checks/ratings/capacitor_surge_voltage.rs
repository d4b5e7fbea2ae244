//! See [`CHECK`].

use crate::checks::prelude::*;
use crate::checks::prospective::highest_voltage;

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
    /// Limits: the transients that were followed; where none was solved, a capacitor that all
    /// supplies together cannot harm holds all the same.
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
            let (reached, situation) = match context.evidence.capacitor_surge(&part.reference) {
                Ok((reached, situation)) => (reached, Some(situation)),
                // Unsolved, it may still be out of reach of all supplies together.
                Err(missing) => match highest_voltage(context.design) {
                    Some(bound) if bound <= rating * share => (bound, None),
                    _ => return Err(missing),
                },
            };
            let mut comparison = Comparison::fixed(
                "voltage while switching",
                reached,
                Bound::AtMost,
                rating * share,
                Unit::Volt,
                format!("{} of {}, for a moment", per_cent(share), volts(rating)),
            );
            comparison.situation = situation;
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
                        format_short(preferred::capacitor_voltage(c.value / 0.8), Unit::Volt),
                        part.reference
                    ),
                )
            }))
        },
    )
}
