//! Numbers side by side: eight or four in a vector register, or two of any kind one after the other.
//!
//! [`Eight`] and [`Four`] carry the processor's proof that it has the instructions, so that nothing
//! here is unsafe and the program still runs where they are missing. [`Twice`] doubles the lanes and gives
//! the processor a second, independent chain of work while the first waits for its results.

#![allow(clippy::inline_always, reason = "these are single instructions")]

#[cfg(target_arch = "x86_64")]
mod eight;
#[cfg(target_arch = "x86_64")]
mod four;
#[cfg(target_arch = "x86_64")]
mod register;

#[cfg(target_arch = "x86_64")]
pub use eight::Eight;
#[cfg(target_arch = "x86_64")]
pub use four::Four;

use std::ops::{Add, AddAssign, BitAnd, BitOr, Div, Mul, Neg, Not, Sub, SubAssign};

use crate::circuit::real::{Mask, Real, Work};

/// Two of a kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Twice<T>(pub T, pub T);

macro_rules! twice {
    ($($trait:ident $function:ident),*) => {$(
        impl<R: Real> $trait for Twice<R> {
            type Output = Self;
            #[inline(always)]
            fn $function(self, other: Self) -> Self {
                Self(self.0.$function(other.0), self.1.$function(other.1))
            }
        }
    )*};
}
twice!(Add add, Sub sub, Mul mul, Div div);

macro_rules! twice_by_number {
    ($($trait:ident $function:ident),*) => {$(
        impl<R: Real> $trait<f64> for Twice<R> {
            type Output = Self;
            #[inline(always)]
            fn $function(self, other: f64) -> Self {
                Self(self.0.$function(other), self.1.$function(other))
            }
        }
    )*};
}
twice_by_number!(Add add, Sub sub, Mul mul);

impl<R: Real> Neg for Twice<R> {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        Self(-self.0, -self.1)
    }
}

impl<R: Real> AddAssign for Twice<R> {
    #[inline(always)]
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl<R: Real> SubAssign for Twice<R> {
    #[inline(always)]
    fn sub_assign(&mut self, other: Self) {
        *self = *self - other;
    }
}

/// Truth values of a [`Twice`].
#[derive(Debug, Clone, Copy)]
pub struct TwiceMask<R: Real>(R::Mask, R::Mask);

impl<R: Real> BitAnd for TwiceMask<R> {
    type Output = Self;
    #[inline(always)]
    fn bitand(self, other: Self) -> Self {
        Self(self.0 & other.0, self.1 & other.1)
    }
}

impl<R: Real> BitOr for TwiceMask<R> {
    type Output = Self;
    #[inline(always)]
    fn bitor(self, other: Self) -> Self {
        Self(self.0 | other.0, self.1 | other.1)
    }
}

impl<R: Real> Not for TwiceMask<R> {
    type Output = Self;
    #[inline(always)]
    fn not(self) -> Self {
        Self(!self.0, !self.1)
    }
}

impl<R: Real> Mask for TwiceMask<R> {
    #[inline(always)]
    fn any(self) -> bool {
        self.0.any() | self.1.any()
    }
    #[inline(always)]
    fn lane(self, lane: usize) -> bool {
        if lane < R::LANES {
            self.0.lane(lane)
        } else {
            self.1.lane(lane - R::LANES)
        }
    }
    #[inline(always)]
    fn with_lane(self, lane: usize, value: bool) -> Self {
        if lane < R::LANES {
            Self(self.0.with_lane(lane, value), self.1)
        } else {
            Self(self.0, self.1.with_lane(lane - R::LANES, value))
        }
    }
}

impl<R: Real> Real for Twice<R> {
    type Mask = TwiceMask<R>;
    const LANES: usize = 2 * R::LANES;

    #[inline(always)]
    fn splat(self, value: f64) -> Self {
        Self(self.0.splat(value), self.1.splat(value))
    }
    #[inline(always)]
    fn less(self, other: Self) -> TwiceMask<R> {
        TwiceMask(self.0.less(other.0), self.1.less(other.1))
    }
    #[inline(always)]
    fn select(mask: TwiceMask<R>, yes: Self, no: Self) -> Self {
        Self(
            R::select(mask.0, yes.0, no.0),
            R::select(mask.1, yes.1, no.1),
        )
    }
    #[inline(always)]
    fn abs(self) -> Self {
        Self(self.0.abs(), self.1.abs())
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        Self(self.0.sqrt(), self.1.sqrt())
    }
    #[inline(always)]
    fn power_of_two(self) -> Self {
        Self(self.0.power_of_two(), self.1.power_of_two())
    }
    #[inline(always)]
    fn lane(self, lane: usize) -> f64 {
        if lane < R::LANES {
            self.0.lane(lane)
        } else {
            self.1.lane(lane - R::LANES)
        }
    }
    #[inline(always)]
    fn with_lane(self, lane: usize, value: f64) -> Self {
        if lane < R::LANES {
            Self(self.0.with_lane(lane, value), self.1)
        } else {
            Self(self.0, self.1.with_lane(lane - R::LANES, value))
        }
    }
    fn run<W: Work>(self, work: W) -> W::Output {
        self.0.run(work)
    }
}

/// Work for as many lanes as a sweep has.
pub trait OnLanes {
    /// What comes of it.
    type Output;
    /// Does it; to be inlined always.
    fn on<R: Real>(self, zero: R) -> Self::Output;
}

/// Does work with the widest vectors of this processor.
pub fn side_by_side<W: OnLanes>(work: W) -> W::Output {
    #[cfg(target_arch = "x86_64")]
    {
        if let Some(zero) = Eight::zero() {
            return zero.run(WithZero(zero, work));
        }
        if let Some(zero) = Four::zero() {
            return zero.run(WithZero(Twice(zero, zero), work));
        }
    }
    let four = Twice(Twice(0.0, 0.0), Twice(0.0, 0.0));
    work.on(Twice(four, four))
}

struct WithZero<R, W>(R, W);

impl<R: Real, W: OnLanes> Work for WithZero<R, W> {
    type Output = W::Output;

    #[inline(always)]
    fn call(self) -> W::Output {
        self.1.on(self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::smooth;

    /// Every lane of every width computes what one number does, to the bit.
    #[test]
    fn lanes_are_single_numbers_side_by_side() {
        fn agree<R: Real>(zero: R) {
            for k in 0..200 {
                let x = zero.gather(|l| (k as f64 - 90.0) * 0.37 + l as f64 * 1.3);
                let y = zero.gather(|l| 0.2 + (k * l) as f64 * 0.11);
                let minimum = smooth::minimum(x, y, zero.splat(0.05));
                for l in 0..R::LANES {
                    let (a, b) = (x.lane(l), y.lane(l));
                    assert_eq!(smooth::exp(x).lane(l).to_bits(), smooth::exp(a).to_bits());
                    assert_eq!(smooth::sine(x).lane(l).to_bits(), smooth::sine(a).to_bits());
                    assert_eq!(
                        smooth::tanh(x).1.lane(l).to_bits(),
                        smooth::tanh(a).1.to_bits()
                    );
                    let alone = smooth::minimum(a, b, 0.05);
                    assert_eq!(minimum.0.lane(l).to_bits(), alone.0.to_bits());
                    assert_eq!(minimum.2.lane(l).to_bits(), alone.2.to_bits());
                    assert_eq!(x.less(y).lane(l), a < b);
                    assert_ne!((!x.less(y)).lane(l), a < b);
                    assert_eq!(
                        (x.abs() / y - x).lane(l).to_bits(),
                        (a.abs() / b - a).to_bits()
                    );
                }
            }
        }
        agree(Twice(0.0, 0.0));
        agree(Twice(Twice(0.0, 0.0), Twice(0.0, 0.0)));
        #[cfg(target_arch = "x86_64")]
        {
            if let Some(zero) = Four::zero() {
                agree(zero);
                agree(Twice(zero, zero));
            }
            if let Some(zero) = Eight::zero() {
                agree(zero);
            }
        }
    }
}
