//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the voltage between gate and source of every MOSFET with its limit.
    ///
    /// The oxide under the gate is some tens of nanometres thick and does not forgive once.
    ///
    /// Limits: the difference of the two nets' extremes, which may never stand at the same
    /// instant; static charge while soldering is not in it.
    id: "gate-over-voltage", gate: Power, stage: Ratings,
    sources: [("gate–source limit of the type, ± 20 V for most, makers' sheets", Memory)],
    sign_off: "MOSFETs were handled on a grounded mat.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Mosfet],
        "no MOSFET in the box",
        |part| {
            let limit = rated(part, Property::GateVoltage)?;
            let reach = |terminal: &str| {
                let net = part
                    .net(terminal)
                    .ok_or_else(|| lacks(format!("{} has its {terminal} open", part.reference)))?;
                if net == "gnd" {
                    return Ok((0.0, 0.0, 0));
                }
                let low = context.evidence.net(net, Measure::Minimum, powered)?;
                let high = context.evidence.net(net, Measure::Maximum, powered)?;
                Ok::<_, Missing>((low.low, high.high, high.high_at))
            };
            let (gate, source) = (reach("gate")?, reach("source")?);
            let mut comparison = Comparison::fixed(
                "gate to source",
                (gate.1 - source.0).max(source.1 - gate.0),
                Bound::AtMost,
                limit,
                Unit::Volt,
                "gate–source limit",
            );
            comparison.situation = Some(gate.2.max(source.2));
            Ok(Outcome::compare(at(part, "nets"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} may get {} between gate and source and takes {}: {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "The gate's oxide breaks through and the transistor stays on for good.",
                    format!(
                        "Fit a 12 V zener from gate to source of {} and 10 kΩ in series with its gate.",
                        part.reference
                    ),
                )
            }))
        },
    )
}
