//! The parameters: what differs between situations of one topology, one lane each.

use super::failure::Failure;
use super::topology::{Constant, FLOATING_LEAKAGE, JunctionOf, Ohmic, Topology};
use crate::circuit::bipolar::BipolarConstants;
use crate::circuit::junction::JunctionConstants;
use crate::circuit::mosfet::MosfetConstants;
use crate::circuit::op_amp::OpAmpConstants;
use crate::circuit::real::Real;
use crate::circuit::regulator::RegulatorConstants;
use crate::circuit::shunt_reference::ShuntConstants;
use crate::circuit::{Element, Junction, Model, Netlist, Wave};

/// Least resistance of an inductor's winding, so that it has a direct-current solution [Ω].
pub const LEAST_WINDING_RESISTANCE: f64 = 1e-6;

/// One source's voltage over time.
#[derive(Debug, Clone)]
pub struct Source<R> {
    /// Steady part [V].
    pub steady: R,
    /// Peak of the sine [V].
    pub peak: R,
    /// Frequency as a multiple of the fundamental.
    pub harmonic: R,
    /// Phase [turns].
    pub phase: R,
    /// Whether any lane has a sine.
    pub alternating: bool,
}

/// Element values of situations side by side, in the order of the [`Topology`]'s lists.
#[derive(Debug, Clone)]
pub struct Parameters<R> {
    /// The waves.
    pub sources: Vec<Source<R>>,
    /// Period of the fundamental [s]; infinite when every source is steady.
    pub period: R,
    /// Linear conductances [S].
    pub ohmic: Vec<R>,
    /// Constant currents [A].
    pub constants: Vec<R>,
    /// Capacitances [F].
    pub capacitance: Vec<R>,
    /// Equivalent series resistances [Ω].
    pub esr: Vec<R>,
    /// Inductances [H].
    pub inductance: Vec<R>,
    /// Winding resistances [Ω].
    pub winding: Vec<R>,
    /// Junctions.
    pub junctions: Vec<JunctionConstants<R>>,
    /// Regulators.
    pub regulators: Vec<RegulatorConstants<R>>,
    /// Op-amps.
    pub op_amps: Vec<OpAmpConstants<R>>,
    /// Shunt references.
    pub shunts: Vec<ShuntConstants<R>>,
    /// Bipolar transistors.
    pub bipolars: Vec<BipolarConstants<R>>,
    /// MOSFETs.
    pub mosfets: Vec<MosfetConstants<R>>,
}

impl<R: Real> Parameters<R> {
    /// Gathers the parameters of netlists that all fit `topology`, one a lane; the last one fills
    /// the lanes left over.
    ///
    /// # Errors
    /// [`Failure::ParameterOutOfRange`], [`Failure::FrequenciesUnrelated`].
    ///
    /// # Panics
    /// With no netlist.
    #[allow(clippy::too_many_lines, reason = "one entry per kind of parameter")]
    pub fn gather(topology: &Topology, zero: R, netlists: &[&Netlist]) -> Result<Self, Failure> {
        for netlist in netlists {
            for element in &netlist.elements {
                check(element)?;
            }
        }
        let periods: Vec<f64> = netlists
            .iter()
            .map(|netlist| fundamental(netlist))
            .collect::<Result<_, _>>()?;
        let last = netlists.len() - 1;
        let netlist = |lane: usize| netlists[lane.min(last)];
        let model = |element: usize, lane: usize| &netlist(lane).elements[element].model;
        let period = zero.gather(|lane| periods[lane.min(last)]);
        let sources = topology
            .waves
            .iter()
            .map(|&element| {
                let wave = |part: &dyn Fn(&Wave, f64) -> f64| {
                    zero.gather(|lane| match model(element, lane) {
                        Model::VoltageSource { wave, .. } => part(wave, period.lane(lane)),
                        _ => 0.0,
                    })
                };
                let sine = |part: &dyn Fn(f64, f64, f64) -> f64| {
                    wave(&|wave, period| match *wave {
                        Wave::Steady(_) => 0.0,
                        Wave::Sine {
                            peak,
                            frequency,
                            phase,
                        } => part(peak, (frequency * period).round(), phase),
                    })
                };
                Source {
                    steady: wave(&|wave, _| match wave {
                        Wave::Steady(v) => *v,
                        Wave::Sine { .. } => 0.0,
                    }),
                    peak: sine(&|peak, _, _| peak),
                    harmonic: sine(&|_, harmonic, _| harmonic),
                    phase: sine(&|_, _, phase| {
                        let turns = phase / std::f64::consts::TAU;
                        turns - turns.floor()
                    }),
                    alternating: netlists.iter().any(|netlist| {
                        matches!(
                            netlist.elements[element].model,
                            Model::VoltageSource {
                                wave: Wave::Sine { .. },
                                ..
                            }
                        )
                    }),
                }
            })
            .collect();
        Ok(Self {
            sources,
            period,
            ohmic: topology
                .ohmic
                .iter()
                .map(|&(_, origin)| {
                    zero.gather(|lane| match origin {
                        Ohmic::Floating => FLOATING_LEAKAGE,
                        Ohmic::Resistor(e) | Ohmic::Source(e, _) | Ohmic::Leakage(e) => {
                            match model(e, lane) {
                                Model::Resistor { resistance, .. }
                                | Model::VoltageSource { resistance, .. } => 1.0 / resistance,
                                Model::Capacitor { leakage, .. } => *leakage,
                                _ => 0.0,
                            }
                        }
                    })
                })
                .collect(),
            constants: topology
                .constants
                .iter()
                .map(|&(_, origin)| {
                    let (Constant::Source(e) | Constant::Bias(e)) = origin;
                    zero.gather(|lane| match model(e, lane) {
                        Model::CurrentSource { current, .. } => *current,
                        Model::OpAmp { op_amp, .. } => op_amp.bias,
                        _ => 0.0,
                    })
                })
                .collect(),
            capacitance: topology
                .capacitors
                .iter()
                .map(|&(_, e)| zero.gather(|lane| capacitor(model(e, lane)).0))
                .collect(),
            esr: topology
                .capacitors
                .iter()
                .map(|&(_, e)| zero.gather(|lane| capacitor(model(e, lane)).1))
                .collect(),
            inductance: topology
                .inductors
                .iter()
                .map(|&(_, e)| zero.gather(|lane| inductor(model(e, lane)).0))
                .collect(),
            winding: topology
                .inductors
                .iter()
                .map(|&(_, e)| zero.gather(|lane| inductor(model(e, lane)).1))
                .collect(),
            junctions: topology
                .junctions
                .iter()
                .map(|&(_, origin)| {
                    JunctionConstants::gather(zero, |lane| junction(origin, netlist(lane)))
                })
                .collect(),
            regulators: devices(&topology.regulators, |e| {
                let get = |lane| match model(e, lane) {
                    Model::Regulator { regulator, .. } => Some(*regulator),
                    _ => None,
                };
                get(0).map(|first| {
                    RegulatorConstants::gather(zero, |lane| get(lane).unwrap_or(first))
                })
            }),
            op_amps: devices(&topology.op_amps, |e| {
                let get = |lane| match model(e, lane) {
                    Model::OpAmp { op_amp, .. } => Some(*op_amp),
                    _ => None,
                };
                get(0).map(|first| OpAmpConstants::gather(zero, |lane| get(lane).unwrap_or(first)))
            }),
            shunts: devices(&topology.shunts, |e| {
                let get = |lane| match model(e, lane) {
                    Model::ShuntReference { shunt, .. } => Some(*shunt),
                    _ => None,
                };
                get(0).map(|first| ShuntConstants::gather(zero, |lane| get(lane).unwrap_or(first)))
            }),
            bipolars: devices(&topology.bipolars, |e| {
                let get = |lane| match model(e, lane) {
                    Model::Bipolar { bipolar, .. } => Some(*bipolar),
                    _ => None,
                };
                get(0)
                    .map(|first| BipolarConstants::gather(zero, |lane| get(lane).unwrap_or(first)))
            }),
            mosfets: devices(&topology.mosfets, |e| {
                let get = |lane| match model(e, lane) {
                    Model::Mosfet { mosfet, .. } => Some(*mosfet),
                    _ => None,
                };
                get(0).map(|first| MosfetConstants::gather(zero, |lane| get(lane).unwrap_or(first)))
            }),
        })
    }
}

/// The constants of each device of a list; the topology's lists hold elements of the right kind,
/// so that every one is present.
fn devices<P, T>(list: &[(P, usize)], get: impl Fn(usize) -> Option<T>) -> Vec<T> {
    list.iter()
        .filter_map(|(_, element)| get(*element))
        .collect()
}

fn capacitor(model: &Model) -> (f64, f64) {
    match model {
        Model::Capacitor {
            capacitance, esr, ..
        } => (*capacitance, *esr),
        _ => (0.0, 0.0),
    }
}

fn inductor(model: &Model) -> (f64, f64) {
    match model {
        Model::Inductor {
            inductance,
            resistance,
            ..
        } => (*inductance, resistance.max(LEAST_WINDING_RESISTANCE)),
        _ => (0.0, 0.0),
    }
}

fn junction(origin: JunctionOf, netlist: &Netlist) -> Option<Junction> {
    let (JunctionOf::Diode(e) | JunctionOf::Reverse(e) | JunctionOf::Body(e)) = origin;
    match &netlist.elements[e].model {
        Model::Diode { junction, .. } => Some(*junction),
        Model::Mosfet { mosfet, .. } => Some(mosfet.body),
        Model::Regulator { regulator, .. } => regulator.reverse,
        _ => None,
    }
}

/// The period of the lowest frequency, of which all others must be whole multiples.
fn fundamental(netlist: &Netlist) -> Result<f64, Failure> {
    let mut sines: Vec<(f64, &str)> = netlist
        .elements
        .iter()
        .filter_map(|element| match element.model {
            Model::VoltageSource {
                wave: Wave::Sine { frequency, .. },
                ..
            } => Some((frequency, element.name.as_str())),
            _ => None,
        })
        .collect();
    sines.sort_by(|a, b| a.0.total_cmp(&b.0));
    let Some(&(lowest, _)) = sines.first() else {
        return Ok(f64::INFINITY);
    };
    let whole = |f: f64| (f / lowest - (f / lowest).round()).abs() < 1e-9;
    if sines.iter().all(|(f, _)| whole(*f)) {
        Ok(1.0 / lowest)
    } else {
        Err(Failure::FrequenciesUnrelated {
            elements: sines.iter().map(|(_, name)| (*name).into()).collect(),
        })
    }
}

/// Parameters with their names.
type Named = Vec<(&'static str, f64)>;

/// Refuses values outside what the equations can take.
fn check(element: &Element) -> Result<(), Failure> {
    let (positive, not_negative): (Named, Named) = match &element.model {
        Model::VoltageSource {
            wave, resistance, ..
        } => (
            match wave {
                Wave::Steady(v) => vec![("1 + |voltage|", 1.0 + v.abs())],
                Wave::Sine {
                    frequency, peak, ..
                } => vec![("frequency", *frequency), ("1 + |peak|", 1.0 + peak.abs())],
            },
            vec![("resistance", *resistance)],
        ),
        Model::CurrentSource { current, .. } => {
            (vec![("1 + |current|", 1.0 + current.abs())], vec![])
        }
        Model::Resistor { resistance, .. } => (vec![("resistance", *resistance)], vec![]),
        Model::Capacitor {
            capacitance,
            esr,
            leakage,
            ..
        } => (
            vec![("capacitance", *capacitance)],
            vec![
                ("equivalent series resistance", *esr),
                ("leakage", *leakage),
            ],
        ),
        Model::Inductor {
            inductance,
            resistance,
            ..
        } => (
            vec![("inductance", *inductance)],
            vec![("resistance", *resistance)],
        ),
        Model::Diode { junction, .. } => (
            vec![
                ("saturation current", junction.saturation_current),
                ("ideality", junction.ideality),
                ("thermal voltage", junction.thermal_voltage),
            ],
            vec![("series resistance", junction.series_resistance)],
        ),
        Model::Regulator { regulator, .. } => (
            vec![
                ("output resistance", regulator.output_resistance),
                ("drop-out resistance", regulator.dropout_resistance),
                ("current limit", regulator.limit),
                ("smoothing", regulator.smoothing),
                ("quiescent knee", regulator.quiescent_knee),
            ],
            vec![],
        ),
        Model::OpAmp { op_amp, .. } => (
            vec![
                ("gain", op_amp.gain),
                ("output resistance", op_amp.output_resistance),
                ("current limit", op_amp.limit),
            ],
            vec![],
        ),
        Model::ShuntReference { shunt, .. } => (
            vec![
                ("dynamic resistance", shunt.dynamic_resistance),
                ("current limit", shunt.limit - shunt.minimum_current),
            ],
            vec![],
        ),
        Model::Bipolar { bipolar, .. } => (
            vec![
                ("saturation current", bipolar.saturation_current),
                ("forward gain", bipolar.forward_gain),
                ("reverse gain", bipolar.reverse_gain),
                ("thermal voltage", bipolar.thermal_voltage),
            ],
            vec![],
        ),
        Model::Mosfet { mosfet, .. } => (
            vec![("transconductance", mosfet.transconductance)],
            vec![("on resistance", mosfet.on_resistance)],
        ),
    };
    let bad = positive
        .iter()
        .find(|(_, v)| !(v.is_finite() && *v > 0.0))
        .or_else(|| {
            not_negative
                .iter()
                .find(|(_, v)| !(v.is_finite() && *v >= 0.0))
        });
    match bad {
        Some(&(parameter, value)) => Err(Failure::ParameterOutOfRange {
            element: element.name.clone(),
            parameter,
            value,
        }),
        None => Ok(()),
    }
}
