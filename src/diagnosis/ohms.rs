//! Resistances with the supply off.
//!
//! What a meter shows of a circuit with semiconductors in it depends on the meter: on the voltage it
//! puts across them, on its polarity, and on what regulators do far below the voltage they are made
//! for, which no data sheet says; and capacitors leak far less at it than at their rating. What is
//! certain lies between two ends: all of them conducting as their models say, at whichever polarity
//! gives less, and none of them conducting at all. A reading may lie anywhere between, on a scale of
//! decades.

use super::normal::Expectation;
use super::predict::Asked;
use crate::circuit::{Circuit, Element, Model as Device, build};
use crate::design::Design;
use crate::situations::{Corner, Situation, State};
use crate::solver::{self, Probe, Settings};

/// Largest resistance that is told from none [Ω]: the top range of a common hand-held meter.
pub const OPEN: f64 = 2e7;
/// Least that a meter and its leads show [Ω] (common practice).
const LEADS: f64 = 0.5;
/// Lowest and highest voltage that a meter puts across what it measures the resistance of [V], and
/// lowest and highest current [A]: hand-held meters differ by so much (common practice).
const ACROSS: [f64; 2] = [0.1, 0.6];
const THROUGH: [f64; 2] = [1e-7, 1e-3];
/// Share of readings of which nothing is taken to be known, so that a single bad one cannot decide
/// alone (project choice).
const UNKNOWN: f64 = 1e-3;
/// Points of the grid on which two hypotheses are compared.
const GRID: u32 = 240;

/// Both ends between which each net reads, as logarithms [ln Ω], for each draw.
pub(super) fn ohms(
    design: &Design,
    asked: &Asked,
    state: &State,
    draws: &[Corner],
) -> Vec<Vec<[f64; 2]>> {
    let each = draws.iter().enumerate();
    each.map(|(index, corner)| {
        let situation = Situation::new(state.clone(), corner.clone());
        let circuit = build(design, &situation);
        let mut passive = circuit.clone();
        let keep = |element: &Element| {
            matches!(
                element.model,
                Device::Resistor { .. } | Device::Inductor { .. } | Device::VoltageSource { .. }
            )
        };
        passive.netlist.elements.retain(keep);
        let share = index as f64 / (draws.len().max(2) - 1) as f64;
        let across = ACROSS[0] * libm::pow(ACROSS[1] / ACROSS[0], share);
        let nets = asked.ohms.iter();
        nets.map(|net| span(&circuit, &passive, net, across))
            .collect()
    })
    .collect()
}

fn span(circuit: &Circuit, passive: &Circuit, net: &str, across: f64) -> [f64; 2] {
    let most = resistance(passive, net, 1e-6).unwrap_or(OPEN);
    let mut least = most;
    for sign in [1.0, -1.0] {
        let rough = resistance(circuit, net, sign * 1e-6).unwrap_or(most);
        let current = (across / rough.clamp(LEADS, OPEN)).clamp(THROUGH[0], THROUGH[1]);
        least = least.min(resistance(circuit, net, sign * current).unwrap_or(rough));
    }
    [logarithm(least), logarithm(most)]
}

/// A resistance as it is compared: its logarithm, between the leads and an open circuit.
pub(super) fn logarithm(ohms: f64) -> f64 {
    libm::log(ohms.clamp(LEADS, OPEN))
}

/// What a current into a net leaves across it, as a resistance [Ω].
fn resistance(circuit: &Circuit, net: &str, current: f64) -> Option<f64> {
    let node = circuit.nodes.get(net).copied()?;
    let netlist = circuit.netlist.driven(node, current);
    let probes = [Probe::Voltage {
        plus: node,
        minus: 0,
    }];
    let point = solver::operating_point(&netlist, &probes, &Settings::default()).ok()?;
    Some(point.probes[0].average / current)
}

/// What is expected of one resistance: between two ends for each draw, blurred by the meter.
#[derive(Debug, Clone)]
pub(super) struct Spans {
    spans: Vec<[f64; 2]>,
    standard: f64,
}

impl Spans {
    pub fn new(spans: Vec<[f64; 2]>, standard: f64) -> Self {
        Self { spans, standard }
    }

    fn density(&self, at: f64) -> f64 {
        let below = |z: f64| 0.5 * libm::erfc(-z / std::f64::consts::SQRT_2);
        let each = self.spans.iter().map(|[low, high]| {
            // No span is narrower than the blur, so that the quotient stays well defined.
            let wide = (high - low).max(0.1 * self.standard);
            let (low, high) = (0.5 * (low + high - wide), 0.5 * (low + high + wide));
            (below((at - low) / self.standard) - below((at - high) / self.standard)) / wide
        });
        let known = each.sum::<f64>() / self.spans.len() as f64;
        (1.0 - UNKNOWN) * known + UNKNOWN / libm::log(OPEN / LEADS)
    }

    /// Logarithm of the density at a reading.
    pub fn log_density(&self, at: f64) -> f64 {
        libm::log(self.density(at))
    }

    /// What it should be, and how far beyond it a reading lies.
    pub fn expectation(&self, at: f64) -> Expectation {
        let low = self
            .spans
            .iter()
            .map(|s| s[0])
            .fold(f64::INFINITY, f64::min);
        let high = self
            .spans
            .iter()
            .map(|s| s[1])
            .fold(f64::NEG_INFINITY, f64::max);
        Expectation {
            low: low - 2.0 * self.standard,
            high: high + 2.0 * self.standard,
            off: ((at - high).max(0.0) - (low - at).max(0.0)) / self.standard,
        }
    }

    /// Mean and standard deviation.
    pub fn moments(&self) -> (f64, f64) {
        let count = self.spans.len() as f64;
        let middle = |s: &[f64; 2]| 0.5 * (s[0] + s[1]);
        let mean = self.spans.iter().map(middle).sum::<f64>() / count;
        let spread = self.spans.iter().map(|s| {
            let (off, wide) = (middle(s) - mean, s[1] - s[0]);
            off * off + wide * wide / 12.0
        });
        let variance = spread.sum::<f64>() / count + self.standard * self.standard;
        (mean, libm::sqrt(variance))
    }

    /// The density on a grid over all resistances.
    pub fn grid(&self) -> Vec<f64> {
        let (low, step) = Self::scale();
        (0..=GRID)
            .map(|k| self.density(low + f64::from(k) * step))
            .collect()
    }

    /// Bhattacharyya distance of two densities on the grid.
    pub fn apart(one: &[f64], other: &[f64]) -> f64 {
        let (_, step) = Self::scale();
        let area = |of: &mut dyn Iterator<Item = f64>| of.sum::<f64>() * step;
        let common = area(&mut one.iter().zip(other).map(|(f, g)| libm::sqrt(f * g)));
        let each = [one, other].map(|of| area(&mut of.iter().copied()));
        -libm::log((common / libm::sqrt(each[0] * each[1])).min(1.0))
    }

    fn scale() -> (f64, f64) {
        let (low, high) = (libm::log(LEADS), libm::log(OPEN));
        (low, (high - low) / f64::from(GRID))
    }
}

#[cfg(test)]
mod tests {
    use super::{Spans, logarithm};

    /// A reading between the ends is as good as another; one beyond them is measured in blurs.
    #[test]
    fn between_the_ends_anything_goes() {
        let spans = Spans::new(vec![[logarithm(1e3), logarithm(1e6)]], 0.1);
        let inside = [2e3, 3e4, 5e5].map(|ohms| spans.log_density(logarithm(ohms)));
        assert!((inside[0] - inside[1]).abs() < 1e-9 && (inside[2] - inside[1]).abs() < 1e-9);
        assert!(spans.expectation(logarithm(3e4)).off == 0.0);
        let short = spans.expectation(logarithm(1.0)).off;
        assert!((short + 1e3_f64.ln() / 0.1).abs() < 1e-9);
        assert!(spans.log_density(logarithm(1.0)) < inside[0] - 4.0);
    }

    /// Two uniform densities of one width that overlap by half: their coefficient is one half, and a
    /// little more for the share of readings of which nothing is known.
    #[test]
    fn the_overlap_of_two_spans_is_their_coefficient() {
        let grid = |low: f64| Spans::new(vec![[low, low + 4.0]], 1e-3).grid();
        let apart = Spans::apart(&grid(4.0), &grid(6.0));
        assert!((apart - 2.0_f64.ln()).abs() < 0.06, "{apart}");
    }
}
