//! See [`CHECK`].

use crate::checks::prelude::*;

/// The input impedance should be this many times the source resistance.
const TIMES: f64 = 5.0;

check! {
    /// Compares the output's highest source resistance with a fifth of the instrument's lowest
    /// input impedance.
    ///
    /// The input loads the control: the range shrinks and the middle of the travel shifts, by a
    /// different amount on each instrument. A 50 kΩ pot into 100 kΩ is off by 7 % in the middle.
    ///
    /// Limits: the source resistance is highest somewhere along the travel, at the wiper R/4; the
    /// error there is at most 17 % of the voltage at this limit.
    id: "loading-error", gate: Share, stage: OutputRange,
    sources: [
        ("largest error about (4/27) R/RL of full scale at two thirds of the travel", Computed),
        ("control inputs 47–100 kΩ, outputs 1 kΩ", Practice),
    ],
    sign_off: "The output was measured with the instrument plugged in, at the middle and both ends.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_feed(
        context,
        Gate::Share,
        "the box feeds no instrument",
        |feed| {
            let impedance = feed.impedance()?;
            let source = context.evidence.source_resistance(feed.net)?;
            let comparison = Comparison::at_most(
                "source resistance",
                &source,
                impedance / TIMES,
                Unit::Ohm,
                format!("a fifth of the {} input", ohms(impedance)),
            );
            Ok(Outcome::compare(at(feed.jack, "nets"), comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "The output at {} has up to {} of source resistance; {} takes {} ({}): {} too much.",
                        feed.jack.reference,
                        c.value_text(),
                        feed.label(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "The input pulls the voltage down by a sixth and more, differently on each instrument.",
                    format!(
                        "Use a potentiometer of at most {}, or a buffer before {}.",
                        format_short(preferred::e12(c.limit * 2.0), Unit::Ohm),
                        feed.jack.reference
                    ),
                )
            }))
        },
    )
}
