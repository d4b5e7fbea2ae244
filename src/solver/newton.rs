//! Newton's method for the equations at one instant, in lanes.
//!
//! The unknowns move by increments: after the first solve the linear elements are met exactly, so
//! what remains is the difference between each device's current and its linear prediction. Each
//! device is linearised where its own limiting rule puts it; a device whose rule intervened has
//! not converged. A lane that has converged is frozen, so that its bits do not depend on its
//! neighbours.

use super::elimination::Lane;
use super::parameters::Parameters;
use super::topology::{Ohmic, Port, Topology};
use crate::circuit::mosfet::channel_fold;
use crate::circuit::op_amp::OpAmpPoint;
use crate::circuit::regulator::RegulatorPoint;
use crate::circuit::shunt_reference::ShuntPoint;

/// A device current is met when it is within a part of itself, plus what this voltage, per unit of
/// that part, moves it by [V] …
const VOLTAGE: f64 = 1e-2;
/// … plus this current [A].
const ABSOLUTE: f64 = 1e-15;

/// Iterations after which the solution is checked against the full equations.
const FEW: usize = 6;

/// The state of Newton's method: unknowns, port voltages and currents, linearised devices.
#[derive(Debug, Clone)]
pub struct Newton<'t, const L: usize> {
    /// The wiring.
    pub topology: &'t Topology,
    /// The values.
    pub parameters: Parameters<L>,
    /// The unknowns [V].
    pub unknowns: Vec<Lane<L>>,
    /// Voltage of each wave now [V].
    pub waves: Vec<Lane<L>>,
    /// What each capacitor's inner voltage and inductor's current would be without this stage's
    /// own contribution [V, A].
    pub bases: Vec<Lane<L>>,
    /// Time over which the stage's own derivative acts [s]; `f64::MAX` for direct current.
    pub reach: Lane<L>,
    /// Conductance from every unknown to its value in `anchors`, for the fallback that walks to
    /// the solution in damped steps [S].
    pub damping: Lane<L>,
    /// See `damping`.
    pub anchors: Vec<Lane<L>>,
    /// Voltage of each port [V].
    pub voltages: Vec<Lane<L>>,
    /// Current through each port [A].
    pub currents: Vec<Lane<L>>,
    /// Part of itself within which a device's current is met.
    pub tolerance: f64,
    /// Iterations so far, per lane.
    pub iterations: [usize; L],
    /// Per lane, the port whose current was furthest from being met.
    pub worst_port: [usize; L],
    linear: Vec<Lane<L>>,
    /// Reach and damping for which `linear` stands.
    built: Option<(Lane<L>, Lane<L>)>,
    matrix: Vec<Lane<L>>,
    residual: Vec<Lane<L>>,
    storage: Vec<Lane<L>>,
    gains: Vec<Lane<L>>,
    predicted: Vec<Lane<L>>,
    /// Change of each device voltage in the last increment.
    steps: Vec<Lane<L>>,
    stamps: Stamps,
    junctions: Vec<Lane<L>>,
    /// Regulating branch, drop-out branch and input of each regulator's point.
    regulators: Vec<[Lane<L>; 3]>,
    op_amps: Vec<[OpAmpPoint; L]>,
    shunts: Vec<[ShuntPoint; L]>,
    bipolars: Vec<[[f64; 2]; L]>,
    mosfets: Vec<[[f64; 2]; L]>,
}

/// Matrix entries with their signs.
type Entries = Vec<(usize, f64)>;

/// Where conductances enter the matrix.
#[derive(Debug, Clone, Default)]
struct Stamps {
    ohmic: Vec<Entries>,
    storage: Vec<Entries>,
    diagonal: Vec<usize>,
    /// Device conductances: current port, voltage port, entries.
    gains: Vec<(usize, usize, Entries)>,
    /// Ports that carry a device's current.
    device_ports: Vec<usize>,
    /// Ports whose voltage a device depends on.
    device_voltages: Vec<usize>,
}

impl Stamps {
    fn new(topology: &Topology) -> Self {
        let entries = |current: usize, voltage: usize| -> Entries {
            let (row_port, column_port) = (&topology.ports[current], &topology.ports[voltage]);
            row_port
                .terms
                .iter()
                .flat_map(|&(row, s)| {
                    column_port.terms.iter().filter_map(move |&(column, t)| {
                        Some((topology.elimination.slot(row, column)?, s * t))
                    })
                })
                .collect()
        };
        let mut gains: Vec<(usize, usize, Entries)> = topology
            .junctions
            .iter()
            .map(|&(port, _)| (port, port, entries(port, port)))
            .collect();
        let mut device_voltages: Vec<usize> = topology.junctions.iter().map(|j| j.0).collect();
        for (currents, voltages) in topology.couplings() {
            device_voltages.extend(voltages);
            for &current in currents {
                for &voltage in voltages {
                    gains.push((current, voltage, entries(current, voltage)));
                }
            }
        }
        let mut device_ports: Vec<usize> = gains.iter().map(|g| g.0).collect();
        device_ports.sort_unstable();
        device_ports.dedup();
        Self {
            ohmic: topology.ohmic.iter().map(|o| entries(o.0, o.0)).collect(),
            storage: storage_ports(topology).map(|p| entries(p, p)).collect(),
            diagonal: (0..topology.unknowns)
                .filter_map(|u| topology.elimination.slot(u, u))
                .collect(),
            gains,
            device_ports,
            device_voltages,
        }
    }
}

/// Ports of the capacitors, then of the inductors.
pub fn storage_ports(topology: &Topology) -> impl Iterator<Item = usize> + '_ {
    topology
        .capacitors
        .iter()
        .chain(&topology.inductors)
        .map(|(port, _)| *port)
}

#[inline(always)]
#[allow(clippy::inline_always)]
fn add_product<const L: usize>(to: &mut Lane<L>, sign: f64, value: &Lane<L>) {
    // By value, so that the compiler need not fear that the two overlap.
    let (sum, value) = (*to, *value);
    *to = std::array::from_fn(|l| sum[l] + sign * value[l]);
}

impl<'t, const L: usize> Newton<'t, L> {
    /// All voltages zero.
    #[must_use]
    pub fn new(topology: &'t Topology, parameters: Parameters<L>) -> Self {
        let zeros = |n: usize| vec![[0.0; L]; n];
        let stamps = Stamps::new(topology);
        let storage = topology.capacitors.len() + topology.inductors.len();
        let mut newton = Self {
            topology,
            unknowns: zeros(topology.unknowns),
            waves: zeros(topology.waves.len()),
            bases: zeros(storage),
            reach: [f64::MAX; L],
            damping: [0.0; L],
            anchors: zeros(topology.unknowns),
            voltages: zeros(topology.ports.len()),
            currents: zeros(topology.ports.len()),
            tolerance: 1e-9,
            iterations: [0; L],
            worst_port: [0; L],
            linear: zeros(topology.elimination.slots()),
            built: None,
            matrix: zeros(topology.elimination.slots()),
            residual: zeros(topology.unknowns),
            storage: zeros(storage),
            gains: zeros(stamps.gains.len()),
            predicted: zeros(topology.ports.len()),
            steps: zeros(stamps.device_voltages.len()),
            stamps,
            junctions: zeros(topology.junctions.len()),
            regulators: vec![[[0.0; L]; 3]; topology.regulators.len()],
            op_amps: vec![[OpAmpPoint::default(); L]; topology.op_amps.len()],
            shunts: vec![[ShuntPoint::default(); L]; topology.shunts.len()],
            bipolars: vec![[[0.0; 2]; L]; topology.bipolars.len()],
            mosfets: vec![[[0.0; 2]; L]; topology.mosfets.len()],
            parameters,
        };
        newton.linearise(&[true; L]);
        newton
    }

    /// Solves for the unknowns, starting from those held. `true` per lane that converged; lanes
    /// not `wanted` are left alone (and count as converged).
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub fn solve(&mut self, wanted: &[bool; L], most_iterations: usize) -> [bool; L] {
        self.build_linear();
        let mut live = *wanted;
        self.read_voltages(&live);
        self.linearise(&live);
        self.residual_in_full();
        let mut verified = [false; L];
        for iteration in 1..=most_iterations {
            for l in 0..L {
                self.iterations[l] += usize::from(live[l]);
            }
            self.assemble();
            self.topology.elimination.factor(&mut self.matrix);
            self.topology
                .elimination
                .solve(&self.matrix, &mut self.residual);
            for (unknown, delta) in self.unknowns.iter_mut().zip(&self.residual) {
                for l in 0..L {
                    unknown[l] = if live[l] {
                        unknown[l] - delta[l]
                    } else {
                        unknown[l]
                    };
                }
            }
            self.read_voltages(&live);
            let met = self.linearise(&live);
            // A long way may have gone through voltages so large that rounding broke Kirchhoff's
            // law: then what counts is one more step from the full equations.
            let mut in_full = [false; L];
            for l in 0..L {
                if live[l] && met[l] {
                    in_full[l] = iteration > FEW && !verified[l];
                    verified[l] = true;
                    live[l] = in_full[l];
                } else {
                    verified[l] = false;
                }
            }
            if !live.contains(&true) {
                break;
            }
            self.residual_of_devices();
            if in_full.contains(&true) {
                let devices = self.residual.clone();
                self.residual_in_full();
                for (full, devices) in self.residual.iter_mut().zip(&devices) {
                    for l in 0..L {
                        full[l] = if in_full[l] { full[l] } else { devices[l] };
                    }
                }
            }
        }
        // The matrix at the solution, for small changes around it.
        self.assemble();
        self.topology.elimination.factor(&mut self.matrix);
        let finite = self.finite();
        std::array::from_fn(|l| !wanted[l] || (!live[l] && finite[l]))
    }

    /// The matrix of the linear elements and the devices as linearised.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn assemble(&mut self) {
        self.matrix.copy_from_slice(&self.linear);
        for ((_, _, entries), gain) in self.stamps.gains.iter().zip(&self.gains) {
            for &(slot, sign) in entries {
                add_product(&mut self.matrix[slot], sign, gain);
            }
        }
    }

    /// Solves for a small change: `rhs` holds the injected currents' change into each unknown's
    /// equation and is replaced by the change of the unknowns. Uses the matrix at the
    /// solution of the last [`Newton::solve`].
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub fn respond(&self, rhs: &mut [Lane<L>]) {
        self.topology.elimination.solve(&self.matrix, rhs);
    }

    /// Puts one lane's devices back to where they start: no voltage anywhere.
    pub fn reset(&mut self, lane: usize) {
        for values in [&mut self.voltages, &mut self.currents, &mut self.junctions] {
            for value in values.iter_mut() {
                value[lane] = 0.0;
            }
        }
        for gain in &mut self.gains {
            gain[lane] = 0.0;
        }
        for &port in &self.stamps.device_ports {
            self.predicted[port][lane] = 0.0;
        }
        for point in &mut self.regulators {
            for part in point {
                part[lane] = 0.0;
            }
        }
        for point in &mut self.op_amps {
            point[lane] = OpAmpPoint::default();
        }
        for point in &mut self.shunts {
            point[lane] = ShuntPoint::default();
        }
        for point in self.bipolars.iter_mut().chain(&mut self.mosfets) {
            point[lane] = [0.0; 2];
        }
        let mut only = [false; L];
        only[lane] = true;
        self.linearise(&only);
    }

    /// Voltage across a port that need not be one of the topology's.
    #[must_use]
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub fn voltage_across(&self, port: &Port) -> Lane<L> {
        let mut voltage = [0.0; L];
        for &(wave, sign) in &port.waves {
            add_product(&mut voltage, sign, &self.waves[wave]);
        }
        for &(unknown, sign) in &port.terms {
            add_product(&mut voltage, sign, &self.unknowns[unknown]);
        }
        voltage
    }

    /// Conductance of a storage element's branch in this stage [S].
    #[must_use]
    pub fn storage_conductance(&self, storage: usize) -> &Lane<L> {
        &self.storage[storage]
    }

    /// Brings every port's voltage and current up to date with the unknowns.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub fn refresh(&mut self) {
        self.read_all_voltages();
        self.linear_currents();
    }

    fn finite(&self) -> [bool; L] {
        let mut sum = [0.0; L];
        for unknown in &self.unknowns {
            add_product(&mut sum, 0.0, unknown);
        }
        std::array::from_fn(|l| sum[l] == 0.0)
    }

    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn build_linear(&mut self) {
        let built = (self.reach, self.damping);
        if self.built == Some(built) {
            return;
        }
        self.built = Some(built);
        self.linear.fill([0.0; L]);
        for (entries, g) in self.stamps.ohmic.iter().zip(&self.parameters.ohmic) {
            for &(slot, sign) in entries {
                add_product(&mut self.linear[slot], sign, g);
            }
        }
        let capacitors = self.topology.capacitors.len();
        for (index, g) in self.storage.iter_mut().enumerate() {
            for l in 0..L {
                let reach = self.reach[l];
                g[l] = if index < capacitors {
                    let (c, esr) = (
                        self.parameters.capacitance[index][l],
                        self.parameters.esr[index][l],
                    );
                    1.0 / (esr + reach / c)
                } else {
                    let k = index - capacitors;
                    let (h, r) = (
                        self.parameters.inductance[k][l],
                        self.parameters.winding[k][l],
                    );
                    1.0 / (r + h / reach)
                };
            }
        }
        for (entries, g) in self.stamps.storage.iter().zip(&self.storage) {
            for &(slot, sign) in entries {
                add_product(&mut self.linear[slot], sign, g);
            }
        }
        for &slot in &self.stamps.diagonal {
            add_product(&mut self.linear[slot], 1.0, &self.damping);
        }
    }

    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn port_voltage(&self, port: usize) -> Lane<L> {
        self.voltage_across(&self.topology.ports[port])
    }

    /// Reads the device ports' voltages and moves the predicted currents along.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn read_voltages(&mut self, live: &[bool; L]) {
        for &port in &self.stamps.device_ports {
            self.predicted[port] = self.currents[port];
        }
        let topology = self.topology;
        for (k, &port) in self.stamps.device_voltages.iter().enumerate() {
            let voltage = self.voltage_across(&topology.ports[port]);
            let old = &mut self.voltages[port];
            for l in 0..L {
                let new = if live[l] { voltage[l] } else { old[l] };
                self.steps[k][l] = new - old[l];
                old[l] = new;
            }
        }
        // The gains follow the order of the voltages: junctions one each, then per coupling every
        // current over every voltage.
        let junctions = topology.junctions.len();
        for k in 0..junctions {
            let (port, gain, step) = (self.stamps.gains[k].0, &self.gains[k], &self.steps[k]);
            for l in 0..L {
                self.predicted[port][l] += gain[l] * step[l];
            }
        }
        let (mut gain, mut first) = (junctions, junctions);
        for (currents, voltages) in topology.couplings() {
            for &current in currents {
                for step in &self.steps[first..first + voltages.len()] {
                    for l in 0..L {
                        self.predicted[current][l] += self.gains[gain][l] * step[l];
                    }
                    gain += 1;
                }
            }
            first += voltages.len();
        }
    }

    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn read_all_voltages(&mut self) {
        for port in 0..self.voltages.len() {
            self.voltages[port] = self.port_voltage(port);
        }
    }

    /// Currents of the linear elements at the present voltages.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn linear_currents(&mut self) {
        for (&(port, origin), g) in self.topology.ohmic.iter().zip(&self.parameters.ohmic) {
            let voltage = &self.voltages[port];
            let current = &mut self.currents[port];
            if let Ohmic::Source(_, wave) = origin {
                for l in 0..L {
                    current[l] = g[l] * (voltage[l] - self.waves[wave][l]);
                }
            } else {
                for l in 0..L {
                    current[l] = g[l] * voltage[l];
                }
            }
        }
        for (&(port, _), value) in self
            .topology
            .constants
            .iter()
            .zip(&self.parameters.constants)
        {
            self.currents[port] = *value;
        }
        let capacitors = self.topology.capacitors.len();
        for (index, port) in storage_ports(self.topology).enumerate() {
            let (g, base, voltage) = (
                &self.storage[index],
                &self.bases[index],
                &self.voltages[port],
            );
            let current = &mut self.currents[port];
            if index < capacitors {
                for l in 0..L {
                    current[l] = g[l] * (voltage[l] - base[l]);
                }
            } else {
                // i = base + reach·(v − r·i)/L, so i = g·(v + base·L/reach).
                let inductance = &self.parameters.inductance[index - capacitors];
                for l in 0..L {
                    let drive = voltage[l] + base[l] * (inductance[l] / self.reach[l]);
                    current[l] = g[l] * drive;
                }
            }
        }
    }

    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn residual_in_full(&mut self) {
        self.read_all_voltages();
        self.linear_currents();
        for (residual, (unknown, anchor)) in self
            .residual
            .iter_mut()
            .zip(self.unknowns.iter().zip(&self.anchors))
        {
            for l in 0..L {
                residual[l] = self.damping[l] * (unknown[l] - anchor[l]);
            }
        }
        for (port, current) in self.topology.ports.iter().zip(&self.currents) {
            for &(unknown, sign) in &port.terms {
                add_product(&mut self.residual[unknown], sign, current);
            }
        }
    }

    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn residual_of_devices(&mut self) {
        self.residual.fill([0.0; L]);
        for &port in &self.stamps.device_ports {
            for &(unknown, sign) in &self.topology.ports[port].terms {
                let residual = &mut self.residual[unknown];
                let (actual, predicted) = (&self.currents[port], &self.predicted[port]);
                for l in 0..L {
                    residual[l] += sign * (actual[l] - predicted[l]);
                }
            }
        }
    }

    /// Linearises every device at the present voltages (or where its limiting rule puts it);
    /// `true` per lane in which all were predicted well and none was limited.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn linearise(&mut self, live: &[bool; L]) -> [bool; L] {
        let mut limited = [0.0; L];
        self.linearise_junctions(live, &mut limited);
        let mut gain = self.topology.junctions.len();
        gain = self.linearise_regulators(live, gain, &mut limited);
        gain = self.linearise_op_amps(live, gain, &mut limited);
        gain = self.linearise_shunts(live, gain, &mut limited);
        gain = self.linearise_bipolars(live, gain, &mut limited);
        self.linearise_mosfets(live, gain, &mut limited);
        let mut worst: Lane<L> = [0.0; L];
        let mut index = 0;
        while index < self.stamps.gains.len() {
            let port = self.stamps.gains[index].0;
            let mut slope = [0.0; L];
            while index < self.stamps.gains.len() && self.stamps.gains[index].0 == port {
                for l in 0..L {
                    slope[l] += self.gains[index][l].abs();
                }
                index += 1;
            }
            let (actual, predicted) = (self.currents[port], self.predicted[port]);
            let mut ratio = [0.0; L];
            for l in 0..L {
                let tolerance = self.tolerance * (actual[l].abs() + VOLTAGE * slope[l]) + ABSOLUTE;
                let r = (actual[l] - predicted[l]).abs() / tolerance;
                ratio[l] = if r <= f64::MAX { r } else { f64::MAX };
            }
            for l in 0..L {
                let more = ratio[l] > worst[l];
                worst[l] = if more { ratio[l] } else { worst[l] };
                self.worst_port[l] = if more { port } else { self.worst_port[l] };
            }
        }
        std::array::from_fn(|l| worst[l] <= 1.0 && limited[l] <= 1e-9)
    }

    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn linearise_junctions(&mut self, live: &[bool; L], limited: &mut Lane<L>) {
        for (k, &(port, _)) in self.topology.junctions.iter().enumerate() {
            let constants = &self.parameters.junctions[k];
            let (voltage, predicted) = (self.voltages[port], self.predicted[port]);
            let old = self.junctions[k];
            let mut wanted = [0.0; L];
            let mut limits = false;
            for l in 0..L {
                let c = constants.lane(l);
                wanted[l] = voltage[l] - c.series * predicted[l];
                limits |= c.may_limit(old[l], wanted[l]);
            }
            let mut vj = wanted;
            if limits {
                for l in 0..L {
                    vj[l] = constants.lane(l).limited(old[l], wanted[l]);
                }
            }
            let (mut current, mut gain) = ([0.0; L], [0.0; L]);
            if constants.breaks_down {
                for l in 0..L {
                    (current[l], gain[l]) = constants.lane(l).at(vj[l]);
                }
            } else {
                for l in 0..L {
                    (current[l], gain[l]) = constants.lane(l).forward_at(vj[l]);
                }
            }
            for l in 0..L {
                let fold = 1.0 / (1.0 + gain[l] * constants.lane(l).series);
                current[l] = (current[l] + gain[l] * (voltage[l] - vj[l])) * fold;
                gain[l] *= fold;
            }
            let (old_current, old_gain) = (self.currents[port], self.gains[k]);
            for l in 0..L {
                let on = live[l];
                limited[l] = if on {
                    limited[l] + (vj[l] - wanted[l]).abs()
                } else {
                    limited[l]
                };
                vj[l] = if on { vj[l] } else { old[l] };
                current[l] = if on { current[l] } else { old_current[l] };
                gain[l] = if on { gain[l] } else { old_gain[l] };
            }
            self.junctions[k] = vj;
            self.currents[port] = current;
            self.gains[k] = gain;
        }
    }

    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn linearise_regulators(
        &mut self,
        live: &[bool; L],
        mut gain: usize,
        limited: &mut Lane<L>,
    ) -> usize {
        for (k, &([input, output], _)) in self.topology.regulators.iter().enumerate() {
            let constants = &self.parameters.regulators[k];
            let (vi, vo) = (self.voltages[input], self.voltages[output]);
            let old = self.regulators[k];
            let (mut points, mut miss) = (old, [0.0; L]);
            let mut results = [[0.0; L]; 5];
            for l in 0..L {
                let c = constants.lane(l);
                let (ui, uo) = (constants.sign[l] * vi[l], constants.sign[l] * vo[l]);
                let wanted = c.point(ui, uo);
                let before = RegulatorPoint {
                    regulating: old[0][l],
                    dropout: old[1][l],
                    input: old[2][l],
                };
                let point = c.limited(&before, &wanted);
                let i = c.currents(&point, ui, uo);
                points[0][l] = point.regulating;
                points[1][l] = point.dropout;
                points[2][l] = point.input;
                miss[l] = (point.regulating - wanted.regulating).abs()
                    + (point.dropout - wanted.dropout).abs()
                    + (point.input - wanted.input).abs();
                results[0][l] = constants.sign[l] * (i.pass + i.quiescent);
                results[1][l] = -constants.sign[l] * i.pass;
                results[2][l] = i.pass_by_input + i.quiescent_by_input;
                results[3][l] = i.pass_by_output;
                results[4][l] = i.pass_by_input;
            }
            let stored: [Lane<L>; 5] = [
                self.currents[input],
                self.currents[output],
                self.gains[gain],
                self.gains[gain + 1],
                std::array::from_fn(|l| -self.gains[gain + 2][l]),
            ];
            for l in 0..L {
                let on = live[l];
                limited[l] = if on { limited[l] + miss[l] } else { limited[l] };
                for (new, old) in points.iter_mut().zip(&old) {
                    new[l] = if on { new[l] } else { old[l] };
                }
                for (new, old) in results.iter_mut().zip(&stored) {
                    new[l] = if on { new[l] } else { old[l] };
                }
            }
            self.regulators[k] = points;
            self.currents[input] = results[0];
            self.currents[output] = results[1];
            self.gains[gain] = results[2];
            self.gains[gain + 1] = results[3];
            for l in 0..L {
                self.gains[gain + 2][l] = -results[4][l];
                self.gains[gain + 3][l] = -results[3][l];
            }
            gain += 4;
        }
        gain
    }

    fn linearise_op_amps(
        &mut self,
        live: &[bool; L],
        mut gain: usize,
        limited: &mut Lane<L>,
    ) -> usize {
        for (k, &([input, supply, output], _)) in self.topology.op_amps.iter().enumerate() {
            for l in (0..L).filter(|&l| live[l]) {
                let c = &self.parameters.op_amps[k][l];
                let (vd, vs, vo) = (
                    self.voltages[input][l],
                    self.voltages[supply][l],
                    self.voltages[output][l],
                );
                let wanted = c.point(vd, vs, vo);
                let point = c.limited(&self.op_amps[k][l], &wanted);
                let i = c.currents(&point, vd, vs, vo);
                limited[l] += f64::from(u8::from(point != wanted));
                self.op_amps[k][l] = point;
                self.currents[supply][l] = i.supply.0;
                self.currents[output][l] = i.output.0;
                for s in 0..3 {
                    self.gains[gain + s][l] = i.supply.1[s];
                    self.gains[gain + 3 + s][l] = i.output.1[s];
                }
            }
            gain += 6;
        }
        gain
    }

    fn linearise_shunts(
        &mut self,
        live: &[bool; L],
        mut gain: usize,
        limited: &mut Lane<L>,
    ) -> usize {
        for (k, &([reference, cathode], _)) in self.topology.shunts.iter().enumerate() {
            for l in (0..L).filter(|&l| live[l]) {
                let c = &self.parameters.shunts[k][l];
                let wanted = ShuntPoint {
                    reference: self.voltages[reference][l],
                    cathode: self.voltages[cathode][l],
                };
                let point = c.limited(&self.shunts[k][l], &wanted);
                let i = c.currents(&point, wanted.reference, wanted.cathode);
                limited[l] += f64::from(u8::from(point != wanted));
                self.shunts[k][l] = point;
                self.currents[reference][l] = i.reference.0;
                self.currents[cathode][l] = i.cathode.0;
                self.gains[gain][l] = i.reference.1;
                self.gains[gain + 1][l] = 0.0;
                self.gains[gain + 2][l] = i.cathode.1[0];
                self.gains[gain + 3][l] = i.cathode.1[1];
            }
            gain += 4;
        }
        gain
    }

    fn linearise_bipolars(
        &mut self,
        live: &[bool; L],
        mut gain: usize,
        limited: &mut Lane<L>,
    ) -> usize {
        for (k, &([emitter, collector], _)) in self.topology.bipolars.iter().enumerate() {
            for l in (0..L).filter(|&l| live[l]) {
                let c = &self.parameters.bipolars[k][l];
                let sign = if c.pnp { -1.0 } else { 1.0 };
                let wanted = [
                    sign * self.voltages[emitter][l],
                    sign * self.voltages[collector][l],
                ];
                let point = c.limited(self.bipolars[k][l], wanted);
                let i = c.currents(point, wanted[0], wanted[1]);
                limited[l] += (0..2).map(|s| (point[s] - wanted[s]).abs()).sum::<f64>();
                self.bipolars[k][l] = point;
                self.currents[emitter][l] = sign * i.emitter.0;
                self.currents[collector][l] = sign * i.collector.0;
                for s in 0..2 {
                    self.gains[gain + s][l] = i.emitter.1[s];
                    self.gains[gain + 2 + s][l] = i.collector.1[s];
                }
            }
            gain += 4;
        }
        gain
    }

    fn linearise_mosfets(&mut self, live: &[bool; L], mut gain: usize, limited: &mut Lane<L>) {
        for (k, &([gate, drain], _)) in self.topology.mosfets.iter().enumerate() {
            for l in (0..L).filter(|&l| live[l]) {
                let c = &self.parameters.mosfets[k][l];
                let sign = if c.p_channel { -1.0 } else { 1.0 };
                let (vgs, vds) = (
                    sign * self.voltages[gate][l],
                    sign * self.voltages[drain][l],
                );
                let along = vds - c.on_resistance * sign * self.predicted[drain][l];
                let wanted = [vgs, along];
                let point = c.limited(self.mosfets[k][l], wanted);
                let (i, slopes) = channel_fold(c, point, vgs, vds);
                limited[l] += (0..2).map(|s| (point[s] - wanted[s]).abs()).sum::<f64>();
                self.mosfets[k][l] = point;
                self.currents[drain][l] = sign * i;
                self.gains[gain][l] = slopes[0];
                self.gains[gain + 1][l] = slopes[1];
            }
            gain += 2;
        }
    }

    /// The element whose current was furthest from being met in a lane, for messages.
    #[must_use]
    pub fn worst_element(&self, lane: usize) -> Option<usize> {
        let port = self.worst_port[lane];
        self.topology
            .element_ports
            .iter()
            .position(|ports| ports.contains(&port))
    }
}
