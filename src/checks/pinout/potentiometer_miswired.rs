//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks for potentiometers whose wiper is on a supply or on `gnd` while an end goes to
    /// another supply or to `gnd`, whose two ends are on one net, or whose wiper is on the same
    /// net as an end while the other end carries the output.
    ///
    /// With the supply on the wiper, the track is shorted at one end of the travel: the pot burns
    /// and the rail collapses. With wiper and an end exchanged the output moves little or jumps.
    ///
    /// Limits: the wiring is read; a wiper joined to one end is a variable resistor on purpose
    /// and passes unless that net is a supply and the other end is one too.
    id: "potentiometer-miswired", gate: Power, stage: Pinout,
    sources: [("a divider takes its output from the wiper: ends on the supplies", Practice)],
    sign_off: "With the power off, the resistance from wiper to each end changes smoothly over the travel.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let stiff = |net: &str| net == "gnd" || wiring::is_supply(design, net);
    each_part(
        context,
        Gate::Power,
        &[Kind::Potentiometer],
        "no potentiometer in the box",
        |part| {
            let place = at(part, "nets");
            let wiper = part.net("wiper").unwrap_or("nc");
            let ends = [
                part.net("cw").unwrap_or("nc"),
                part.net("ccw").unwrap_or("nc"),
            ];
            if ends[0] == ends[1] && ends[0] != "nc" {
                return Ok(Outcome::fails(
                    place,
                    Failure::new(
                        Gate::Share,
                        format!("Both ends of {} are on {}.", named(part), ends[0]),
                        "The control does next to nothing: the same at both ends of its travel.",
                        format!(
                            "Put one end of {} on the other side of the range it is to cover.",
                            part.reference
                        ),
                    ),
                ));
            }
            let shorted = ends
                .iter()
                .find(|end| **end != wiper && stiff(end) && stiff(wiper) && **end != "nc");
            if let Some(end) = shorted {
                return Ok(Outcome::fails(
                    place,
                    Failure::new(
                        Gate::Power,
                        format!(
                            "The wiper of {} is on {wiper} and one of its ends on {end}.",
                            named(part)
                        ),
                        format!(
                            "At that end of the travel {wiper} is shorted to {end}: the track burns and the rail collapses."
                        ),
                        format!(
                            "Put the supplies on the two ends of {} and take the output from the wiper.",
                            part.reference
                        ),
                    ),
                ));
            }
            if let Some(end) = ends
                .iter()
                .find(|end| !stiff(end) && **end != wiper && **end != "nc")
            {
                let other = if ends[0] == *end { ends[1] } else { ends[0] };
                let fed = other == wiper || stiff(wiper);
                if fed && feeds_jack(design, end) && stiff(wiper) {
                    return Ok(Outcome::fails(
                        place,
                        Failure::new(
                            Gate::Share,
                            format!(
                                "{} has its wiper on {wiper} and gives its output from an end, {end}.",
                                named(part)
                            ),
                            "The output does not cover its range: wiper and an end are exchanged.",
                            format!("Exchange {wiper} and {end} at {}.", part.reference),
                        ),
                    ));
                }
            }
            Ok(Outcome::holds(
                place,
                "wired as a divider or as a variable resistor",
            ))
        },
    )
}

fn feeds_jack(design: &Design, net: &str) -> bool {
    wiring::on(design, net)
        .iter()
        .any(|(part, _)| part.kind == Kind::Jack)
}
