//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the least total supply of every op-amp, at low mains or a flat battery, with the
    /// least its maker specifies.
    ///
    /// Below it the output is anything; some types turn their output over to a rail.
    ///
    /// Limits: the mean over a mains period; states with a plug of the wrong sort are left out.
    id: "op-amp-supply-low", gate: Share, stage: Ratings,
    sources: [("least supply of the type, makers' sheets", Memory)],
    sign_off: "With a flat battery or low mains the output still follows the control.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        &[Kind::OpAmp],
        "no op-amp in the box",
        |part| {
            let least = rated(part, Property::SupplyMinimum)?;
            let rail = ["supply+", "supply-"]
                .iter()
                .filter_map(|pin| part.net(pin))
                .find(|net| *net != "gnd")
                .ok_or_else(|| lacks(format!("{} has no supply net", part.reference)))?;
            let on = Energised::of(context, rail)?;
            if on.never() {
                return Ok(Outcome::does_not_apply(
                    at(part, "type"),
                    "its supply is never alive",
                ));
            }
            let supply = context
                .evidence
                .stress(&part.reference, Stress::Supply, |s| on.holds(s))?;
            let comparison = Comparison::at_least(
                "total supply",
                &supply,
                least,
                Unit::Volt,
                "least supply of the type",
            );
            Ok(Outcome::compare(at(part, "type"), comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} gets only {} between its supply pins and needs {}: {} short.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "Below its least supply an op-amp's output is not defined.",
                    format!(
                        "Raise the supply of {}, or fit a low-voltage type.",
                        part.reference
                    ),
                )
            }))
        },
    )
}
