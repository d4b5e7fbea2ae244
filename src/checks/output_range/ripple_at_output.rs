//! See [`CHECK`].

use crate::checks::prelude::*;

/// Half a step of a 7-bit controller, as a share of the accepted range.
const HALF_STEP: f64 = 0.5 / 128.0;

check! {
    /// Compares the peak-to-peak ripple at the output with half a step of a 7-bit controller over
    /// the range the input accepts: 0.39 % of it.
    ///
    /// Ripple on a control voltage is vibrato, or a stream of changing values.
    ///
    /// Limits: mains ripple through the supply; noise and hum picked up by the cable are not in
    /// it.
    id: "ripple-at-output", gate: Share, stage: OutputRange,
    sources: [("half a step of a 7-bit controller: 1/256 of the range", Computed)],
    sign_off: "With the control at rest the instrument's value stands still.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_feed(
        context,
        Gate::Share,
        "the box feeds no instrument",
        |feed| {
            let accepted = feed.input.accepts.spread;
            let limit = (accepted.high - accepted.low) * HALF_STEP;
            let plays = |s: &Situation| as_meant(s) && feed.plugged(s);
            let ripple = context.evidence.net(feed.net, Measure::Ripple, plays)?;
            let comparison = Comparison::at_most(
                "ripple at the output",
                &ripple,
                limit,
                Unit::Volt,
                "half a 7-bit step of the accepted range",
            );
            Ok(Outcome::compare(at(feed.jack, "nets"), comparison, |c| {
                let (floor, ceiling) = feed.accepts();
                let below = 20.0 * libm::log10((ceiling - floor) / c.value);
                Failure::new(
                    Gate::Share,
                    format!(
                        "The output at {} carries {} of ripple, {below:.0} dB below the accepted range; {} is half a step of {}: {} too much.",
                        feed.jack.reference,
                        c.value_text(),
                        c.limit_text(),
                        feed.label(),
                        c.gap()
                    ),
                    "The instrument hears it as vibrato or hum.",
                    "Cure the drop-out or enlarge the reservoir; 1 µF from the wiper to gnd smooths the rest.",
                )
            }))
        },
    )
}
