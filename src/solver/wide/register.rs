//! What vector registers of any width have in common.

/// A register type: its numbers, the processor's proof, and the operators between them.
macro_rules! register {
    (
        $(#[$doc:meta])* $name:ident: $lanes:literal in $vector:ty, $proof:ty, $set:ident,
        $zeros:ident, $($trait:ident $function:ident $instruction:ident),*
    ) => {
        $(#[$doc])*
        #[derive(Clone, Copy)]
        pub struct $name {
            simd: $proof,
            value: $vector,
        }

        impl $name {
            /// Zeros, if the processor has the instructions.
            pub fn zero() -> Option<Self> {
                let simd = <$proof>::try_new()?;
                Some(Self {
                    simd,
                    value: simd.$set.$zeros(),
                })
            }

            #[inline(always)]
            fn with(self, value: $vector) -> Self {
                Self {
                    simd: self.simd,
                    value,
                }
            }

            #[inline(always)]
            fn lanes(self) -> [f64; $lanes] {
                cast(self.value)
            }
        }

        impl std::fmt::Debug for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                self.lanes().fmt(f)
            }
        }

        impl PartialEq for $name {
            fn eq(&self, other: &Self) -> bool {
                self.lanes() == other.lanes()
            }
        }

        $(
            impl std::ops::$trait for $name {
                type Output = Self;
                #[inline(always)]
                fn $function(self, other: Self) -> Self {
                    self.with(self.simd.$set.$instruction(self.value, other.value))
                }
            }
            impl std::ops::$trait<f64> for $name {
                type Output = Self;
                #[inline(always)]
                fn $function(self, other: f64) -> Self {
                    self.$function(self.splat(other))
                }
            }
        )*

        impl std::ops::AddAssign for $name {
            #[inline(always)]
            fn add_assign(&mut self, other: Self) {
                *self = *self + other;
            }
        }

        impl std::ops::SubAssign for $name {
            #[inline(always)]
            fn sub_assign(&mut self, other: Self) {
                *self = *self - other;
            }
        }
    };
}

pub(super) use register;
