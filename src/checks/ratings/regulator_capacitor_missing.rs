//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks for the capacitors that the maker asks for from a regulator's input and output to
    /// its ground.
    ///
    /// Without them a regulator may oscillate at some hundred kilohertz: the meter shows a
    /// voltage that is nearly right, and everything behaves oddly. Negative and low drop-out
    /// types are the least forgiving.
    ///
    /// Limits: the wiring is read, not the distance: a reservoir on 20 cm of wire does not count.
    /// For an adjustable regulator the capacitors stand to `gnd`.
    id: "regulator-capacitor-missing", gate: Share, stage: Ratings,
    sources: [
        ("TI UA78L: 0.33 µF at the input, 0.1 µF at the output", Confirmed),
        ("LM79xx: 2.2 µF and 1 µF solid tantalum needed for stability; makers differ", Memory),
    ],
    sign_off: "The capacitors sit within a few centimetres of the regulator's pins, and no oscillation is seen on a scope.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        REGULATORS,
        "no regulator in the box",
        |part| {
            let place = at(part, "type");
            let ground = part.net("ground").unwrap_or("gnd");
            let mut absent = Vec::new();
            let mut found = Vec::new();
            for (property, terminal) in [
                (Property::InputCapacitor, "in"),
                (Property::OutputCapacitor, "out"),
            ] {
                let (Some(asked), Some(net)) = (part.figure(property), part.net(terminal)) else {
                    continue;
                };
                let least = asked.spread.nominal;
                match wiring::capacitor_between(context.design, net, ground) {
                    Some((capacitor, value)) if value >= least * 0.99 => {
                        found.push(format!("{} from {net} to {ground}", capacitor.reference));
                    }
                    _ => absent.push(format!(
                        "{} from {net} to {ground}",
                        format(least, Unit::Farad)
                    )),
                }
            }
            if absent.is_empty() {
                let says = if found.is_empty() {
                    "none asked for".to_owned()
                } else {
                    found.join(", ")
                };
                return Ok(Outcome::holds(place, says));
            }
            Ok(Outcome::fails(
                place,
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} lacks a capacitor that its maker asks for: {}.",
                        named(part),
                        absent.join(" and ")
                    ),
                    "It may oscillate: the output is then a little wrong, noisy and hot for no visible reason.",
                    format!(
                        "Fit {} close to the pins of {}.",
                        absent.join(" and "),
                        part.reference
                    ),
                ),
            ))
        },
    )
}
