//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks for parts that need direct voltage (regulators, polarised capacitors, op-amps) wired
    /// straight to an AC adaptor's or a winding's output.
    ///
    /// Every other half-cycle reverses them: the capacitor bursts, the regulator and the op-amp
    /// are destroyed at first power.
    ///
    /// Limits: the wiring is read through fuses, switches and links; an adaptor of the wrong sort
    /// at a strange venue is a caution, not this check.
    id: "ac-where-dc-is-needed", gate: Power, stage: Polarity,
    sources: [("IEC 60417-5031 direct, 5032 alternating current on the adaptor's label", Confirmed)],
    sign_off: "The adaptor's label shows ~ for AC or ⎓ for DC as the parts list has it.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        AC_SOURCES,
        "no AC adaptor or transformer",
        |source| {
            let place = at(source, "kind");
            let mut harmed: Vec<&Part> = Vec::new();
            for (terminal, net) in &source.terminals {
                let alternates = net != "gnd" && net != "nc" && wiring::drives(source, terminal);
                if !alternates || doubles(context.design, source, net) {
                    continue;
                }
                for reached in wiring::reach(context.design, net) {
                    harmed.extend(
                        wiring::on(context.design, reached)
                            .into_iter()
                            .filter(|(part, lead)| needs_dc(part, lead))
                            .map(|(part, _)| part),
                    );
                }
            }
            if harmed.is_empty() {
                return Ok(Outcome::holds(
                    place,
                    "rectified before anything that needs DC",
                ));
            }
            let names: Vec<&str> = harmed.iter().map(|part| part.reference.as_str()).collect();
            Ok(Outcome::fails(
            place,
            Failure::new(
                Gate::Power,
                format!(
                    "{} gives AC, and {} wired to it without a rectifier.",
                    named(source),
                    if names.len() == 1 { format!("{} is", names[0]) } else { format!("{} are", names.join(", ")) }
                ),
                "Every other half-cycle reverses them: capacitors burst, regulators and op-amps die.",
                format!("Put a rectifier before {}, or use a DC adaptor.", names.join(", ")),
            )
            .with(harmed.iter().map(|part| Place::part(&part.reference)).collect()),
        ))
        },
    )
}

/// Is this end of a winding the middle of a doubler's two reservoirs, with the rectifiers at the
/// other end? Then it stands still against `gnd`, and the other end does the alternating.
fn doubles(design: &Design, source: &Part, net: &str) -> bool {
    let reservoirs = wiring::on(design, net)
        .into_iter()
        .filter(|(part, _)| part.reference != source.reference)
        .all(|(part, _)| POLARISED.contains(&part.kind));
    let rectified = source
        .terminals
        .iter()
        .filter(|(terminal, far)| *far != net && wiring::drives(source, terminal))
        .flat_map(|(_, far)| wiring::reach(design, far))
        .flat_map(|far| wiring::on(design, far))
        .filter(|(part, _)| part.kind == Kind::Diode)
        .map(|(_, lead)| lead)
        .collect::<Vec<_>>();
    reservoirs && rectified.contains(&"anode") && rectified.contains(&"cathode")
}

fn needs_dc(part: &Part, lead: &str) -> bool {
    match part.kind {
        Kind::Regulator | Kind::AdjustableRegulator => lead == "in" || lead == "out",
        Kind::OpAmp => lead.starts_with("supply"),
        Kind::Electrolytic | Kind::Tantalum => wiring::across(part, lead) == Some("gnd"),
        _ => false,
    }
}
