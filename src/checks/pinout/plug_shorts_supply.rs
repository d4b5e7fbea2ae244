//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks what a two-contact plug does in every three-contact jack, where it joins ring and
    /// sleeve, and what any plug does on its way in, where its tip passes the ring contact.
    ///
    /// A supply wired straight to the ring is shorted to ground by every TS plug, and to the tip
    /// by every plug on its way in. Someone will use a guitar lead.
    ///
    /// Limits: a supply behind a resistor is judged by the current that flows then, against the
    /// rating of the regulator that gives it.
    id: "plug-shorts-supply", gate: Power, stage: Pinout,
    sources: [
        ("6.35 mm three-contact mating shorts tip, ring and sleeve for a moment", Practice),
        ("an expression input's reference must tolerate a short: series resistor in it", Practice),
    ],
    sign_off: "A two-contact plug was put in each three-contact jack with a meter on the rails.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let stiff = |net: &str| net != "nc" && (net == "gnd" || wiring::is_supply(design, net));
    each_part(
        context,
        Gate::Power,
        &[Kind::Jack],
        "no jack in the box",
        |part| {
            let place = at(part, "nets");
            let Some(ring) = part.net("ring") else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "it has no ring contact in use",
                ));
            };
            let sleeve = part.net("sleeve").unwrap_or("nc");
            let tip = part.net("tip").unwrap_or("nc");
            let shorted = [
                (sleeve, "sleeve", "A two-contact plug"),
                (tip, "tip", "Any plug on its way in"),
            ]
            .into_iter()
            .find(|(net, _, _)| *net != ring && stiff(net) && stiff(ring));
            if let Some((net, contact, plug)) = shorted {
                return Ok(Outcome::fails(
                    place,
                    Failure::new(
                        Gate::Power,
                        format!(
                            "{plug} joins ring and {contact} of {}: it shorts {ring} to {net}.",
                            part.reference
                        ),
                        "The supply is shorted: regulator and adaptor overheat, and the rail collapses for everything else.",
                        format!(
                            "Put a resistor of 1 kΩ between {} and the ring of {}.",
                            if ring == "gnd" { net } else { ring },
                            part.reference
                        ),
                    ),
                ));
            }
            overloaded(context, part, place)
        },
    )
}

/// The regulator that a two-contact plug in this jack overloads, if any.
fn overloaded(context: &Context, jack: &Part, place: Place) -> Look {
    let inserted = |s: &Situation| {
        s.state.powered && s.state.plugs.get(&jack.reference) == Some(&Plugged::TwoContactLead)
    };
    for regulator in context
        .design
        .parts
        .values()
        .filter(|p| REGULATORS.contains(&p.kind))
    {
        let rating = rated(regulator, Property::Current)?;
        let current =
            context
                .evidence
                .stress(&regulator.reference, Stress::CurrentMean, inserted)?;
        if current.high > rating {
            let comparison = Comparison::at_most(
                "regulator current with a two-contact plug",
                &current,
                rating,
                Unit::Ampere,
                "rated current",
            );
            return Ok(Outcome::compare(place, comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "A two-contact plug in {} makes {} deliver {}; it is rated {}.",
                        jack.reference,
                        named(regulator),
                        c.value_text(),
                        c.limit_text()
                    ),
                    "Regulator and adaptor overheat for as long as the wrong plug is in.",
                    format!(
                        "Put a resistor of 1 kΩ in the lead to the ring of {}.",
                        jack.reference
                    ),
                )
            }));
        }
    }
    Ok(Outcome::holds(place, "a two-contact plug shorts no supply"))
}
