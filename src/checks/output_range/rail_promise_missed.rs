//! See [`CHECK`].

use super::promised::{binds, each_promise};
use super::range::nearer;
use crate::checks::prelude::*;

check! {
    /// Compares the mean voltage of every net for which the design promises a value, at every
    /// corner and in every state the promise covers, with the promised range.
    ///
    /// What the designer intends is the first thing a stranger measures.
    ///
    /// Limits: settled means with the box on and healthy. Beyond a regulator's specified input and
    /// load its line and load regulation are taken to go on as in the sheet, which no maker promises.
    id: "rail-promise-missed", gate: Share, stage: OutputRange,
    sources: [("the design's own promise", Practice)],
    sign_off: "The promised voltages were measured on a built unit.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_promise(context, "no voltage is promised", |index, promise| {
        let Promised::Is { at, range } = &promise.promised else {
            return None;
        };
        Some(context.evidence.net(at, Measure::Mean, |s| binds(context.design, promise, s)).map(
            |mean| {
                let comparison = nearer(&mean, range.low, &mean, range.high, "mean", "promised");
                Outcome::compare(Place::promise(index), comparison, |c| {
                    Failure::new(
                        Gate::Share,
                        format!(
                            "{at} is promised {} to {} and reaches {}: {} beyond, with {}.",
                            volts(range.low), volts(range.high), c.value_text(),
                            format(c.margin().abs(), Unit::Volt),
                            state_words(context, c.situation.unwrap_or_default())
                        ),
                        "A good unit would be judged bad at the bench, or a bad one good.",
                        format!("Widen the promise for {at} to what the parts hold, or fit a closer grade."),
                    )
                })
            },
        ))
    })
}
