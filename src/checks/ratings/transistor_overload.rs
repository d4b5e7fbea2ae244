//! See [`CHECK`].

use crate::checks::prelude::*;

/// Share of the rated collector or drain current that is used, under any policy but `none`.
const USED: Allowance = Allowance {
    share: 0.75,
    words: "derated",
};

check! {
    /// Compares the mean collector or drain current of every transistor, in an optocoupler too, with its
    /// rating, derated
    /// to 75 % by any policy but `none`; above the rating itself the power gate is blocked.
    ///
    /// Near its rating the gain of a small transistor has fallen to a third, and it gets hot for
    /// lack of drive.
    ///
    /// Limits: settled means; the surge into a lamp or a reservoir is not in it.
    id: "transistor-overload", gate: Power, stage: Ratings,
    sources: [("transistor current 75 %: EEE-INST-002, ECSS-Q-ST-30-11C", Memory)],
    sign_off: "The transistor fitted is the type listed, not one with the same case.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Bipolar, Kind::Mosfet, Kind::Optocoupler],
        "no transistor and no optocoupler in the box",
        |part| {
            let (stress, property) = if part.kind == Kind::Optocoupler {
                (Stress::CollectorCurrent, Property::OutputCurrent)
            } else {
                (Stress::CurrentMean, Property::Current)
            };
            let rated = super::rated::Rated {
                part,
                key: "current",
                stress,
                quantity: "collector or drain current",
                rating: rated(part, property)?,
                allowance: (context.design.derating != Derating::None).then_some(USED),
            };
            rated.judge(
                context,
                &format!("{} carries", named(part)),
                "It runs hot with little gain left, and fails shorted.",
                |c| {
                    format!(
                        "Fit a type rated at least {} at {}.",
                        amperes(c.value / USED.share),
                        part.reference
                    )
                },
            )
        },
    )
}
