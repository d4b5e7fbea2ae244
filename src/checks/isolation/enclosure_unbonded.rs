//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks whether a conductive enclosure is joined to `gnd`.
    ///
    /// An unbonded metal box floats at half the mains behind the adaptor's filter capacitors,
    /// tingles, hums, and any wire that comes loose makes it live with whatever it touches. With
    /// mains inside it can kill.
    ///
    /// Limits: with every supply outside the box and extra-low voltage inside, the missing bond
    /// blocks the share gate; with a primary inside, or bonded to anything but `gnd`, the power
    /// gate.
    id: "enclosure-unbonded", gate: Power, stage: Isolation,
    sources: [
        ("IEC 61140: basic and fault protection of conductive parts", Memory),
        ("a floating secondary stands at half mains behind equal filter capacitors", Computed),
    ],
    sign_off: "The resistance from the box's metal to the output's sleeve is below 1 Ω, lid included.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let place = Place::design("conditions.enclosure");
    let Some(enclosure) = &context.design.conditions.enclosure else {
        return vec![Outcome::not_assessed(
            place,
            Gate::Share,
            "the design says nothing of its enclosure",
        )];
    };
    let metal = enclosure.material.as_deref().is_some_and(|material| {
        ["alumin", "steel", "metal", "brass", "tin", "copper", "zinc"]
            .iter()
            .any(|word| material.to_lowercase().contains(word))
    });
    let conductive = match enclosure.conductive {
        Some(conductive) => conductive,
        None if metal => true,
        None if enclosure.material.is_some() => false,
        None => {
            return vec![Outcome::not_assessed(
                place,
                Gate::Share,
                "the design does not say whether its enclosure conducts (`conductive:`)",
            )];
        }
    };
    if !conductive {
        return vec![Outcome::does_not_apply(
            place,
            "the enclosure does not conduct",
        )];
    }
    let mains_inside = wiring::sources(context.design).any(|part| {
        part.kind != Kind::Battery
            && part
                .word("where")
                .map_or(part.kind == Kind::Transformer, |w| w == "inside")
    });
    vec![match enclosure.joined_to.as_deref() {
        Some("gnd") => Outcome::holds(place, "the enclosure is bonded to gnd"),
        Some(net) => Outcome::fails(
            place,
            Failure::new(
                Gate::Power,
                format!("The metal box is joined to {net}, not to gnd."),
                format!("Any grounded metal that touches the box shorts {net}."),
                "Join the box to gnd at one point, near the output jack.",
            ),
        ),
        None => Outcome::fails(
            place,
            Failure::new(
                if mains_inside {
                    Gate::Power
                } else {
                    Gate::Share
                },
                "The metal box is joined to nothing.",
                if mains_inside {
                    "A loose mains wire makes the whole box live."
                } else {
                    "It floats, hums, tingles, and takes up the voltage of any wire that comes loose."
                },
                "Join the box to gnd at one point, near the output jack (`joined-to: gnd`).",
            ),
        ),
    }]
}
