//! The parameters: what differs between situations of one topology, one lane each.

use super::elimination::Lane;
use super::failure::Failure;
use super::topology::{Constant, FLOATING_LEAKAGE, JunctionOf, Ohmic, Topology};
use crate::circuit::junction::JunctionConstants;
use crate::circuit::{
    Bipolar, Element, Model, Mosfet, Netlist, OpAmp, Regulator, ShuntReference, Wave,
};

/// Least resistance of an inductor's winding, so that it has a direct-current solution [Ω].
pub const LEAST_WINDING_RESISTANCE: f64 = 1e-6;

/// Element values of `L` situations side by side, in the order of the [`Topology`]'s lists.
#[derive(Debug, Clone)]
pub struct Parameters<const L: usize> {
    /// Steady part of each wave [V].
    pub steady: Vec<Lane<L>>,
    /// Peak of each wave [V].
    pub peak: Vec<Lane<L>>,
    /// Frequency of each wave as a multiple of the fundamental.
    pub harmonic: Vec<Lane<L>>,
    /// Phase of each wave [rad].
    pub phase: Vec<Lane<L>>,
    /// Period of the fundamental [s]; infinite when every source is steady.
    pub period: Lane<L>,
    /// Linear conductances [S].
    pub ohmic: Vec<Lane<L>>,
    /// Constant currents [A].
    pub constants: Vec<Lane<L>>,
    /// Capacitances [F].
    pub capacitance: Vec<Lane<L>>,
    /// Equivalent series resistances [Ω].
    pub esr: Vec<Lane<L>>,
    /// Inductances [H].
    pub inductance: Vec<Lane<L>>,
    /// Winding resistances [Ω].
    pub winding: Vec<Lane<L>>,
    /// Junctions.
    pub junctions: Vec<Junctions<L>>,
    /// Regulators.
    pub regulators: Vec<Regulators<L>>,
    /// Op-amps.
    pub op_amps: Vec<[OpAmp; L]>,
    /// Shunt references.
    pub shunts: Vec<[ShuntReference; L]>,
    /// Bipolar transistors.
    pub bipolars: Vec<[Bipolar; L]>,
    /// MOSFETs.
    pub mosfets: Vec<[Mosfet; L]>,
}

impl<const L: usize> Parameters<L> {
    /// Gathers the parameters of `L` netlists that all fit `topology`.
    ///
    /// # Errors
    /// [`Failure::ParameterOutOfRange`], [`Failure::FrequenciesUnrelated`].
    #[allow(clippy::too_many_lines, reason = "one entry per kind of parameter")]
    pub fn gather(topology: &Topology, netlists: [&Netlist; L]) -> Result<Self, Failure> {
        for netlist in netlists {
            for element in &netlist.elements {
                check(element)?;
            }
        }
        let mut period = [f64::INFINITY; L];
        for l in 0..L {
            period[l] = fundamental(netlists[l])?;
        }
        let model = |element: usize, l: usize| &netlists[l].elements[element].model;
        let lanes = |f: &dyn Fn(usize) -> f64| -> Lane<L> { std::array::from_fn(f) };
        let wave = |element: usize, part: &dyn Fn(&Wave, f64) -> f64| {
            lanes(&|l| match model(element, l) {
                Model::VoltageSource { wave, .. } => part(wave, period[l]),
                _ => 0.0,
            })
        };
        let waves = &topology.waves;
        Ok(Self {
            steady: waves
                .iter()
                .map(|&e| {
                    wave(e, &|w, _| match w {
                        Wave::Steady(v) => *v,
                        Wave::Sine { .. } => 0.0,
                    })
                })
                .collect(),
            peak: waves
                .iter()
                .map(|&e| {
                    wave(e, &|w, _| match w {
                        Wave::Steady(_) => 0.0,
                        Wave::Sine { peak, .. } => *peak,
                    })
                })
                .collect(),
            harmonic: waves
                .iter()
                .map(|&e| {
                    wave(e, &|w, period| match w {
                        Wave::Steady(_) => 0.0,
                        Wave::Sine { frequency, .. } => (frequency * period).round(),
                    })
                })
                .collect(),
            phase: waves
                .iter()
                .map(|&e| {
                    wave(e, &|w, _| match w {
                        Wave::Steady(_) => 0.0,
                        Wave::Sine { phase, .. } => *phase,
                    })
                })
                .collect(),
            period,
            ohmic: topology
                .ohmic
                .iter()
                .map(|&(_, origin)| {
                    lanes(&|l| match origin {
                        Ohmic::Floating => FLOATING_LEAKAGE,
                        Ohmic::Resistor(e) | Ohmic::Source(e, _) | Ohmic::Leakage(e) => {
                            match model(e, l) {
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
                    lanes(&|l| match model(e, l) {
                        Model::CurrentSource { current, .. } => *current,
                        Model::OpAmp { op_amp, .. } => op_amp.bias,
                        _ => 0.0,
                    })
                })
                .collect(),
            capacitance: topology
                .capacitors
                .iter()
                .map(|&(_, e)| lanes(&|l| capacitor(model(e, l)).0))
                .collect(),
            esr: topology
                .capacitors
                .iter()
                .map(|&(_, e)| lanes(&|l| capacitor(model(e, l)).1))
                .collect(),
            inductance: topology
                .inductors
                .iter()
                .map(|&(_, e)| lanes(&|l| inductor(model(e, l)).0))
                .collect(),
            winding: topology
                .inductors
                .iter()
                .map(|&(_, e)| lanes(&|l| inductor(model(e, l)).1))
                .collect(),
            junctions: topology
                .junctions
                .iter()
                .map(|&(_, origin)| Junctions::new(|l| junction(origin, netlists[l])))
                .collect(),
            regulators: per_device(&topology.regulators, |e, l| match model(e, l) {
                Model::Regulator { regulator, .. } => Some(*regulator),
                _ => None,
            })
            .iter()
            .map(Regulators::new)
            .collect(),
            op_amps: per_device(&topology.op_amps, |e, l| match model(e, l) {
                Model::OpAmp { op_amp, .. } => Some(*op_amp),
                _ => None,
            }),
            shunts: per_device(&topology.shunts, |e, l| match model(e, l) {
                Model::ShuntReference { shunt, .. } => Some(*shunt),
                _ => None,
            }),
            bipolars: per_device(&topology.bipolars, |e, l| match model(e, l) {
                Model::Bipolar { bipolar, .. } => Some(*bipolar),
                _ => None,
            }),
            mosfets: per_device(&topology.mosfets, |e, l| match model(e, l) {
                Model::Mosfet { mosfet, .. } => Some(*mosfet),
                _ => None,
            }),
        })
    }
}

/// One junction's constants, lane by lane in arrays, so that a loop over lanes vectorises.
#[derive(Debug, Clone)]
pub struct Junctions<const L: usize> {
    saturation: Lane<L>,
    slope_voltage: Lane<L>,
    series: Lane<L>,
    shunt: Lane<L>,
    breakdown: Lane<L>,
    breakdown_current: Lane<L>,
    breakdown_slope: Lane<L>,
    critical: Lane<L>,
    breakdown_critical: Lane<L>,
    /// Whether any lane has a breakdown.
    pub breaks_down: bool,
}

impl<const L: usize> Junctions<L> {
    fn new(constants: impl Fn(usize) -> JunctionConstants) -> Self {
        let lanes = |f: &dyn Fn(JunctionConstants) -> f64| std::array::from_fn(|l| f(constants(l)));
        Self {
            saturation: lanes(&|c| c.saturation),
            slope_voltage: lanes(&|c| c.slope_voltage),
            series: lanes(&|c| c.series),
            shunt: lanes(&|c| c.shunt),
            breakdown: lanes(&|c| c.breakdown),
            breakdown_current: lanes(&|c| c.breakdown_current),
            breakdown_slope: lanes(&|c| c.breakdown_slope),
            critical: lanes(&|c| c.critical),
            breakdown_critical: lanes(&|c| c.breakdown_critical),
            breaks_down: (0..L).any(|l| constants(l).breakdown_current > 0.0),
        }
    }

    /// One lane's constants.
    #[must_use]
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub fn lane(&self, l: usize) -> JunctionConstants {
        JunctionConstants {
            saturation: self.saturation[l],
            slope_voltage: self.slope_voltage[l],
            series: self.series[l],
            shunt: self.shunt[l],
            breakdown: self.breakdown[l],
            breakdown_current: self.breakdown_current[l],
            breakdown_slope: self.breakdown_slope[l],
            critical: self.critical[l],
            breakdown_critical: self.breakdown_critical[l],
        }
    }
}

/// One regulator's constants, lane by lane in arrays.
#[derive(Debug, Clone)]
pub struct Regulators<const L: usize> {
    /// +1, or −1 for a negative regulator.
    pub sign: Lane<L>,
    reference: Lane<L>,
    line: Lane<L>,
    line_from: Lane<L>,
    output_resistance: Lane<L>,
    dropout: Lane<L>,
    dropout_resistance: Lane<L>,
    limit: Lane<L>,
    smoothing: Lane<L>,
    quiescent: Lane<L>,
    quiescent_knee: Lane<L>,
}

impl<const L: usize> Regulators<L> {
    fn new(regulators: &[Regulator; L]) -> Self {
        let lanes = |f: &dyn Fn(&Regulator) -> f64| std::array::from_fn(|l| f(&regulators[l]));
        Self {
            sign: lanes(&|r| if r.negative { -1.0 } else { 1.0 }),
            reference: lanes(&|r| r.reference),
            line: lanes(&|r| r.line),
            line_from: lanes(&|r| r.line_from),
            output_resistance: lanes(&|r| r.output_resistance),
            dropout: lanes(&|r| r.dropout),
            dropout_resistance: lanes(&|r| r.dropout_resistance),
            limit: lanes(&|r| r.limit),
            smoothing: lanes(&|r| r.smoothing),
            quiescent: lanes(&|r| r.quiescent),
            quiescent_knee: lanes(&|r| r.quiescent_knee),
        }
    }

    /// One lane's regulator, without its reverse path.
    #[must_use]
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub fn lane(&self, l: usize) -> Regulator {
        Regulator {
            negative: false,
            reference: self.reference[l],
            line: self.line[l],
            line_from: self.line_from[l],
            output_resistance: self.output_resistance[l],
            dropout: self.dropout[l],
            dropout_resistance: self.dropout_resistance[l],
            limit: self.limit[l],
            smoothing: self.smoothing[l],
            quiescent: self.quiescent[l],
            quiescent_knee: self.quiescent_knee[l],
            reverse: None,
        }
    }
}

/// Parameters of each device of a list, `L` lanes each. The topology's lists hold elements of the
/// right kind, so that every lane is present.
fn per_device<P, T: Copy, const L: usize>(
    list: &[(P, usize)],
    get: impl Fn(usize, usize) -> Option<T>,
) -> Vec<[T; L]> {
    list.iter()
        .filter_map(|(_, element)| {
            let lanes: Vec<T> = (0..L).filter_map(|l| get(*element, l)).collect();
            <[T; L]>::try_from(lanes).ok()
        })
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

fn junction(origin: JunctionOf, netlist: &Netlist) -> JunctionConstants {
    let (JunctionOf::Diode(e) | JunctionOf::Reverse(e) | JunctionOf::Body(e)) = origin;
    match &netlist.elements[e].model {
        Model::Diode { junction, .. } => junction.into(),
        Model::Mosfet { mosfet, .. } => (&mosfet.body).into(),
        Model::Regulator { regulator, .. } => regulator
            .reverse
            .as_ref()
            .map_or_else(JunctionConstants::open, Into::into),
        _ => JunctionConstants::open(),
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
