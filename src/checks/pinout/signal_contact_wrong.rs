//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the contact on which an instrument expects its signal with what the box has on
    /// that contact of the jack, and with the cable: not open, not `gnd`, not a bare supply, and
    /// carried by the cable.
    ///
    /// Most pedals have the wiper on the tip, others on the ring. With the wrong one the
    /// instrument hears nothing, or a supply.
    ///
    /// Limits: what the instrument's file says of its contacts.
    id: "signal-contact-wrong", gate: Plug, stage: Pinout,
    sources: [
        ("most expression inputs: reference on ring, wiper on tip, a pedal maker's page", Confirmed),
        ("others: wiper on ring, supply on tip", Secondary),
    ],
    sign_off: "The instrument's manual, or a meter, says which contact is which.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let mut outcomes = Vec::new();
    for (jack, connections) in &design.connections {
        let Some(part) = design.parts.get(jack) else {
            continue;
        };
        for connection in connections {
            let Connection::Instrument {
                instrument,
                input: name,
                cable,
            } = connection
            else {
                continue;
            };
            let Some(input) = instrument.inputs.get(name) else {
                continue;
            };
            let place = at(part, "nets");
            let signal = input.signal.as_str();
            let net = part.net(signal);
            let trouble = match net {
                _ if signal == "ring" && cable == "TS" => Some((
                    Gate::Share,
                    format!(
                        "{name} of {} wants its signal on the ring, and the cable at {jack} has none.",
                        instrument.title
                    ),
                    "Use a three-contact (TRS) cable.".to_owned(),
                )),
                None => Some((
                    Gate::Share,
                    format!(
                        "{name} of {} wants its signal on the {signal}, which {jack} leaves open.",
                        instrument.title
                    ),
                    format!("Wire the output to the {signal} of {jack}."),
                )),
                Some("gnd") => Some((
                    Gate::Share,
                    format!(
                        "{name} of {} wants its signal on the {signal}, which {jack} grounds.",
                        instrument.title
                    ),
                    format!("Wire the output to the {signal} of {jack}."),
                )),
                Some(net) if wiring::is_supply(design, net) => Some((
                    Gate::Plug,
                    format!(
                        "{jack} puts the supply {net} on the {signal}, where {name} of {} has its input.",
                        instrument.title
                    ),
                    format!("Wire the output, not {net}, to the {signal} of {jack}."),
                )),
                Some(_) => None,
            };
            outcomes.push(match trouble {
                None => Outcome::holds(
                    place,
                    format!("signal on the {signal}, as {} wants it", instrument.title),
                ),
                Some((gate, what, remedy)) => Outcome::fails(
                    place,
                    Failure::new(
                        gate,
                        what,
                        "The instrument hears nothing, or gets a supply in its input.",
                        remedy,
                    ),
                ),
            });
        }
    }
    if outcomes.is_empty() {
        outcomes.push(Outcome::does_not_apply(
            Place::design("connect"),
            "the box feeds no instrument",
        ));
    }
    outcomes
}
