//! See [`CHECK`].

use crate::checks::prelude::*;

/// Share of the span with the meant wiring that another must still give.
const ENOUGH: f64 = 0.5;

check! {
    /// Tries every wiring in common use that a controller's file lists and compares how far the
    /// output then moves with how far it moves with the wiring that is meant.
    ///
    /// Pedals come with the wiper on the tip or on the ring. A stranger's pedal with the other
    /// wiring should work, or at least be told apart in the instructions.
    ///
    /// Limits: the span over all states; whether the direction is the same is not looked at.
    id: "controller-wiring-not-served", gate: Share, stage: Pinout,
    sources: [
        ("expression pedals: wiper on tip (most) or on ring (others)", Secondary),
    ],
    sign_off: "The instructions say which pedals fit, or a switch selects the wiring.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let mut outcomes = Vec::new();
    for (jack, connections) in &design.connections {
        let Some(part) = design.parts.get(jack) else {
            continue;
        };
        for (index, connection) in connections.iter().enumerate() {
            let Connection::Controller { controller, .. } = connection else {
                continue;
            };
            for wiring in 1..controller.wirings.len() {
                let name = &controller.wirings[wiring].name;
                let looked = look(context, part, index, wiring, name);
                outcomes.push(looked.unwrap_or_else(|missing| {
                    Outcome::missing(at(part, "nets"), Gate::Share, &missing)
                }));
            }
        }
    }
    if outcomes.is_empty() {
        outcomes.push(Outcome::does_not_apply(
            Place::design("connect"),
            "no controller with more than one wiring is plugged in",
        ));
    }
    outcomes
}

fn look(context: &Context, jack: &Part, index: usize, wiring: usize, name: &str) -> Look {
    let span = |wiring: usize| -> Result<f64, Missing> {
        let tried = Plugged::Device {
            index,
            wiring,
            on: true,
        };
        let plugged = |s: &Situation| {
            s.state.powered
                && matches!(
                    (s.state.plugs.get(&jack.reference), &tried),
                    (Some(Plugged::Device { index: a, wiring: b, .. }), Plugged::Device { index: c, wiring: d, .. })
                        if a == c && b == d
                )
        };
        let mut widest: f64 = 0.0;
        for net in outputs(context.design) {
            let extent = context.evidence.net(net, Measure::Mean, plugged)?;
            widest = widest.max(extent.high - extent.low);
        }
        Ok(widest)
    };
    let (meant, other) = (span(0)?, span(wiring)?);
    let comparison = Comparison::fixed(
        format!("output span with {name}"),
        other,
        Bound::AtLeast,
        meant * ENOUGH,
        Unit::Volt,
        format!(
            "half of the {} it spans with the wiring meant",
            volts(meant)
        ),
    );
    Ok(Outcome::compare(at(jack, "nets"), comparison, |c| {
        Failure::new(
            Gate::Share,
            format!(
                "With a controller wired `{name}` in {} the output spans only {} of {}.",
                jack.reference,
                c.value_text(),
                volts(meant)
            ),
            "A stranger's pedal of the other wiring hardly does anything, and the box is blamed.",
            format!(
                "Say so beside {}, or add a switch that exchanges tip and ring.",
                jack.reference
            ),
        )
    }))
}

/// Nets that feed an instrument.
fn outputs(design: &Design) -> impl Iterator<Item = &str> {
    design
        .connections
        .iter()
        .flat_map(move |(jack, connections)| {
            connections
                .iter()
                .filter_map(move |connection| match connection {
                    Connection::Instrument {
                        instrument, input, ..
                    } => design
                        .parts
                        .get(jack)?
                        .net(&instrument.inputs.get(input)?.signal),
                    Connection::Controller { .. } => None,
                })
        })
}
