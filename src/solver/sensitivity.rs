//! How the end of a period depends on its start: the exact derivative of the steps taken.
//!
//! One column per storage element. A column that has died out (a regulator's output capacitor
//! forgets its start within a step) is set to exact zeros and costs nothing from then on.

#![allow(clippy::inline_always, reason = "runs inside the vectorised solver")]

use super::newton::Newton;
use crate::circuit::real::{Mask, Real, Work};

/// A change this small, of a unit change at the start, is none.
const FORGOTTEN: f64 = 1e-14;

/// Change of states and slopes with the initial states.
#[derive(Debug, Clone)]
pub(super) struct Sensitivity<R> {
    columns: Vec<Column<R>>,
    bases: Vec<R>,
    rhs: Vec<R>,
}

/// Change with one initial state, over the states.
#[derive(Debug, Clone)]
struct Column<R> {
    states: Vec<R>,
    /// Slopes at the start, middle and end of the step.
    slopes: [Vec<R>; 3],
    alive: bool,
}

/// A stage's weights of the slopes at the start and in the middle.
pub(super) type Weights = (f64, f64);

impl<R: Real> Sensitivity<R> {
    pub(super) fn new(newton: &Newton<'_, R>) -> Self {
        let (count, zero) = (newton.bases.len(), newton.zero);
        Self {
            columns: (0..count)
                .map(|_| Column {
                    states: vec![zero; count],
                    slopes: std::array::from_fn(|_| vec![zero; count]),
                    alive: true,
                })
                .collect(),
            bases: vec![zero; count],
            rhs: vec![zero; newton.unknowns.len()],
        }
    }

    /// Change of state `s` at the end with state `c` at the start.
    pub(super) fn get(&self, s: usize, c: usize, lane: usize) -> f64 {
        self.columns[c].states[s].lane(lane)
    }

    /// Begins a period: unit changes of the states, and the slopes that follow from them.
    #[inline(always)]
    pub(super) fn begin(&mut self, newton: &Newton<'_, R>) {
        for (c, column) in self.columns.iter_mut().enumerate() {
            for (s, state) in column.states.iter_mut().enumerate() {
                *state = newton.zero.splat(if s == c { 1.0 } else { 0.0 });
            }
            column.alive = true;
        }
        self.stage(newton, newton.zero, (0.0, 0.0), 0);
    }

    /// Slopes' change at stage 0, 1 or 2 with the last matrix of Newton's method.
    pub(super) fn stage(&mut self, newton: &Newton<'_, R>, h: R, weights: Weights, stage: usize) {
        newton.zero.run(Stage {
            sensitivity: self,
            newton,
            h,
            weights,
            number: stage,
        });
    }

    #[inline(always)]
    fn respond(&mut self, newton: &Newton<'_, R>, h: R, weights: Weights, stage: usize) {
        let stamps = &newton.topology.stamps;
        let p = &newton.parameters;
        let capacitors = p.capacitance.len();
        for column in self.columns.iter_mut().filter(|c| c.alive) {
            self.rhs.fill(newton.zero);
            for (s, &port) in stamps.storage_ports.iter().enumerate() {
                let mut base = column.states[s];
                if weights.0 != 0.0 {
                    base += h * (column.slopes[0][s] * weights.0 + column.slopes[1][s] * weights.1);
                }
                if s >= capacitors {
                    // As an electromotive force in the branch: i = g·(v + base·L/reach).
                    base = -(base * p.inductance[s - capacitors] / newton.reach);
                }
                self.bases[s] = base;
                let injected = newton.storage[s] * base;
                for &(unknown, sign) in stamps.terms.get(port) {
                    self.rhs[unknown] += injected * sign;
                }
            }
            newton.respond(&mut self.rhs);
            for (s, &port) in stamps.storage_ports.iter().enumerate() {
                let mut voltage = newton.zero;
                for &(unknown, sign) in stamps.terms.get(port) {
                    voltage += self.rhs[unknown] * sign;
                }
                let current = newton.storage[s] * (voltage - self.bases[s]);
                column.slopes[stage][s] = if s < capacitors {
                    current / p.capacitance[s]
                } else {
                    let k = s - capacitors;
                    (voltage - p.winding[k] * current) / p.inductance[k]
                };
            }
        }
    }

    /// Takes the step in the lanes that accept it.
    #[inline(always)]
    pub(super) fn commit(&mut self, accept: R::Mask, h: R, weights: [f64; 3]) {
        let forgotten = h.splat(FORGOTTEN);
        for column in self.columns.iter_mut().filter(|c| c.alive) {
            let mut size = h.splat(0.0);
            let [first, middle, end] = &mut column.slopes;
            for (s, state) in column.states.iter_mut().enumerate() {
                let sum = first[s] * weights[0] + middle[s] * weights[1] + end[s] * weights[2];
                *state = R::select(accept, *state + h * sum, *state);
                first[s] = R::select(accept, end[s], first[s]);
                size += state.abs() + h * first[s].abs();
            }
            let gone = size.less(forgotten);
            if gone.any() {
                let zero = h.splat(0.0);
                for (state, slope) in column.states.iter_mut().zip(first.iter_mut()) {
                    *state = R::select(gone, zero, *state);
                    *slope = R::select(gone, zero, *slope);
                }
                column.alive = (!gone).any();
            }
        }
    }
}

/// [`Sensitivity::stage`], compiled once.
struct Stage<'a, 't, R: Real> {
    sensitivity: &'a mut Sensitivity<R>,
    newton: &'a Newton<'t, R>,
    h: R,
    weights: Weights,
    number: usize,
}

impl<R: Real> Work for Stage<'_, '_, R> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        self.sensitivity
            .respond(self.newton, self.h, self.weights, self.number);
    }
}
