//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the forward current of every LED with its rating derated by the design's policy;
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
        &[Kind::Led],
        "no LED in the box",
        |part| {
            let rating = rated(part, Property::Current)?;
            let current = context
                .evidence
                .stress(&part.reference, Stress::CurrentMean, powered)?;
            let (share, words) = derating::led_current(context.design.derating)
                .map_or((1.0, "rating"), |a| (a.share, a.words));
            let comparison = Comparison::at_most(
                "LED current",
                &current,
                rating * share,
                Unit::Ampere,
                format!("{words} of {}", amperes(rating)),
            );
            Ok(Outcome::compare(at(part, "kind"), comparison, |c| {
                let gate = if c.value > rating {
                    Gate::Power
                } else {
                    Gate::Share
                };
                Failure::new(
                    gate,
                    format!(
                        "{} carries up to {}; it should be held to {} ({}): {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "The LED dims within weeks or fails at once.",
                    format!(
                        "Make the resistor in series with {} {:.1} times larger.",
                        part.reference,
                        c.value / c.limit * 1.2
                    ),
                )
            }))
        },
    )
}
