//! See [`CHECK`].

use crate::checks::prelude::*;

/// Share of its output by which a rail may drift.
const DRIFT: f64 = 0.01;

check! {
    /// Compares the drift of every fixed regulator's output, from a cold start at the lowest
    /// ambient to its hottest junction, with one per cent of its output.
    ///
    /// Makers measure at a constant junction temperature, with short pulses. On the bench the box
    /// is tuned cold; an hour later the rail, and what is derived from it, has moved.
    ///
    /// Limits: the typical temperature coefficient times the rise of the junction; a straight line.
    id: "rail-drifts-with-warm-up", gate: Note, stage: Thermal,
    sources: [
        ("78L: −0.9 mV/K at 9 V, −0.8 mV/K at 8.2 V (TI)", Confirmed),
        ("line and load limits are pulse-tested at constant junction temperature (Wing)", Confirmed),
    ],
    sign_off: "The output was read cold and after an hour in the closed box.",
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
            let Some(slope) = part.figure(Property::TemperatureCoefficient) else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "no temperature coefficient is given",
                ));
            };
            let slope = slope.spread.nominal.abs();
            let output = rated(part, Property::Output)?.abs();
            let hot = context
                .evidence
                .stress(&part.reference, Stress::Junction, powered)?;
            let rise = (hot.high - context.design.conditions.ambient.low).max(0.0);
            let mut comparison = Comparison::fixed(
                "drift with temperature",
                slope * rise,
                Bound::AtMost,
                output * DRIFT,
                Unit::Volt,
                format!("one per cent of {}", volts(output)),
            );
            comparison.situation = Some(hot.high_at);
            Ok(Outcome::compare(place, comparison, |c| {
                Failure::new(
                    Gate::Note,
                    format!(
                        "The output of {} drifts by {} while its junction warms by {} ({} is one per cent).",
                        named(part),
                        c.value_text(),
                        format(rise, Unit::Kelvin),
                        c.limit_text()
                    ),
                    "What is tuned with the box cold is out of tune an hour later.",
                    format!(
                        "Let the box warm up before tuning, or make {} dissipate less.",
                        part.reference
                    ),
                )
            }))
        },
    )
}
