//! Eight numbers in a register, with AVX-512.

#![allow(clippy::inline_always, reason = "these are single instructions")]

use super::register::register;
use crate::circuit::real::{Mask, Real, Work};
use pulp::bytemuck::cast;
use pulp::x86::V4;
use std::arch::x86_64::{__m512d, _CMP_LT_OQ};
use std::ops::{BitAnd, BitOr, Neg, Not};

/// A bit for each lane.
#[derive(Debug, Clone, Copy)]
pub struct EightMask(u8);

register! {
    /// Eight numbers in a register.
    Eight: 8 in __m512d, V4, avx512f, _mm512_setzero_pd,
    Add add _mm512_add_pd, Sub sub _mm512_sub_pd, Mul mul _mm512_mul_pd, Div div _mm512_div_pd
}

impl Neg for Eight {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        let sign = self.simd.avx512f._mm512_set1_pd(-0.0);
        self.with(self.simd.avx512dq._mm512_xor_pd(self.value, sign))
    }
}

impl BitAnd for EightMask {
    type Output = Self;
    #[inline(always)]
    fn bitand(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }
}

impl BitOr for EightMask {
    type Output = Self;
    #[inline(always)]
    fn bitor(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }
}

impl Not for EightMask {
    type Output = Self;
    #[inline(always)]
    fn not(self) -> Self {
        Self(!self.0)
    }
}

impl Mask for EightMask {
    #[inline(always)]
    fn any(self) -> bool {
        self.0 != 0
    }
    #[inline(always)]
    fn lane(self, lane: usize) -> bool {
        self.0 & (1 << lane) != 0
    }
    #[inline(always)]
    fn with_lane(self, lane: usize, value: bool) -> Self {
        Self(self.0 & !(1 << lane) | u8::from(value) << lane)
    }
}

impl Real for Eight {
    type Mask = EightMask;
    const LANES: usize = 8;

    #[inline(always)]
    fn splat(self, value: f64) -> Self {
        self.with(self.simd.avx512f._mm512_set1_pd(value))
    }
    #[inline(always)]
    fn less(self, other: Self) -> EightMask {
        let avx512f = self.simd.avx512f;
        EightMask(avx512f._mm512_cmp_pd_mask::<_CMP_LT_OQ>(self.value, other.value))
    }
    #[inline(always)]
    fn select(mask: EightMask, yes: Self, no: Self) -> Self {
        let avx512f = yes.simd.avx512f;
        yes.with(avx512f._mm512_mask_blend_pd(mask.0, no.value, yes.value))
    }
    #[inline(always)]
    fn abs(self) -> Self {
        self.with(self.simd.avx512f._mm512_abs_pd(self.value))
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        self.with(self.simd.avx512f._mm512_sqrt_pd(self.value))
    }
    #[inline(always)]
    fn power_of_two(self) -> Self {
        let avx512f = self.simd.avx512f;
        let biased = avx512f._mm512_add_epi64(cast(self.value), avx512f._mm512_set1_epi64(1023));
        self.with(cast(avx512f._mm512_slli_epi64::<52>(biased)))
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
