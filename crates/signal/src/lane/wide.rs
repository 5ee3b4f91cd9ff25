//! Four and eight runs side by side in the vector registers of AVX2 and AVX-512.
//!
//! The compiler turns plain arrays ([`super::Lanes`]) into vectors only where it sees through hundreds of lines, and takes
//! minutes over it. Here every operation is the instruction it should become.
//!
//! **Safety.** Each operation needs a processor with the instructions. Both types are private to this crate: the only way to
//! them leads through [`crate::Instructions::side_by_side`], which finds the instructions before it hands the type on.

#![allow(unsafe_code, reason = "vector instructions; see above for why they are there")]

use super::{Lane, UNITS_LAST, Work};
use std::arch::x86_64::*;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// An operator that is one instruction.
macro_rules! operator {
    ($type:ident, $trait:ident, $method:ident, $instruction:ident) => {
        impl $trait for $type {
            type Output = Self;
            #[inline(always)]
            fn $method(self, other: Self) -> Self {
                // SAFETY: the type exists only where the instruction does.
                $type(unsafe { $instruction(self.0, other.0) })
            }
        }
    };
}

pub(super) use operator;

/// What both widths have in common: operators, and their numbers as an array.
macro_rules! vector {
    ($type:ident, $vector:ty, $number:ty, $width:literal, $add:ident, $sub:ident, $mul:ident, $div:ident) => {
        operator!($type, Add, add, $add);
        operator!($type, Sub, sub, $sub);
        operator!($type, Mul, mul, $mul);
        operator!($type, Div, div, $div);

        impl AddAssign for $type {
            #[inline(always)]
            fn add_assign(&mut self, other: Self) {
                *self = *self + other;
            }
        }
        impl SubAssign for $type {
            #[inline(always)]
            fn sub_assign(&mut self, other: Self) {
                *self = *self - other;
            }
        }
        impl Neg for $type {
            type Output = Self;
            #[inline(always)]
            fn neg(self) -> Self {
                self.negative()
            }
        }
        impl Default for $type {
            #[inline(always)]
            fn default() -> Self {
                Self::of([0.0; $width])
            }
        }
        impl std::fmt::Debug for $type {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                self.numbers().fmt(f)
            }
        }
        impl $type {
            #[inline(always)]
            fn of(numbers: [$number; $width]) -> Self {
                // SAFETY: a vector is its numbers one after the other.
                $type(unsafe { std::mem::transmute::<[$number; $width], $vector>(numbers) })
            }
            #[inline(always)]
            fn numbers(&self) -> &[$number; $width] {
                // SAFETY: a vector is its numbers one after the other, and aligned at least as they are.
                unsafe { &*(&raw const self.0).cast::<[$number; $width]>() }
            }
            #[inline(always)]
            fn numbers_mut(&mut self) -> &mut [$number; $width] {
                // SAFETY: as above.
                unsafe { &mut *(&raw mut self.0).cast::<[$number; $width]>() }
            }
        }
    };
}

pub(super) use vector;

/// What the trait's methods of both widths have in common.
macro_rules! as_numbers {
    ($width:literal) => {
        const WIDTH: usize = $width;
        type Number = f64;
        const ROUNDING: f64 = 1e-10;
        const WHOLE_BITS: u32 = 52;
        const LEAST_POSITIVE: f64 = f64::MIN_POSITIVE;

        #[inline(always)]
        fn number(value: f64) -> f64 {
            value
        }
        #[inline(always)]
        fn spread(number: f64) -> Self {
            Self::splat(number)
        }

        #[inline(always)]
        fn from_fn(value: impl FnMut(usize) -> f64) -> Self {
            Self::of(std::array::from_fn(value))
        }
        #[inline(always)]
        fn get(self, lane: usize) -> f64 {
            self.numbers()[lane]
        }
        #[inline(always)]
        fn peek(&self, lane: usize) -> f64 {
            self.numbers()[lane]
        }
        #[inline(always)]
        fn set(&mut self, lane: usize, value: f64) {
            self.numbers_mut()[lane] = value;
        }
        #[inline(always)]
        fn columns<const K: usize>(rows: &[&[f64; K]]) -> [Self; K] {
            let rows = &rows[..$width];
            let mut each = [&[0.0; K]; $width];
            for i in 0..$width {
                each[i] = rows[i];
            }
            Self::turned(each)
        }
    };
}

/// Four runs in a register of AVX2.
#[derive(Clone, Copy)]
pub struct Four(__m256d);
vector!(Four, __m256d, f64, 4, _mm256_add_pd, _mm256_sub_pd, _mm256_mul_pd, _mm256_div_pd);

// SAFETY, of every block: the type exists only where AVX2 does.
impl Four {
    #[inline(always)]
    fn negative(self) -> Self {
        Four(unsafe { _mm256_xor_pd(self.0, _mm256_set1_pd(-0.0)) })
    }

    #[inline(always)]
    fn load(four: &[f64; 4]) -> Self {
        Four(unsafe { _mm256_loadu_pd(four.as_ptr()) })
    }

    /// Four rows of four become columns.
    #[inline(always)]
    fn square([a, b, c, d]: [Self; 4]) -> [Self; 4] {
        unsafe {
            let (low, high) = (_mm256_unpacklo_pd(a.0, b.0), _mm256_unpackhi_pd(a.0, b.0));
            let (low2, high2) = (_mm256_unpacklo_pd(c.0, d.0), _mm256_unpackhi_pd(c.0, d.0));
            [
                Four(_mm256_permute2f128_pd::<0x20>(low, low2)),
                Four(_mm256_permute2f128_pd::<0x20>(high, high2)),
                Four(_mm256_permute2f128_pd::<0x31>(low, low2)),
                Four(_mm256_permute2f128_pd::<0x31>(high, high2)),
            ]
        }
    }

    /// Rows become columns.
    #[inline(always)]
    fn turned<const K: usize>(rows: [&[f64; K]; 4]) -> [Self; K] {
        let mut out = [Self::default(); K];
        for part in 0..K / 4 {
            let mut four = [Self::default(); 4];
            for i in 0..4 {
                let row = rows[i];
                four[i] = Self::load(&[row[4 * part], row[4 * part + 1], row[4 * part + 2], row[4 * part + 3]]);
            }
            let columns = Self::square(four);
            for k in 0..4 {
                out[4 * part + k] = columns[k];
            }
        }
        for k in K / 4 * 4..K {
            out[k] = Self::of([rows[0][k], rows[1][k], rows[2][k], rows[3][k]]);
        }
        out
    }
}

// SAFETY, of every block: the type exists only where AVX2 does.
impl Lane for Four {
    type Mask = __m256d;
    type Index = [usize; 4];
    as_numbers!(4);

    #[inline(always)]
    fn whole(self) -> [usize; 4] {
        let shifted = self + Self::splat(UNITS_LAST);
        let mut out = [0; 4];
        for i in 0..4 {
            out[i] = (shifted.numbers()[i].to_bits() & 0xffff_ffff) as usize;
        }
        out
    }
    #[inline(always)]
    fn rows<const K: usize>(table: &[[f64; K]], index: [usize; 4], ahead: usize) -> [Self; K] {
        let mut rows = [&[0.0; K]; 4];
        for i in 0..4 {
            rows[i] = &table[index[i] + ahead];
        }
        Self::turned(rows)
    }
    #[inline(always)]
    fn among(numbers: &[f64; 16], index: [usize; 4]) -> Self {
        Self::of(index.map(|i| numbers[i % 16]))
    }
    #[inline(always)]
    fn index_among(indices: &[u16; 64], index: [usize; 4]) -> [usize; 4] {
        index.map(|i| usize::from(indices[i % 64]))
    }
    #[inline(always)]
    fn enter<W: Work>(work: W) -> W::Output {
        unsafe { with_avx2(work) }
    }
    #[inline(always)]
    fn splat(value: f64) -> Self {
        Four(unsafe { _mm256_set1_pd(value) })
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        // The first where it is less, else the second: as the scalar has it, NaN and zeros included.
        Four(unsafe { _mm256_min_pd(other.0, self.0) })
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        Four(unsafe { _mm256_max_pd(other.0, self.0) })
    }
    #[inline(always)]
    fn abs(self) -> Self {
        Four(unsafe { _mm256_andnot_pd(_mm256_set1_pd(-0.0), self.0) })
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        Four(unsafe { _mm256_sqrt_pd(self.0) })
    }
    #[inline(always)]
    fn floor(self) -> Self {
        Four(unsafe { _mm256_floor_pd(self.0) })
    }
    #[inline(always)]
    fn gt(self, other: Self) -> __m256d {
        unsafe { _mm256_cmp_pd::<_CMP_GT_OQ>(self.0, other.0) }
    }
    #[inline(always)]
    fn ge(self, other: Self) -> __m256d {
        unsafe { _mm256_cmp_pd::<_CMP_GE_OQ>(self.0, other.0) }
    }
    #[inline(always)]
    fn and(a: __m256d, b: __m256d) -> __m256d {
        unsafe { _mm256_and_pd(a, b) }
    }
    #[inline(always)]
    fn select(mask: __m256d, yes: Self, no: Self) -> Self {
        Four(unsafe { _mm256_blendv_pd(no.0, yes.0, mask) })
    }
    #[inline(always)]
    fn any(mask: __m256d) -> bool {
        unsafe { _mm256_movemask_pd(mask) != 0 }
    }
    #[inline(always)]
    fn all(mask: __m256d) -> bool {
        unsafe { _mm256_movemask_pd(mask) == 0b1111 }
    }
}

/// Eight runs in a register of AVX-512.
#[derive(Clone, Copy)]
pub struct Eight(__m512d);
vector!(Eight, __m512d, f64, 8, _mm512_add_pd, _mm512_sub_pd, _mm512_mul_pd, _mm512_div_pd);

// SAFETY, of every block: the type exists only where AVX-512 does.
impl Eight {
    #[inline(always)]
    fn negative(self) -> Self {
        Eight(unsafe { _mm512_xor_pd(self.0, _mm512_set1_pd(-0.0)) })
    }

    /// Two rows of four.
    #[inline(always)]
    fn load(low: &[f64; 4], high: &[f64; 4]) -> Self {
        unsafe {
            let low = _mm512_castpd256_pd512(_mm256_loadu_pd(low.as_ptr()));
            Eight(_mm512_insertf64x4::<1>(low, _mm256_loadu_pd(high.as_ptr())))
        }
    }

    /// In both halves four rows of four become columns.
    #[inline(always)]
    fn squares([a, b, c, d]: [Self; 4]) -> [Self; 4] {
        unsafe {
            let (even, odd) =
                (_mm512_setr_epi64(0, 1, 8, 9, 4, 5, 12, 13), _mm512_setr_epi64(2, 3, 10, 11, 6, 7, 14, 15));
            let (low, high) = (_mm512_unpacklo_pd(a.0, b.0), _mm512_unpackhi_pd(a.0, b.0));
            let (low2, high2) = (_mm512_unpacklo_pd(c.0, d.0), _mm512_unpackhi_pd(c.0, d.0));
            [
                Eight(_mm512_permutex2var_pd(low, even, low2)),
                Eight(_mm512_permutex2var_pd(high, even, high2)),
                Eight(_mm512_permutex2var_pd(low, odd, low2)),
                Eight(_mm512_permutex2var_pd(high, odd, high2)),
            ]
        }
    }

    /// Rows become columns.
    #[inline(always)]
    fn turned<const K: usize>(rows: [&[f64; K]; 8]) -> [Self; K] {
        let mut out = [Self::default(); K];
        for part in 0..K / 4 {
            let mut pairs = [Self::default(); 4];
            for i in 0..4 {
                let four = |row: &[f64; K]| [row[4 * part], row[4 * part + 1], row[4 * part + 2], row[4 * part + 3]];
                pairs[i] = Self::load(&four(rows[i]), &four(rows[i + 4]));
            }
            let columns = Self::squares(pairs);
            for k in 0..4 {
                out[4 * part + k] = columns[k];
            }
        }
        for k in K / 4 * 4..K {
            out[k] = Self::from_fn(|i| rows[i][k]);
        }
        out
    }
}

// SAFETY, of every block: the type exists only where AVX-512 does.
impl Lane for Eight {
    type Mask = __mmask8;
    /// Those of the last 32 bits.
    type Index = __m512i;
    as_numbers!(8);

    #[inline(always)]
    fn whole(self) -> __m512i {
        unsafe { _mm512_castpd_si512((self + Self::splat(UNITS_LAST)).0) }
    }
    #[inline(always)]
    fn rows<const K: usize>(table: &[[f64; K]], index: __m512i, ahead: usize) -> [Self; K] {
        // SAFETY: a vector is its numbers one after the other.
        let index = unsafe { std::mem::transmute::<__m512i, [u64; 8]>(index) };
        let mut rows = [&[0.0; K]; 8];
        for i in 0..8 {
            rows[i] = &table[(index[i] & 0xffff_ffff) as usize + ahead];
        }
        Self::turned(rows)
    }
    const LOOKS_UP: bool = true;
    #[inline(always)]
    fn among(numbers: &[f64; 16], index: __m512i) -> Self {
        unsafe {
            let (low, high) = (_mm512_loadu_pd(&raw const numbers[0]), _mm512_loadu_pd(&raw const numbers[8]));
            Eight(_mm512_permutex2var_pd(low, index, high))
        }
    }
    #[inline(always)]
    fn index_among(indices: &[u16; 64], index: __m512i) -> __m512i {
        unsafe {
            let (low, high) = (
                _mm512_loadu_si512((&raw const indices[0]).cast()),
                _mm512_loadu_si512((&raw const indices[32]).cast()),
            );
            // The lowest of the four pieces of each lane; the others become zero.
            _mm512_maskz_permutex2var_epi16(0x1111_1111, low, index, high)
        }
    }
    #[inline(always)]
    fn enter<W: Work>(work: W) -> W::Output {
        unsafe { with_avx512(work) }
    }
    #[inline(always)]
    fn splat(value: f64) -> Self {
        Eight(unsafe { _mm512_set1_pd(value) })
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        // The first where it is less, else the second: as the scalar has it, NaN and zeros included.
        Eight(unsafe { _mm512_min_pd(other.0, self.0) })
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        Eight(unsafe { _mm512_max_pd(other.0, self.0) })
    }
    #[inline(always)]
    fn abs(self) -> Self {
        Eight(unsafe { _mm512_abs_pd(self.0) })
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        Eight(unsafe { _mm512_sqrt_pd(self.0) })
    }
    #[inline(always)]
    fn floor(self) -> Self {
        Eight(unsafe { _mm512_roundscale_pd::<{ _MM_FROUND_TO_NEG_INF | _MM_FROUND_NO_EXC }>(self.0) })
    }
    #[inline(always)]
    fn gt(self, other: Self) -> __mmask8 {
        unsafe { _mm512_cmp_pd_mask::<_CMP_GT_OQ>(self.0, other.0) }
    }
    #[inline(always)]
    fn ge(self, other: Self) -> __mmask8 {
        unsafe { _mm512_cmp_pd_mask::<_CMP_GE_OQ>(self.0, other.0) }
    }
    #[inline(always)]
    fn and(a: __mmask8, b: __mmask8) -> __mmask8 {
        a & b
    }
    #[inline(always)]
    fn select(mask: __mmask8, yes: Self, no: Self) -> Self {
        Eight(unsafe { _mm512_mask_blend_pd(mask, no.0, yes.0) })
    }
    #[inline(always)]
    fn any(mask: __mmask8) -> bool {
        mask != 0
    }
    #[inline(always)]
    fn all(mask: __mmask8) -> bool {
        mask == 0xff
    }
}

/// Asks for the cache line of a number that will be read soon.
#[inline(always)]
pub(super) fn fetch(number: &f64) {
    // SAFETY: a hint on an address that is there.
    unsafe { _mm_prefetch::<_MM_HINT_T0>((&raw const *number).cast()) }
}

#[inline(never)]
#[target_feature(enable = "avx2")]
pub(super) fn with_avx2<W: Work>(work: W) -> W::Output {
    work.run()
}

#[inline(never)]
#[target_feature(enable = "avx512f,avx512dq,avx512vl,avx512bw")]
pub(super) fn with_avx512<W: Work>(work: W) -> W::Output {
    work.run()
}
