//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the highest source resistance of the output, in any state, with the instrument's
    /// input impedance: above it, the output floats.
    ///
    /// A centre-off switch or a pulled pedal plug can leave the output on nothing. It then picks
    /// up hum, and the instrument drifts wherever its bias current takes it.
    ///
    /// Limits: the states that were solved; the moment between two contacts of a switch is not
    /// one.
    id: "output-floats", gate: Share, stage: OutputRange,
    sources: [("an output needs a path to ground in every state: 100 kΩ to 1 MΩ will do", Practice)],
    sign_off: "With every plug pulled and in every switch position the output rests at a known voltage.",
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
                "highest source resistance",
                &source,
                impedance,
                Unit::Ohm,
                "input impedance",
            );
            Ok(Outcome::compare(at(feed.jack, "nets"), comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "The output at {} floats with {}: {} of source against {} of input.",
                        feed.jack.reference,
                        state_words(context, source.high_at),
                        c.value_text(),
                        c.limit_text()
                    ),
                    "It hums and drifts; the instrument goes wherever its bias current takes it.",
                    format!(
                        "Put 100 kΩ from {} to gnd at {}.",
                        feed.net, feed.jack.reference
                    ),
                )
            }))
        },
    )
}
