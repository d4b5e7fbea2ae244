//! The matrix: elimination order and program, recorded once per topology, run for many lanes.
//!
//! The only file that factors the sparse matrix. The pattern is made structurally symmetric, the
//! order is by least degree, and there is no pivoting: the equations are nodal, with every ideal
//! source taken out beforehand, so that each diagonal carries the conductances at its node.
//! A pivot that vanishes all the same shows as a non-finite solution, which Newton's method
//! reports.

use std::collections::{BTreeMap, BTreeSet};

/// One value per situation solved side by side.
pub type Lane<const L: usize> = [f64; L];

/// The recorded program for matrices of one pattern. Unknowns carry their caller's numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct Elimination {
    slots: usize,
    index: BTreeMap<(usize, usize), usize>,
    pivots: Vec<Pivot>,
}

/// Elimination of one unknown.
#[derive(Debug, Clone, PartialEq)]
struct Pivot {
    unknown: usize,
    diagonal: usize,
    /// Rows below: their unknown, and the slots of their entries in this column and in this row.
    neighbours: Vec<Neighbour>,
    /// Slots updated, row by row over the neighbours.
    targets: Vec<usize>,
}

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
        let mut index = BTreeMap::new();
        let mut slot = |row: usize, column: usize| {
            let next = index.len();
            *index.entry((row, column)).or_insert(next)
        };
        let mut left: BTreeSet<usize> = (0..size).collect();
        let mut pivots = Vec::with_capacity(size);
        while let Some(&unknown) = left
            .iter()
            .min_by_key(|&&u| (late.get(u).copied().unwrap_or(false), graph[u].len(), u))
        {
            left.remove(&unknown);
            let around: Vec<usize> = graph[unknown].iter().copied().collect();
            let neighbours: Vec<Neighbour> = around
                .iter()
                .map(|&other| Neighbour {
                    unknown: other,
                    lower: slot(other, unknown),
                    upper: slot(unknown, other),
                })
                .collect();
            let mut targets = Vec::with_capacity(around.len() * around.len());
            for &row in &around {
                graph[row].remove(&unknown);
                for &column in &around {
                    targets.push(slot(row, column));
                    if row != column {
                        graph[row].insert(column);
                    }
                }
            }
            pivots.push(Pivot {
                unknown,
                diagonal: slot(unknown, unknown),
                neighbours,
                targets,
            });
        }
        Self {
            slots: index.len(),
            index,
            pivots,
        }
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

    /// Factors in place: diagonals become reciprocals, entries below them multipliers.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub fn factor<const L: usize>(&self, a: &mut [Lane<L>]) {
        for pivot in &self.pivots {
            let mut reciprocal = a[pivot.diagonal];
            for r in &mut reciprocal {
                *r = 1.0 / *r;
            }
            a[pivot.diagonal] = reciprocal;
            let mut targets = pivot.targets.iter();
            for row in &pivot.neighbours {
                let mut multiplier = a[row.lower];
                for l in 0..L {
                    multiplier[l] *= reciprocal[l];
                }
                a[row.lower] = multiplier;
                for (column, &target) in pivot.neighbours.iter().zip(&mut targets) {
                    let (upper, entry) = (a[column.upper], a[target]);
                    a[target] = std::array::from_fn(|l| entry[l] - multiplier[l] * upper[l]);
                }
            }
        }
    }

    /// Solves in place with a factored matrix.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub fn solve<const L: usize>(&self, a: &[Lane<L>], b: &mut [Lane<L>]) {
        for pivot in &self.pivots {
            let value = b[pivot.unknown];
            for row in &pivot.neighbours {
                let (multiplier, entry) = (a[row.lower], b[row.unknown]);
                b[row.unknown] = std::array::from_fn(|l| entry[l] - multiplier[l] * value[l]);
            }
        }
        for pivot in self.pivots.iter().rev() {
            let mut value = b[pivot.unknown];
            for column in &pivot.neighbours {
                let (upper, known) = (a[column.upper], b[column.unknown]);
                for l in 0..L {
                    value[l] -= upper[l] * known[l];
                }
            }
            let reciprocal = &a[pivot.diagonal];
            for l in 0..L {
                value[l] *= reciprocal[l];
            }
            b[pivot.unknown] = value;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn solves_a_ladder_in_every_lane() {
        // A chain of five nodes with different conductances in each of three lanes.
        let mut pattern = BTreeSet::new();
        for k in 0..4 {
            pattern.insert((k, k + 1));
        }
        let program = Elimination::record(5, &pattern, &[false; 5]);
        let mut a = vec![[0.0; 3]; program.slots()];
        let mut dense = [[[0.0; 5]; 5]; 3];
        for k in 0..5_usize {
            for other in [k.wrapping_sub(1), k, k + 1] {
                if other < 5 {
                    for l in 0..3 {
                        let value = if other == k {
                            4.0 + (k * (l + 1)) as f64
                        } else {
                            -1.0 - 0.1 * (l + other) as f64
                        };
                        a[program.slot(k, other).unwrap()][l] = value;
                        dense[l][k][other] = value;
                    }
                }
            }
        }
        let expected: [f64; 5] = [1.0, -2.0, 0.5, 3.0, -1.5];
        let mut b: Vec<[f64; 3]> = (0..5)
            .map(|k| std::array::from_fn(|l| (0..5).map(|c| dense[l][k][c] * expected[c]).sum()))
            .collect();
        program.factor(&mut a);
        program.solve(&a, &mut b);
        for k in 0..5 {
            for l in 0..3 {
                assert!((b[k][l] - expected[k]).abs() < 1e-14);
            }
        }
    }
}
