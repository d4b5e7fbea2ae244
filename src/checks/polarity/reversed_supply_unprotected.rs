//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks for protection against a reversed battery or a DC adaptor of the wrong polarity: a
    /// series diode, a MOSFET or a bridge, or a diode across the supply behind a fuse.
    ///
    /// A 9 V clip touches the wrong way round for a moment each time; DC adaptors come with the
    /// plus on the tip or on the sleeve and fit either way.
    ///
    /// Limits: the wiring is read through fuses, switches and links from the positive side, and
    /// for a diode in the negative lead.
    id: "reversed-supply-unprotected", gate: Share, stage: Polarity,
    sources: [
        ("reverse polarity of a user-replaceable battery as a foreseeable fault, IEC 62368-1 annex B", Memory),
        ("IEC 60417-5926: polarity of a DC power connector", Confirmed),
    ],
    sign_off: "The supply's polarity is printed beside the connector.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[Kind::DcAdaptor, Kind::Battery];
    each_part(
        context,
        Gate::Share,
        kinds,
        "no DC adaptor or battery",
        |source| {
            let place = at(source, "nets");
            let design = context.design;
            let (positive, negative) = (source.net("positive"), source.net("negative"));
            // Either end may be grounded; the other one feeds the box.
            let (live, forward, backward) = match (positive, negative) {
                (Some(net), _) if net != "gnd" => (net, "anode", "cathode"),
                (_, Some(net)) if net != "gnd" => (net, "cathode", "anode"),
                _ => {
                    return Ok(Outcome::does_not_apply(place, "it feeds nothing but gnd"));
                }
            };
            let far = if forward == "anode" {
                negative
            } else {
                positive
            };
            let nets = wiring::reach(design, live);
            let leads: Vec<_> = nets
                .iter()
                .filter(|net| **net != "gnd")
                .flat_map(|net| wiring::on(design, net))
                .filter(|(part, _)| part.reference != source.reference)
                .collect();
            let fused = leads
                .iter()
                .any(|(part, _)| matches!(part.kind, Kind::Fuse | Kind::Ptc));
            let across = leads.iter().find(|(part, lead)| {
                part.kind == Kind::Diode && *lead == backward && part.net(forward) == far
            });
            let blocked = leads.iter().all(|(part, lead)| {
                wiring::passes(part)
                    || matches!(part.kind, Kind::Mosfet | Kind::Bridge)
                    || (part.kind == Kind::Diode
                        && (*lead == forward || wants_the_other_sign(design, part, forward)))
            });
            let behind = far.is_some_and(|net| {
                net != "gnd"
                    && wiring::on(design, net)
                        .iter()
                        .any(|(part, lead)| part.kind == Kind::Diode && *lead == backward)
            });
            let says = match across {
                Some((diode, _)) if fused => Some(format!("{} blows the fuse", diode.reference)),
                _ if blocked || behind => {
                    Some("a diode, bridge or MOSFET in series blocks it".to_owned())
                }
                _ => None,
            };
            Ok(says.map_or_else(
            || {
                Outcome::fails(
                    place.clone(),
                    Failure::new(
                        Gate::Share,
                        format!("Nothing protects the box when {} is connected the wrong way round.", named(source)),
                        "Capacitors, regulators and op-amps are reversed and destroyed in a moment.",
                        format!("Put a 1N5819 in series: {forward} on {live}, {backward} towards the box."),
                    ),
                )
            },
            |says| Outcome::holds(place.clone(), says),
        ))
        },
    )
}

/// Does the far end of this diode want a voltage of the other sign? Then a reversed supply feeds
/// it as it is meant to be fed.
fn wants_the_other_sign(design: &Design, diode: &Part, far: &str) -> bool {
    let meant = if far == "anode" { -1.0 } else { 1.0 };
    diode.net(far).is_some_and(|rail| {
        rail != "gnd" && wiring::expected_sign(design, rail).is_some_and(|sign| sign * meant > 0.0)
    })
}
