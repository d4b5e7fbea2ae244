//! The points of a run, recorded whole, and what probes make of them afterwards.
//!
//! Only the last period of many counts, so that recording is kept to copying; probes are read once
//! it is known which period that was.

#![allow(clippy::inline_always, reason = "runs inside the vectorised solver")]

use super::newton::Newton;
use super::observe::{Observed, Statistics, Waveform};
use super::parameters::Parameters;
use super::topology::Topology;
use crate::circuit::real::{Real, Work};

/// Where the values of a point stand.
#[derive(Debug, Clone, Copy)]
pub(super) struct Layout {
    waves: usize,
    devices: usize,
    storage: usize,
    /// Values of one point.
    pub width: usize,
}

impl Layout {
    pub fn new(topology: &Topology) -> Self {
        let waves = topology.unknowns;
        let devices = waves + topology.waves.len();
        let storage = devices + topology.stamps.devices.len();
        Self {
            waves,
            devices,
            storage,
            width: storage + topology.stamps.storage_ports.len(),
        }
    }
    pub fn wave(&self, index: usize) -> usize {
        self.waves + index
    }
    pub fn device(&self, index: usize) -> usize {
        self.devices + index
    }
    pub fn storage(&self, index: usize) -> usize {
        self.storage + index
    }
}

/// The points of a run: its start, then two of each step.
#[derive(Debug, Clone)]
pub(super) struct Trajectory<R: Real> {
    width: usize,
    values: Vec<R>,
    times: Vec<R>,
    /// Length of each step; zero in lanes that did not take it.
    steps: Vec<R>,
    /// The values of the run before, and the lanes that take the same steps as then.
    before: Vec<R>,
    alike: Option<R::Mask>,
}

/// What the run before found at two points, one after the other, and in which lanes that is a
/// guide to this one.
pub(super) struct Foreseen<'a, R: Real> {
    pub from: &'a [R],
    pub to: &'a [R],
    pub alike: R::Mask,
}

impl<R: Real> Trajectory<R> {
    pub fn new(topology: &Topology) -> Self {
        Self {
            width: Layout::new(topology).width,
            values: Vec::new(),
            times: Vec::new(),
            steps: Vec::new(),
            before: Vec::new(),
            alike: None,
        }
    }

    /// Begins anew.
    pub fn clear(&mut self) {
        std::mem::swap(&mut self.values, &mut self.before);
        self.alike = None;
        self.values.clear();
        self.times.clear();
        self.steps.clear();
    }

    /// Takes the run before for a guide in lanes whose every step is as long as then.
    pub fn resembles(&mut self, alike: R::Mask) {
        self.alike = Some(alike);
    }

    /// What the run before found at the last point recorded and at the next one.
    #[inline(always)]
    pub fn foreseen(&self) -> Option<Foreseen<'_, R>> {
        let alike = self.alike?;
        let next = self.times.len() * self.width;
        let to = self.before.get(next..next + self.width)?;
        Some(Foreseen {
            from: &self.before[next - self.width..next],
            to,
            alike,
        })
    }

    /// Adds the present point.
    #[inline(always)]
    pub fn point(&mut self, newton: &Newton<'_, R>, time: R) {
        self.values.extend_from_slice(&newton.unknowns);
        self.values.extend_from_slice(&newton.waves);
        self.values.extend_from_slice(&newton.devices.currents);
        self.values.extend_from_slice(&newton.storage_currents);
        self.times.push(time);
    }

    /// Marks the last two points as those of a step.
    #[inline(always)]
    pub fn step(&mut self, length: R) {
        self.steps.push(length);
    }

    /// Drops the last two points: no lane took the step.
    pub fn refuse(&mut self) {
        self.times.truncate(self.times.len() - 2);
        self.values.truncate(self.times.len() * self.width);
    }

    /// Puts the end of a closed period in its start's place: the same instant, but free of what a
    /// rest of the correction makes a stiff branch carry at the very start.
    #[inline(always)]
    pub fn close(&mut self, lanes: R::Mask) {
        for value in 0..self.width {
            let start = self.values[value];
            let mut end = start;
            for (step, &h) in self.steps.iter().enumerate() {
                let here = self.values[(2 * step + 2) * self.width + value];
                end = R::select((h * 0.0).less(h), here, end);
            }
            self.values[value] = R::select(lanes, end, start);
        }
    }

    fn at(&self, point: usize) -> &[R] {
        &self.values[point * self.width..(point + 1) * self.width]
    }

    /// The probes' values over time, of one lane that took every step.
    pub fn waveform(
        &self,
        observed: &[Observed],
        parameters: &Parameters<R>,
        lane: usize,
    ) -> Waveform {
        Waveform {
            time: self.times.iter().map(|t| t.lane(lane)).collect(),
            probes: observed
                .iter()
                .map(|probe| {
                    (0..self.times.len())
                        .map(|point| probe.read(self.at(point), parameters).lane(lane))
                        .collect()
                })
                .collect(),
        }
    }

    /// Each probe's statistics, lane by lane; `coarse` says how a voltage's is read.
    pub fn statistics(
        &self,
        observed: &[Observed],
        parameters: &Parameters<R>,
        coarse: bool,
    ) -> Vec<Vec<Statistics>> {
        parameters.period.run(Summary {
            trajectory: self,
            observed,
            parameters,
            coarse,
        })
    }

    #[inline(always)]
    fn summarise(&self, values: &[R], zero: R, weights: [f64; 3]) -> Vec<Statistics> {
        let (mut duration, mut integral, mut squares) = (zero, zero, zero);
        let (mut least, mut greatest) = (values[0], values[0]);
        let (mut least_at, mut greatest_at) = (zero, zero);
        // The last point that the lane took.
        let mut before = values[0];
        for (step, &h) in self.steps.iter().enumerate() {
            let taken = zero.less(h);
            let points = [before, values[2 * step + 1], values[2 * step + 2]];
            let mut mean = zero;
            let mut square = zero;
            for (value, weight) in points.into_iter().zip(weights) {
                let part = value * weight;
                mean += part;
                square += part * value;
            }
            duration += h;
            integral += R::select(taken, h * mean, zero);
            squares += R::select(taken, h * square, zero);
            for k in [1, 2] {
                let (value, place) = (points[k], zero.splat((2 * step + k) as f64));
                let lower = taken & value.less(least);
                least = R::select(lower, value, least);
                least_at = R::select(lower, place, least_at);
                let higher = taken & greatest.less(value);
                greatest = R::select(higher, value, greatest);
                greatest_at = R::select(higher, place, greatest_at);
            }
            before = R::select(taken, points[2], before);
        }
        let mut all = Vec::with_capacity(R::LANES);
        for lane in 0..R::LANES {
            let time = duration.lane(lane);
            all.push(if time > 0.0 {
                Statistics {
                    average: integral.lane(lane) / time,
                    minimum: self.vertex(values, least_at, lane, least),
                    maximum: self.vertex(values, greatest_at, lane, greatest),
                    rms: (squares.lane(lane) / time).max(0.0).sqrt(),
                }
            } else {
                steady(values[0].lane(lane))
            });
        }
        all
    }

    /// The extreme near a greatest or least point: the vertex of the parabola through it and its
    /// neighbours.
    #[inline(always)]
    fn vertex(&self, values: &[R], at: R, lane: usize, value: R) -> f64 {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "an index"
        )]
        let at = at.lane(lane) as usize;
        let extreme = value.lane(lane);
        let taken = |point: usize| point == 0 || self.steps[(point - 1) / 2].lane(lane) > 0.0;
        let left = (0..at).rev().find(|&point| taken(point));
        let right = (at + 1..values.len()).find(|&point| taken(point));
        let (Some(left), Some(right)) = (left, right) else {
            return extreme;
        };
        let place = |point: usize| (self.times[point].lane(lane), values[point].lane(lane));
        let ((t0, z0), (t1, z1), (t2, z2)) = (place(left), place(at), place(right));
        if !((z1 - z0) * (z2 - z1) < 0.0 && t1 > t0 && t2 > t1) {
            return extreme;
        }
        let (rise, fall) = ((z1 - z0) / (t1 - t0), (z2 - z1) / (t2 - t1));
        let curvature = (fall - rise) / (t2 - t0);
        // Slope at the middle point, then half of its square over the curvature.
        let slope = rise + curvature * (t1 - t0);
        let beyond = -0.25 * slope * slope / curvature;
        // Of points evenly apart no parabola's vertex lies further out than an eighth of the
        // greater fall beside it; one that does stands at a kink.
        let most = 0.125 * (z1 - z0).abs().max((z2 - z1).abs());
        z1 + beyond.clamp(-most, most)
    }
}

/// [`Trajectory::statistics`], compiled once.
struct Summary<'a, R: Real> {
    trajectory: &'a Trajectory<R>,
    observed: &'a [Observed],
    parameters: &'a Parameters<R>,
    coarse: bool,
}

impl<R: Real> Work for Summary<'_, R> {
    type Output = Vec<Vec<Statistics>>;

    #[inline(always)]
    fn call(self) -> Self::Output {
        let zero = self.parameters.period.splat(0.0);
        let points = self.trajectory.times.len();
        let mut values = vec![zero; points];
        let mut all = Vec::with_capacity(self.observed.len());
        for probe in self.observed {
            for (point, value) in values.iter_mut().enumerate() {
                *value = probe.read(self.trajectory.at(point), self.parameters);
            }
            all.push(
                self.trajectory
                    .summarise(&values, zero, probe.weights(self.coarse)),
            );
        }
        all
    }
}

/// The statistics of a value that does not change.
pub(super) fn steady(value: f64) -> Statistics {
    Statistics {
        average: value,
        minimum: value,
        maximum: value,
        rms: value.abs(),
    }
}
