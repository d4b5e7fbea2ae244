//! What is observed: probes, worked out for a topology and read from recorded points.

use super::parameters::Parameters;
use super::stamps::Carrier;
use super::stepping::{PARABOLA, WEIGHTS};
use super::topology::{Ohmic, Port, Topology, terminals};
use super::trajectory::Layout;
use crate::circuit::real::Real;
use crate::circuit::{Model, Netlist, Node};

/// A quantity to observe.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Probe {
    /// `v(plus) − v(minus)` [V].
    Voltage {
        /// Node counted positive.
        plus: Node,
        /// Node counted negative.
        minus: Node,
    },
    /// Current through the element of that index, into its first terminal [A].
    Current(usize),
    /// Current into a terminal of an element, terminals in the order in which the model names
    /// them [A].
    TerminalCurrent(usize, usize),
    /// Power that the element turns into heat [W]; a source's is negative while it delivers. A
    /// capacitor's is that of its ESR and leakage, an inductor's that of its winding.
    Power(usize),
}

/// Statistics of one probe over the observed time.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Statistics {
    /// Time average.
    pub average: f64,
    /// Least value.
    pub minimum: f64,
    /// Greatest value.
    pub maximum: f64,
    /// Root mean square.
    pub rms: f64,
}

/// Values over time.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Waveform {
    /// Instants [s].
    pub time: Vec<f64>,
    /// Per probe, its values at these instants.
    pub probes: Vec<Vec<f64>>,
}

/// A signed sum of recorded values, and of constants.
#[derive(Debug, Clone, Default)]
pub(super) struct Sum(Vec<Term>);

/// A part of a [`Sum`], with its sign.
#[derive(Debug, Clone, Copy)]
enum Term {
    /// A recorded value.
    Recorded(usize, f64),
    /// A recorded value times a linear conductance.
    Through(usize, usize, f64),
    /// A constant current.
    Constant(usize, f64),
}

impl Sum {
    fn voltage(layout: &Layout, port: &Port) -> Self {
        let unknowns = port.terms.iter().map(|&(u, s)| Term::Recorded(u, s));
        let waves = port
            .waves
            .iter()
            .map(|&(w, s)| Term::Recorded(layout.wave(w), s));
        Self(unknowns.chain(waves).collect())
    }

    fn current(layout: &Layout, topology: &Topology, port: usize, sign: f64) -> Self {
        match topology.stamps.carriers[port] {
            Carrier::Ohmic(index) => {
                let mut across = Self::voltage(layout, &topology.ports[port]).0;
                if let Ohmic::Source(_, wave) = topology.ohmic[index].1 {
                    across.push(Term::Recorded(layout.wave(wave), -1.0));
                }
                Self(
                    across
                        .into_iter()
                        .filter_map(|term| match term {
                            Term::Recorded(value, s) => Some(Term::Through(value, index, s * sign)),
                            _ => None,
                        })
                        .collect(),
                )
            }
            Carrier::Constant(index) => Self(vec![Term::Constant(index, sign)]),
            Carrier::Storage(index) => Self(vec![Term::Recorded(layout.storage(index), sign)]),
            Carrier::Device(index) => Self(vec![Term::Recorded(layout.device(index), sign)]),
            Carrier::Nothing => Self::default(),
        }
    }

    fn currents(layout: &Layout, topology: &Topology, ports: &[(usize, f64)]) -> Self {
        Self(
            ports
                .iter()
                .flat_map(|&(port, sign)| Self::current(layout, topology, port, sign).0)
                .collect(),
        )
    }

    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn read<R: Real>(&self, point: &[R], parameters: &Parameters<R>) -> R {
        let mut sum = parameters.period.splat(0.0);
        for term in &self.0 {
            match *term {
                Term::Recorded(value, sign) => sum += point[value] * sign,
                Term::Through(value, conductance, sign) => {
                    sum += parameters.ohmic[conductance] * point[value] * sign;
                }
                Term::Constant(index, sign) => sum += parameters.constants[index] * sign,
            }
        }
        sum
    }
}

/// A probe worked out for a topology.
#[derive(Debug, Clone)]
pub(super) enum Observed {
    /// A voltage.
    Voltage(Sum),
    /// A current.
    Current(Sum),
    /// Products of voltage and current, added up.
    Power(Vec<(Sum, Sum)>),
    /// A capacitor by its index in the topology: its current, and its leakage's voltage and
    /// current.
    CapacitorLoss(usize, Sum, Option<(Sum, Sum)>),
    /// An inductor by its index in the topology, and its current.
    WindingLoss(usize, Sum),
}

impl Observed {
    pub(super) fn new(probe: Probe, topology: &Topology, netlist: &Netlist) -> Self {
        let layout = Layout::new(topology);
        let voltage = |port: usize| Sum::voltage(&layout, &topology.ports[port]);
        let current = |port: usize| Sum::current(&layout, topology, port, 1.0);
        match probe {
            Probe::Voltage { plus, minus } => Self::Voltage(Sum::voltage(
                &layout,
                &topology.make_port((plus, 0), (minus, 0)),
            )),
            Probe::Current(element) => Self::Current(Sum::currents(
                &layout,
                topology,
                &terminal_ports(topology, element, 0),
            )),
            Probe::TerminalCurrent(element, terminal) => Self::Current(Sum::currents(
                &layout,
                topology,
                &terminal_ports(topology, element, terminal),
            )),
            Probe::Power(element) => {
                let ports = &topology.element_ports[element];
                match netlist.elements[element].model {
                    Model::Capacitor { .. } => {
                        let index = topology.capacitors.iter().position(|c| c.1 == element);
                        let leakage = ports.get(1).map(|&port| (voltage(port), current(port)));
                        Self::CapacitorLoss(index.unwrap_or(0), current(ports[0]), leakage)
                    }
                    Model::Inductor { .. } => {
                        let index = topology.inductors.iter().position(|c| c.1 == element);
                        Self::WindingLoss(index.unwrap_or(0), current(ports[0]))
                    }
                    _ => match ideal_current(topology, element) {
                        Some(ports) => {
                            let n = terminals(&netlist.elements[element].model);
                            let port = topology.make_port((n[0], 0), (n[1], 1));
                            Self::Power(vec![(
                                Sum::voltage(&layout, &port),
                                Sum::currents(&layout, topology, &ports),
                            )])
                        }
                        None => Self::Power(
                            ports
                                .iter()
                                .map(|&port| (voltage(port), current(port)))
                                .collect(),
                        ),
                    },
                }
            }
        }
    }

    /// Weights of a step's three points in a mean: those the step itself was taken with, so that a
    /// capacitor's mean current is exactly its change of charge. Over `coarse` steps a voltage's
    /// are exact for a parabola.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub(super) fn weights(&self, coarse: bool) -> [f64; 3] {
        match self {
            Self::Voltage(_) if coarse => PARABOLA,
            _ => WEIGHTS,
        }
    }

    /// The probe's value at a recorded point.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub(super) fn read<R: Real>(&self, point: &[R], parameters: &Parameters<R>) -> R {
        match self {
            Self::Voltage(sum) | Self::Current(sum) => sum.read(point, parameters),
            Self::Power(products) => {
                let mut power = parameters.period.splat(0.0);
                for (voltage, current) in products {
                    power += voltage.read(point, parameters) * current.read(point, parameters);
                }
                power
            }
            Self::CapacitorLoss(index, current, leakage) => {
                let i = current.read(point, parameters);
                let mut power = parameters.esr[*index] * i * i;
                if let Some((voltage, current)) = leakage {
                    power += voltage.read(point, parameters) * current.read(point, parameters);
                }
                power
            }
            Self::WindingLoss(index, current) => {
                let i = current.read(point, parameters);
                parameters.winding[*index] * i * i
            }
        }
    }
}

fn ideal_current(topology: &Topology, element: usize) -> Option<Vec<(usize, f64)>> {
    let wave = topology.waves.iter().position(|&e| e == element)?;
    topology.ideal_currents[wave].clone()
}

/// The ports whose currents add up to that into a terminal, with their signs.
fn terminal_ports(topology: &Topology, element: usize, terminal: usize) -> Vec<(usize, f64)> {
    if let Some(sum) = ideal_current(topology, element) {
        let sign = if terminal == 0 { 1.0 } else { -1.0 };
        return sum.into_iter().map(|(p, s)| (p, s * sign)).collect();
    }
    let mut sum = Vec::new();
    for &index in &topology.element_ports[element] {
        let port = &topology.ports[index];
        if port.plus.1 == terminal {
            sum.push((index, 1.0));
        }
        if port.minus.1 == terminal {
            sum.push((index, -1.0));
        }
    }
    sum
}
