//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the direction of every diode with what the rail it feeds is meant to be, by its
    /// regulators, by a promise or by a + or − at the end of its name: a rectifier points to a positive rail and away
    /// from a negative one; a diode across a regulator or across a rail blocks in normal use; a
    /// diode in series with a battery lets its current through.
    ///
    /// A rectifier turned round gives the rail the wrong sign: the reservoir and the regulator
    /// behind it are reversed. A protection diode turned round is a short, or bridges the
    /// regulator.
    ///
    /// Limits: the wiring is read, not the circuit solved; a diode in none of these places does
    /// not apply here and is judged by its current.
    id: "diode-turned", gate: Power, stage: Polarity,
    sources: [("rectifier, clamp and protection diodes: direction by function", Practice)],
    sign_off: "The band of each diode was compared with the drawing before power.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

/// What a diode is there for, as far as the wiring tells, and whether it points the right way.
struct Role {
    what: String,
    right: bool,
    then: &'static str,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Diode],
        "no diode in the box",
        |part| {
            let place = at(part, "nets");
            let (Some(anode), Some(cathode)) = (part.net("anode"), part.net("cathode")) else {
                return Ok(Outcome::does_not_apply(place, "one lead is open"));
            };
            let Some(role) = role(context.design, anode, cathode) else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "neither rectifier, clamp nor series protection: see its current",
                ));
            };
            if role.right {
                return Ok(Outcome::holds(
                    place,
                    format!("points the right way: {}", role.what),
                ));
            }
            Ok(Outcome::fails(
                place,
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} is turned round: {}, with its anode on {anode} and its cathode (band) on {cathode}.",
                        named(part),
                        role.what
                    ),
                    role.then,
                    format!(
                        "Turn {} round: anode to {cathode}, cathode (band) to {anode}.",
                        part.reference
                    ),
                ),
            ))
        },
    )
}

fn role(design: &Design, anode: &str, cathode: &str) -> Option<Role> {
    rectifier(design, anode, cathode)
        .or_else(|| across_regulator(design, anode, cathode))
        .or_else(|| across_rail(design, anode, cathode))
        .or_else(|| in_series(design, anode, cathode))
}

/// The sign a rail is meant to have: by its regulators, by a promise, by a `+` or `-` that its
/// name ends in. Capacitors have no say: one turned round is a finding of its own.
fn sign(design: &Design, net: &str) -> Option<f64> {
    let promised = || {
        design
            .promises
            .iter()
            .find_map(|promise| match &promise.promised {
                Promised::Is { at, range } if at == net && range.nominal != 0.0 => {
                    Some(range.nominal.signum())
                }
                _ => None,
            })
    };
    let named = || match net.chars().last() {
        Some('+') => Some(1.0),
        Some('-' | '−') => Some(-1.0),
        _ => None,
    };
    wiring::expected_sign(design, net)
        .or_else(promised)
        .or_else(named)
}

fn rectifier(design: &Design, anode: &str, cathode: &str) -> Option<Role> {
    let alternating = wiring::alternating(design);
    let (rail, points) = match (alternating.contains(anode), alternating.contains(cathode)) {
        (true, false) => (cathode, 1.0),
        (false, true) => (anode, -1.0),
        _ => return None,
    };
    let wanted = sign(design, rail)?;
    let word = if wanted > 0.0 { "positive" } else { "negative" };
    Some(Role {
        what: format!("it rectifies for {rail}, which is to be {word}"),
        right: (points - wanted).abs() < 0.5,
        then: "The rail gets the wrong sign: reservoir and regulator behind it are reversed and destroyed.",
    })
}

fn across_regulator(design: &Design, anode: &str, cathode: &str) -> Option<Role> {
    let regulator = design.parts.values().find(|part| {
        REGULATORS.contains(&part.kind)
            && [(anode, cathode), (cathode, anode)]
                .contains(&(part.net("in").unwrap_or(""), part.net("out").unwrap_or("")))
    })?;
    let upper = if wiring::polarity(regulator) > 0.0 {
        "in"
    } else {
        "out"
    };
    Some(Role {
        what: format!(
            "it guards {} against reverse discharge",
            regulator.reference
        ),
        right: regulator.net(upper) == Some(cathode),
        then: "It bridges the regulator: the rail stands one diode drop below the raw supply.",
    })
}

/// Voltage order of a supply net: its sign, 0 for `gnd`.
fn level(design: &Design, net: &str) -> Option<f64> {
    if net == "gnd" {
        return Some(0.0);
    }
    let driven = wiring::on(design, net).iter().any(|(part, terminal)| {
        (REGULATORS.contains(&part.kind) && *terminal == "out")
            || (matches!(part.kind, Kind::DcAdaptor | Kind::Battery) && *terminal == "positive")
    });
    driven.then(|| sign(design, net).unwrap_or(1.0))
}

fn across_rail(design: &Design, anode: &str, cathode: &str) -> Option<Role> {
    let (high, low) = (level(design, cathode)?, level(design, anode)?);
    if (high - low).abs() < 0.5 {
        return None;
    }
    Some(Role {
        what: format!("it stands across {anode} and {cathode} to block"),
        right: high > low,
        then: "It conducts all the time: the supply is shorted through the diode.",
    })
}

fn in_series(design: &Design, anode: &str, cathode: &str) -> Option<Role> {
    let source = |net: &str, terminal: &str| {
        wiring::reach(design, net).iter().any(|reached| {
            wiring::on(design, reached).iter().any(|(part, name)| {
                matches!(part.kind, Kind::DcAdaptor | Kind::Battery) && *name == terminal
            })
        })
    };
    let (right, from) = if source(anode, "positive") {
        (true, anode)
    } else if source(cathode, "positive") && sign(design, anode)? > 0.0 {
        (false, cathode)
    } else {
        return None;
    };
    Some(Role {
        what: format!("it stands in series with the supply on {from}"),
        right,
        then: "The box gets no supply at all.",
    })
}
