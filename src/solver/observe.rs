//! What is observed: probes, and their statistics gathered while stepping.

use super::elimination::Lane;
use super::newton::Newton;
use super::topology::{Port, Topology, terminals};
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

/// A probe worked out for a topology.
#[derive(Debug, Clone)]
pub(super) enum Observed {
    Voltage(Port),
    Current(Vec<(usize, f64)>),
    /// Ports of the element whose products of voltage and current add up.
    Power(Vec<usize>),
    /// An ideal source's voltage, and the ports that make its current.
    Delivered(Port, Vec<(usize, f64)>),
    /// The capacitor's index in the topology, its port and that of its leakage.
    CapacitorLoss(usize, usize, usize),
    /// The inductor's index in the topology and its port.
    WindingLoss(usize, usize),
}

impl Observed {
    pub(super) fn new(probe: Probe, topology: &Topology, netlist: &Netlist) -> Self {
        match probe {
            Probe::Voltage { plus, minus } => {
                Self::Voltage(topology.make_port((plus, 0), (minus, 0)))
            }
            Probe::Current(element) => terminal_current(topology, element, 0),
            Probe::TerminalCurrent(element, terminal) => {
                terminal_current(topology, element, terminal)
            }
            Probe::Power(element) => {
                let ports = topology.element_ports[element].clone();
                match netlist.elements[element].model {
                    Model::Capacitor { .. } => {
                        let index = topology.capacitors.iter().position(|c| c.1 == element);
                        Self::CapacitorLoss(index.unwrap_or(0), ports[0], ports[1])
                    }
                    Model::Inductor { .. } => {
                        let index = topology.inductors.iter().position(|c| c.1 == element);
                        Self::WindingLoss(index.unwrap_or(0), ports[0])
                    }
                    _ => match ideal_current(topology, element) {
                        Some(sum) => {
                            let n = terminals(&netlist.elements[element].model);
                            Self::Delivered(topology.make_port((n[0], 0), (n[1], 1)), sum)
                        }
                        None => Self::Power(ports),
                    },
                }
            }
        }
    }

    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub(super) fn read<const L: usize>(&self, newton: &Newton<'_, L>) -> Lane<L> {
        match self {
            Self::Voltage(port) => newton.voltage_across(port),
            Self::Current(sum) => current_sum(newton, sum),
            Self::Power(ports) => {
                let mut power = [0.0; L];
                for &port in ports {
                    for l in 0..L {
                        power[l] += newton.voltages[port][l] * newton.currents[port][l];
                    }
                }
                power
            }
            Self::Delivered(port, sum) => {
                let (voltage, current) = (newton.voltage_across(port), current_sum(newton, sum));
                std::array::from_fn(|l| voltage[l] * current[l])
            }
            Self::CapacitorLoss(index, port, leakage) => {
                let esr = &newton.parameters.esr[*index];
                let i = &newton.currents[*port];
                let (v, lost) = (&newton.voltages[*leakage], &newton.currents[*leakage]);
                std::array::from_fn(|l| esr[l] * i[l] * i[l] + v[l] * lost[l])
            }
            Self::WindingLoss(index, port) => {
                let r = &newton.parameters.winding[*index];
                let i = &newton.currents[*port];
                std::array::from_fn(|l| r[l] * i[l] * i[l])
            }
        }
    }
}

fn ideal_current(topology: &Topology, element: usize) -> Option<Vec<(usize, f64)>> {
    let wave = topology.waves.iter().position(|&e| e == element)?;
    topology.ideal_currents[wave].clone()
}

fn terminal_current(topology: &Topology, element: usize, terminal: usize) -> Observed {
    if let Some(sum) = ideal_current(topology, element) {
        let sign = if terminal == 0 { 1.0 } else { -1.0 };
        return Observed::Current(sum.into_iter().map(|(p, s)| (p, s * sign)).collect());
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
    Observed::Current(sum)
}

fn current_sum<const L: usize>(newton: &Newton<'_, L>, sum: &[(usize, f64)]) -> Lane<L> {
    let mut current = [0.0; L];
    for &(port, sign) in sum {
        for l in 0..L {
            current[l] += sign * newton.currents[port][l];
        }
    }
    current
}

/// Running statistics of one probe in every lane.
#[derive(Debug, Clone)]
pub(super) struct Gathering<const L: usize> {
    duration: Lane<L>,
    integral: Lane<L>,
    squares: Lane<L>,
    minimum: Lane<L>,
    maximum: Lane<L>,
    /// The two latest points: time and value.
    latest: [(Lane<L>, Lane<L>); 2],
    count: [usize; L],
}

impl<const L: usize> Gathering<L> {
    pub(super) fn new() -> Self {
        Self {
            duration: [0.0; L],
            integral: [0.0; L],
            squares: [0.0; L],
            minimum: [f64::INFINITY; L],
            maximum: [f64::NEG_INFINITY; L],
            latest: [([0.0; L], [0.0; L]); 2],
            count: [0; L],
        }
    }

    /// Adds an integral of the value and of its square over `duration`.
    pub(super) fn integrate(&mut self, l: usize, duration: f64, integral: f64, squares: f64) {
        self.duration[l] += duration;
        self.integral[l] += integral;
        self.squares[l] += squares;
    }

    /// Adds a point; an extreme between points is found on the parabola through three of them.
    pub(super) fn point(&mut self, l: usize, time: f64, value: f64) {
        let (t1, z1) = (self.latest[1].0[l], self.latest[1].1[l]);
        if self.count[l] >= 2 {
            let (t0, z0) = (self.latest[0].0[l], self.latest[0].1[l]);
            if (z1 - z0) * (value - z1) < 0.0 && t1 > t0 && time > t1 {
                let (left, right) = ((z1 - z0) / (t1 - t0), (value - z1) / (time - t1));
                let curvature = (right - left) / (time - t0);
                // Slope at the middle point, then half of its square over the curvature.
                let slope = left + curvature * (t1 - t0);
                let vertex = z1 - 0.25 * slope * slope / curvature;
                self.minimum[l] = self.minimum[l].min(vertex);
                self.maximum[l] = self.maximum[l].max(vertex);
            }
        }
        self.minimum[l] = self.minimum[l].min(value);
        self.maximum[l] = self.maximum[l].max(value);
        self.latest[0].0[l] = t1;
        self.latest[0].1[l] = z1;
        self.latest[1].0[l] = time;
        self.latest[1].1[l] = value;
        self.count[l] += 1;
    }

    /// Takes over one lane of another gathering.
    pub(super) fn take_lane(&mut self, from: &Self, l: usize) {
        self.duration[l] = from.duration[l];
        self.integral[l] = from.integral[l];
        self.squares[l] = from.squares[l];
        self.minimum[l] = from.minimum[l];
        self.maximum[l] = from.maximum[l];
        for k in 0..2 {
            self.latest[k].0[l] = from.latest[k].0[l];
            self.latest[k].1[l] = from.latest[k].1[l];
        }
        self.count[l] = from.count[l];
    }

    pub(super) fn statistics(&self, l: usize) -> Statistics {
        if self.duration[l] > 0.0 {
            Statistics {
                average: self.integral[l] / self.duration[l],
                minimum: self.minimum[l],
                maximum: self.maximum[l],
                rms: (self.squares[l] / self.duration[l]).max(0.0).sqrt(),
            }
        } else {
            let value = self.latest[1].1[l];
            Statistics {
                average: value,
                minimum: value,
                maximum: value,
                rms: value.abs(),
            }
        }
    }
}
