//! See [`CHECK`].

use crate::checks::prelude::*;
use crate::checks::prospective::{most_power, open_voltage};

/// Power from which on a fault can start a fire [W].
const FIRE: f64 = 15.0;
/// Largest fuse of a limited power source up to [`LOW`] [A].
const FUSE: f64 = 5.0;
/// Voltage up to which the power of a limited power source is bounded by its current alone [V].
const LOW: f64 = 20.0;
/// Apparent power of a limited power source above it [VA].
const POWER: f64 = 100.0;
/// Largest current of a source that limits itself [A].
const LIMITED: f64 = 8.0;

check! {
    /// Works out the most power every supply can deliver into its worst load at high mains, and
    /// above 15 W asks for a fuse or a resettable fuse as the first thing behind it, and for one that
    /// makes it a limited power source: a fuse of 5 A at most up to 20 V and 100 VA above, a
    /// resettable fuse that trips at 8 A at most.
    ///
    /// A shorted reservoir or regulator draws all the supply has; below 15 W it gets hot, above it
    /// something can catch fire. Batteries are the strongest of all.
    ///
    /// Limits: AC sources: open-circuit voltage squared over four times the winding resistance;
    /// unregulated DC likewise; regulated DC: rated output times short-circuit current, or twice the
    /// rated current; batteries by internal resistance. A fuse in the adaptor itself is not known.
    id: "source-unprotected", gate: Power, stage: Isolation,
    sources: [
        ("IEC 62368-1: 15 W as the bound of the lowest power class", Memory),
        ("IEC 60950-1 tables 2B and 2C, limited power sources: 8 A and 100 VA, fuse 5 A at most", Confirmed),
        ("the same: fuse 100 VA ÷ Uoc above 20 V", Memory),
    ],
    sign_off: "A fuse, where there is one, is the first thing behind the supply's connector, and a spare is in the box.",
    always_assessed: "every figure it needs must be given or has a default",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        SOURCES,
        "no supply in the box",
        |part| {
            let place = at(part, "nets");
            let power = most_power(context.design, part)?;
            let protected = part.terminals.iter().find_map(|(terminal, net)| {
                if net == "gnd" || !wiring::drives(part, terminal) {
                    return None;
                }
                let others: Vec<_> = wiring::on(context.design, net)
                    .into_iter()
                    .filter(|(other, _)| other.reference != part.reference)
                    .collect();
                let first = others
                    .iter()
                    .find(|(other, _)| matches!(other.kind, Kind::Fuse | Kind::Ptc))?;
                (others.len() == 1).then_some(first.0)
            });
            if power > FIRE
                && let Some(fuse) = protected
            {
                return limited(context, part, fuse);
            }
            let comparison = Comparison::fixed(
                "power into the worst load",
                power,
                Bound::AtMost,
                FIRE,
                Unit::Watt,
                "what may go unfused",
            );
            Ok(Outcome::compare(place, comparison, |c| {
                let rating = part
                    .figure(Property::Current)
                    .map_or(0.5, |f| f.spread.nominal);
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} can deliver {} into a fault and nothing protects the box; {} may go unfused.",
                        named(part),
                        c.value_text(),
                        c.limit_text()
                    ),
                    "A shorted capacitor or regulator then burns instead of blowing a fuse.",
                    format!(
                        "Put a fuse of {} (T) or a resettable fuse first behind {}.",
                        amperes(rating),
                        part.reference
                    ),
                )
            }))
        },
    )
}

/// Does the fuse make a limited power source of the supply?
fn limited(context: &Context, part: &Part, fuse: &Part) -> Look {
    let open = open_voltage(context.design, part)?;
    let above = if open > LOW {
        POWER / open
    } else {
        f64::INFINITY
    };
    let (what, does, value, limit) = if fuse.kind == Kind::Fuse {
        let rating = rated(fuse, Property::Current)?;
        ("fuse rating", "is rated", rating, FUSE.min(above))
    } else {
        let trip = match fuse.figure(Property::TripCurrent) {
            Some(figure) => figure.spread.high,
            None => 2.0 * rated(fuse, Property::HoldCurrent)?,
        };
        ("trip current", "trips at", trip, LIMITED.min(above))
    };
    let comparison = Comparison::fixed(
        what,
        value,
        Bound::AtMost,
        limit,
        Unit::Ampere,
        "the most for a limited power source",
    );
    Ok(Outcome::compare(at(part, "nets"), comparison, |c| {
        let enough = part
            .figure(Property::Current)
            .map_or(0.5, |f| f.spread.nominal);
        Failure::new(
            Gate::Power,
            format!(
                "{}, first behind {}, {does} {}; up to {} a fault is unlikely to start a fire.",
                named(fuse),
                named(part),
                c.value_text(),
                c.limit_text()
            ),
            "A fault that draws a little less than the fuse lets through burns on and on.",
            format!(
                "Fit one that {does} {} at most at {}; {} will do if the box needs no more.",
                c.limit_text(),
                fuse.reference,
                amperes(enough.min(limit))
            ),
        )
        .with(vec![Place::part(&fuse.reference)])
    }))
}
