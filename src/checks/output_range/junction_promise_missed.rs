//! See [`CHECK`].

use super::promised::{binds, each_promise};
use crate::checks::prelude::*;

check! {
    /// Compares the junction temperature of every part for which the design promises one, at
    /// every corner and in every state the promise covers.
    ///
    /// Limits: settled heat, still air.
    id: "junction-promise-missed", gate: Share, stage: OutputRange,
    sources: [("the design's own promise", Practice)],
    sign_off: "The part's case was measured after an hour at full load.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_promise(
        context,
        "no junction temperature is promised",
        |index, promise| {
            let Promised::Junction { part, limit } = &promise.promised else {
                return None;
            };
            let when = |s: &Situation| binds(context.design, promise, s);
            Some(context.evidence.stress(part, Stress::Junction, when).map(|reached| {
            let comparison = Comparison::at_most(
                "junction temperature", &reached, *limit, Unit::Celsius, "promised",
            );
            Outcome::compare(Place::promise(index), comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "The junction of {part} is promised {} at most and reaches {}: {} too hot.",
                        c.limit_text(), c.value_text(), c.gap()
                    ),
                    "The part runs hotter than its designer meant.",
                    format!("Cool {part}, lower its input or load, or promise what it holds."),
                )
            })
        }))
        },
    )
}
