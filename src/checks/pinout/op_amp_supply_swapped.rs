//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the mean voltages at the two supply pins of every op-amp: `supply+` must stand
    /// above `supply-`.
    ///
    /// A reversed op-amp conducts through its substrate and is gone in a second, and pulls both
    /// rails together.
    ///
    /// Limits: the nominal situation with the box on.
    id: "op-amp-supply-swapped", gate: Power, stage: Pinout,
    sources: [("op-amp supply pins, makers' sheets", Practice)],
    sign_off: "The supply was measured at the empty socket, pin by pin.",
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
                return Err(lacks(format!("{} has an open supply pin", part.reference)));
            };
            let high = context.evidence.net(plus, Measure::Mean, powered)?;
            let low = context.evidence.net(minus, Measure::Mean, powered)?;
            let comparison = Comparison {
                quantity: "supply+ less supply-".into(),
                value: high.nominal - low.nominal,
                limit: 0.0,
                unit: Unit::Volt,
                bound: Bound::AtLeast,
                situation: Some(high.nominal_at),
                limit_is: "supply+ stands above supply-".into(),
            };
            Ok(Outcome::compare(at(part, "nets"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} has its supply reversed by {}: supply+ on {plus}, supply- on {minus}.",
                        named(part),
                        volts(-c.value)
                    ),
                    "It conducts through its substrate, burns, and pulls both rails together.",
                    format!("Exchange the supply pins of {}.", part.reference),
                )
            }))
        },
    )
}
