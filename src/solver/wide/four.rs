//! Four numbers in a register, with AVX2.

#![allow(clippy::inline_always, reason = "these are single instructions")]

use super::register::register;
use crate::circuit::real::{Mask, Real, Work};
use pulp::bytemuck::cast;
use pulp::x86::V3;
use std::arch::x86_64::{__m256d, _CMP_LT_OQ};
use std::ops::{BitAnd, BitOr, Neg, Not};

/// All bits set where true.
#[derive(Clone, Copy)]
pub struct FourMask {
    simd: V3,
    value: __m256d,
}

register! {
    /// Four numbers in a register.
    Four: 4 in __m256d, V3, avx, _mm256_setzero_pd,
    Add add _mm256_add_pd, Sub sub _mm256_sub_pd, Mul mul _mm256_mul_pd, Div div _mm256_div_pd
}

impl std::fmt::Debug for FourMask {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        cast::<_, [u64; 4]>(self.value).fmt(f)
    }
}

impl Neg for Four {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        let sign = self.simd.avx._mm256_set1_pd(-0.0);
        self.with(self.simd.avx._mm256_xor_pd(self.value, sign))
    }
}

impl FourMask {
    #[inline(always)]
    fn with(self, value: __m256d) -> Self {
        Self {
            simd: self.simd,
            value,
        }
    }
}

impl BitAnd for FourMask {
    type Output = Self;
    #[inline(always)]
    fn bitand(self, other: Self) -> Self {
        self.with(self.simd.avx._mm256_and_pd(self.value, other.value))
    }
}

impl BitOr for FourMask {
    type Output = Self;
    #[inline(always)]
    fn bitor(self, other: Self) -> Self {
        self.with(self.simd.avx._mm256_or_pd(self.value, other.value))
    }
}

impl Not for FourMask {
    type Output = Self;
    #[inline(always)]
    fn not(self) -> Self {
        let all = self.simd.avx._mm256_set1_pd(f64::from_bits(u64::MAX));
        self.with(self.simd.avx._mm256_xor_pd(self.value, all))
    }
}

impl Mask for FourMask {
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

impl Real for Four {
    type Mask = FourMask;
    const LANES: usize = 4;

    #[inline(always)]
    fn splat(self, value: f64) -> Self {
        self.with(self.simd.avx._mm256_set1_pd(value))
    }
    #[inline(always)]
    fn less(self, other: Self) -> FourMask {
        FourMask {
            simd: self.simd,
            value: self
                .simd
                .avx
                ._mm256_cmp_pd::<_CMP_LT_OQ>(self.value, other.value),
        }
    }
    #[inline(always)]
    fn select(mask: FourMask, yes: Self, no: Self) -> Self {
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
        self.lanes()[lane]
    }
    #[inline(always)]
    fn with_lane(self, lane: usize, value: f64) -> Self {
        let mut lanes = self.lanes();
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
