//! The linear three-terminal regulator, fixed or adjustable, of either polarity.
//!
//! A smooth minimum of three branches: regulating behind an output resistance, drop-out behind a
//! drop-out resistance, and the current limit; the output never sinks. Equations in
//! [`Regulator`](super::Regulator). No dynamics, no thermal fold-back, no safe-area limit: the
//! checks judge those from the solved dissipation.

#![allow(clippy::inline_always, reason = "runs inside the vectorised solver")]

use super::real::{Mask, Real};
use super::{Beyond, Regulator, smooth};

/// Width of the corner at which the input leaves its specified range [V].
const RANGE_CORNER: f64 = 0.05;

/// A regulator's constants, in the form the equations use.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RegulatorConstants<R> {
    /// +1, or −1 for a negative regulator.
    pub sign: R,
    /// Output at no input [V].
    origin: R,
    line: R,
    output_conductance: R,
    output_resistance: R,
    dropout: R,
    dropout_conductance: R,
    dropout_resistance: R,
    limit: R,
    smoothing: R,
    quiescent: R,
    knee: R,
    knee_steepness: R,
    /// The terms outside the specified range; `None` where no lane has any.
    beyond: Option<BeyondConstants<R>>,
}

/// The constants of a [`Beyond`].
#[derive(Debug, Clone, Copy, PartialEq)]
struct BeyondConstants<R> {
    middle: R,
    half: R,
    slope: R,
    load: R,
    /// Slope above the load, as a share of the slope below it.
    share: R,
}

/// Where a regulator's branches are linearised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RegulatorPoint<R> {
    /// Regulating branch `a` [A].
    pub regulating: R,
    /// Drop-out branch `b` [A].
    pub dropout: R,
    /// Input to common, times the polarity [V].
    pub input: R,
}

/// A regulator's currents (times the polarity) as linear functions of `ui` and `uo`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RegulatorCurrents<R> {
    /// Pass current Ip [A].
    pub pass: R,
    /// ∂Ip/∂ui [S].
    pub pass_by_input: R,
    /// ∂Ip/∂uo [S].
    pub pass_by_output: R,
    /// Current out of `common`, Iq [A].
    pub quiescent: R,
    /// ∂Iq/∂ui [S].
    pub quiescent_by_input: R,
}

impl From<&Regulator> for RegulatorConstants<f64> {
    fn from(regulator: &Regulator) -> Self {
        Self::gather(0.0, |_| *regulator)
    }
}

impl<R: Real> RegulatorConstants<R> {
    /// A regulator per lane, without its reverse path.
    pub fn gather(like: R, regulator: impl Fn(usize) -> Regulator) -> Self {
        let of = |value: fn(&Regulator) -> f64| like.gather(|lane| value(&regulator(lane)));
        let outside = |value: fn(&Beyond) -> f64, without: f64| {
            like.gather(|lane| regulator(lane).beyond.as_ref().map_or(without, value))
        };
        // Without such terms a lane has a load so high that it changes no digit.
        let beyond = BeyondConstants {
            middle: outside(|b| 0.5 * (b.from + b.to), 0.0),
            half: outside(|b| 0.5 * (b.to - b.from), 0.0),
            slope: outside(|b| b.slope, 0.0),
            load: outside(|b| b.load, 1e100),
            share: like.gather(|lane| {
                let regulator = regulator(lane);
                regulator
                    .beyond
                    .map_or(0.0, |b| regulator.output_resistance / b.resistance)
            }),
        };
        let any = beyond.load.less(like.splat(1e99)).any();
        Self {
            sign: of(|r| if r.negative { -1.0 } else { 1.0 }),
            origin: of(|r| r.reference - r.line * r.line_from),
            line: of(|r| r.line),
            output_conductance: of(|r| 1.0 / r.output_resistance),
            output_resistance: of(|r| r.output_resistance),
            dropout: of(|r| r.dropout),
            dropout_conductance: of(|r| 1.0 / r.dropout_resistance),
            dropout_resistance: of(|r| r.dropout_resistance),
            limit: of(|r| r.limit),
            smoothing: of(|r| r.smoothing),
            quiescent: of(|r| r.quiescent),
            knee: of(|r| r.quiescent_knee),
            knee_steepness: of(|r| 1.0 / r.quiescent_knee),
            beyond: any.then_some(beyond),
        }
    }

    /// The branches at `ui`, `uo` (input and output to common, times the polarity).
    #[must_use]
    #[inline(always)]
    pub fn point(&self, ui: R, uo: R) -> RegulatorPoint<R> {
        let mut voltage = self.origin + self.line * ui;
        if let Some(beyond) = &self.beyond {
            voltage += beyond.outside(ui).0;
        }
        RegulatorPoint {
            regulating: (voltage - uo) * self.output_conductance,
            dropout: (ui - self.dropout - uo) * self.dropout_conductance,
            input: ui,
        }
    }

    /// The point to linearise at when Newton's method, coming from `old`, predicts `new`: a branch
    /// may not jump across the steep stretch between cut-off and current limit (or the load up to
    /// which the output holds), the regulating one not even out of it without stopping at its edge,
    /// and the quiescent current not across its knee. Without this, Newton's method cycles between
    /// the flat ends.
    #[must_use]
    #[inline(always)]
    pub fn limited(&self, old: &RegulatorPoint<R>, new: &RegulatorPoint<R>) -> RegulatorPoint<R> {
        let zero = self.limit.splat(0.0);
        let steep = match &self.beyond {
            Some(beyond) => beyond.load.lesser(self.limit),
            None => self.limit,
        };
        let kept = not_across(old.regulating, new.regulating, zero, steep);
        // Where the drop-out branch decides, the regulating one is of no account.
        let dropped_out = zero.less(new.dropout) & !self.limit.less(new.dropout);
        RegulatorPoint {
            regulating: R::select(
                dropped_out,
                kept,
                edge_first(old.regulating, kept, zero, steep),
            ),
            dropout: not_across(old.dropout, new.dropout, zero, self.limit),
            input: not_across(old.input, new.input, -self.knee, self.knee),
        }
    }

    /// The currents at `ui`, `uo`, linearised at `point`; `here` is [`Self::point`] there.
    #[must_use]
    #[inline(always)]
    pub fn currents(
        &self,
        point: &RegulatorPoint<R>,
        here: &RegulatorPoint<R>,
    ) -> RegulatorCurrents<R> {
        let w = self.smoothing;
        let (mut regulating, mut line, mut by_regulating) =
            (point.regulating, self.line, w.splat(1.0));
        if let Some(beyond) = &self.beyond {
            line += beyond.outside(point.input).1;
            let above = beyond.load + beyond.share * point.regulating;
            let (loaded, by_below, by_above) = smooth::minimum(point.regulating, above, w);
            (regulating, by_regulating) = (loaded, by_below + beyond.share * by_above);
        }
        let (lesser, by_a, by_b) = smooth::minimum(regulating, point.dropout, w);
        let (capped, by_lesser, _) = smooth::minimum(lesser, self.limit, w);
        let (pass, by_capped) = smooth::positive(capped, w);
        let slope = by_capped * by_lesser;
        let (by_a, by_b) = (
            slope * by_a * by_regulating * self.output_conductance,
            slope * by_b * self.dropout_conductance,
        );
        let (level, level_slope) = smooth::tanh(point.input * self.knee_steepness);
        let quiescent_by_input = self.quiescent * level_slope * self.knee_steepness;
        RegulatorCurrents {
            pass: pass
                + by_a * self.output_resistance * (here.regulating - point.regulating)
                + by_b * self.dropout_resistance * (here.dropout - point.dropout),
            pass_by_input: by_a * line + by_b,
            pass_by_output: -by_a - by_b,
            quiescent: self.quiescent * level + quiescent_by_input * (here.input - point.input),
            quiescent_by_input,
        }
    }
}

impl<R: Real> BeyondConstants<R> {
    /// What leaving the input range adds to the output, and its slope.
    #[inline(always)]
    fn outside(&self, input: R) -> (R, R) {
        let from_middle = input - self.middle;
        let (excess, by) =
            smooth::positive(from_middle.abs() - self.half, input.splat(RANGE_CORNER));
        let below = from_middle.less(input.splat(0.0));
        let slope = self.slope * by;
        (self.slope * excess, R::select(below, -slope, slope))
    }
}

/// `new`, or the edge of `low..high` where the step from inside would leave it.
#[inline(always)]
fn edge_first<R: Real>(old: R, new: R, low: R, high: R) -> R {
    let rising = old.less(high) & !old.less(low) & high.less(new);
    let falling = low.less(old) & !high.less(old) & new.less(low);
    R::select(rising, high, R::select(falling, low, new))
}

/// `new`, or the middle of `low..high` where the step from `old` would cross all of it.
#[inline(always)]
pub(super) fn not_across<R: Real>(old: R, new: R, low: R, high: R) -> R {
    let across = (high.less(old) & new.less(low)) | (old.less(low) & high.less(new));
    if across.any() {
        R::select(across, (low + high) * 0.5, new)
    } else {
        new
    }
}
