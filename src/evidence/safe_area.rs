//! Which adaptor and which load a regulator can be given: solved on a grid of both.

use super::observe::{Layout, Observation};
use super::{Stress, thermal};
use crate::catalogue::{Kind, Property};
use crate::circuit::{Circuit, Element, Model, Netlist, Wave, build};
use crate::design::{Design, Part};
use crate::situations::{Corner, Level, Parameter, Situation, states};
use crate::solver::{self, Settings};
use rayon::prelude::*;

/// Adaptor voltages looked at, as a share of the rated one: from, to, and how many.
const VOLTAGES: (f64, f64, usize) = (0.6, 1.6, 11);
/// Loads looked at, from none to the regulator's rated current.
const LOADS: usize = 9;

/// What becomes of a regulator with an adaptor and a load.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// It regulates, inside every limit looked at.
    Works,
    /// Its input falls below what it needs.
    DropsOut,
    /// The adaptor gives more than its rated current.
    Overloaded,
    /// Its junction is over its limit.
    TooHot,
    /// Its input is over its absolute maximum.
    TooHigh,
    /// There is no solution.
    Unknown,
}

/// The grid of one regulator.
#[derive(Debug, Clone)]
pub struct SafeArea {
    /// The adaptor or transformer that is varied.
    pub supply: String,
    /// Its rated voltage [V].
    pub rated: f64,
    /// The regulator.
    pub regulator: String,
    /// Rated voltages of the adaptor looked at [V], rising.
    pub voltages: Vec<f64>,
    /// Loads at the regulator's output looked at, besides what the box itself draws [A], rising.
    pub loads: Vec<f64>,
    /// By voltage, then by load.
    pub verdicts: Vec<Vec<Verdict>>,
}

/// The safe areas of every regulator behind an adaptor or a transformer: all nominal but the room
/// at its warmest, in the nominal state.
#[must_use]
pub fn safe_areas(design: &Design) -> Vec<SafeArea> {
    let Some(state) = states(design).0.into_iter().next() else {
        return Vec::new();
    };
    let corner = Corner::nominal().with(Parameter::Ambient, Level::High);
    let situation = Situation::new(state, corner);
    let circuit = build(design, &situation);
    let is_supply = |part: &&Part| {
        let kinds = [Kind::AcAdaptor, Kind::DcAdaptor, Kind::Transformer];
        kinds.contains(&part.kind)
    };
    let Some(supply) = design.parts.values().find(is_supply) else {
        return Vec::new();
    };
    if !circuit.incomplete.is_empty() {
        return Vec::new();
    }
    let layout = Layout::new(design);
    let regulator = |part: &&Part| {
        let kinds = [Kind::Regulator, Kind::AdjustableRegulator];
        kinds.contains(&part.kind)
    };
    let regulators: Vec<&Part> = design.parts.values().filter(regulator).collect();
    regulators
        .into_par_iter()
        .filter_map(|part| safe_area(design, &layout, &situation, &circuit, supply, part))
        .collect()
}

fn nominal(part: &Part, property: Property) -> Option<f64> {
    part.figure(property).map(|figure| figure.spread.nominal)
}

fn safe_area(
    design: &Design,
    layout: &Layout,
    situation: &Situation,
    circuit: &Circuit,
    supply: &Part,
    regulator: &Part,
) -> Option<SafeArea> {
    let rated = nominal(supply, Property::Output)?;
    let most = nominal(regulator, Property::Current)?;
    let output = *circuit.nodes.get(regulator.net("out")?)?;
    // What the rail carries nominally decides the resistance that draws a current.
    let observation = Observation::new(design, layout, circuit);
    let rail = solver::periodic(
        &circuit.netlist,
        &observation.probes,
        None,
        &Settings::sweep(),
    );
    let rail = rail.ok()?;
    let values = observation.values(&rail.probes);
    let volts = values[layout.net(regulator.net("out")?, super::Measure::Mean)?].abs();
    if volts < 0.1 {
        return None;
    }
    let (from, to, count) = VOLTAGES;
    let step = |index: usize, count: usize| index as f64 / (count - 1) as f64;
    let voltages: Vec<f64> = (0..count)
        .map(|index| rated * (from + (to - from) * step(index, count)))
        .collect();
    let loads: Vec<f64> = (0..LOADS).map(|index| most * step(index, LOADS)).collect();
    let mut netlists = Vec::new();
    for voltage in &voltages {
        for load in &loads {
            let resistance = if *load > 0.0 { volts / load } else { 1e9 };
            let scaled = scaled(&circuit.netlist, &supply.reference, voltage / rated);
            netlists.push(loaded(scaled, output, resistance));
        }
    }
    let sweep = |netlists: &[Netlist]| {
        let starts = vec![Some(rail.state.clone()); netlists.len()];
        solver::periodic_sweep(netlists, &observation.probes, &starts, &Settings::sweep())
    };
    let verdicts: Vec<Verdict> = netlists
        .par_chunks(4 * solver::LANES)
        .flat_map_iter(sweep)
        .map(|found| match found {
            Ok(found) => {
                let mut values = observation.values(&found.probes);
                thermal::fill(design, layout, situation, &mut values);
                verdict(layout, supply, regulator, &values)
            }
            Err(_) => Verdict::Unknown,
        })
        .collect();
    Some(SafeArea {
        supply: supply.reference.clone(),
        rated,
        regulator: regulator.reference.clone(),
        voltages,
        verdicts: verdicts.chunks(LOADS).map(<[Verdict]>::to_vec).collect(),
        loads,
    })
}

/// The netlist with every source of a part at a share of its voltage.
fn scaled(netlist: &Netlist, part: &str, share: f64) -> Netlist {
    let mut netlist = netlist.clone();
    for element in &mut netlist.elements {
        let own = element.name.split('.').next() == Some(part);
        if let (true, Model::VoltageSource { wave, .. }) = (own, &mut element.model) {
            match wave {
                Wave::Steady(voltage) => *voltage *= share,
                Wave::Sine { peak, .. } => *peak *= share,
            }
        }
    }
    netlist
}

fn loaded(mut netlist: Netlist, node: usize, resistance: f64) -> Netlist {
    netlist.elements.push(Element {
        name: "load".into(),
        model: Model::Resistor {
            a: node,
            b: 0,
            resistance,
        },
    });
    netlist
}

fn verdict(layout: &Layout, supply: &Part, regulator: &Part, values: &[f64]) -> Verdict {
    let stress = |part: &Part, stress| {
        let slot = layout.stress(&part.reference, stress);
        slot.map_or(f64::NAN, |slot| values[slot])
    };
    let (seen, limit) = if regulator.kind == Kind::AdjustableRegulator {
        (Stress::InputOutput, Property::InputOutputLimit)
    } else {
        (Stress::InputVoltage, Property::InputLimit)
    };
    let over = |value: f64, limit: Option<f64>| limit.is_some_and(|limit| value > limit.abs());
    let needs = regulator
        .figure(Property::Dropout)
        .map_or(0.0, |figure| figure.spread.high);
    if over(stress(regulator, seen), nominal(regulator, limit)) {
        Verdict::TooHigh
    } else if over(
        stress(regulator, Stress::Junction),
        Some(thermal::junction_limit(regulator)),
    ) {
        Verdict::TooHot
    } else if over(
        stress(supply, Stress::CurrentRms),
        nominal(supply, Property::Current),
    ) {
        Verdict::Overloaded
    } else if stress(regulator, Stress::Headroom) < needs {
        Verdict::DropsOut
    } else {
        Verdict::Works
    }
}
