//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the highest reverse voltage of every LED, in an optocoupler too, with its rating,
    /// 5 V for most.
    ///
    /// An LED on an alternating net, or turned round on a rail, is broken down every period and
    /// dies slowly. It wants a diode across it the other way round.
    ///
    /// Limits: without a rating 5 V is taken.
    id: "led-reverse-voltage", gate: Power, stage: Ratings,
    sources: [
        ("5 mm LEDs: VR 5 V, a catalogue's table", Secondary),
        ("an LED fed with AC needs an anti-parallel diode", Practice),
    ],
    sign_off: "The flat or short lead of each LED is on the listed cathode net.",
    run: run,
}

/// Reverse rating of an LED that gives none [V].
const COMMON: f64 = 5.0;

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Led, Kind::Optocoupler],
        "no LED and no optocoupler in the box",
        |part| {
            let limit = part
                .figure(Property::ReverseVoltage)
                .map_or(COMMON, |f| f.spread.nominal);
            let reverse = context
                .evidence
                .stress(&part.reference, Stress::ReverseVoltage, any)?;
            let comparison = Comparison::at_most(
                "peak reverse voltage",
                &reverse,
                limit,
                Unit::Volt,
                "rated reverse voltage",
            );
            Ok(Outcome::compare(at(part, "nets"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} sees {} in reverse and is rated {}: {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "The LED breaks down in reverse and is lost.",
                    format!(
                        "Turn {0} round if it is reversed; on an alternating net put a 1N4148 across it, cathode to the LED's anode.",
                        part.reference
                    ),
                )
            }))
        },
    )
}
