//! What the device equations compute with: one number, or several side by side.
//!
//! [`Real`] is a number in every *lane*: `f64` has one lane, the solver's vectors have more. An
//! equation written with it runs for one situation or for many at once, operation for operation
//! the same (nothing is fused or reordered), so that a lane's bits never depend on its neighbours
//! or on the processor.

use std::fmt::Debug;
use std::ops::{Add, AddAssign, BitAnd, BitOr, Div, Mul, Neg, Not, Sub, SubAssign};

/// A truth value in every lane.
pub trait Mask:
    Copy + Debug + BitAnd<Output = Self> + BitOr<Output = Self> + Not<Output = Self>
{
    /// Whether it is true in any lane.
    fn any(self) -> bool;
    /// One lane's value.
    fn lane(self, lane: usize) -> bool;
    /// The same with one lane changed.
    #[must_use]
    fn with_lane(self, lane: usize, value: bool) -> Self;
}

/// A piece of work on numbers side by side, for [`Real::run`].
pub trait Work {
    /// What comes of it.
    type Output;
    /// Does it; to be inlined always.
    fn call(self) -> Self::Output;
}

/// A number in every lane. See the [module](self).
pub trait Real:
    Copy
    + Debug
    + PartialEq
    + Send
    + Sync
    + 'static
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
    + Add<f64, Output = Self>
    + Sub<f64, Output = Self>
    + Mul<f64, Output = Self>
    + AddAssign
    + SubAssign
{
    /// Truth values of its comparisons.
    type Mask: Mask;
    /// Numbers side by side.
    const LANES: usize;

    /// `value` in every lane.
    #[must_use]
    fn splat(self, value: f64) -> Self;
    /// `self < other`; false where either is not a number.
    fn less(self, other: Self) -> Self::Mask;
    /// `yes` where the mask holds, `no` elsewhere.
    #[must_use]
    fn select(mask: Self::Mask, yes: Self, no: Self) -> Self;
    /// Magnitude.
    #[must_use]
    fn abs(self) -> Self;
    /// Square root.
    #[must_use]
    fn sqrt(self) -> Self;
    /// 2ⁿ, with n an integer of magnitude below 1023 in the low bits of the mantissa.
    #[must_use]
    fn power_of_two(self) -> Self;
    /// One lane's number.
    fn lane(self, lane: usize) -> f64;
    /// The same with one lane changed.
    #[must_use]
    fn with_lane(self, lane: usize, value: f64) -> Self;

    /// Runs a piece of work as a function of its own, compiled for the processor's vectors.
    fn run<W: Work>(self, work: W) -> W::Output;

    /// The lesser; `self` where `other` is not a number.
    #[must_use]
    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn lesser(self, other: Self) -> Self {
        Self::select(other.less(self), other, self)
    }
    /// The greater; `self` where `other` is not a number.
    #[must_use]
    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn greater(self, other: Self) -> Self {
        Self::select(self.less(other), other, self)
    }
    /// A number per lane.
    #[must_use]
    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn gather(self, mut value: impl FnMut(usize) -> f64) -> Self {
        let mut all = self;
        for lane in 0..Self::LANES {
            all = all.with_lane(lane, value(lane));
        }
        all
    }
    /// A truth value per lane.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn mask(self, mut value: impl FnMut(usize) -> bool) -> Self::Mask {
        let mut mask = self.less(self);
        for lane in 0..Self::LANES {
            mask = mask.with_lane(lane, value(lane));
        }
        mask
    }
}

impl Mask for bool {
    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn any(self) -> bool {
        self
    }
    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn lane(self, _: usize) -> bool {
        self
    }
    #[inline(always)]
    #[allow(clippy::inline_always)]
    fn with_lane(self, _: usize, value: bool) -> bool {
        value
    }
}

#[allow(clippy::inline_always)]
impl Real for f64 {
    type Mask = bool;
    const LANES: usize = 1;

    #[inline(always)]
    fn splat(self, value: f64) -> f64 {
        value
    }
    #[inline(always)]
    fn less(self, other: f64) -> bool {
        self < other
    }
    #[inline(always)]
    fn select(mask: bool, yes: f64, no: f64) -> f64 {
        if mask { yes } else { no }
    }
    #[inline(always)]
    fn abs(self) -> f64 {
        f64::abs(self)
    }
    #[inline(always)]
    fn sqrt(self) -> f64 {
        f64::sqrt(self)
    }
    #[inline(always)]
    fn power_of_two(self) -> f64 {
        f64::from_bits(self.to_bits().wrapping_add(1023) << 52)
    }
    #[inline(always)]
    fn lane(self, _: usize) -> f64 {
        self
    }
    #[inline(always)]
    fn with_lane(self, _: usize, value: f64) -> f64 {
        value
    }
    #[inline(never)]
    fn run<W: Work>(self, work: W) -> W::Output {
        work.call()
    }
}
