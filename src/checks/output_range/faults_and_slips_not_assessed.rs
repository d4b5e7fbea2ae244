//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Says that single faults of parts and wiring slips were not looked at.
    ///
    /// Every part can fail open or short, and every builder swaps two wires once. What such a
    /// fault puts on the instrument's input is a question of its own, and this review does not
    /// answer it yet; the line stays until a person signs it.
    ///
    /// Limits: always not assessed.
    id: "faults-and-slips-not-assessed", gate: Plug, stage: OutputRange,
    sources: [
        ("single-fault criterion, IEC 61010-1 4.4 and IEC 62368-1 annex B", Memory),
    ],
    sign_off: "A person has gone through every part, open and short, and every swapped pair of wires, and asked what reaches the instrument.",
    always_applies: "no design had its faults and slips looked at",
    run: run,
}

fn run(_: &Context) -> Vec<Outcome> {
    vec![Outcome::not_assessed(
        Place::design("parts"),
        Gate::Plug,
        "single faults and wiring slips are not yet assessed",
    )]
}
