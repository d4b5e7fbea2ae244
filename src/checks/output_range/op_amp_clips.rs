//! See [`CHECK`].

use crate::checks::pinout::op_amp_feedback_swapped::near;
use crate::checks::prelude::*;

/// Difference between the inputs from which on an op-amp does not follow [V].
const LOST: f64 = 0.05;

check! {
    /// Compares the voltage between the two inputs of every op-amp unit with feedback, in every
    /// state with its supply alive, with 50 mV: an op-amp that follows holds its inputs together,
    /// one that has run into a rail does not.
    ///
    /// An op-amp against its rail no longer follows: the last part of the travel does nothing.
    /// On a single supply, few types reach zero.
    ///
    /// Limits: means; states as meant. An offset of a few millivolts is below the limit; units
    /// without feedback to the inverting input are not looked at.
    id: "op-amp-clips", gate: Share, stage: OutputRange,
    sources: [("output headroom of the type, makers' sheets", Memory)],
    sign_off: "The output was swept to both ends at low mains or with a flat battery.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let mut outcomes = Vec::new();
    for part in context
        .design
        .parts
        .values()
        .filter(|part| part.kind == Kind::OpAmp)
    {
        let Structure::Units(units) = &part.structure else {
            continue;
        };
        for unit in units {
            let lead = |name: &str| part.net(&format!("{unit}.{name}"));
            let (Some(plus), Some(minus), Some(out)) = (lead("plus"), lead("minus"), lead("out"))
            else {
                continue;
            };
            if near(context.design, out, minus) {
                let looked = look(context, part, unit, plus, minus);
                outcomes.push(looked.unwrap_or_else(|missing| {
                    Outcome::missing(at(part, "units"), Gate::Share, &missing)
                }));
            }
        }
    }
    or_none(outcomes, "no op-amp with feedback")
}

fn look(context: &Context, part: &Part, unit: &str, plus: &str, minus: &str) -> Look {
    let rail = ["supply+", "supply-"]
        .iter()
        .filter_map(|pin| part.net(pin))
        .find(|net| *net != "gnd")
        .ok_or_else(|| lacks(format!("{} has no supply net", part.reference)))?;
    let on = Energised::of(context, rail)?;
    if on.never() {
        return Ok(Outcome::does_not_apply(
            at(part, "units"),
            "its supply is never alive",
        ));
    }
    let apart = context.evidence.between(plus, minus, |s| on.holds(s))?;
    let (value, situation) = if -apart.low > apart.high {
        (-apart.low, apart.low_at)
    } else {
        (apart.high, apart.high_at)
    };
    let mut comparison = Comparison::fixed(
        format!("between the inputs of unit {unit}"),
        value,
        Bound::AtMost,
        LOST,
        Unit::Volt,
        "what an op-amp that follows leaves",
    );
    comparison.situation = Some(situation);
    Ok(Outcome::compare(at(part, "units"), comparison, |c| {
        Failure::new(
            Gate::Share,
            format!(
                "Unit {unit} of {} clips: its inputs stand {} apart, with {}.",
                named(part),
                c.value_text(),
                state_words(context, situation)
            ),
            "The end of the travel does nothing: the output stands still at its rail.",
            format!(
                "Lower the gain or raise the supply of {}, or fit a rail-to-rail type.",
                part.reference
            ),
        )
    }))
}
