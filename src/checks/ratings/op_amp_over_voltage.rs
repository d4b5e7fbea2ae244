//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the total supply of every op-amp, at high mains and no load, with its absolute
    /// maximum.
    ///
    /// An op-amp on unregulated rails is the usual case: ±18 V parts on ±21 V die quietly.
    ///
    /// Limits: steady state.
    id: "op-amp-over-voltage", gate: Power, stage: Ratings,
    sources: [("absolute maximum supply of the type, makers' sheets", Memory)],
    sign_off: "The supply between the op-amp's two supply pins was measured before it was put in its socket.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::OpAmp],
        "no op-amp in the box",
        |part| {
            let limit = rated(part, Property::SupplyLimit)?;
            let supply = context
                .evidence
                .stress(&part.reference, Stress::Supply, powered)?;
            let comparison = Comparison::at_most(
                "total supply",
                &supply,
                limit,
                Unit::Volt,
                "absolute maximum supply",
            );
            Ok(Outcome::compare(at(part, "type"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} gets {} between its supply pins and takes {}: {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "An op-amp above its supply limit breaks down, and its output goes to a rail.",
                    format!(
                        "Supply {} from regulated rails, or fit a type for {}.",
                        part.reference,
                        volts(c.value * 1.1)
                    ),
                )
            }))
        },
    )
}
