//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the lowest and highest instant at the contact that meets an instrument's input
    /// with what that input survives: in every state of switches, controls and plugs, at every
    /// corner, box on or off, plugged in or about to be.
    ///
    /// This is the question the whole review is for: a voltage beyond this range, once, ends an
    /// input that cannot be replaced.
    ///
    /// Limits: settled states; switch-on and switch-off stand in `output-excursion`, faults and
    /// slips in `fault-overdrives-input` and `slip-overdrives-input`. A guessed range is drawn in
    /// by a tenth of its width at each end.
    id: "output-outside-survived", gate: Plug, stage: OutputRange,
    sources: [
        ("the instrument's file: what its input survives, with its own source", Practice),
    ],
    sign_off: "The output was swept end to end in every switch position with a meter before it met the instrument.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_feed(context, Gate::Plug, "the box feeds no instrument", |feed| {
        let (floor, ceiling) = feed.survives()?;
        let meets = |s: &Situation| feed.may_meet(s);
        let low = context.evidence.net(feed.net, Measure::Minimum, meets)?;
        let high = context.evidence.net(feed.net, Measure::Maximum, meets)?;
        let comparison = super::range::nearer(
            &low,
            floor,
            &high,
            ceiling,
            "output",
            "what the input survives",
        );
        Ok(Outcome::compare(at(feed.jack, "nets"), comparison, |c| {
            let situation = c.situation.unwrap_or_default();
            Failure::new(
                Gate::Plug,
                format!(
                    "The output at {} reaches {} where {} survives {} to {}: {} beyond, with {}.",
                    feed.jack.reference,
                    c.value_text(),
                    feed.label(),
                    volts(floor),
                    volts(ceiling),
                    c.gap(),
                    state_words(context, situation)
                ),
                "The instrument's input is destroyed.",
                super::range::remedy(context, feed, c),
            )
        }))
    })
}
