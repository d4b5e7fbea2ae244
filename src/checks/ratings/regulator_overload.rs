//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the current a regulator delivers, in every state of switches, controls and plugs,
    /// with its rated output current derated by the design's policy. A current that reaches the
    /// regulator's limiting is a shorted rail and blocks the power gate.
    ///
    /// A rail that one knob position or one plug shorts is the commonest way to cook a small
    /// regulator and the adaptor behind it.
    ///
    /// Limits: the regulator's own current limit holds the figure down; that it limits at all is
    /// the finding.
    id: "regulator-overload", gate: Power, stage: Ratings,
    sources: [
        ("linear IC output current 80 %: EEE-INST-002, ECSS-Q-ST-30-11C", Memory),
        ("TI LM78L: limit 140 mA typical; rated 100 mA", Confirmed),
    ],
    sign_off: "Every control was run end to end in every switch position with a meter in the supply lead.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        REGULATORS,
        "no regulator in the box",
        |part| {
            let rating = rated(part, Property::Current)?;
            let limiting = part
                .figure(Property::PeakCurrent)
                .map_or(rating, |f| f.spread.low);
            let allowance = derating::regulator_current(context.design.derating);
            let share = allowance.map_or(1.0, |allowance| allowance.share);
            let current = context
                .evidence
                .stress(&part.reference, Stress::CurrentMean, powered)?;
            let comparison = Comparison::at_most(
                "output current",
                &current,
                rating * share,
                Unit::Ampere,
                allowance.map_or_else(|| "its rating".to_owned(), |a| a.of(&amperes(rating))),
            );
            Ok(Outcome::compare(at(part, "type"), comparison, |c| {
                let shorted = c.value >= limiting.min(rating);
                let gate = if shorted { Gate::Power } else { Gate::Share };
                Failure::new(
                    gate,
                    format!(
                        "{} delivers {} with {}; it should be held to {} ({}): {} too much.",
                        named(part),
                        c.value_text(),
                        state_words(context, current.high_at),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    if shorted {
                        "The rail is as good as shorted: regulator and adaptor overheat and the rail collapses."
                    } else {
                        "It runs near its limit: hot, and sagging with the next thing added."
                    },
                    format!(
                        "Find what loads {} in that state and put a resistor in series with it, or fit a stronger regulator.",
                        part.net("out").unwrap_or("its output")
                    ),
                )
            }))
        },
    )
}
