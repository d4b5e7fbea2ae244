//! See [`CHECK`].

use crate::checks::prelude::*;

/// Reverse voltage that an aluminium electrolytic takes for short [V].
const ALUMINIUM: f64 = 1.0;
/// Reverse voltage that a solid tantalum takes, as a share of its rating.
const TANTALUM: f64 = 0.02;

check! {
    /// Compares the highest reverse voltage across every electrolytic and tantalum capacitor, in
    /// every state and with the box on or off, with what it takes: 1 V for aluminium, 2 % of the
    /// rating for tantalum.
    ///
    /// A reversed electrolytic heats, swells and bursts, sometimes minutes after power is on; a
    /// reversed tantalum burns. On the negative rail the *positive* lead goes to `gnd`.
    ///
    /// Limits: settled states; what a switch-off does for milliseconds is not in it.
    id: "electrolytic-reversed", gate: Power, stage: Polarity,
    sources: [
        ("aluminium electrolytic: reverse at most 1 V for short, IEC 60384-4 and makers", Memory),
        ("System Reliability Center, Part Derating Parameters: tantalum reverse 2 %", Confirmed),
    ],
    sign_off: "The stripe (minus) of each aluminium and the bar (plus) of each tantalum capacitor was looked at before power.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        POLARISED,
        "no electrolytic in the box",
        |part| {
            let (limit, limit_is) = if part.kind == Kind::Tantalum {
                (
                    TANTALUM * rated(part, Property::Rating)?,
                    "2 % of the rated voltage",
                )
            } else {
                (ALUMINIUM, "what aluminium takes for short")
            };
            let reverse = context
                .evidence
                .stress(&part.reference, Stress::ReverseVoltage, any)?;
            let comparison =
                Comparison::at_most("reverse voltage", &reverse, limit, Unit::Volt, limit_is);
            Ok(Outcome::compare(at(part, "nets"), comparison, |c| {
                let positive = part.net("positive").unwrap_or("an open net");
                let negative = part.net("negative").unwrap_or("an open net");
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} is reversed by {}: its + is on {positive}, its − on {negative}, and {negative} is the more positive.",
                        named(part),
                        c.value_text()
                    ),
                    "A reversed electrolytic heats, swells and bursts; a tantalum burns.",
                    format!(
                        "Turn {} round: + to {negative}, − to {positive}.",
                        part.reference
                    ),
                )
            }))
        },
    )
}
