//! Output against travel of each control, junctions against the room, and the source resistance of
//! each output.

use super::observe::{Layout, Observation};
use super::solve::solve_all;
use super::{Curve, CurvePoint, Evidence, Extent, Measure, Stress};
use crate::catalogue::{Kind, Property};
use crate::circuit::build;
use crate::design::{Connection, Design};
use crate::situations::{Corner, Level, Parameter, Plugged, Situation, State, parameters};
use crate::solver::{self, Settings};
use rayon::prelude::*;
use std::collections::BTreeSet;

/// Steps of travel in a curve.
const STEPS: usize = 20;
/// Current drawn to find a source resistance [A].
const TEST_CURRENT: f64 = 1e-6;

/// The jacks that feed an instrument: jack, signal net, index of the first such connection.
#[must_use]
pub fn outputs(design: &Design) -> Vec<(String, String, usize)> {
    let mut outputs = Vec::new();
    for (jack, connections) in &design.connections {
        let Some(part) = design.parts.get(jack) else {
            continue;
        };
        for (index, connection) in connections.iter().enumerate() {
            if let Connection::Instrument {
                instrument, input, ..
            } = connection
                && let Some(input) = instrument.inputs.get(input)
                && let Some(net) = part.net(&input.signal)
            {
                outputs.push((jack.clone(), net.to_owned(), index));
                break;
            }
        }
    }
    outputs
}

/// Fills [`Evidence::curves`]: each output net, each control that exists in the state, each
/// position of the switches, everything else as in the nominal state. The band is that of the
/// corners which were worst for that net in any state of the same switch positions.
pub(super) fn curves(design: &Design, states: &[State], evidence: &mut Evidence) {
    let Some(nominal) = states.first() else {
        return;
    };
    let mut nets: BTreeSet<String> = outputs(design).into_iter().map(|(_, net, _)| net).collect();
    for promise in &design.promises {
        if let crate::design::Promised::Spans { at, .. } = &promise.promised {
            nets.insert(at.clone());
        }
    }
    let bases: Vec<&State> = states
        .iter()
        .filter(|state| {
            state.powered && state.plugs == nominal.plugs && state.travel == nominal.travel
        })
        .collect();
    let mut jobs = Vec::new();
    for base in bases {
        for control in base.travel.keys() {
            for net in &nets {
                let corners = band_corners(evidence, base, net);
                jobs.push((base.clone(), control.clone(), net.clone(), corners));
            }
        }
    }
    let layout = evidence.layout.clone();
    let curves: Vec<Curve> = jobs
        .into_par_iter()
        .filter_map(|(base, control, net, corners)| {
            curve(design, &layout, &base, &control, &net, &corners)
        })
        .collect();
    // A control that does not move a net has no curve there.
    evidence.curves = curves
        .into_iter()
        .filter(|curve| {
            let values = || curve.points.iter().map(|point| point.nominal);
            let low = values().fold(f64::INFINITY, f64::min);
            let high = values().fold(f64::NEG_INFINITY, f64::max);
            high - low > 1e-6
        })
        .collect();
}

fn band_corners(evidence: &Evidence, base: &State, net: &str) -> Vec<Corner> {
    let mut corners = BTreeSet::new();
    for travel in [0.0, 0.5, 1.0] {
        let here = |situation: &Situation| {
            situation.state.powered
                && situation.state.switches == base.switches
                && situation.state.plugs == base.plugs
                && situation
                    .state
                    .travel
                    .values()
                    .any(|value| (value - travel).abs() < 1e-9)
        };
        if let Ok(extent) = evidence.net(net, Measure::Mean, here) {
            corners.insert(evidence.situations[extent.low_at].corner.clone());
            corners.insert(evidence.situations[extent.high_at].corner.clone());
        }
    }
    corners.remove(&Corner::nominal());
    corners.into_iter().collect()
}

fn curve(
    design: &Design,
    layout: &Layout,
    base: &State,
    control: &str,
    net: &str,
    corners: &[Corner],
) -> Option<Curve> {
    let slot = layout.net(net, Measure::Mean)?;
    let travels: Vec<f64> = (0..=STEPS).map(|step| step as f64 / STEPS as f64).collect();
    let mut situations = Vec::new();
    for travel in &travels {
        let state = base.at_travel(design, control, *travel);
        for corner in std::iter::once(&Corner::nominal()).chain(corners) {
            situations.push(Situation::new(state.clone(), corner.clone()));
        }
    }
    let means: Vec<f64> = solve_all(design, layout, &situations, &[], None, &Settings::sweep())
        .into_iter()
        .map(|solved| solved.answer.ok().map(|values| values[slot]))
        .collect::<Option<_>>()?;
    let points = travels
        .into_iter()
        .zip(means.chunks(1 + corners.len()))
        .map(|(travel, means)| CurvePoint {
            travel,
            nominal: means[0],
            low: means.iter().copied().fold(f64::INFINITY, f64::min),
            high: means.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        })
        .collect();
    let state = base.words_without(design, control);
    Some(Curve {
        control: control.to_owned(),
        net: net.to_owned(),
        state,
        points,
    })
}

/// Fills [`Evidence::junctions_over_room`]: each part's hottest situation, not warmed up, solved
/// again with the room alone at its cold end, its middle and its warm end.
pub(super) fn junctions_over_room(design: &Design, evidence: &mut Evidence) {
    let room = design.conditions.ambient;
    let ends = [
        (room.low, Level::Low),
        (room.nominal, Level::Nominal),
        (room.high, Level::High),
    ];
    let cold = |s: &Situation| s.state.powered && s.warmed.is_none();
    let hottest: Vec<(String, usize, Situation)> = design
        .parts
        .keys()
        .filter_map(|part| {
            let slot = evidence.layout.stress(part, Stress::Junction)?;
            let extent = evidence.stress(part, Stress::Junction, cold).ok()?;
            let situation = evidence.situations[extent.high_at].clone();
            Some((part.clone(), slot, situation))
        })
        .collect();
    let situations: Vec<Situation> = hottest
        .iter()
        .flat_map(|(_, _, at)| {
            ends.iter().map(|(_, level)| {
                let corner = at.corner.clone().with(Parameter::Ambient, *level);
                Situation::new(at.state.clone(), corner)
            })
        })
        .collect();
    let settings = Settings::sweep();
    let solved = solve_all(design, &evidence.layout, &situations, &[], None, &settings);
    for ((part, slot, _), solved) in hottest.into_iter().zip(solved.chunks(ends.len())) {
        // A line with a point missing is not drawn.
        let points = ends.iter().zip(solved).map(|((room, _), one)| {
            let junction = one.answer.as_ref().ok()?[slot];
            junction.is_finite().then_some((*room, junction))
        });
        if let Some(points) = points.collect() {
            evidence.junctions_over_room.insert(part, points);
        }
    }
}

/// All nominal, every resistance low, and every resistance high: the resistance at a net rises with
/// each resistance in the circuit and falls with none (Rayleigh's monotonicity law).
fn resistance_corners(design: &Design) -> [Corner; 3] {
    let resistive = |parameter: &Parameter| match parameter {
        Parameter::Figure(_, Property::Resistance) => true,
        Parameter::Figure(part, Property::Value) => design.parts.get(part).is_some_and(|part| {
            matches!(
                part.kind,
                Kind::Resistor | Kind::Potentiometer | Kind::Thermistor | Kind::Ptc | Kind::Sensor
            )
        }),
        _ => false,
    };
    let all = |level: Level| {
        let found = parameters(design).into_iter().filter(resistive);
        found.fold(Corner::nominal(), |corner, parameter| {
            corner.with(parameter, level)
        })
    };
    [Corner::nominal(), all(Level::Low), all(Level::High)]
}

/// Fills the source resistances: in every powered state with the output unplugged, with the
/// resistances nominal, low and high, the change of the net's voltage for a microampere drawn
/// from it.
pub(super) fn source_resistances(design: &Design, states: &[State], evidence: &mut Evidence) {
    let corners = resistance_corners(design);
    for (jack, net, _) in outputs(design) {
        let open = |state: &&State| {
            state.powered && matches!(state.plugs.get(&jack), Some(Plugged::Nothing))
        };
        // Every such state must be solved: one left out could be the one that floats.
        let found: Option<Vec<(f64, Situation)>> = states
            .par_iter()
            .filter(open)
            .flat_map(|state| corners.par_iter().map(move |corner| (state, corner)))
            .map(|(state, corner)| {
                let situation = Situation::new(state.clone(), corner.clone());
                let resistance = source_resistance(design, &evidence.layout, &situation, &net)?;
                Some((resistance, situation))
            })
            .collect();
        let found = found.unwrap_or_default();
        let lowest = found.iter().min_by(|a, b| a.0.total_cmp(&b.0));
        let highest = found.iter().max_by(|a, b| a.0.total_cmp(&b.0));
        let (Some(first), Some(lowest), Some(highest)) = (found.first(), lowest, highest) else {
            continue;
        };
        let extent = Extent {
            low: lowest.0,
            nominal: first.0,
            high: highest.0,
            low_at: evidence.number(&lowest.1),
            nominal_at: evidence.number(&first.1),
            high_at: evidence.number(&highest.1),
        };
        evidence.source_resistances.insert(net, extent);
    }
}

fn source_resistance(
    design: &Design,
    layout: &Layout,
    situation: &Situation,
    net: &str,
) -> Option<f64> {
    let slot = layout.net(net, Measure::Mean)?;
    let circuit = build(design, situation);
    let node = *circuit.nodes.get(net)?;
    let observation = Observation::new(design, layout, &circuit);
    let mut start = None;
    let mut mean = |current: f64| {
        let netlist = circuit.netlist.driven(node, current);
        let settings = Settings::default();
        let solved =
            solver::periodic(&netlist, &observation.probes, start.as_ref(), &settings).ok()?;
        let mean = observation.values(&solved.probes)[slot];
        start = Some(solved.state);
        Some(mean)
    };
    Some((mean(0.0)? - mean(-TEST_CURRENT)?) / TEST_CURRENT)
}
