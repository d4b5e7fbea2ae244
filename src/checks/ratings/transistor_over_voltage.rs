//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the highest voltage across every transistor with its limit, derated to 75 % by
    /// any policy but `none`; above the limit itself the power gate is blocked.
    ///
    /// Relays and long wires add what no steady state shows: a coil needs its own diode.
    ///
    /// Limits: steady state; a coil's kick is not in it.
    id: "transistor-over-voltage", gate: Power, stage: Ratings,
    sources: [("transistor voltage 75 %: EEE-INST-002, ECSS-Q-ST-30-11C", Memory)],
    sign_off: "A diode stands across every coil that a transistor switches.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[Kind::Bipolar, Kind::Mosfet, Kind::Optocoupler];
    each_part(
        context,
        Gate::Power,
        kinds,
        "no transistor and no optocoupler in the box",
        |part| {
            let property = if part.kind == Kind::Mosfet {
                Property::DrainVoltage
            } else {
                Property::CollectorVoltage
            };
            let limit = rated(part, property)?;
            let share = if context.design.derating == Derating::None {
                1.0
            } else {
                0.75
            };
            let peak = context
                .evidence
                .stress(&part.reference, Stress::PeakVoltage, powered)?;
            let comparison = Comparison::at_most(
                "voltage across the transistor",
                &peak,
                limit * share,
                Unit::Volt,
                format!("{} of {}", per_cent(share), volts(limit)),
            );
            Ok(Outcome::compare(at(part, "type"), comparison, |c| {
                let gate = if c.value > limit {
                    Gate::Power
                } else {
                    Gate::Share
                };
                Failure::new(
                    gate,
                    format!(
                        "{} sees {}; it should be held to {} ({}): {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "A transistor that breaks down conducts when it should be off, then for good.",
                    format!(
                        "Fit a type rated at least {} at {}.",
                        volts(c.value / 0.75),
                        part.reference
                    ),
                )
            }))
        },
    )
}
