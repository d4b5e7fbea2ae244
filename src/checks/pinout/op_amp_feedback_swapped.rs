//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks from every op-amp's output, through wires, resistors, potentiometers and capacitors,
    /// for a direct way back to its inverting input.
    ///
    /// With feedback to the non-inverting input only, an intended buffer is a latch: its output
    /// sits at one rail and jumps to the other.
    ///
    /// Limits: one part between output and input; a comparator or an oscillator on purpose is a
    /// false alarm to be accepted with that reason.
    id: "op-amp-feedback-swapped", gate: Plug, stage: Pinout,
    sources: [("feedback goes to the inverting input", Practice)],
    sign_off: "The output follows the control smoothly, without jumping.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let mut outcomes = Vec::new();
    for part in design
        .parts
        .values()
        .filter(|part| part.kind == Kind::OpAmp)
    {
        let units: Vec<String> = match &part.structure {
            Structure::Units(names) => names.iter().map(|name| format!("{name}.")).collect(),
            _ => vec![String::new()],
        };
        for unit in units {
            let place = at(part, "units");
            let lead = |name: &str| part.net(&format!("{unit}{name}"));
            let (Some(out), Some(plus), Some(minus)) = (lead("out"), lead("plus"), lead("minus"))
            else {
                continue;
            };
            let says = match unit.trim_end_matches('.') {
                "" => part.reference.clone(),
                name => format!("Unit {name} of {}", part.reference),
            };
            if near(design, out, minus) || !near(design, out, plus) {
                outcomes.push(Outcome::holds(
                    place,
                    format!("{says}: feedback to the inverting input, or none"),
                ));
                continue;
            }
            outcomes.push(Outcome::fails(
                place,
                Failure::new(
                    Gate::Plug,
                    format!("{says} feeds its output {out} back to its plus input only, on {plus}."),
                    "It latches at one of its rails instead of following: the input gets a full rail.",
                    format!("Exchange plus and minus of {says}."),
                ),
            ));
        }
    }
    or_none(outcomes, "no op-amp with wired inputs")
}

/// Are two nets the same, or joined by one resistor, capacitor or potentiometer?
#[must_use]
pub fn near(design: &Design, one: &str, other: &str) -> bool {
    one == other
        || design.parts.values().any(|part| {
            let passive = matches!(
                part.kind,
                Kind::Resistor | Kind::Potentiometer | Kind::WireLink
            ) || CAPACITORS.contains(&part.kind);
            let joins = |net: &str| part.terminals.values().any(|wired| wired == net);
            passive && one != "gnd" && other != "gnd" && joins(one) && joins(other)
        })
}
