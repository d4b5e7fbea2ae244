//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the lowest and highest mean voltage at the contact that meets an instrument's
    /// input with the range the input works within, in every state with the box on and the
    /// instrument plugged in.
    ///
    /// Outside it nothing breaks, but part of the travel does nothing, or the instrument wraps
    /// round, beeps or latches.
    ///
    /// Limits: settled means; controllers wired as meant. A guessed range is drawn in by a tenth
    /// of its width at each end.
    id: "output-outside-accepted", gate: Share, stage: OutputRange,
    sources: [
        ("the instrument's file: what its input accepts, with its own source", Practice),
    ],
    sign_off: "At both ends of the control, in every switch position, the instrument does what it should.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_feed(
        context,
        Gate::Share,
        "the box feeds no instrument",
        |feed| {
            let (floor, ceiling) = feed.accepts();
            let plays = |s: &Situation| as_meant(s) && feed.plugged(s);
            let mean = context.evidence.net(feed.net, Measure::Mean, plays)?;
            let comparison = super::range::nearer(
                &mean,
                floor,
                &mean,
                ceiling,
                "output",
                "what the input accepts",
            );
            Ok(Outcome::compare(at(feed.jack, "nets"), comparison, |c| {
                let situation = c.situation.unwrap_or_default();
                Failure::new(
                    Gate::Share,
                    format!(
                        "The output at {} reaches {} where {} accepts {} to {}: {} beyond, with {}.",
                        feed.jack.reference,
                        c.value_text(),
                        feed.label(),
                        volts(floor),
                        volts(ceiling),
                        c.gap(),
                        state_words(context, situation)
                    ),
                    "Beyond that range the instrument no longer follows the control.",
                    super::range::remedy(context, feed, c),
                )
            }))
        },
    )
}
