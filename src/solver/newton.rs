//! Newton's method for the equations at one instant.
//!
//! The unknowns move by increments: after the first solve the linear elements are met exactly, so
//! what remains is the difference between each device's current and its linear prediction. The
//! unknowns that only linear elements touch are eliminated once per step length; an iteration works
//! on the rest. Each device is linearised where its own limiting rule puts it; a device whose rule
//! intervened has not converged. A lane that has converged stands still, so that its bits do not
//! depend on its neighbours.

#![allow(clippy::inline_always, reason = "runs inside the vectorised solver")]

use super::devices::Devices;
use super::parameters::Parameters;
use super::stamps::Carrier;
use super::topology::{Ohmic, Topology};
use crate::circuit::real::{Mask, Real, Work};

/// A device current is met when it is within a part of itself, plus what this voltage, per unit of
/// that part, moves it by [V] …
const VOLTAGE: f64 = 1e-2;
/// … plus this current [A].
const ABSOLUTE: f64 = 1e-15;

/// Least resistance before a capacitor: without any, farads would hold their node so tightly within
/// an instant that rounding drowned the other currents [Ω].
const LEAST_RESISTANCE: f64 = 1e-9;

/// Iterations after which the solution is checked against the full equations.
const FEW: usize = 6;

/// The state of Newton's method: unknowns, port voltages and currents, linearised devices.
#[derive(Debug, Clone)]
pub struct Newton<'t, R: Real> {
    /// The wiring.
    pub topology: &'t Topology,
    /// The values.
    pub parameters: Parameters<R>,
    /// Zero in every lane.
    pub zero: R,
    /// The unknowns [V].
    pub unknowns: Vec<R>,
    /// Voltage of each wave now [V].
    pub waves: Vec<R>,
    /// What each capacitor's inner voltage and inductor's current would be without this stage's
    /// own contribution [V, A].
    pub bases: Vec<R>,
    /// Time over which the stage's own derivative acts [s]; `f64::MAX` for direct current.
    pub reach: R,
    /// Conductance from every unknown to its value in `anchors`, for the fallback that walks to
    /// the solution in damped steps [S].
    pub damping: R,
    /// See `damping`.
    pub anchors: Vec<R>,
    /// Part of itself within which a device's current is met.
    pub tolerance: f64,
    /// Leave behind the matrix at the solution, for [`Newton::respond`].
    pub keep_matrix: bool,
    /// Iterations so far.
    pub iterations: R,
    /// Current of each capacitor and inductor after [`Newton::read_storage`] [A].
    pub storage_currents: Vec<R>,
    /// Voltage across each of them [V].
    pub storage_voltages: Vec<R>,
    pub(super) devices: Devices<R>,
    linear: Vec<R>,
    /// Reach and damping for which `linear` stands.
    built: Option<(R, R)>,
    matrix: Vec<R>,
    residual: Vec<R>,
    /// Conductance of each storage element's branch in this stage [S].
    pub(super) storage: Vec<R>,
}

impl<'t, R: Real> Newton<'t, R> {
    /// All voltages zero.
    #[must_use]
    pub fn new(topology: &'t Topology, parameters: Parameters<R>) -> Self {
        let zero = parameters.period.splat(0.0);
        let zeros = |n: usize| vec![zero; n];
        let storage = topology.stamps.storage_ports.len();
        let mut newton = Self {
            topology,
            zero,
            unknowns: zeros(topology.unknowns),
            waves: zeros(topology.waves.len()),
            bases: zeros(storage),
            reach: zero.splat(f64::MAX),
            damping: zero,
            anchors: zeros(topology.unknowns),
            tolerance: 1e-9,
            keep_matrix: true,
            iterations: zero,
            storage_currents: zeros(storage),
            storage_voltages: zeros(storage),
            devices: Devices::new(topology, zero),
            linear: zeros(topology.elimination.slots()),
            built: None,
            matrix: zeros(topology.elimination.slots()),
            residual: zeros(topology.unknowns),
            storage: zeros(storage),
            parameters,
        };
        newton.devices.linearise(topology, &newton.parameters, zero);
        newton
    }

    /// Solves for the unknowns, starting from those held. True where it converged; lanes not
    /// `wanted` count as converged.
    pub fn solve(&mut self, wanted: R::Mask, most_iterations: usize) -> R::Mask {
        self.zero.run(Solve {
            newton: self,
            wanted,
            most_iterations,
        })
    }

    #[inline(always)]
    fn iterate(&mut self, wanted: R::Mask, most_iterations: usize) -> R::Mask {
        self.build_linear();
        let mut live = wanted;
        self.read_voltages(live);
        self.devices
            .linearise(self.topology, &self.parameters, self.zero);
        self.residual_in_full();
        let mut late_only = false;
        let none = self.zero.less(self.zero);
        let mut verified = none;
        for iteration in 1..=most_iterations {
            self.iterations += R::select(live, self.zero.splat(1.0), self.zero);
            self.assemble();
            self.topology
                .elimination
                .solve(&self.matrix, &mut self.residual, late_only);
            for (unknown, delta) in self.unknowns.iter_mut().zip(&self.residual) {
                *unknown = R::select(live, *unknown - *delta, *unknown);
            }
            self.read_voltages(live);
            let unlimited = self
                .devices
                .linearise(self.topology, &self.parameters, self.zero);
            let met = unlimited & self.currents_met();
            // A long way may have gone through voltages so large that rounding broke Kirchhoff's
            // law: then what counts is one more step from the full equations.
            let again = if iteration > FEW {
                live & met & !verified
            } else {
                none
            };
            verified = met;
            live = live & (!met | again);
            if !live.any() {
                break;
            }
            late_only = !again.any();
            if late_only {
                self.residual_of_devices();
            } else {
                self.residual_in_full();
                let in_full = self.residual.clone();
                self.residual_of_devices();
                for (residual, full) in self.residual.iter_mut().zip(in_full) {
                    *residual = R::select(again, full, *residual);
                }
            }
        }
        if self.keep_matrix {
            self.assemble();
        }
        let finite = self.finite();
        !wanted | (!live & finite)
    }

    /// The factored matrix of the linear elements and the devices as linearised.
    #[inline(always)]
    fn assemble(&mut self) {
        self.matrix.copy_from_slice(&self.linear);
        for (index, gain) in self.devices.gains.iter().enumerate() {
            for &(slot, sign) in self.topology.stamps.gains.get(index) {
                self.matrix[slot] += *gain * sign;
            }
        }
        self.topology.elimination.factor_late(&mut self.matrix);
    }

    /// Solves for a small change: `rhs` holds the injected currents' change into each unknown's
    /// equation and is replaced by the change of the unknowns. Uses the matrix at the
    /// solution of the last [`Newton::solve`], which `keep_matrix` has it leave behind.
    #[inline(always)]
    pub fn respond(&self, rhs: &mut [R]) {
        self.topology.elimination.solve(&self.matrix, rhs, false);
    }

    /// Takes other values in one lane; the others' are to be the same as before.
    pub fn load(&mut self, parameters: Parameters<R>, lane: usize) {
        self.parameters = parameters;
        self.built = None;
        self.iterations = self.iterations.with_lane(lane, 0.0);
        self.reset(lane);
    }

    /// Puts one lane's devices back to where they start: no voltage anywhere.
    pub fn reset(&mut self, lane: usize) {
        let fresh = Devices::new(self.topology, self.zero);
        self.devices.take_lane(&fresh, lane);
        self.devices
            .linearise(self.topology, &self.parameters, self.zero);
    }

    #[inline(always)]
    fn finite(&self) -> R::Mask {
        let mut sum = self.zero;
        for unknown in &self.unknowns {
            sum += *unknown * 0.0;
        }
        sum.less(self.zero.splat(1.0))
    }

    #[inline(always)]
    fn build_linear(&mut self) {
        let built = (self.reach, self.damping);
        if self.built == Some(built) {
            return;
        }
        self.built = Some(built);
        let (stamps, p) = (&self.topology.stamps, &self.parameters);
        self.linear.fill(self.zero);
        for (index, g) in p.ohmic.iter().enumerate() {
            for &(slot, sign) in stamps.ohmic.get(index) {
                self.linear[slot] += *g * sign;
            }
        }
        let one = self.zero.splat(1.0);
        let least = self.zero.splat(LEAST_RESISTANCE);
        let capacitors = p.capacitance.len();
        for (index, g) in self.storage.iter_mut().enumerate() {
            *g = if index < capacitors {
                one / (p.esr[index].greater(least) + self.reach / p.capacitance[index])
            } else {
                let k = index - capacitors;
                one / (p.winding[k] + p.inductance[k] / self.reach)
            };
            for &(slot, sign) in stamps.storage.get(index) {
                self.linear[slot] += *g * sign;
            }
        }
        for &slot in &stamps.diagonal {
            self.linear[slot] += self.damping;
        }
        self.topology.elimination.factor_early(&mut self.linear);
    }

    /// Voltage across a port.
    #[inline(always)]
    pub(super) fn port_voltage(&self, port: usize) -> R {
        let stamps = &self.topology.stamps;
        let mut voltage = self.zero;
        for &(wave, sign) in stamps.waves.get(port) {
            voltage += self.waves[wave] * sign;
        }
        for &(unknown, sign) in stamps.terms.get(port) {
            voltage += self.unknowns[unknown] * sign;
        }
        voltage
    }

    /// Reads the voltages that devices depend on and moves their predicted currents along.
    #[inline(always)]
    fn read_voltages(&mut self, live: R::Mask) {
        for k in 0..self.topology.stamps.voltages.len() {
            let voltage = self.port_voltage(self.topology.stamps.voltages[k]);
            let devices = &mut self.devices;
            devices.steps[k] = voltage - devices.voltages[k];
            devices.voltages[k] = voltage;
        }
        self.devices.predict(&self.topology.stamps.devices, live);
    }

    /// Current through a port that no device carries.
    #[inline(always)]
    pub(super) fn linear_current(&self, port: usize, voltage: R) -> R {
        let p = &self.parameters;
        match self.topology.stamps.carriers[port] {
            Carrier::Ohmic(index) => {
                let across = match self.topology.ohmic[index].1 {
                    Ohmic::Source(_, wave) => voltage - self.waves[wave],
                    _ => voltage,
                };
                p.ohmic[index] * across
            }
            Carrier::Constant(index) => p.constants[index],
            Carrier::Storage(index) => self.storage_current(index, voltage),
            Carrier::Device(_) | Carrier::Nothing => self.zero,
        }
    }

    #[inline(always)]
    fn storage_current(&self, index: usize, voltage: R) -> R {
        let capacitors = self.parameters.capacitance.len();
        if index < capacitors {
            self.storage[index] * (voltage - self.bases[index])
        } else {
            // i = base + reach·(v − r·i)/L, so i = g·(v + base·L/reach).
            let inductance = self.parameters.inductance[index - capacitors];
            self.storage[index] * (voltage + self.bases[index] * (inductance / self.reach))
        }
    }

    /// Brings the storage elements' voltages and currents up to date with the unknowns.
    #[inline(always)]
    pub fn read_storage(&mut self) {
        for index in 0..self.storage.len() {
            let voltage = self.port_voltage(self.topology.stamps.storage_ports[index]);
            self.storage_voltages[index] = voltage;
            self.storage_currents[index] = self.storage_current(index, voltage);
        }
    }

    #[inline(always)]
    fn residual_in_full(&mut self) {
        for (u, residual) in self.residual.iter_mut().enumerate() {
            *residual = self.damping * (self.unknowns[u] - self.anchors[u]);
        }
        for port in 0..self.topology.stamps.carriers.len() {
            let current = match self.topology.stamps.carriers[port] {
                Carrier::Nothing => continue,
                Carrier::Device(device) => self.devices.currents[device],
                _ => self.linear_current(port, self.port_voltage(port)),
            };
            for &(unknown, sign) in self.topology.stamps.terms.get(port) {
                self.residual[unknown] += current * sign;
            }
        }
    }

    #[inline(always)]
    fn residual_of_devices(&mut self) {
        self.residual.fill(self.zero);
        for (k, device) in self.topology.stamps.devices.iter().enumerate() {
            let miss = self.devices.currents[k] - self.devices.predicted[k];
            for &(unknown, sign) in self.topology.stamps.terms.get(device.port) {
                self.residual[unknown] += miss * sign;
            }
        }
    }

    /// How far a device's current is from its prediction, and how far it may be.
    #[inline(always)]
    fn miss(&self, device: usize) -> (R, R) {
        let mut slope = self.zero;
        for gain in &self.devices.gains[self.topology.stamps.devices[device].gains.clone()] {
            slope += gain.abs();
        }
        let (actual, predicted) = (
            self.devices.currents[device],
            self.devices.predicted[device],
        );
        let allowed = (actual.abs() + slope * VOLTAGE) * self.tolerance + ABSOLUTE;
        ((actual - predicted).abs(), allowed)
    }

    #[inline(always)]
    fn currents_met(&self) -> R::Mask {
        let mut met = self.zero.less(self.zero.splat(1.0));
        for device in 0..self.topology.stamps.devices.len() {
            let (miss, allowed) = self.miss(device);
            met = met & miss.less(allowed);
        }
        met
    }

    /// The element whose current was furthest from being met in a lane, for messages.
    #[must_use]
    pub fn worst_element(&self, lane: usize) -> Option<usize> {
        let stamps = &self.topology.stamps;
        let misses = (0..stamps.devices.len()).map(|device| {
            let (miss, allowed) = self.miss(device);
            let miss = miss.lane(lane) / allowed.lane(lane);
            (if miss.is_nan() { f64::INFINITY } else { miss }, device)
        });
        let (_, device) = misses.max_by(|a, b| a.0.total_cmp(&b.0))?;
        let port = stamps.devices[device].port;
        self.topology
            .element_ports
            .iter()
            .position(|ports| ports.contains(&port))
    }
}

/// [`Newton::solve`], compiled once.
struct Solve<'a, 't, R: Real> {
    newton: &'a mut Newton<'t, R>,
    wanted: R::Mask,
    most_iterations: usize,
}

impl<R: Real> Work for Solve<'_, '_, R> {
    type Output = R::Mask;

    #[inline(always)]
    fn call(self) -> R::Mask {
        self.newton.iterate(self.wanted, self.most_iterations)
    }
}
