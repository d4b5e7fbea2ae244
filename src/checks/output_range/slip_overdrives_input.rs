//! See [`CHECK`].

use super::disturbed::{comparison, each_disturbed, remedy, says};
use crate::bringup::coverage::Standing;
use crate::checks::prelude::*;
use crate::situations::disturbance::Class;

check! {
    /// Takes every slip of a builder (each pair of leads of one part swapped, each part turned
    /// round, the pin order of another type, swapped jack contacts) and of a user (a plug short of
    /// home, a lead with the wrong contacts, the wrong adaptor), compares what then reaches the
    /// instrument's input with what it survives, and looks which step of the bring-up shows the
    /// builder's slip before anything is plugged in.
    ///
    /// Every builder swaps two wires once. A slip that a reading shows is mended before it can do
    /// harm and is a note here; one that no reading shows, or that a user can make on any day,
    /// blocks.
    ///
    /// Limits: one slip at a time, within one part: two parts exchanged are not looked at. Of
    /// packages with more than four leads only neighbouring pins are swapped.
    id: "slip-overdrives-input", gate: Plug, stage: OutputRange,
    sources: [
        ("78L in TO-92 and 78xx in TO-220 have mirrored pin orders (ST, TI, onsemi)", Confirmed),
        ("every builder's slip is looked for before power, common practice", Practice),
    ],
    sign_off: "The bring-up steps were done in their order, every reading inside its window, before anything was plugged in.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let slips = |class| class != Class::Fault;
    each_disturbed(
        context,
        slips,
        "no slip reaches an input",
        |place, found| {
            // What escapes goes before what is worse and is shown in time.
            let worst = found
                .iter()
                .find(|one| one.damaging() && escapes(one))
                .or(found.first())?;
            Some(Outcome::compare(place, comparison(context, worst), |_| {
                failure(context, worst)
            }))
        },
    )
}

/// Can it come on any day, or does no step show it?
fn escapes(one: &Standing) -> bool {
    one.class == Class::Handling || one.revealed_by.is_none()
}

fn failure(context: &Context, worst: &Standing) -> Failure {
    let says = says(context, worst);
    match worst.revealed_by.filter(|_| !escapes(worst)) {
        Some(step) => Failure::new(
            Gate::Note,
            says,
            "The input would be destroyed if the plug went in before the bring-up.",
            format!("Do bring-up step {step} before plugging in: it shows this slip."),
        ),
        None => Failure::new(
            Gate::Plug,
            says,
            if worst.class == Class::Handling {
                "It can happen on any day, and the instrument's input is destroyed."
            } else {
                "No step of the bring-up shows it before the plug goes in, and the instrument's \
                 input is destroyed."
            },
            remedy(context, worst),
        ),
    }
}
