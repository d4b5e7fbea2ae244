//! See [`CHECK`].

use crate::catalogue::{self, Mark};
use crate::checks::prelude::*;

check! {
    /// For every part wired by its pins, says how far the catalogue's pin order for that type and
    /// package was confirmed.
    ///
    /// A pin order from memory may be another maker's. The picture in the dossier then looks as
    /// certain as the others.
    ///
    /// Limits: confirmed means read in a maker's sheet, not in the sheet of the maker at hand.
    id: "pin-order-unconfirmed", gate: Note, stage: Pinout,
    sources: [
        ("NXP: the TL431 is sold in normal and mirrored pinning", Confirmed),
        ("two web pages give the 78L05 as in, ground, out; the makers' sheets do not", Confirmed),
    ],
    sign_off: "The pin order of each part was read in the sheet of the maker whose mark it bears.",
    always_assessed: "the catalogue's own marks are read",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let outcomes = context
        .design
        .parts
        .values()
        .filter(|part| part.pins.len() > 2)
        .filter_map(|part| {
            let entry = catalogue::find(part.type_name.as_deref()?)?;
            let (name, package) = entry.package(part.package.as_deref()?)?;
            Some((part, name, package))
        })
        .map(|(part, name, package)| {
            let place = at(part, "pins");
            if package.mark == Mark::Confirmed {
                return Outcome::holds(
                    place,
                    format!("order in {name} read in {}", package.source),
                );
            }
            let order: Vec<String> = part
                .pin_functions
                .iter()
                .map(|(pin, function)| format!("{pin} {function}"))
                .collect();
            Outcome::fails(
                place,
                Failure::new(
                    Gate::Note,
                    format!(
                        "The pin order of {} in {name} ({}) is {}.",
                        named(part),
                        order.join(", "),
                        package.mark.words()
                    ),
                    "Another maker may count otherwise, and the pin picture would be wrong.",
                    format!(
                        "Read the order in the sheet of the part at hand before {} is soldered.",
                        part.reference
                    ),
                ),
            )
        })
        .collect();
    or_none(
        outcomes,
        "no part with more than two pins is wired by its pins",
    )
}
