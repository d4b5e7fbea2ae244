//! See [`CHECK`].

use crate::checks::prelude::*;
use crate::checks::prospective::most_power;

/// Power from which on a fault can start a fire [W].
const FIRE: f64 = 15.0;

check! {
    /// Works out the most power every supply can deliver into its worst load at high mains, and
    /// above 15 W asks for a fuse or a resettable fuse as the first thing behind it.
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
        ("IEC 60950-1 table 2B, limited power sources", Confirmed),
    ],
    sign_off: "The fuse is the first thing behind the supply's connector, and a spare is in the box.",
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
                (others.len() == 1).then(|| first.0.reference.clone())
            });
            if let Some(fuse) = protected {
                return Ok(Outcome::holds(place, format!("{fuse} protects it")));
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
