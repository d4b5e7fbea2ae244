//! See [`CHECK`].

use crate::checks::prelude::*;
use std::collections::BTreeMap;

/// Share of its rated voltage at which every relay has pulled in.
const PULLS: f64 = 0.75;
/// Share of its rated voltage that a coil stands for long.
const STANDS: f64 = 1.1;

check! {
    /// Compares the voltage across every relay's coil, where it is energised, with 75 % of its
    /// rated voltage at the low end and 110 % at the high end.
    ///
    /// At low mains or on a tired battery the relay chatters or does not pull in; at high mains
    /// its coil cooks.
    ///
    /// Limits: energised means at least half the rated voltage in a switch position; settled
    /// states. A warm coil wants some per cent more to pull in.
    id: "relay-coil-voltage", gate: Share, stage: Ratings,
    sources: [("small relays pull in by 75 % of the rated voltage and stand 110 % or more", Memory)],
    sign_off: "Each relay pulls in at once with the supply at its lowest.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        &[Kind::Relay],
        "no relay in the box",
        |part| {
            let rating = rated(part, Property::Value)?;
            let (Some(one), Some(other)) = (part.net("coil1"), part.net("coil2")) else {
                return Err(lacks(format!("{} has an open coil lead", part.reference)));
            };
            let mut settings: Vec<&BTreeMap<String, usize>> = Vec::new();
            for situation in context.evidence.situations.iter().filter(|s| as_meant(s)) {
                if !settings.contains(&&situation.state.switches) {
                    settings.push(&situation.state.switches);
                }
            }
            if settings.is_empty() {
                return Err(lacks(format!(
                    "the coil voltage of {} was not computed",
                    part.reference
                )));
            }
            let mut lowest: Option<Comparison> = None;
            let mut highest: Option<Comparison> = None;
            for setting in settings {
                let here = |s: &Situation| as_meant(s) && s.state.switches == *setting;
                let across = magnitude(context.evidence.between(one, other, here)?);
                if across.high < rating / 2.0 {
                    continue;
                }
                let low = Comparison::at_least(
                    "coil voltage",
                    &across,
                    rating * PULLS,
                    Unit::Volt,
                    format!("75 % of {}, to pull in", volts(rating)),
                );
                let high = Comparison::at_most(
                    "coil voltage",
                    &across,
                    rating * STANDS,
                    Unit::Volt,
                    format!("110 % of {}", volts(rating)),
                );
                if lowest.as_ref().is_none_or(|known| low.value < known.value) {
                    lowest = Some(low);
                }
                if highest
                    .as_ref()
                    .is_none_or(|known| high.value > known.value)
                {
                    highest = Some(high);
                }
            }
            let place = at(part, "value");
            let (Some(low), Some(high)) = (lowest, highest) else {
                return Ok(Outcome::fails(
                    place,
                    Failure::new(
                        Gate::Share,
                        format!(
                            "The coil of {} never gets half its rated {}.",
                            named(part),
                            volts(rating)
                        ),
                        "The relay never pulls in.",
                        format!(
                            "Wire the coil of {} to a supply of {}.",
                            part.reference,
                            volts(rating)
                        ),
                    ),
                ));
            };
            let comparison = if high.holds() { low } else { high };
            Ok(Outcome::compare(place, comparison, |c| {
                let over = c.bound == Bound::AtMost;
                Failure::new(
                    Gate::Share,
                    format!(
                        "The coil of {} gets {}; it needs {} {} ({}).",
                        named(part),
                        c.value_text(),
                        if over { "at most" } else { "at least" },
                        c.limit_text(),
                        c.limit_is
                    ),
                    if over {
                        "The coil overheats and its insulation goes."
                    } else {
                        "The relay chatters or does not pull in."
                    },
                    format!("Fit a relay for {} at {}.", volts(c.value), part.reference),
                )
            }))
        },
    )
}

/// Of a voltage that may have either sign, its size.
fn magnitude(extent: Extent) -> Extent {
    if extent.high.abs() >= extent.low.abs() {
        return Extent {
            low: extent.low.max(0.0),
            ..extent
        };
    }
    Extent {
        low: (-extent.high).max(0.0),
        nominal: -extent.nominal,
        high: -extent.low,
        low_at: extent.high_at,
        nominal_at: extent.nominal_at,
        high_at: extent.low_at,
    }
}
