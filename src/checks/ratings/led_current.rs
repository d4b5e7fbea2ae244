//! See [`CHECK`].

use super::rated::Rated;
use crate::checks::prelude::*;

check! {
    /// Compares the forward current of every LED, in an optocoupler too, with its rating derated by the design's policy;
    /// above the rating itself the power gate is blocked.
    ///
    /// An LED behind too small a resistor is bright for a week. From an unregulated rail its
    /// current follows mains and load.
    ///
    /// Limits: the mean current; panel LEDs are bright at 2 to 5 mA.
    id: "led-current", gate: Power, stage: Ratings,
    sources: [
        ("5 mm LEDs 25–30 mA at most, a catalogue's table", Secondary),
        ("design for 20 mA at most, panels 2–5 mA", Practice),
    ],
    sign_off: "The colour of each LED is the one listed: its forward voltage sets the current.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Led, Kind::Optocoupler],
        "no LED and no optocoupler in the box",
        |part| {
            let rated = Rated {
                part,
                key: "kind",
                stress: Stress::CurrentMean,
                quantity: "LED current",
                rating: rated(part, Property::Current)?,
                allowance: derating::led_current(context.design.derating),
            };
            rated.judge(
                context,
                &format!("{} carries", named(part)),
                "The LED dims within weeks or fails at once.",
                |c| {
                    format!(
                        "Make the resistor in series with {} {:.1} times larger.",
                        part.reference,
                        c.value / c.limit * 1.2
                    )
                },
            )
        },
    )
}
