//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks where the ground pin of every fixed regulator goes: to `gnd`, or to a net that a
    /// resistor, diode, zener or potentiometer alone ties to `gnd` to lift the output.
    ///
    /// With its ground pin on a supply, a reservoir or nothing, a regulator passes nearly its
    /// whole input on.
    ///
    /// Limits: the wiring is read; what the lifted ground does to the voltage is solved elsewhere.
    id: "regulator-ground-pin", gate: Power, stage: Pinout,
    sources: [
        ("ground pin open: output rises to the input less about 2 V", Practice),
        ("pin orders: 78L out, ground, in; 79L ground, in, out, TO-92", Confirmed),
    ],
    sign_off: "The ground pin of each regulator measures zero ohms to the box's ground.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Regulator],
        "no fixed regulator in the box",
        |part| {
            let place = at(part, if part.pins.is_empty() { "nets" } else { "pins" });
            let net = part.net("ground").unwrap_or("nc");
            if net == "gnd" {
                return Ok(Outcome::holds(place, "its ground pin is on gnd"));
            }
            let neighbours = wiring::on(context.design, net);
            let lifted = net != "nc"
                && part.net("out") != Some("gnd")
                && neighbours
                    .iter()
                    .filter(|(other, _)| other.reference != part.reference)
                    .all(|(other, _)| {
                        matches!(
                            other.kind,
                            Kind::Resistor
                                | Kind::Diode
                                | Kind::Zener
                                | Kind::Led
                                | Kind::Potentiometer
                                | Kind::Ceramic
                                | Kind::Film
                                | Kind::Electrolytic
                        )
                    })
                && neighbours.iter().any(|(other, lead)| {
                    wiring::across(other, lead) == Some("gnd") && !CAPACITORS.contains(&other.kind)
                })
                && wiring::capacitor_sign(context.design, net).is_none();
            if lifted {
                return Ok(Outcome::holds(
                    place,
                    format!("its ground pin is lifted on purpose, on {net}"),
                ));
            }
            Ok(Outcome::fails(
                place,
                Failure::new(
                    Gate::Power,
                    if net == "nc" {
                        format!("The ground pin of {} is open.", named(part))
                    } else {
                        format!("The ground pin of {} is on {net}, not on gnd.", named(part))
                    },
                    "Without its ground a regulator passes nearly its whole input on to the rail.",
                    format!("Put the ground pin of {} on gnd.", part.reference),
                ),
            ))
        },
    )
}
