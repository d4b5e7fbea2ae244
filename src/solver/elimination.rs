//! The matrix: elimination order and program, recorded once per topology, run for many lanes.
//!
//! The only file that factors the sparse matrix. The pattern is made structurally symmetric, the
//! order is by least degree, and there is no pivoting: the equations are nodal, with every ideal
//! source taken out beforehand, so that each diagonal carries the conductances at its node.
//! A pivot that vanishes all the same shows as a non-finite solution, which Newton's method
//! reports.

#![allow(clippy::inline_always, reason = "runs inside the vectorised solver")]

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use crate::circuit::real::Real;

/// The recorded program for matrices of one pattern. Unknowns carry their caller's numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct Elimination {
    slots: usize,
    index: BTreeMap<(usize, usize), usize>,
    pivots: Vec<Pivot>,
    neighbours: Vec<Neighbour>,
    targets: Vec<usize>,
    /// Pivots before those marked late.
    early: usize,
}

/// Elimination of one unknown: its neighbours, and the slots updated row by row over them, from
/// here in the program's lists.
#[derive(Debug, Clone, PartialEq)]
struct Pivot {
    unknown: usize,
    diagonal: usize,
    neighbours: Range<usize>,
    targets: usize,
}

/// A row below: its unknown, and the slots of its entries in the pivot's column and row.
#[derive(Debug, Clone, PartialEq)]
struct Neighbour {
    unknown: usize,
    lower: usize,
    upper: usize,
}

impl Elimination {
    /// Records the program for `size` unknowns with entries where `pattern` has (row, column)
    /// pairs; the diagonal and the transposed entries are added. Unknowns with `late` set are
    /// eliminated after all others.
    #[must_use]
    pub fn record(size: usize, pattern: &BTreeSet<(usize, usize)>, late: &[bool]) -> Self {
        let mut graph: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); size];
        for &(row, column) in pattern {
            if row != column {
                graph[row].insert(column);
                graph[column].insert(row);
            }
        }
        let is_late = |u: usize| late.get(u).copied().unwrap_or(false);
        let mut program = Self {
            slots: 0,
            index: BTreeMap::new(),
            pivots: Vec::with_capacity(size),
            neighbours: Vec::new(),
            targets: Vec::new(),
            early: (0..size).filter(|&u| !is_late(u)).count(),
        };
        let mut left: BTreeSet<usize> = (0..size).collect();
        while let Some(&unknown) = left
            .iter()
            .min_by_key(|&&u| (is_late(u), graph[u].len(), u))
        {
            left.remove(&unknown);
            let around: Vec<usize> = graph[unknown].iter().copied().collect();
            let first = program.neighbours.len();
            for &other in &around {
                let neighbour = Neighbour {
                    unknown: other,
                    lower: program.enter(other, unknown),
                    upper: program.enter(unknown, other),
                };
                program.neighbours.push(neighbour);
            }
            let targets = program.targets.len();
            for &row in &around {
                graph[row].remove(&unknown);
                for &column in &around {
                    let slot = program.enter(row, column);
                    program.targets.push(slot);
                    if row != column {
                        graph[row].insert(column);
                    }
                }
            }
            let pivot = Pivot {
                unknown,
                diagonal: program.enter(unknown, unknown),
                neighbours: first..program.neighbours.len(),
                targets,
            };
            program.pivots.push(pivot);
        }
        program.slots = program.index.len();
        program
    }

    fn enter(&mut self, row: usize, column: usize) -> usize {
        let next = self.index.len();
        *self.index.entry((row, column)).or_insert(next)
    }

    /// Number of stored entries.
    #[must_use]
    pub fn slots(&self) -> usize {
        self.slots
    }

    /// Where the entry (row, column) is stored; it must be in the recorded pattern.
    #[must_use]
    pub fn slot(&self, row: usize, column: usize) -> Option<usize> {
        self.index.get(&(row, column)).copied()
    }

    /// Factors the early unknowns' part in place: diagonals become reciprocals, entries below them
    /// multipliers. What changes only among the late ones may be added afterwards.
    #[inline(always)]
    pub fn factor_early<R: Real>(&self, a: &mut [R]) {
        self.factor(a, 0..self.early);
    }

    /// Factors the rest.
    #[inline(always)]
    pub fn factor_late<R: Real>(&self, a: &mut [R]) {
        self.factor(a, self.early..self.pivots.len());
    }

    #[inline(always)]
    fn factor<R: Real>(&self, a: &mut [R], pivots: Range<usize>) {
        for pivot in &self.pivots[pivots] {
            let reciprocal = a[pivot.diagonal].splat(1.0) / a[pivot.diagonal];
            a[pivot.diagonal] = reciprocal;
            let neighbours = &self.neighbours[pivot.neighbours.clone()];
            let mut targets = self.targets[pivot.targets..].iter();
            for row in neighbours {
                let multiplier = a[row.lower] * reciprocal;
                a[row.lower] = multiplier;
                for (column, &target) in neighbours.iter().zip(&mut targets) {
                    a[target] -= multiplier * a[column.upper];
                }
            }
        }
    }

    /// Solves in place with a factored matrix. With `late_only` the right-hand sides of the early
    /// unknowns are known to be zero.
    #[inline(always)]
    pub fn solve<R: Real>(&self, a: &[R], b: &mut [R], late_only: bool) {
        let first = if late_only { self.early } else { 0 };
        for pivot in &self.pivots[first..] {
            let value = b[pivot.unknown];
            for row in &self.neighbours[pivot.neighbours.clone()] {
                b[row.unknown] -= a[row.lower] * value;
            }
        }
        for pivot in self.pivots.iter().rev() {
            let mut value = b[pivot.unknown];
            for column in &self.neighbours[pivot.neighbours.clone()] {
                value -= a[column.upper] * b[column.unknown];
            }
            b[pivot.unknown] = value * a[pivot.diagonal];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A chain of five nodes, the middle one early or late, against its dense matrix.
    #[test]
    fn solves_a_ladder() {
        let pattern: BTreeSet<_> = (0..4).map(|k| (k, k + 1)).collect();
        for late in [[false; 5], [true, true, false, true, true]] {
            let program = Elimination::record(5, &pattern, &late);
            let mut a = vec![0.0; program.slots()];
            let mut dense = [[0.0; 5]; 5];
            for k in 0..5_usize {
                for other in [k.wrapping_sub(1), k, k + 1] {
                    if other < 5 {
                        let value = if other == k {
                            4.0 + k as f64
                        } else {
                            -1.0 - 0.1 * other as f64
                        };
                        a[program.slot(k, other).unwrap()] = value;
                        dense[k][other] = value;
                    }
                }
            }
            let expected: [f64; 5] = [1.0, -2.0, 0.5, 3.0, -1.5];
            let mut b: Vec<f64> = (0..5)
                .map(|k| (0..5).map(|c| dense[k][c] * expected[c]).sum())
                .collect();
            program.factor_early(&mut a);
            program.factor_late(&mut a);
            program.solve(&a, &mut b, false);
            for k in 0..5 {
                assert!((b[k] - expected[k]).abs() < 1e-14);
            }
        }
    }
}
