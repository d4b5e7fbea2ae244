//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks whether the polarity of every DC adaptor's plug is stated.
    ///
    /// Two conventions fit the same connector. A stranger takes the adaptor that lies nearest.
    ///
    /// Limits: what `plug-polarity:` says; AC adaptors have none.
    id: "adaptor-polarity-unstated", gate: Share, stage: Isolation,
    sources: [("IEC 60417-5926: polarity of a DC power connector", Confirmed)],
    sign_off: "Voltage, current, AC or DC, and polarity are printed beside the supply connector.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        &[Kind::DcAdaptor],
        "no DC adaptor",
        |part| {
            let place = at(part, "plug-polarity");
            Ok(match part.word("plug-polarity") {
                Some(word) => Outcome::holds(place, word.replace('-', " ")),
                None => Outcome::fails(
                    place,
                    Failure::new(
                        Gate::Share,
                        format!("The plug polarity of {} is not stated.", named(part)),
                        "The next adaptor that fits has the plus on the other contact.",
                        "Write `plug-polarity: centre-positive` (or `centre-negative`) and print it on the box.",
                    ),
                ),
            })
        },
    )
}
