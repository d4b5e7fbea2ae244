//! The nonlinear devices of a circuit: where each stands, and its current and slopes there.

#![allow(clippy::inline_always, reason = "runs inside the vectorised solver")]

use super::parameters::Parameters;
use super::stamps::DeviceCurrent;
use super::topology::Topology;
use crate::circuit::op_amp::OpAmpPoint;
use crate::circuit::real::Real;
use crate::circuit::regulator::RegulatorPoint;
use crate::circuit::shunt_reference::ShuntPoint;

/// Voltages, currents and slopes in the order of the topology's stamps, and each device's point.
#[derive(Debug, Clone)]
pub(super) struct Devices<R> {
    /// Voltages that devices depend on [V], and their last change.
    pub voltages: Vec<R>,
    pub steps: Vec<R>,
    /// Device currents [A], and what the last linearisation predicted for them.
    pub currents: Vec<R>,
    pub predicted: Vec<R>,
    /// Slopes [S].
    pub gains: Vec<R>,
    junctions: Vec<R>,
    regulators: Vec<RegulatorPoint<R>>,
    op_amps: Vec<OpAmpPoint<R>>,
    shunts: Vec<ShuntPoint<R>>,
    bipolars: Vec<[R; 2]>,
    mosfets: Vec<[R; 2]>,
}

/// Where the next device's voltages, currents and gains stand in the lists.
#[derive(Debug, Clone, Copy)]
struct Place {
    voltage: usize,
    current: usize,
    gain: usize,
}

impl<R: Real> Devices<R> {
    /// No voltage anywhere.
    pub fn new(topology: &Topology, zero: R) -> Self {
        let stamps = &topology.stamps;
        let gains = stamps.devices.last().map_or(0, |last| last.gains.end);
        Self {
            voltages: vec![zero; stamps.voltages.len()],
            steps: vec![zero; stamps.voltages.len()],
            currents: vec![zero; stamps.devices.len()],
            predicted: vec![zero; stamps.devices.len()],
            gains: vec![zero; gains],
            junctions: vec![zero; topology.junctions.len()],
            regulators: vec![
                RegulatorPoint {
                    regulating: zero,
                    dropout: zero,
                    input: zero,
                };
                topology.regulators.len()
            ],
            op_amps: vec![
                OpAmpPoint {
                    drive: zero,
                    supply: zero,
                    output: zero,
                };
                topology.op_amps.len()
            ],
            shunts: vec![
                ShuntPoint {
                    reference: zero,
                    cathode: zero,
                };
                topology.shunts.len()
            ],
            bipolars: vec![[zero; 2]; topology.bipolars.len()],
            mosfets: vec![[zero; 2]; topology.mosfets.len()],
        }
    }

    /// Takes over one lane of others.
    pub fn take_lane(&mut self, from: &Self, lane: usize) {
        let each = |to: &mut R, from: &R| *to = to.with_lane(lane, from.lane(lane));
        let all = |to: &mut [R], from: &[R]| to.iter_mut().zip(from).for_each(|(t, f)| each(t, f));
        all(&mut self.voltages, &from.voltages);
        all(&mut self.currents, &from.currents);
        all(&mut self.predicted, &from.predicted);
        all(&mut self.gains, &from.gains);
        all(&mut self.junctions, &from.junctions);
        for (to, from) in self.regulators.iter_mut().zip(&from.regulators) {
            each(&mut to.regulating, &from.regulating);
            each(&mut to.dropout, &from.dropout);
            each(&mut to.input, &from.input);
        }
        for (to, from) in self.op_amps.iter_mut().zip(&from.op_amps) {
            each(&mut to.drive, &from.drive);
            each(&mut to.supply, &from.supply);
            each(&mut to.output, &from.output);
        }
        for (to, from) in self.shunts.iter_mut().zip(&from.shunts) {
            each(&mut to.reference, &from.reference);
            each(&mut to.cathode, &from.cathode);
        }
        for (to, from) in self.bipolars.iter_mut().zip(&from.bipolars) {
            all(to, from);
        }
        for (to, from) in self.mosfets.iter_mut().zip(&from.mosfets) {
            all(to, from);
        }
    }

    /// Moves the predicted currents along with the last change of the voltages, where `live`.
    #[inline(always)]
    pub fn predict(&mut self, devices: &[DeviceCurrent], live: R::Mask) {
        for (k, device) in devices.iter().enumerate() {
            let mut predicted = self.currents[k];
            let steps = &self.steps[device.first_voltage..];
            for (gain, step) in self.gains[device.gains.clone()].iter().zip(steps) {
                predicted += *gain * *step;
            }
            self.predicted[k] = R::select(live, predicted, self.predicted[k]);
        }
    }

    /// Linearises every device at the present voltages (or where its limiting rule puts it); true
    /// where no rule intervened.
    #[inline(always)]
    pub fn linearise(
        &mut self,
        topology: &Topology,
        parameters: &Parameters<R>,
        zero: R,
    ) -> R::Mask {
        let mut limited = zero;
        self.junctions(parameters, &mut limited);
        let mut place = Place {
            voltage: topology.junctions.len(),
            current: topology.junctions.len(),
            gain: topology.junctions.len(),
        };
        self.regulators(parameters, &mut place, &mut limited);
        self.op_amps(parameters, &mut place, &mut limited);
        self.shunts(parameters, &mut place, &mut limited);
        self.bipolars(parameters, &mut place, &mut limited);
        self.mosfets(parameters, &mut place, &mut limited);
        limited.less(zero.splat(f64::MIN_POSITIVE))
    }

    #[inline(always)]
    fn junctions(&mut self, parameters: &Parameters<R>, limited: &mut R) {
        for (k, constants) in parameters.junctions.iter().enumerate() {
            let voltage = self.voltages[k];
            let wanted = voltage - constants.series * self.predicted[k];
            let vj = constants.limited(self.junctions[k], wanted);
            *limited += (vj - wanted).abs();
            let (current, gain) = constants.at(vj);
            let fold = vj.splat(1.0) / (gain * constants.series + 1.0);
            self.junctions[k] = vj;
            self.currents[k] = (current + gain * (voltage - vj)) * fold;
            self.gains[k] = gain * fold;
        }
    }

    #[inline(always)]
    fn regulators(&mut self, parameters: &Parameters<R>, place: &mut Place, limited: &mut R) {
        for (k, c) in parameters.regulators.iter().enumerate() {
            let (v, i, g) = (place.voltage, place.current, place.gain);
            let here = c.point(c.sign * self.voltages[v], c.sign * self.voltages[v + 1]);
            let point = c.limited(&self.regulators[k], &here);
            *limited += (point.regulating - here.regulating).abs()
                + (point.dropout - here.dropout).abs()
                + (point.input - here.input).abs();
            let flow = c.currents(&point, &here);
            self.regulators[k] = point;
            self.currents[i] = c.sign * (flow.pass + flow.quiescent);
            self.currents[i + 1] = -(c.sign * flow.pass);
            self.gains[g] = flow.pass_by_input + flow.quiescent_by_input;
            self.gains[g + 1] = flow.pass_by_output;
            self.gains[g + 2] = -flow.pass_by_input;
            self.gains[g + 3] = -flow.pass_by_output;
            place.advance(2, 2);
        }
    }

    #[inline(always)]
    fn op_amps(&mut self, parameters: &Parameters<R>, place: &mut Place, limited: &mut R) {
        for (k, c) in parameters.op_amps.iter().enumerate() {
            let (v, i, g) = (place.voltage, place.current, place.gain);
            let (vd, vs, vo) = (self.voltages[v], self.voltages[v + 1], self.voltages[v + 2]);
            let wanted = c.point(vd, vs, vo);
            let point = c.limited(&self.op_amps[k], &wanted);
            // Given back through a difference, an unlimited output may be off by its rounding.
            let output = (point.output - wanted.output).abs();
            let moved = (wanted.output.abs() * 1e-9).less(output);
            *limited += (point.drive - wanted.drive).abs() + R::select(moved, output, output * 0.0);
            let flow = c.currents(&point, vd, vs, vo);
            self.op_amps[k] = point;
            self.currents[i] = flow.supply.0;
            self.currents[i + 1] = flow.output.0;
            self.gains[g..g + 3].copy_from_slice(&flow.supply.1);
            self.gains[g + 3..g + 6].copy_from_slice(&flow.output.1);
            place.advance(3, 2);
        }
    }

    #[inline(always)]
    fn shunts(&mut self, parameters: &Parameters<R>, place: &mut Place, limited: &mut R) {
        for (k, c) in parameters.shunts.iter().enumerate() {
            let (v, i, g) = (place.voltage, place.current, place.gain);
            let wanted = ShuntPoint {
                reference: self.voltages[v],
                cathode: self.voltages[v + 1],
            };
            let point = c.limited(&self.shunts[k], &wanted);
            *limited +=
                (point.reference - wanted.reference).abs() + (point.cathode - wanted.cathode).abs();
            let flow = c.currents(&point, wanted.reference, wanted.cathode);
            self.shunts[k] = point;
            self.currents[i] = flow.reference.0;
            self.currents[i + 1] = flow.cathode.0;
            self.gains[g] = flow.reference.1;
            self.gains[g + 2..g + 4].copy_from_slice(&flow.cathode.1);
            place.advance(2, 2);
        }
    }

    #[inline(always)]
    fn bipolars(&mut self, parameters: &Parameters<R>, place: &mut Place, limited: &mut R) {
        for (k, c) in parameters.bipolars.iter().enumerate() {
            let (v, i, g) = (place.voltage, place.current, place.gain);
            let wanted = [c.sign * self.voltages[v], c.sign * self.voltages[v + 1]];
            let point = c.limited(self.bipolars[k], wanted);
            *limited += (point[0] - wanted[0]).abs() + (point[1] - wanted[1]).abs();
            let flow = c.currents(point, wanted[0], wanted[1]);
            self.bipolars[k] = point;
            self.currents[i] = c.sign * flow.emitter.0;
            self.currents[i + 1] = c.sign * flow.collector.0;
            self.gains[g..g + 2].copy_from_slice(&flow.emitter.1);
            self.gains[g + 2..g + 4].copy_from_slice(&flow.collector.1);
            place.advance(2, 2);
        }
    }

    #[inline(always)]
    fn mosfets(&mut self, parameters: &Parameters<R>, place: &mut Place, limited: &mut R) {
        for (k, c) in parameters.mosfets.iter().enumerate() {
            let (v, i, g) = (place.voltage, place.current, place.gain);
            let (vgs, vds) = (c.sign * self.voltages[v], c.sign * self.voltages[v + 1]);
            let along = vds - c.on_resistance * c.sign * self.predicted[i];
            let wanted = [vgs, along];
            let point = c.limited(self.mosfets[k], wanted);
            *limited += (point[0] - wanted[0]).abs() + (point[1] - wanted[1]).abs();
            let (current, slopes) = c.folded(point, vgs, vds);
            self.mosfets[k] = point;
            self.currents[i] = c.sign * current;
            self.gains[g..g + 2].copy_from_slice(&slopes);
            place.advance(2, 1);
        }
    }
}

impl Place {
    #[inline(always)]
    fn advance(&mut self, voltages: usize, currents: usize) {
        self.voltage += voltages;
        self.current += currents;
        self.gain += voltages * currents;
    }
}
