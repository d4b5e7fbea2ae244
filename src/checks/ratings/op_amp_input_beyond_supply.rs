//! See [`CHECK`].

use crate::checks::prelude::*;

/// How far an input may stand beyond a supply [V].
const BEYOND: f64 = 0.3;

check! {
    /// Compares both inputs of every op-amp unit with its supplies and 0.3 V more, in every state
    /// with the box on.
    ///
    /// An input beyond its supply conducts into it; some types then turn their output round, some
    /// latch and short their supplies.
    ///
    /// Limits: settled mean voltages. A type said to stand more by its sheet is not told apart.
    id: "op-amp-input-beyond-supply", gate: Power, stage: Ratings,
    sources: [
        ("inputs from 0.3 V beyond the supplies on start to conduct, a maker's sheet", Confirmed),
    ],
    sign_off: "No input of an op-amp comes from outside the box without a series resistor.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::OpAmp],
        "no op-amp in the box",
        |part| {
            let (Some(plus), Some(minus)) = (part.net("supply+"), part.net("supply-")) else {
                return Err(lacks(format!("{} has an open supply", part.reference)));
            };
            let mut worst: Option<(Extent, &str, &str)> = None;
            for (terminal, net) in &part.terminals {
                let input = matches!(terminal.rsplit('.').next(), Some("plus" | "minus"));
                if !input || net == "nc" {
                    continue;
                }
                for (above, below, supply) in [(net.as_str(), plus, plus), (minus, net, minus)] {
                    if above == below {
                        continue;
                    }
                    let beyond = context.evidence.between(above, below, powered)?;
                    if worst.is_none_or(|(known, ..)| beyond.high > known.high) {
                        worst = Some((beyond, net, supply));
                    }
                }
            }
            let (beyond, input, supply) =
                worst.ok_or_else(|| lacks(format!("{} has no wired input", part.reference)))?;
            let comparison = Comparison::at_most(
                "input beyond its supply",
                &beyond,
                BEYOND,
                Unit::Volt,
                "where the input begins to conduct",
            );
            Ok(Outcome::compare(at(part, "units"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "An input of {} on {input} stands {} beyond its supply {supply}; {} is the most.",
                        named(part),
                        c.value_text(),
                        c.limit_text()
                    ),
                    "It conducts into the supply: the output may turn round, or the chip latch and burn.",
                    format!("Put 10 kΩ in series with {input} and a 1N4148 from it to {supply}."),
                )
            }))
        },
    )
}
