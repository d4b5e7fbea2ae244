//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares a regulator's highest input with the input range over which its maker specifies
    /// the output.
    ///
    /// Between that range and the absolute maximum the regulator works, but its tolerance is
    /// nobody's promise. This review lets the stated tolerance cover the specified range and adds
    /// the line regulation beyond it; here it says how much that is.
    ///
    /// Limits: the sheet's line regulation, drawn on beyond its range, gives the figure; whether
    /// it may be is not known. Where the ripple rejection lets through more, the computed output
    /// carries that.
    id: "regulator-outside-specified-input", gate: Note, stage: Ratings,
    sources: [
        ("HTC LM78LXX rev 1.5: recommended input 7–20 V for 5 V, 11.5–24 V for 9 V and so on", Confirmed),
        ("line regulation 150 mV at most over 7–20 V for the 78L05 (Wing), 200 mV for the 78L09 (TI)", Confirmed),
    ],
    sign_off: "The output was read once at the highest input the adaptor gives.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Note,
        &[Kind::Regulator],
        "no fixed regulator in the box",
        |part| {
            let place = at(part, "type");
            let Some(range) = part.figure(Property::InputRange).map(|f| f.spread) else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "no range is given over which its output is specified",
                ));
            };
            let input = context
                .evidence
                .stress(&part.reference, Stress::InputVoltage, powered)?;
            let comparison = Comparison::at_most(
                "input, against the specified range",
                &input,
                range.high,
                Unit::Volt,
                format!(
                    "range over which the output is specified, from {}",
                    volts(range.low)
                ),
            );
            Ok(Outcome::compare(place, comparison, |c| {
                let slope = part
                    .figure(Property::LineRegulation)
                    .map(|f| f.spread.high / (range.high - range.low));
                let more = slope.map_or_else(
                    || "by an amount that the sheet does not give".to_owned(),
                    |slope| {
                        format!(
                            "by about {} if its line regulation goes on as in the sheet",
                            volts(slope * (c.value - c.limit))
                        )
                    },
                );
                Failure::new(
                    Gate::Note,
                    format!(
                        "{} gets up to {} at its input; its output is specified up to {}.",
                        named(part),
                        c.value_text(),
                        c.limit_text()
                    ),
                    format!("Its output may leave the stated tolerance, {more}."),
                    format!(
                        "Nothing, if that does no harm; else an adaptor of lower voltage before {}.",
                        part.reference
                    ),
                )
            }))
        },
    )
}
