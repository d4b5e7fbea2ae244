//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks whether anything is said of what each jack is plugged into.
    ///
    /// Without the instrument's file nobody can say whether the output is safe for it.
    ///
    /// Limits: a jack that only takes a controller is satisfied by that controller's file.
    id: "instrument-unknown", gate: Plug, stage: OutputRange,
    sources: [("an output is judged against the input it feeds", Practice)],
    sign_off: "Each jack's label says what may be plugged into it.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Plug,
        &[Kind::Jack],
        "no jack in the box",
        |part| {
            let place = at(part, "kind");
            let known = context
                .design
                .connections
                .get(&part.reference)
                .is_some_and(|list| !list.is_empty());
            Ok(if known {
                Outcome::holds(place, "what is plugged in is described")
            } else {
                Outcome::not_assessed(
                    place,
                    Gate::Plug,
                    format!(
                        "nothing says what {0} is plugged into; name it under `connect: {0}`",
                        part.reference
                    ),
                )
            })
        },
    )
}
