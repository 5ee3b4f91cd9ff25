//! Eight and sixteen runs side by side in single precision, in the vector registers of AVX2 and AVX-512.
//!
//! Half the bits a number, so that a register holds twice the runs: for what is looked at while a handle is pulled, and for
//! searches. What goes in and comes out is `f64`. A run gives the same bits whatever its width, but not those of `f64`.
//!
//! **Safety.** As in [`super::wide`]: each operation needs a processor with the instructions, and the only way to both types
//! leads through [`crate::Instructions::side_by_side`], which finds the instructions first.

#![allow(unsafe_code, reason = "vector instructions; see above for why they are there")]

use super::wide::{operator, vector, with_avx2, with_avx512};
use super::{Lane, Work};
use std::arch::x86_64::*;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// From 2^23 on a number of single precision has no fraction.
const NO_FRACTION: f64 = 8_388_608.0;

/// 2^90, by which one factor of a product grows: the product of a force of some 1000 N a metre a second and its rate stays in
/// range, and its sign is there down to rates of some 1e-37 m/s.
const PRODUCT_SCALE: f64 = 1_237_940_039_285_380_274_899_124_224.0;

/// What the trait's methods of both widths have in common.
macro_rules! as_numbers {
    ($width:literal) => {
        const WIDTH: usize = $width;
        const ROUNDING: f64 = 1e-6;
        const WHOLE_BITS: u32 = 23;
        const LEAST_POSITIVE: f64 = f32::MIN_POSITIVE as f64;
        #[inline(always)]
        fn agrees(self, other: Self) -> Self::Mask {
            // The bare product of two small numbers vanishes long before they do: a car that comes to rest would be taken
            // for standing still from 1e-21 m/s on.
            (self * (other * Self::splat(PRODUCT_SCALE))).gt(Self::zero())
        }
        type Number = f32;

        #[inline(always)]
        fn number(value: f64) -> f32 {
            value as f32
        }
        #[inline(always)]
        fn from_fn(mut value: impl FnMut(usize) -> f64) -> Self {
            Self::of(std::array::from_fn(|lane| value(lane) as f32))
        }
        #[inline(always)]
        fn get(self, lane: usize) -> f64 {
            f64::from(self.numbers()[lane])
        }
        #[inline(always)]
        fn peek(&self, lane: usize) -> f32 {
            self.numbers()[lane]
        }
        #[inline(always)]
        fn set(&mut self, lane: usize, value: f64) {
            self.numbers_mut()[lane] = value as f32;
        }
        #[inline(always)]
        fn rounded(self) -> Self {
            (self + Self::splat(NO_FRACTION)) - Self::splat(NO_FRACTION)
        }
        #[inline(always)]
        fn columns<const K: usize>(rows: &[&[f64; K]]) -> [Self; K] {
            let rows = &rows[..$width];
            let mut out = [Self::default(); K];
            for part in 0..K / 8 {
                let mut eights = [unsafe { _mm256_setzero_ps() }; $width];
                for lane in 0..$width {
                    eights[lane] = Self::narrowed(&rows[lane][8 * part..8 * part + 8]);
                }
                let columns = Self::turned(eights);
                for k in 0..8 {
                    out[8 * part + k] = columns[k];
                }
            }
            for k in K / 8 * 8..K {
                out[k] = Self::from_fn(|lane| rows[lane][k]);
            }
            out
        }
        #[inline(always)]
        fn rows<const K: usize>(table: &[[f32; K]], index: Self::Index, ahead: usize) -> [Self; K] {
            let index = Self::indices(index);
            let mut out = [Self::default(); K];
            for part in 0..K / 4 {
                let mut fours = [unsafe { _mm_setzero_ps() }; $width];
                for lane in 0..$width {
                    let row = &table[index[lane] as usize + ahead];
                    let four = &row[4 * part..4 * part + 4];
                    // SAFETY: four numbers lie there.
                    fours[lane] = unsafe { _mm_loadu_ps(four.as_ptr()) };
                }
                let columns = Self::squares(fours);
                for k in 0..4 {
                    out[4 * part + k] = columns[k];
                }
            }
            for k in K / 4 * 4..K {
                out[k] = Self::from_fn(|lane| f64::from(table[index[lane] as usize + ahead][k]));
            }
            out
        }
    };
}

/// Eight runs in a register of 256 bits, with what both sets of instructions for these have in common.
macro_rules! single_eight {
    ($type:ident) => {
        vector!($type, __m256, f32, 8, _mm256_add_ps, _mm256_sub_ps, _mm256_mul_ps, _mm256_div_ps);

        // SAFETY, of every block: the type exists only where AVX2 does, or more.
        impl $type {
            #[inline(always)]
            fn negative(self) -> Self {
                $type(unsafe { _mm256_xor_ps(self.0, _mm256_set1_ps(-0.0)) })
            }

            #[inline(always)]
            fn narrowed(eight: &[f64]) -> __m256 {
                let eight = &eight[..8];
                // SAFETY: eight numbers lie there.
                unsafe {
                    let low = _mm256_cvtpd_ps(_mm256_loadu_pd(eight.as_ptr()));
                    _mm256_set_m128(_mm256_cvtpd_ps(_mm256_loadu_pd(eight.as_ptr().add(4))), low)
                }
            }

            /// Eight numbers a lane become eight lanes' numbers.
            #[inline(always)]
            fn turned(rows: [__m256; 8]) -> [Self; 8] {
                let mut fours = [[unsafe { _mm_setzero_ps() }; 8]; 2];
                for lane in 0..8 {
                    unsafe {
                        fours[0][lane] = _mm256_castps256_ps128(rows[lane]);
                        fours[1][lane] = _mm256_extractf128_ps::<1>(rows[lane]);
                    }
                }
                let ([a, b, c, d], [e, f, g, h]) = (Self::squares(fours[0]), Self::squares(fours[1]));
                [a, b, c, d, e, f, g, h]
            }

            /// Four numbers a lane become four lanes' numbers.
            #[inline(always)]
            fn squares(fours: [__m128; 8]) -> [Self; 4] {
                unsafe {
                    let mut two = [_mm256_setzero_ps(); 4];
                    for i in 0..4 {
                        two[i] = _mm256_set_m128(fours[4 + i], fours[i]);
                    }
                    let [a, b, c, d] = two;
                    let (low, high) = (_mm256_unpacklo_ps(a, b), _mm256_unpackhi_ps(a, b));
                    let (low2, high2) = (_mm256_unpacklo_ps(c, d), _mm256_unpackhi_ps(c, d));
                    [
                        $type(_mm256_shuffle_ps::<0b01_00_01_00>(low, low2)),
                        $type(_mm256_shuffle_ps::<0b11_10_11_10>(low, low2)),
                        $type(_mm256_shuffle_ps::<0b01_00_01_00>(high, high2)),
                        $type(_mm256_shuffle_ps::<0b11_10_11_10>(high, high2)),
                    ]
                }
            }

            #[inline(always)]
            fn indices(index: __m256i) -> [u32; 8] {
                // SAFETY: a vector is its numbers one after the other.
                unsafe { std::mem::transmute::<__m256i, [u32; 8]>(index) }
            }
        }
    };
}

/// What the trait's methods of these have in common.
macro_rules! in_256_bits {
    () => {
        as_numbers!(8);

        #[inline(always)]
        fn whole(self) -> __m256i {
            unsafe { _mm256_cvtps_epi32(self.0) }
        }
        #[inline(always)]
        fn splat(value: f64) -> Self {
            Self::spread(value as f32)
        }
        #[inline(always)]
        fn spread(number: f32) -> Self {
            Self(unsafe { _mm256_set1_ps(number) })
        }
        #[inline(always)]
        fn min(self, other: Self) -> Self {
            // The first where it is less, else the second: as the scalar has it, NaN and zeros included.
            Self(unsafe { _mm256_min_ps(other.0, self.0) })
        }
        #[inline(always)]
        fn max(self, other: Self) -> Self {
            Self(unsafe { _mm256_max_ps(other.0, self.0) })
        }
        #[inline(always)]
        fn abs(self) -> Self {
            Self(unsafe { _mm256_andnot_ps(_mm256_set1_ps(-0.0), self.0) })
        }
        #[inline(always)]
        fn sqrt(self) -> Self {
            Self(unsafe { _mm256_sqrt_ps(self.0) })
        }
        #[inline(always)]
        fn floor(self) -> Self {
            Self(unsafe { _mm256_floor_ps(self.0) })
        }
    };
}

/// Eight runs in a register of AVX2.
#[derive(Clone, Copy)]
pub struct SingleEight(__m256);
single_eight!(SingleEight);

// SAFETY, of every block: the type exists only where AVX2 does.
impl Lane for SingleEight {
    type Mask = __m256;
    type Index = __m256i;
    in_256_bits!();

    #[inline(always)]
    fn among(numbers: &[f32; 16], index: __m256i) -> Self {
        let index = Self::indices(index);
        let mut out = [0.0; 8];
        for lane in 0..8 {
            out[lane] = numbers[index[lane] as usize % 16];
        }
        Self::of(out)
    }
    #[inline(always)]
    fn index_among(indices: &[u16; 64], index: __m256i) -> __m256i {
        let index = Self::indices(index);
        let mut out = [0_u32; 8];
        for lane in 0..8 {
            out[lane] = u32::from(indices[index[lane] as usize % 64]);
        }
        // SAFETY: a vector is its numbers one after the other.
        unsafe { std::mem::transmute::<[u32; 8], __m256i>(out) }
    }
    #[inline(always)]
    fn enter<W: Work>(work: W) -> W::Output {
        unsafe { with_avx2(work) }
    }
    #[inline(always)]
    fn gt(self, other: Self) -> __m256 {
        unsafe { _mm256_cmp_ps::<_CMP_GT_OQ>(self.0, other.0) }
    }
    #[inline(always)]
    fn ge(self, other: Self) -> __m256 {
        unsafe { _mm256_cmp_ps::<_CMP_GE_OQ>(self.0, other.0) }
    }
    #[inline(always)]
    fn and(a: __m256, b: __m256) -> __m256 {
        unsafe { _mm256_and_ps(a, b) }
    }
    #[inline(always)]
    fn select(mask: __m256, yes: Self, no: Self) -> Self {
        SingleEight(unsafe { _mm256_blendv_ps(no.0, yes.0, mask) })
    }
    #[inline(always)]
    fn any(mask: __m256) -> bool {
        unsafe { _mm256_movemask_ps(mask) != 0 }
    }
    #[inline(always)]
    fn all(mask: __m256) -> bool {
        unsafe { _mm256_movemask_ps(mask) == 0xff }
    }
}

/// Eight runs in half a register of AVX-512, of which there are twice as many as AVX2 has.
#[derive(Clone, Copy)]
pub struct SingleEightOf32(__m256);
single_eight!(SingleEightOf32);

// SAFETY, of every block: the type exists only where AVX-512 does.
impl Lane for SingleEightOf32 {
    type Mask = __mmask8;
    type Index = __m256i;
    in_256_bits!();

    const LOOKS_UP: bool = true;
    #[inline(always)]
    fn among(numbers: &[f32; 16], index: __m256i) -> Self {
        unsafe {
            let (low, high) = (_mm256_loadu_ps(&raw const numbers[0]), _mm256_loadu_ps(&raw const numbers[8]));
            SingleEightOf32(_mm256_permutex2var_ps(low, index, high))
        }
    }
    #[inline(always)]
    fn index_among(indices: &[u16; 64], index: __m256i) -> __m256i {
        unsafe {
            let (low, high) = (
                _mm512_loadu_si512((&raw const indices[0]).cast()),
                _mm512_loadu_si512((&raw const indices[32]).cast()),
            );
            let index = _mm512_castsi256_si512(index);
            // The lower of the two pieces of each lane; the other becomes zero.
            _mm512_castsi512_si256(_mm512_maskz_permutex2var_epi16(0x5555_5555, low, index, high))
        }
    }
    #[inline(always)]
    fn enter<W: Work>(work: W) -> W::Output {
        unsafe { with_avx512(work) }
    }
    #[inline(always)]
    fn gt(self, other: Self) -> __mmask8 {
        unsafe { _mm256_cmp_ps_mask::<_CMP_GT_OQ>(self.0, other.0) }
    }
    #[inline(always)]
    fn ge(self, other: Self) -> __mmask8 {
        unsafe { _mm256_cmp_ps_mask::<_CMP_GE_OQ>(self.0, other.0) }
    }
    #[inline(always)]
    fn and(a: __mmask8, b: __mmask8) -> __mmask8 {
        a & b
    }
    #[inline(always)]
    fn select(mask: __mmask8, yes: Self, no: Self) -> Self {
        SingleEightOf32(unsafe { _mm256_mask_blend_ps(mask, no.0, yes.0) })
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

/// Sixteen runs in a register of AVX-512.
#[derive(Clone, Copy)]
pub struct SingleSixteen(__m512);
vector!(SingleSixteen, __m512, f32, 16, _mm512_add_ps, _mm512_sub_ps, _mm512_mul_ps, _mm512_div_ps);

// SAFETY, of every block: the type exists only where AVX-512 does.
impl SingleSixteen {
    #[inline(always)]
    fn negative(self) -> Self {
        SingleSixteen(unsafe { _mm512_xor_ps(self.0, _mm512_set1_ps(-0.0)) })
    }

    #[inline(always)]
    fn narrowed(eight: &[f64]) -> __m256 {
        let eight = &eight[..8];
        // SAFETY: eight numbers lie there.
        unsafe { _mm512_cvtpd_ps(_mm512_loadu_pd(eight.as_ptr())) }
    }

    /// Eight numbers a lane become eight lanes' numbers.
    #[inline(always)]
    fn turned(rows: [__m256; 16]) -> [Self; 8] {
        unsafe {
            // Quarters of a register: the first and the second four numbers of lanes i and i + 8.
            let mut pairs = [_mm512_setzero_ps(); 8];
            for i in 0..8 {
                pairs[i] = _mm512_insertf32x8::<1>(_mm512_castps256_ps512(rows[i]), rows[i + 8]);
            }
            // Number k (and k + 4 beside it) of lanes 0 to 3 and 8 to 11, and of 4 to 7 and 12 to 15.
            let first = Self::quarters(pairs[0], pairs[1], pairs[2], pairs[3]);
            let second = Self::quarters(pairs[4], pairs[5], pairs[6], pairs[7]);
            let (even, odd) = (
                _mm512_setr_epi32(0, 1, 2, 3, 16, 17, 18, 19, 8, 9, 10, 11, 24, 25, 26, 27),
                _mm512_setr_epi32(4, 5, 6, 7, 20, 21, 22, 23, 12, 13, 14, 15, 28, 29, 30, 31),
            );
            let mut out = [Self::default(); 8];
            for k in 0..4 {
                out[k] = SingleSixteen(_mm512_permutex2var_ps(first[k], even, second[k]));
                out[k + 4] = SingleSixteen(_mm512_permutex2var_ps(first[k], odd, second[k]));
            }
            out
        }
    }

    /// Four numbers a lane become four lanes' numbers.
    #[inline(always)]
    fn squares(fours: [__m128; 16]) -> [Self; 4] {
        unsafe {
            let mut all = [_mm512_setzero_ps(); 4];
            for i in 0..4 {
                let two = _mm512_insertf32x4::<1>(_mm512_castps128_ps512(fours[i]), fours[4 + i]);
                all[i] = _mm512_insertf32x4::<3>(_mm512_insertf32x4::<2>(two, fours[8 + i]), fours[12 + i]);
            }
            let [a, b, c, d] = Self::quarters(all[0], all[1], all[2], all[3]);
            [SingleSixteen(a), SingleSixteen(b), SingleSixteen(c), SingleSixteen(d)]
        }
    }

    /// In every quarter four rows of four become columns.
    #[inline(always)]
    fn quarters(a: __m512, b: __m512, c: __m512, d: __m512) -> [__m512; 4] {
        unsafe {
            let (low, high) = (_mm512_unpacklo_ps(a, b), _mm512_unpackhi_ps(a, b));
            let (low2, high2) = (_mm512_unpacklo_ps(c, d), _mm512_unpackhi_ps(c, d));
            [
                _mm512_shuffle_ps::<0b01_00_01_00>(low, low2),
                _mm512_shuffle_ps::<0b11_10_11_10>(low, low2),
                _mm512_shuffle_ps::<0b01_00_01_00>(high, high2),
                _mm512_shuffle_ps::<0b11_10_11_10>(high, high2),
            ]
        }
    }

    #[inline(always)]
    fn indices(index: __m512i) -> [u32; 16] {
        // SAFETY: a vector is its numbers one after the other.
        unsafe { std::mem::transmute::<__m512i, [u32; 16]>(index) }
    }
}

// SAFETY, of every block: the type exists only where AVX-512 does.
impl Lane for SingleSixteen {
    type Mask = __mmask16;
    type Index = __m512i;
    as_numbers!(16);

    #[inline(always)]
    fn whole(self) -> __m512i {
        unsafe { _mm512_cvtps_epi32(self.0) }
    }
    const LOOKS_UP: bool = true;
    #[inline(always)]
    fn among(numbers: &[f32; 16], index: __m512i) -> Self {
        SingleSixteen(unsafe { _mm512_permutexvar_ps(index, _mm512_loadu_ps(numbers.as_ptr())) })
    }
    #[inline(always)]
    fn index_among(indices: &[u16; 64], index: __m512i) -> __m512i {
        unsafe {
            let (low, high) = (
                _mm512_loadu_si512((&raw const indices[0]).cast()),
                _mm512_loadu_si512((&raw const indices[32]).cast()),
            );
            // The lower of the two pieces of each lane; the other becomes zero.
            _mm512_maskz_permutex2var_epi16(0x5555_5555, low, index, high)
        }
    }
    #[inline(always)]
    fn enter<W: Work>(work: W) -> W::Output {
        unsafe { with_avx512(work) }
    }
    #[inline(always)]
    fn splat(value: f64) -> Self {
        Self::spread(value as f32)
    }
    #[inline(always)]
    fn spread(number: f32) -> Self {
        SingleSixteen(unsafe { _mm512_set1_ps(number) })
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        SingleSixteen(unsafe { _mm512_min_ps(other.0, self.0) })
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        SingleSixteen(unsafe { _mm512_max_ps(other.0, self.0) })
    }
    #[inline(always)]
    fn abs(self) -> Self {
        SingleSixteen(unsafe { _mm512_abs_ps(self.0) })
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        SingleSixteen(unsafe { _mm512_sqrt_ps(self.0) })
    }
    #[inline(always)]
    fn floor(self) -> Self {
        SingleSixteen(unsafe { _mm512_roundscale_ps::<{ _MM_FROUND_TO_NEG_INF | _MM_FROUND_NO_EXC }>(self.0) })
    }
    #[inline(always)]
    fn gt(self, other: Self) -> __mmask16 {
        unsafe { _mm512_cmp_ps_mask::<_CMP_GT_OQ>(self.0, other.0) }
    }
    #[inline(always)]
    fn ge(self, other: Self) -> __mmask16 {
        unsafe { _mm512_cmp_ps_mask::<_CMP_GE_OQ>(self.0, other.0) }
    }
    #[inline(always)]
    fn and(a: __mmask16, b: __mmask16) -> __mmask16 {
        a & b
    }
    #[inline(always)]
    fn select(mask: __mmask16, yes: Self, no: Self) -> Self {
        SingleSixteen(unsafe { _mm512_mask_blend_ps(mask, no.0, yes.0) })
    }
    #[inline(always)]
    fn any(mask: __mmask16) -> bool {
        mask != 0
    }
    #[inline(always)]
    fn all(mask: __mmask16) -> bool {
        mask == 0xffff
    }
}
