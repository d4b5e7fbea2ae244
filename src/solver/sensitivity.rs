//! How the end of a period depends on its start: the exact derivative of the steps taken.
//!
//! One column per storage element. A column that has died out (a regulator's output capacitor
//! forgets its start within a step) is set to exact zeros and costs nothing from then on.

use super::elimination::Lane;
use super::newton::{Newton, storage_ports};

/// A change this small, of a unit change at the start, is none.
const FORGOTTEN: f64 = 1e-14;

/// Change of states and slopes with the initial states.
#[derive(Debug, Clone, Default)]
pub(super) struct Sensitivity<const L: usize> {
    columns: Vec<Column<L>>,
    bases: Vec<Lane<L>>,
    rhs: Vec<Lane<L>>,
}

/// Change with one initial state, over the states.
#[derive(Debug, Clone)]
struct Column<const L: usize> {
    states: Vec<Lane<L>>,
    /// Slopes at the start, middle and end of the step.
    slopes: [Vec<Lane<L>>; 3],
    alive: bool,
}

/// A stage's weights of the slopes at the start and in the middle.
pub(super) type Weights = (f64, f64);

impl<const L: usize> Sensitivity<L> {
    /// Change of state `s` at the end with state `c` at the start.
    pub(super) fn get(&self, s: usize, c: usize, l: usize) -> f64 {
        self.columns[c].states[s][l]
    }

    /// Begins a period: unit changes of the states, and the slopes that follow from them.
    pub(super) fn begin(&mut self, newton: &Newton<'_, L>) {
        let count = newton.bases.len();
        self.bases = vec![[0.0; L]; count];
        self.rhs = vec![[0.0; L]; newton.topology.unknowns];
        self.columns = (0..count)
            .map(|c| Column {
                states: (0..count)
                    .map(|s| [if s == c { 1.0 } else { 0.0 }; L])
                    .collect(),
                slopes: std::array::from_fn(|_| vec![[0.0; L]; count]),
                alive: true,
            })
            .collect();
        self.stage(newton, &[0.0; L], (0.0, 0.0), 0);
    }

    /// Slopes' change at stage 0, 1 or 2 with the last matrix of Newton's method.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub(super) fn stage(
        &mut self,
        newton: &Newton<'_, L>,
        h: &Lane<L>,
        weights: Weights,
        stage: usize,
    ) {
        let topology = newton.topology;
        let capacitors = topology.capacitors.len();
        let p = &newton.parameters;
        for column in self.columns.iter_mut().filter(|c| c.alive) {
            self.rhs.fill([0.0; L]);
            for (s, port) in storage_ports(topology).enumerate() {
                let g = newton.storage_conductance(s);
                let base = &mut self.bases[s];
                let (before, first, middle) = (
                    &column.states[s],
                    &column.slopes[0][s],
                    &column.slopes[1][s],
                );
                for l in 0..L {
                    base[l] = before[l] + h[l] * (weights.0 * first[l] + weights.1 * middle[l]);
                }
                if s >= capacitors {
                    // As an electromotive force in the branch: i = g·(v + base·L/reach).
                    for l in 0..L {
                        base[l] *= -p.inductance[s - capacitors][l] / newton.reach[l];
                    }
                }
                for &(unknown, sign) in &topology.ports[port].terms {
                    let rhs = &mut self.rhs[unknown];
                    for l in 0..L {
                        rhs[l] += sign * (g[l] * base[l]);
                    }
                }
            }
            newton.respond(&mut self.rhs);
            for (s, port) in storage_ports(topology).enumerate() {
                let g = newton.storage_conductance(s);
                let base = &self.bases[s];
                let mut voltage = [0.0; L];
                for &(unknown, sign) in &topology.ports[port].terms {
                    for l in 0..L {
                        voltage[l] += sign * self.rhs[unknown][l];
                    }
                }
                let slope = &mut column.slopes[stage][s];
                if s < capacitors {
                    let c = &p.capacitance[s];
                    for l in 0..L {
                        slope[l] = g[l] * (voltage[l] - base[l]) / c[l];
                    }
                } else {
                    let winding = &p.winding[s - capacitors];
                    let inductance = &p.inductance[s - capacitors];
                    for l in 0..L {
                        let current = g[l] * (voltage[l] - base[l]);
                        slope[l] = (voltage[l] - winding[l] * current) / inductance[l];
                    }
                }
            }
        }
    }

    /// Takes the step in the lanes that accept it.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub(super) fn commit(&mut self, accept: &[bool; L], h: &Lane<L>, weights: [f64; 3]) {
        for column in self.columns.iter_mut().filter(|c| c.alive) {
            let mut size: Lane<L> = [0.0; L];
            let [first, middle, end] = &mut column.slopes;
            for (s, state) in column.states.iter_mut().enumerate() {
                for l in 0..L {
                    let sum = weights[0] * first[s][l]
                        + weights[1] * middle[s][l]
                        + weights[2] * end[s][l];
                    let moved = state[l] + h[l] * sum;
                    state[l] = if accept[l] { moved } else { state[l] };
                    first[s][l] = if accept[l] { end[s][l] } else { first[s][l] };
                    size[l] += state[l].abs() + h[l] * first[s][l].abs();
                }
            }
            if size.iter().any(|s| *s <= FORGOTTEN) {
                for (s, state) in column.states.iter_mut().enumerate() {
                    for l in 0..L {
                        if size[l] <= FORGOTTEN {
                            state[l] = 0.0;
                            first[s][l] = 0.0;
                        }
                    }
                }
                column.alive = size.iter().any(|s| *s > FORGOTTEN);
            }
        }
    }
}
