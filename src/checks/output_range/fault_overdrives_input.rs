//! See [`CHECK`].

use super::disturbed::{comparison, each_disturbed, remedy, says};
use crate::checks::prelude::*;
use crate::situations::disturbance::Class;

check! {
    /// Takes every single fault of every part (each lead open, each pair of leads short, a
    /// regulator that passes its input through, loses its ground or puts nothing out, values
    /// drifted far away) and compares what then reaches the instrument's input with what it
    /// survives.
    ///
    /// Parts fail in service, with the instrument plugged in; no measurement beforehand shows what
    /// will fail tomorrow. A series resistor and a clamp, or a divider, contain it. A failure that
    /// the box cannot contain may be accepted with a reason.
    ///
    /// Limits: one fault at a time, settled states, nominal and two corners of each state with
    /// every supply at its highest; a fuse is taken as not yet blown. A part that the fault drives
    /// beyond its rating is taken as still whole, but for a regulator beyond its input rating,
    /// which is also taken as passing its input through.
    id: "fault-overdrives-input", gate: Plug, stage: OutputRange,
    sources: [
        ("single-fault criterion, IEC 61010-1 4.4 and IEC 62368-1 annex B", Memory),
        ("the instrument's file: what its input survives, with its own source", Practice),
    ],
    sign_off: "The output's series resistor and clamp are fitted as drawn; they are what stands between a failed part and the instrument.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let none = "no part's failure reaches an input";
    let faults = |class| class == Class::Fault;
    each_disturbed(context, faults, none, |place, found| {
        let worst = *found.first()?;
        let more = found.iter().skip(1).filter(|one| one.damaging()).count();
        let more = match more {
            0 => String::new(),
            1 => " Another of its faults does too.".to_owned(),
            count => format!(" {count} more of its faults do too."),
        };
        Some(Outcome::compare(place, comparison(context, worst), |_| {
            Failure::new(
                Gate::Plug,
                format!("{}{more}", says(context, worst)),
                "Should it fail in service, the instrument's input is destroyed.",
                remedy(context, worst),
            )
        }))
    })
}
