//! The linear three-terminal regulator, fixed or adjustable, of either polarity.
//!
//! A smooth minimum of three branches: regulating behind an output resistance, drop-out behind a
//! drop-out resistance, and the current limit; the output never sinks. Equations in
//! [`Regulator`](super::Regulator). No dynamics, no thermal fold-back, no safe-area limit: the
//! checks judge those from the solved dissipation.

use super::{Regulator, smooth};

/// Where a regulator's branches are linearised.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RegulatorPoint {
    /// Regulating branch `a` [A].
    pub regulating: f64,
    /// Drop-out branch `b` [A].
    pub dropout: f64,
    /// Input to common, times the polarity [V].
    pub input: f64,
}

/// A regulator's currents (times the polarity) as linear functions of `ui` and `uo`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RegulatorCurrents {
    /// Pass current Ip [A].
    pub pass: f64,
    /// ∂Ip/∂ui [S].
    pub pass_by_input: f64,
    /// ∂Ip/∂uo [S].
    pub pass_by_output: f64,
    /// Current out of `common`, Iq [A].
    pub quiescent: f64,
    /// ∂Iq/∂ui [S].
    pub quiescent_by_input: f64,
}

impl Regulator {
    /// The branches at `ui`, `uo` (input and output to common, times the polarity).
    #[must_use]
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub fn point(&self, ui: f64, uo: f64) -> RegulatorPoint {
        RegulatorPoint {
            regulating: (self.reference + self.line * (ui - self.line_from) - uo)
                / self.output_resistance,
            dropout: (ui - self.dropout - uo) / self.dropout_resistance,
            input: ui,
        }
    }

    /// The point to linearise at when Newton's method, coming from `old`, predicts `new`: a branch
    /// may not jump across the steep stretch between cut-off and current limit, and the quiescent
    /// current not across its knee. Without this, Newton's method cycles between the flat ends.
    #[must_use]
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub fn limited(&self, old: &RegulatorPoint, new: &RegulatorPoint) -> RegulatorPoint {
        RegulatorPoint {
            regulating: not_across(old.regulating, new.regulating, 0.0, self.limit),
            dropout: not_across(old.dropout, new.dropout, 0.0, self.limit),
            input: not_across(
                old.input,
                new.input,
                -self.quiescent_knee,
                self.quiescent_knee,
            ),
        }
    }

    /// The currents at `ui`, `uo`, linearised at `point`.
    #[must_use]
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub fn currents(&self, point: &RegulatorPoint, ui: f64, uo: f64) -> RegulatorCurrents {
        let here = self.point(ui, uo);
        let w = self.smoothing;
        let (lesser, by_a, by_b) = smooth::minimum(point.regulating, point.dropout, w);
        let (capped, by_lesser, _) = smooth::minimum(lesser, self.limit, w);
        let (pass, by_capped) = smooth::positive(capped, w);
        let slope = by_capped * by_lesser;
        let (by_a, by_b) = (
            slope * by_a / self.output_resistance,
            slope * by_b / self.dropout_resistance,
        );
        let knee = 1.0 / self.quiescent_knee;
        let (level, level_slope) = smooth::tanh(point.input * knee);
        let quiescent_by_input = self.quiescent * level_slope * knee;
        RegulatorCurrents {
            pass: pass
                + by_a * self.output_resistance * (here.regulating - point.regulating)
                + by_b * self.dropout_resistance * (here.dropout - point.dropout),
            pass_by_input: by_a * self.line + by_b,
            pass_by_output: -by_a - by_b,
            quiescent: self.quiescent * level + quiescent_by_input * (ui - point.input),
            quiescent_by_input,
        }
    }
}

/// `new`, or the middle of `low..high` when the step from `old` would cross all of it.
#[inline(always)]
#[allow(clippy::inline_always)]
pub(super) fn not_across(old: f64, new: f64, low: f64, high: f64) -> f64 {
    let across = (old > high && new < low) || (old < low && new > high);
    if across { 0.5 * (low + high) } else { new }
}
