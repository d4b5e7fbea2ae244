//! Numbers side by side: four in a vector register, or two of any kind one after the other.
//!
//! [`Wide`] carries the processor's proof that it has the instructions, so that nothing here is
//! unsafe and the program still runs where they are missing. [`Twice`] doubles the lanes and gives
//! the processor a second, independent chain of work while the first waits for its results.

#![allow(clippy::inline_always, reason = "these are single instructions")]

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

#[cfg(target_arch = "x86_64")]
pub use x86::Wide;

#[cfg(target_arch = "x86_64")]
mod x86 {
    use super::{
        Add, AddAssign, BitAnd, BitOr, Div, Mask, Mul, Neg, Not, Real, Sub, SubAssign, Work,
    };
    use pulp::bytemuck::cast;
    use pulp::x86::V3;
    use std::arch::x86_64::{__m256d, _CMP_LT_OQ};

    /// Four numbers in a register.
    #[derive(Clone, Copy)]
    pub struct Wide {
        simd: V3,
        value: __m256d,
    }

    /// All bits set where true.
    #[derive(Clone, Copy)]
    pub struct WideMask {
        simd: V3,
        value: __m256d,
    }

    impl Wide {
        /// Zeros, if the processor has the instructions.
        pub fn zero() -> Option<Self> {
            let simd = V3::try_new()?;
            Some(Self {
                simd,
                value: simd.avx._mm256_setzero_pd(),
            })
        }

        #[inline(always)]
        fn with(self, value: __m256d) -> Self {
            Self {
                simd: self.simd,
                value,
            }
        }
    }

    impl std::fmt::Debug for Wide {
        fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
            cast::<_, [f64; 4]>(self.value).fmt(f)
        }
    }

    impl PartialEq for Wide {
        fn eq(&self, other: &Self) -> bool {
            cast::<_, [f64; 4]>(self.value) == cast::<_, [f64; 4]>(other.value)
        }
    }

    impl std::fmt::Debug for WideMask {
        fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
            cast::<_, [u64; 4]>(self.value).fmt(f)
        }
    }

    macro_rules! operator {
        ($($trait:ident $function:ident $instruction:ident),*) => {$(
            impl $trait for Wide {
                type Output = Self;
                #[inline(always)]
                fn $function(self, other: Self) -> Self {
                    self.with(self.simd.avx.$instruction(self.value, other.value))
                }
            }
            impl $trait<f64> for Wide {
                type Output = Self;
                #[inline(always)]
                fn $function(self, other: f64) -> Self {
                    self.$function(self.splat(other))
                }
            }
        )*};
    }
    operator!(Add add _mm256_add_pd, Sub sub _mm256_sub_pd, Mul mul _mm256_mul_pd, Div div _mm256_div_pd);

    impl Neg for Wide {
        type Output = Self;
        #[inline(always)]
        fn neg(self) -> Self {
            let sign = self.simd.avx._mm256_set1_pd(-0.0);
            self.with(self.simd.avx._mm256_xor_pd(self.value, sign))
        }
    }

    impl AddAssign for Wide {
        #[inline(always)]
        fn add_assign(&mut self, other: Self) {
            *self = *self + other;
        }
    }

    impl SubAssign for Wide {
        #[inline(always)]
        fn sub_assign(&mut self, other: Self) {
            *self = *self - other;
        }
    }

    impl WideMask {
        #[inline(always)]
        fn with(self, value: __m256d) -> Self {
            Self {
                simd: self.simd,
                value,
            }
        }
    }

    impl BitAnd for WideMask {
        type Output = Self;
        #[inline(always)]
        fn bitand(self, other: Self) -> Self {
            self.with(self.simd.avx._mm256_and_pd(self.value, other.value))
        }
    }

    impl BitOr for WideMask {
        type Output = Self;
        #[inline(always)]
        fn bitor(self, other: Self) -> Self {
            self.with(self.simd.avx._mm256_or_pd(self.value, other.value))
        }
    }

    impl Not for WideMask {
        type Output = Self;
        #[inline(always)]
        fn not(self) -> Self {
            let all = self.simd.avx._mm256_set1_pd(f64::from_bits(u64::MAX));
            self.with(self.simd.avx._mm256_xor_pd(self.value, all))
        }
    }

    impl Mask for WideMask {
        #[inline(always)]
        fn any(self) -> bool {
            self.simd.avx._mm256_movemask_pd(self.value) != 0
        }
        #[inline(always)]
        fn lane(self, lane: usize) -> bool {
            cast::<_, [u64; 4]>(self.value)[lane] != 0
        }
        #[inline(always)]
        fn with_lane(self, lane: usize, value: bool) -> Self {
            let mut lanes: [u64; 4] = cast(self.value);
            lanes[lane] = if value { u64::MAX } else { 0 };
            self.with(cast(lanes))
        }
    }

    impl Real for Wide {
        type Mask = WideMask;
        const LANES: usize = 4;

        #[inline(always)]
        fn splat(self, value: f64) -> Self {
            self.with(self.simd.avx._mm256_set1_pd(value))
        }
        #[inline(always)]
        fn less(self, other: Self) -> WideMask {
            WideMask {
                simd: self.simd,
                value: self
                    .simd
                    .avx
                    ._mm256_cmp_pd::<_CMP_LT_OQ>(self.value, other.value),
            }
        }
        #[inline(always)]
        fn select(mask: WideMask, yes: Self, no: Self) -> Self {
            yes.with(
                yes.simd
                    .avx
                    ._mm256_blendv_pd(no.value, yes.value, mask.value),
            )
        }
        #[inline(always)]
        fn abs(self) -> Self {
            let sign = self.simd.avx._mm256_set1_pd(-0.0);
            self.with(self.simd.avx._mm256_andnot_pd(sign, self.value))
        }
        #[inline(always)]
        fn sqrt(self) -> Self {
            self.with(self.simd.avx._mm256_sqrt_pd(self.value))
        }
        #[inline(always)]
        fn power_of_two(self) -> Self {
            let (avx, avx2) = (self.simd.avx, self.simd.avx2);
            let biased = avx2._mm256_add_epi64(cast(self.value), avx._mm256_set1_epi64x(1023));
            self.with(cast(avx2._mm256_slli_epi64::<52>(biased)))
        }
        #[inline(always)]
        fn lane(self, lane: usize) -> f64 {
            cast::<_, [f64; 4]>(self.value)[lane]
        }
        #[inline(always)]
        fn with_lane(self, lane: usize, value: f64) -> Self {
            let mut lanes: [f64; 4] = cast(self.value);
            lanes[lane] = value;
            self.with(cast(lanes))
        }
        fn run<W: Work>(self, work: W) -> W::Output {
            struct Call<W>(W);
            impl<W: Work> pulp::NullaryFnOnce for Call<W> {
                type Output = W::Output;
                #[inline(always)]
                fn call(self) -> W::Output {
                    self.0.call()
                }
            }
            self.simd.vectorize(Call(work))
        }
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
    if let Some(zero) = Wide::zero() {
        return zero.run(WithZero(Twice(zero, zero), work));
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
        if let Some(zero) = Wide::zero() {
            agree(zero);
            agree(Twice(zero, zero));
        }
    }
}
