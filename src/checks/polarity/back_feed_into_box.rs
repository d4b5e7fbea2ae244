//! See [`CHECK`].

use crate::checks::prelude::*;
use std::collections::BTreeSet;

/// Voltage on an unpowered rail from which on junctions begin to conduct [V].
const ONSET: f64 = 0.5;

check! {
    /// With the box off and an instrument on and plugged in, compares the voltage that appears on
    /// the box's own supply rails with 0.5 V.
    ///
    /// An instrument that puts a reference voltage on a contact can feed a box that is off:
    /// regulators are driven backwards, half-alive op-amps send odd voltages back, and the
    /// instrument's reference, which other inputs share, sags.
    ///
    /// Limits: settled states; the instrument's supply as its file describes it.
    id: "back-feed-into-box", gate: Plug, stage: Polarity,
    sources: [
        ("silicon junctions begin to conduct at about 0.5 V", Practice),
        ("inputs beyond the supplies by 0.3 V start to conduct, a maker's sheet", Confirmed),
    ],
    sign_off: "When first plugged in, with the instrument on and the box still off, no rail of the box read more than half a volt.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let rails: BTreeSet<&str> = design
        .parts
        .values()
        .flat_map(|part| {
            part.terminals
                .iter()
                .map(move |(lead, net)| (part, lead, net))
        })
        .filter(|(part, lead, _)| match part.kind {
            Kind::Regulator | Kind::AdjustableRegulator => matches!(lead.as_str(), "in" | "out"),
            Kind::OpAmp => lead.starts_with("supply"),
            _ => false,
        })
        .map(|(_, _, net)| net.as_str())
        .filter(|net| *net != "gnd" && *net != "nc")
        .collect();
    let mut outcomes = Vec::new();
    for (jack, connections) in &design.connections {
        let instrument = connections
            .iter()
            .any(|c| matches!(c, Connection::Instrument { .. }));
        let Some(part) = design
            .parts
            .get(jack)
            .filter(|_| instrument && !rails.is_empty())
        else {
            continue;
        };
        outcomes
            .push(look(context, part, &rails).unwrap_or_else(|missing| {
                Outcome::missing(at(part, "nets"), Gate::Plug, &missing)
            }));
    }
    if outcomes.is_empty() {
        outcomes.push(Outcome::does_not_apply(
            Place::design("connect"),
            "no instrument is plugged into a box with rails of its own",
        ));
    }
    outcomes
}

fn look(context: &Context, jack: &Part, rails: &BTreeSet<&str>) -> Look {
    let off = |s: &Situation| {
        !s.state.powered
            && matches!(
                s.state.plugs.get(&jack.reference),
                Some(Plugged::Device { on: true, .. })
            )
    };
    let mut worst: Option<(f64, usize, &str)> = None;
    for rail in rails {
        let extent = context.evidence.net(rail, Measure::Mean, off)?;
        for (value, situation) in [(-extent.low, extent.low_at), (extent.high, extent.high_at)] {
            if worst.is_none_or(|(most, _, _)| value > most) {
                worst = Some((value, situation, rail));
            }
        }
    }
    let (value, situation, rail) = worst.ok_or_else(|| lacks("the box has no rails"))?;
    let mut comparison = Comparison::fixed(
        format!("voltage on {rail} with the box off"),
        value,
        Bound::AtMost,
        ONSET,
        Unit::Volt,
        "where junctions begin to conduct",
    );
    comparison.situation = Some(situation);
    Ok(Outcome::compare(at(jack, "nets"), comparison, |c| {
        Failure::new(
            Gate::Plug,
            format!(
                "With the box off, what is plugged into {} feeds its rail {rail} with {}; more than {} is too much.",
                jack.reference, c.value_text(), c.limit_text()
            ),
            "The instrument drives the box backwards and its own reference sags under the load.",
            format!("Put a 1N5819 or at least 10 kΩ between {} and {rail}, or leave that contact open.", jack.reference),
        )
        .with(vec![Place::net(rail, "parts")])
    }))
}
