//! See [`CHECK`].

use crate::checks::prelude::*;

/// Time after which one expects to be able to touch and solder [s].
const PATIENCE: f64 = 60.0;
/// Voltage at which a capacitor counts as empty [V].
const EMPTY: f64 = 1.0;
/// Smaller capacitors hold too little to harm a part [F].
const SMALL: f64 = 47e-6;

check! {
    /// Works out how long the slowest reservoir takes to fall to one volt through what hangs on
    /// it with the box off and unplugged, and compares it with a minute.
    ///
    /// At these voltages it is no shock, but a charged reservoir kills the part that is soldered
    /// in next, and sparks when the meter slips.
    ///
    /// Limits: resistance from the net to `gnd` as a meter reads it, t = R·C·ln(V/1 V);
    /// regulators and LEDs drain it faster down to a few volts, so the time is the longest.
    /// Capacitors below 47 µF and those with no end on `gnd` are left out.
    id: "stored-charge-lingers", gate: Note, stage: Isolation,
    sources: [("a capacitor discharges through R as e^(−t/RC)", Computed)],
    sign_off: "Before any rework each reservoir was read, and discharged through 100 Ω if above a volt.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Note,
        POLARISED,
        "no reservoir in the box",
        |part| {
            let place = at(part, "value");
            let value = part
                .figure(Property::Value)
                .ok_or_else(|| lacks(format!("{} gives no value", part.reference)))?
                .spread
                .high;
            let nets: Vec<&str> = part.terminals.values().map(String::as_str).collect();
            let net = match nets[..] {
                ["gnd", net] | [net, "gnd"] if value >= SMALL => net,
                _ => {
                    return Ok(Outcome::does_not_apply(
                        place,
                        "too small to matter, or not from a net to gnd",
                    ));
                }
            };
            let peak = context
                .evidence
                .stress(&part.reference, Stress::PeakVoltage, powered)?;
            let resistance = context
                .evidence
                .cold_resistances
                .get(net)
                .copied()
                .ok_or_else(|| lacks(format!("the resistance from {net} to gnd was not computed")))?
                .abs();
            let time = resistance * value * libm::log((peak.high / EMPTY).max(1.0));
            let mut comparison = Comparison::fixed(
                "time to fall to a volt",
                time,
                Bound::AtMost,
                PATIENCE,
                Unit::Second,
                "a minute",
            );
            comparison.situation = Some(peak.high_at);
            Ok(Outcome::compare(place, comparison, |c| {
                let bleeder = PATIENCE / (value * libm::log(peak.high / EMPTY));
                let waits = if c.value > 36_000.0 {
                    "hours".to_owned()
                } else {
                    format!("{:.0} minutes", (c.value / 60.0).ceil())
                };
                Failure::new(
                    Gate::Note,
                    format!(
                        "{} may hold a charge of up to {} for {waits} after the box is switched off.",
                        named(part),
                        volts(peak.high)
                    ),
                    "It kills the part that is soldered in next, and sparks when the meter slips.",
                    format!(
                        "Measure {net} to gnd before any rework, or put {} across {}.",
                        format_short(preferred::e12(bleeder / 1.25), Unit::Ohm),
                        part.reference
                    ),
                )
            }))
        },
    )
}
