//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the heat in an AC adaptor's or transformer's winding, in every state that a person
    /// can bring about, a wrong plug included, with that at its rated current.
    ///
    /// The heat goes with the square of the rms current: at 1.5 times the rating it is 2.25 times.
    /// A sealed adaptor has nowhere to send it. Many small ones have a one-shot thermal fuse that
    /// ends them.
    ///
    /// Limits: the current the regulators let through in that state, settled; how long the state
    /// lasts is not known.
    id: "adaptor-overheats", gate: Power, stage: Thermal,
    sources: [("copper loss I²R, rated at the rated current", Computed)],
    sign_off: "The adaptor stays below hand-hot after an hour at full load.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        AC_SOURCES,
        "no AC adaptor or transformer",
        |part| {
            let rating = rated(part, Property::Current)?;
            let rms = context
                .evidence
                .stress(&part.reference, Stress::CurrentRms, powered)?;
            let share = rms.high / rating;
            let mut comparison = Comparison::fixed(
                "winding heat against rated",
                share * share,
                Bound::AtMost,
                1.0,
                Unit::Ratio,
                format!("heat at the rated {}", amperes(rating)),
            );
            comparison.situation = Some(rms.high_at);
            Ok(Outcome::compare(at(part, "current"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "The winding of {} makes {:.1} times its rated heat ({} rms against {}) with {}.",
                        named(part),
                        c.value,
                        amperes(rms.high),
                        amperes(rating),
                        state_words(context, rms.high_at)
                    ),
                    "A sealed adaptor overheats; at best its one-shot thermal fuse ends it.",
                    "Remove what overloads it in that state, or use an adaptor with a higher current.",
                )
            }))
        },
    )
}
