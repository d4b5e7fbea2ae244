//! See [`CHECK`].

use crate::checks::prelude::*;

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
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let mains = context
        .design
        .conditions
        .mains
        .map_or(1.0, |m| m.voltage.high / m.voltage.nominal);
    each_part(
        context,
        Gate::Power,
        SOURCES,
        "no supply in the box",
        |part| {
            let place = at(part, "nets");
            let power = most(part, mains)?;
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

/// Most power a supply can deliver [W].
fn most(part: &Part, mains: f64) -> Result<f64, Missing> {
    let figure = |property: Property| part.figure(property).map(|f| f.spread);
    match part.kind {
        Kind::Battery => {
            let fresh = rated(part, Property::Fresh).or_else(|_| rated(part, Property::Value))?;
            if let Some(short) = figure(Property::ShortCircuitCurrent) {
                return Ok(fresh * short.high / 4.0);
            }
            let inner = figure(Property::Resistance).ok_or_else(|| {
                lacks(format!("{} gives no internal `resistance`", part.reference))
            })?;
            Ok(fresh * fresh / (4.0 * inner.low.max(1e-6)))
        }
        Kind::DcAdaptor if part.word("regulated") == Some("true") => {
            let output = rated(part, Property::Output)?;
            let current = match figure(Property::ShortCircuitCurrent) {
                Some(short) => short.high,
                None => 2.0 * rated(part, Property::Current)?,
            };
            Ok(output * current)
        }
        _ => {
            let output = rated(part, Property::Output)?;
            let current = match figure(Property::Current) {
                Some(current) => current.nominal,
                None => rated(part, Property::Va)? / output,
            };
            let open = figure(Property::OpenCircuit).ok_or_else(|| {
                lacks(format!(
                    "{} gives no `open-circuit` voltage",
                    part.reference
                ))
            })?;
            let inner = (open.nominal - output).max(1e-3) / current;
            Ok((open.high * mains).powi(2) / (4.0 * inner))
        }
    }
}
