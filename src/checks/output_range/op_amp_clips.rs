//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares how near the output of every op-amp comes to its supplies with how near it can.
    ///
    /// An op-amp against its rail no longer follows: the last part of the travel does nothing.
    /// On a single supply, few types reach zero.
    ///
    /// Limits: states as meant, lowest supply; light loads.
    id: "op-amp-clips", gate: Share, stage: OutputRange,
    sources: [("output headroom of the type, makers' sheets", Memory)],
    sign_off: "The output was swept to both ends at low mains or with a flat battery.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        &[Kind::OpAmp],
        "no op-amp in the box",
        |part| {
            let reference = &part.reference;
            let rail = ["supply+", "supply-"]
                .iter()
                .filter_map(|pin| part.net(pin))
                .find(|net| *net != "gnd")
                .ok_or_else(|| lacks(format!("{reference} has no supply net")))?;
            let on = Energised::of(context, rail)?;
            if on.never() {
                return Ok(Outcome::does_not_apply(
                    at(part, "type"),
                    "its supply is never alive",
                ));
            }
            let mut worst: Option<Comparison> = None;
            for (stress, property, rail) in [
                (
                    Stress::OutputHeadroomHigh,
                    Property::OutputHeadroomHigh,
                    "positive",
                ),
                (
                    Stress::OutputHeadroomLow,
                    Property::OutputHeadroomLow,
                    "negative",
                ),
            ] {
                let needs = rated(part, property)?;
                let has = context
                    .evidence
                    .stress(reference, stress, |s| on.holds(s))?;
                let comparison = Comparison::at_least(
                    format!("output to {rail} supply"),
                    &has,
                    needs + 0.02,
                    Unit::Volt,
                    format!("how near {reference} can come to it"),
                );
                if worst
                    .as_ref()
                    .is_none_or(|other| comparison.margin() < other.margin())
                {
                    worst = Some(comparison);
                }
            }
            let comparison = worst.ok_or_else(|| lacks("no headroom"))?;
            Ok(Outcome::compare(at(part, "type"), comparison, |c| {
                let situation = c.situation.unwrap_or_default();
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} comes within {} ({}) and needs {}, with {}: it clips.",
                        named(part),
                        c.value_text(),
                        c.quantity,
                        c.limit_text(),
                        context.evidence.describe(situation)
                    ),
                    "The end of the travel does nothing: the output stands still at its rail.",
                    format!(
                        "Lower the gain or raise the supply of {reference}, or fit a rail-to-rail type."
                    ),
                )
            }))
        },
    )
}
