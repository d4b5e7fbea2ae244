//! See [`CHECK`].

use crate::checks::prelude::*;

/// How far above its own supply a contact may be driven [V].
const ABOVE: f64 = 0.3;

check! {
    /// Where an instrument puts a supply on a contact, compares the highest voltage the box puts
    /// on that contact with the instrument's own supply plus 0.3 V.
    ///
    /// A reference that only sources current is pumped up by anything that drives the contact
    /// above it; every other input on that reference is carried along.
    ///
    /// Limits: what the box puts there before it is plugged in; a supply said to sink current is
    /// left alone.
    id: "supply-contact-driven", gate: Plug, stage: Polarity,
    sources: [
        ("regulators only source current: a clamp that feeds them pumps the rail up", Secondary),
        ("inputs beyond the supply by 0.3 V start to conduct, a maker's sheet", Confirmed),
    ],
    sign_off: "The instrument's manual says which contact carries its supply.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_feed(context, Gate::Plug, "the box feeds no instrument", |feed| {
        let place = at(feed.jack, "nets");
        let Some(supply) = &feed.input.supply else {
            return Ok(Outcome::does_not_apply(
                place,
                format!("{} puts no supply on a contact", feed.label()),
            ));
        };
        if supply.sinks == Some(true) {
            return Ok(Outcome::does_not_apply(
                place,
                "its supply sinks current as well",
            ));
        }
        let Some(net) = feed.jack.net(&supply.contact) else {
            return Ok(Outcome::holds(
                place,
                format!("the {} is left open", supply.contact),
            ));
        };
        if net == "gnd" {
            return Ok(Outcome::holds(
                place,
                format!("the {} is grounded", supply.contact),
            ));
        }
        let seen = context.evidence.net(net, Measure::Maximum, |s| {
            powered(s) && !feed.plugged(s) && feed.may_meet(s)
        })?;
        let comparison = Comparison::at_most(
            format!("voltage on the {}", supply.contact),
            &seen,
            supply.voltage.spread.low + ABOVE,
            Unit::Volt,
            format!(
                "{} of the instrument's supply and 0.3 V",
                volts(supply.voltage.spread.low)
            ),
        );
        Ok(Outcome::compare(place, comparison, |c| {
            Failure::new(
                Gate::Plug,
                format!(
                    "The box puts {} on the {} of {}, where {} has its own supply of {}.",
                    c.value_text(),
                    supply.contact,
                    feed.jack.reference,
                    feed.instrument.title,
                    volts(supply.voltage.spread.nominal)
                ),
                format!(
                    "It pushes current back into the instrument's reference{}.",
                    supply
                        .shared_with
                        .as_ref()
                        .map_or_else(String::new, |other| format!(", which {other} shares"))
                ),
                format!(
                    "Leave the {} of {} open, or put a diode towards the box in it.",
                    supply.contact, feed.jack.reference
                ),
            )
        }))
    })
}
