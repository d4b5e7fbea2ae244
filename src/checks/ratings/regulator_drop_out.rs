//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the lowest instant of a regulator's input, at low mains, full load and the
    /// smallest reservoir its tolerance allows, with output plus drop-out voltage.
    ///
    /// At the trough of the ripple the regulator must still have its drop-out voltage in hand.
    /// If not, the ripple comes through: the control voltage hums and sags when the lights dim.
    ///
    /// Limits: the drop-out is the conservative one of the makers, in a straight line from light
    /// load to rated current; data sheet accuracy wants somewhat more than drop-out.
    id: "regulator-drop-out", gate: Share, stage: Ratings,
    sources: [
        ("TI LM78L SNVS754J: 1.7 V typical; 2.0 V to 40 mA and 2.5 V at 100 mA and cold as allowance", Memory),
        ("check at low mains, full load, capacitor −20 % and the ripple trough", Practice),
    ],
    sign_off: "With a variable mains supply at −10 % and full load the output stays put and shows no ripple.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        REGULATORS,
        "no regulator in the box",
        |part| {
            let input = part
                .net("in")
                .ok_or_else(|| lacks(format!("{} has no input net", part.reference)))?;
            let on = Energised::of(context, input)?;
            if on.never() {
                return Ok(Outcome::does_not_apply(
                    at(part, "type"),
                    "its input is never alive",
                ));
            }
            let live = |s: &Situation| on.holds(s);
            let current = context
                .evidence
                .stress(&part.reference, Stress::CurrentMean, live)?;
            let need = drop_out(part, current.high)?;
            let comparison = match fixed_output(part) {
                Some(output) => {
                    let reach = if wiring::polarity(part) > 0.0 {
                        context.evidence.net(input, Measure::Minimum, live)?
                    } else {
                        negated(context.evidence.net(input, Measure::Maximum, live)?)
                    };
                    Comparison::at_least(
                        "input at the ripple trough",
                        &reach,
                        output + need,
                        Unit::Volt,
                        format!(
                            "{} of output and {} of drop-out at {}",
                            volts(output),
                            volts(need),
                            amperes(current.high)
                        ),
                    )
                }
                None => Comparison::at_least(
                    "least headroom",
                    &context
                        .evidence
                        .stress(&part.reference, Stress::Headroom, live)?,
                    need,
                    Unit::Volt,
                    format!("drop-out at {}", amperes(current.high)),
                ),
            };
            Ok(Outcome::compare(at(part, "type"), comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} has {} ({}) and needs {}: {}; {} short.",
                        named(part),
                        c.value_text(),
                        c.quantity,
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "At low mains the ripple comes through the regulator and the output sags.",
                    format!(
                        "Use an adaptor some {} higher, a larger reservoir before {}, a low drop-out type, or less load.",
                        volts(c.limit - c.value),
                        part.reference
                    ),
                )
            }))
        },
    )
}

/// Output of a fixed regulator standing on `gnd` [V].
fn fixed_output(part: &Part) -> Option<f64> {
    let on_ground = part.net("ground") == Some("gnd");
    let output = part.figure(Property::Output)?.spread.nominal.abs();
    (part.kind == Kind::Regulator && on_ground).then_some(output)
}

/// Drop-out voltage at a current [V]: conservative end, linear from light load to the rating.
fn drop_out(part: &Part, current: f64) -> Result<f64, Missing> {
    let full = part
        .figure(Property::Dropout)
        .ok_or_else(|| lacks(format!("{} gives no `dropout`", part.reference)))?
        .spread
        .high;
    let light = part
        .figure(Property::DropoutLight)
        .map_or(full, |f| f.spread.high);
    let share = (current / rated(part, Property::Current)?).clamp(0.0, 1.0);
    Ok(light + (full - light) * share)
}

fn negated(extent: Extent) -> Extent {
    Extent {
        low: -extent.high,
        nominal: -extent.nominal,
        high: -extent.low,
        low_at: extent.high_at,
        nominal_at: extent.nominal_at,
        high_at: extent.low_at,
    }
}
