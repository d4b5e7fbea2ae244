//! See [`CHECK`].

use super::heat::limit;
use crate::checks::prelude::*;

check! {
    /// Where a regulator's output stands on a jack's contact without a resistor, works out its
    /// junction temperature with that contact shorted: highest input times short-circuit current.
    ///
    /// Every plug shorts it for a moment, a wrong or broken one for an evening. The regulator then
    /// lives by its thermal shutdown, which is an emergency brake and ages it each time.
    ///
    /// Limits: the input is taken as it is without the short, which is the worst; the current is
    /// the highest the makers give.
    id: "short-circuit-overheats", gate: Share, stage: Thermal,
    sources: [
        ("78L: limits at 140 mA typical (TI), 250–300 mA (HTC)", Confirmed),
        ("Tj = Ta + P θJA", Computed),
    ],
    sign_off: "The output was shorted for a minute at the bench, and came back.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    each_regulator(context, Gate::Share, |part, place, output| {
        let exposed = wiring::reach(design, output).into_iter().find_map(|net| {
            wiring::on(design, net)
                .into_iter()
                .find(|(other, _)| matches!(other.kind, Kind::Jack | Kind::Plug))
        });
        let Some((jack, contact)) = exposed else {
            return Ok(Outcome::does_not_apply(
                place,
                "its output stands on no jack's contact",
            ));
        };
        let current = part
            .figure(Property::ShortCircuitCurrent)
            .or_else(|| part.figure(Property::PeakCurrent))
            .ok_or_else(|| {
                lacks(format!(
                    "{} gives no `short-circuit-current`",
                    part.reference
                ))
            })?
            .spread
            .high;
        let resistance = crate::evidence::thermal::part_resistance(part).ok_or_else(|| {
            lacks(format!(
                "{} gives no thermal resistance (`junction-to-ambient`)",
                part.reference
            ))
        })?;
        let stress = |what| context.evidence.stress(&part.reference, what, powered);
        let input = stress(Stress::InputVoltage)?;
        let air = stress(Stress::Air)?;
        let heat = input.high * current;
        let mut comparison = Comparison::fixed(
            "junction temperature, output shorted",
            air.high + resistance * heat,
            Bound::AtMost,
            limit(part),
            Unit::Celsius,
            "highest junction temperature",
        );
        comparison.situation = Some(input.high_at);
        Ok(Outcome::compare(place, comparison, |c| {
            Failure::new(
                    Gate::Share,
                    format!(
                        "With the {contact} of {} shorted, {} dissipates {} and would reach {}; it may reach {}.",
                        jack.reference,
                        named(part),
                        watts(heat),
                        c.value_text(),
                        c.limit_text()
                    ),
                    "Only its thermal shutdown saves it, each time a little less.",
                    format!(
                        "Put a resistor of {} or a small resettable fuse between {} and the {contact} of {}.",
                        format_short(preferred::e12(part.figure(Property::Output).map_or(5.0, |f| f.spread.nominal.abs()) / (current * 0.2)), Unit::Ohm),
                        part.reference,
                        jack.reference
                    ),
                )
                .with(vec![Place::part(&jack.reference)])
        }))
    })
}
