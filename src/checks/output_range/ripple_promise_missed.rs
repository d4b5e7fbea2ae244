//! See [`CHECK`].

use super::promised::{binds, each_promise};
use crate::checks::prelude::*;

check! {
    /// Compares the peak-to-peak ripple of every net for which the design promises one, at every
    /// corner and in every state the promise covers.
    ///
    /// Limits: mains ripple only.
    id: "ripple-promise-missed", gate: Share, stage: OutputRange,
    sources: [("the design's own promise", Practice)],
    sign_off: "The ripple was measured on a built unit at full load.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_promise(context, "no ripple is promised", |index, promise| {
        let Promised::Ripple { at, limit } = &promise.promised else {
            return None;
        };
        let when = |s: &Situation| binds(context.design, promise, s);
        Some(context.evidence.net(at, Measure::Ripple, when).map(|ripple| {
            let comparison =
                Comparison::at_most("ripple, peak to peak", &ripple, *limit, Unit::Volt, "promised");
            Outcome::compare(Place::promise(index), comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "{at} is promised {} of ripple at most and has {}: {} too much, with {}.",
                        c.limit_text(), c.value_text(), c.gap(),
                        state_words(context, ripple.high_at)
                    ),
                    "The ripple reaches whatever hangs on that net.",
                    "Enlarge the reservoir, cure the drop-out, or promise what the parts hold.",
                )
            })
        }))
    })
}
