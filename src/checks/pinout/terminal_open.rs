//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks for leads that must be wired and are left open: of two-lead parts, regulators,
    /// op-amp supplies, transistors and wipers; and for nets that end at a single lead.
    ///
    /// An open lead is mostly a slip of the pen; an open wiper or gate floats.
    ///
    /// Limits: open ends of potentiometers, throws, jack contacts and connectors are usual and
    /// left alone, as are nets named as test points.
    id: "terminal-open", gate: Share, stage: Pinout,
    sources: [("every lead goes somewhere", Practice)],
    sign_off: "Each wire of the wiring list was ticked off after soldering.",
    always_assessed: "the design alone is read, nothing is computed",
    always_applies: "every part has leads",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let mut outcomes = Vec::new();
    for part in design.parts.values().filter(|part| wired_throughout(part)) {
        let place = at(part, if part.pins.is_empty() { "nets" } else { "pins" });
        let loose: Vec<String> = part
            .terminals
            .iter()
            .filter(|(lead, _)| !(part.kind == Kind::Potentiometer && *lead != "wiper"))
            .filter_map(|(lead, net)| {
                if net == "nc" {
                    return Some(format!("{lead} is open"));
                }
                let alone = net != "gnd"
                    && wiring::on(design, net).len() == 1
                    && !design.test_points.values().any(|point| point == net);
                alone.then(|| format!("{lead} is alone on {net}"))
            })
            .collect();
        outcomes.push(if loose.is_empty() {
            Outcome::holds(place, "every lead is wired")
        } else {
            Outcome::fails(
                place,
                Failure::new(
                    Gate::Share,
                    format!("{}: {}.", named(part), loose.join(", ")),
                    "A lead that goes nowhere does nothing, or floats.",
                    format!("Wire {} throughout, or leave it out.", part.reference),
                ),
            )
        });
    }
    or_none(outcomes, "no part whose leads must all be wired")
}

fn wired_throughout(part: &Part) -> bool {
    !matches!(
        part.kind,
        Kind::Switch
            | Kind::Relay
            | Kind::Jack
            | Kind::Plug
            | Kind::Connector
            | Kind::OpAmp
            | Kind::Transformer
            | Kind::AcAdaptor
    )
}
