//! See [`CHECK`].

use crate::checks::prelude::*;

/// The least rated voltage of common switches and relays [V].
const LEAST: f64 = 30.0;

check! {
    /// Compares the highest voltage across the contacts of every switch and relay with their
    /// rating, and between any two contacts of every jack, plug and connector with its rating,
    /// derated by the design's policy; above the rating itself the power gate is blocked.
    ///
    /// A contact that opens above its rating draws an arc; with DC the arc stays. Between the pins
    /// of a connector dirt and damp do the same.
    ///
    /// Limits: the extremes of the two nets are set against each other, which is an upper bound.
    /// Without a rating 30 V is taken, the least of common signal switches and connectors.
    id: "contact-over-voltage", gate: Power, stage: Ratings,
    sources: [
        ("the smallest slide and toggle switches are rated 30 V DC and more", Practice),
        ("System Reliability Center, Part Derating Parameters: connector voltage 70 % severe, 80 % benign", Confirmed),
    ],
    sign_off: "The rating printed on each switch is for DC where it switches DC.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[
        Kind::Switch,
        Kind::Relay,
        Kind::Jack,
        Kind::Plug,
        Kind::Connector,
    ];
    each_part(
        context,
        Gate::Power,
        kinds,
        "no switch, relay, jack or connector in the box",
        |part| {
            let switched = matches!(part.kind, Kind::Switch | Kind::Relay);
            let allowance = if switched {
                None
            } else {
                derating::connector_voltage(context.design.derating)
            };
            let rating = part
                .figure(Property::Voltage)
                .map_or(LEAST, |f| f.spread.nominal);
            let (worst, situation) = across(context, part)?;
            let mut comparison = Comparison::fixed(
                "voltage across contacts",
                worst,
                Bound::AtMost,
                rating * allowance.map_or(1.0, |allowance| allowance.share),
                Unit::Volt,
                allowance.map_or_else(
                    || "rated voltage".to_owned(),
                    |allowance| allowance.of(&volts(rating)),
                ),
            );
            comparison.situation = situation;
            Ok(Outcome::compare(at(part, "voltage"), comparison, |c| {
                let share = c.limit / rating;
                let gate = if c.value > rating {
                    Gate::Power
                } else {
                    Gate::Share
                };
                Failure::new(
                    gate,
                    format!(
                        "{} of {} see {}; hold them to {} ({}): {} too much.",
                        if switched {
                            "Open contacts"
                        } else {
                            "Neighbouring contacts"
                        },
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    if switched {
                        "The contact arcs as it opens and burns away."
                    } else {
                        "A little dirt or damp between the contacts then carries current."
                    },
                    format!(
                        "Fit a {} rated at least {} at {}.",
                        part.kind.key(),
                        volts(c.value / share),
                        part.reference
                    ),
                )
            }))
        },
    )
}

/// Highest voltage that may stand between two contacts [V], of a switch or relay between a common
/// and any of its throws: the extremes of the two nets, which need not come at one instant.
fn across(context: &Context, part: &Part) -> Result<(f64, Option<usize>), Missing> {
    let ends = |net: &str| -> Result<(f64, f64, Option<usize>), Missing> {
        if net == "gnd" {
            return Ok((0.0, 0.0, None));
        }
        let low = context.evidence.net(net, Measure::Minimum, any)?;
        let high = context.evidence.net(net, Measure::Maximum, any)?;
        Ok((low.low, high.high, Some(high.high_at)))
    };
    let mut worst = (0.0, None);
    for (one, other) in pairs(part) {
        let (low, high, at) = ends(one)?;
        let (floor, ceiling, when) = ends(other)?;
        for (value, situation) in [(high - floor, at), (ceiling - low, when)] {
            if value > worst.0 {
                worst = (value, situation);
            }
        }
    }
    Ok(worst)
}

/// The nets of every two contacts that may stand apart.
fn pairs(part: &Part) -> Vec<(&str, &str)> {
    let mut pairs = Vec::new();
    if let Structure::Contacts { poles, .. } = &part.structure {
        for pole in poles.values() {
            pairs.extend(
                pole.throws
                    .iter()
                    .map(|throw| (pole.common.as_str(), throw.as_str())),
            );
        }
    } else {
        let nets: Vec<&str> = part.terminals.values().map(String::as_str).collect();
        for (index, one) in nets.iter().enumerate() {
            pairs.extend(nets[index + 1..].iter().map(|other| (*one, *other)));
        }
    }
    pairs.retain(|(one, other)| one != other && *one != "nc" && *other != "nc");
    pairs
}
