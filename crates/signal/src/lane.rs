//! The lane type: one formula serves one run (`f64`) or several side by side, bit for bit alike.
//!
//! Formulas are generic over [`Lane`]. No operation here fuses a multiply with an add, so that the result of a lane is
//! the same `f64` whatever the width and the instruction set. Several runs lie in the vector registers of the processor at
//! hand ([`crate::Instructions::side_by_side`]), or in a plain array ([`Lanes`]) where there are none. Where seven digits are
//! enough, twice as many lie there in single precision: what goes in and comes out is `f64` there too.
//!
//! Inside the time loop stand plain loops instead of closures ([`crate::each`]): the compiler gives up inlining the
//! hundreds of closures of a step, and a call in between keeps numbers out of the vector registers.

#[cfg(target_arch = "x86_64")]
pub(crate) mod single;
#[cfg(target_arch = "x86_64")]
pub(crate) mod wide;

use crate::Number;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// An array with an element for every index up to four: `each!(c in C => expression of c)`, as `std::array::from_fn` but
/// written out, without a closure.
#[macro_export]
macro_rules! each {
    ($index:ident in $count:expr => $value:expr) => {{
        let mut all = [::core::default::Default::default(); $count];
        $crate::each!(@ all 0 $index $value);
        $crate::each!(@ all 1 $index $value);
        $crate::each!(@ all 2 $index $value);
        $crate::each!(@ all 3 $index $value);
        debug_assert!(all.len() <= 4);
        all
    }};
    (@ $all:ident $place:literal $index:ident $value:expr) => {
        if let Some(at) = $all.get_mut($place) {
            let $index: usize = $place;
            *at = $value;
        }
    };
}

/// A piece of work for every index up to four, written out: `for_each!(c in C => work with c)`. The compiler leaves long
/// loops as they are, and a number that is found by a variable index never stays in a register.
#[macro_export]
macro_rules! for_each {
    ($index:ident in $count:expr => $work:expr) => {{
        debug_assert!($count <= 4);
        $crate::for_each!(@ 0 $index $count, $work);
        $crate::for_each!(@ 1 $index $count, $work);
        $crate::for_each!(@ 2 $index $count, $work);
        $crate::for_each!(@ 3 $index $count, $work);
    }};
    (@ $place:literal $index:ident $count:expr, $work:expr) => {
        if $count > $place {
            let $index: usize = $place;
            $work
        }
    };
}

/// From 2^52 on the last bits of a number are its units, which saves the saturating conversion to an index.
const UNITS_LAST: f64 = 4_503_599_627_370_496.0;

/// A number, or several numbers of independent runs side by side.
pub trait Lane:
    Copy
    + Send
    + Sync
    + Default
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
    + AddAssign
    + SubAssign
    + 'static
{
    /// Number of runs side by side.
    const WIDTH: usize;

    /// The outcome of a comparison, one a lane.
    type Mask: Copy;

    /// A place in a table, one a lane.
    type Index: Copy;

    /// A lane's number: what constants and tables of the time loop are kept as.
    type Number: Number;

    /// The share of numbers below which their difference is taken for rounding.
    const ROUNDING: f64;

    /// Bits of the whole numbers that a lane tells apart, and their sums.
    const WHOLE_BITS: u32;

    /// The least number above zero that keeps all its digits.
    const LEAST_POSITIVE: f64;

    /// A number as constants and tables of the time loop are kept.
    fn number(value: f64) -> Self::Number;
    /// The same number in every lane.
    fn spread(number: Self::Number) -> Self;

    /// The same value in every lane.
    fn splat(value: f64) -> Self;
    /// One value a lane, by lane index.
    fn from_fn(value: impl FnMut(usize) -> f64) -> Self;
    /// The value of one lane. `lane` is below `WIDTH`.
    fn get(self, lane: usize) -> f64;
    /// The number of one lane of those that lie in memory, of which only that one is read.
    #[inline(always)]
    fn peek(&self, lane: usize) -> Self::Number {
        Self::number(self.get(lane))
    }
    /// Applies a scalar function to each lane (for anything the trait has no vector form of).
    #[inline(always)]
    fn map(self, mut f: impl FnMut(f64) -> f64) -> Self {
        Self::from_fn(|lane| f(self.get(lane)))
    }
    /// Smaller of two.
    fn min(self, other: Self) -> Self;
    /// Larger of two.
    fn max(self, other: Self) -> Self;
    /// Magnitude.
    fn abs(self) -> Self;
    /// Square root.
    fn sqrt(self) -> Self;
    /// Largest whole number that is not above.
    fn floor(self) -> Self;
    /// `self > other`, lane by lane.
    fn gt(self, other: Self) -> Self::Mask;
    /// `self >= other`, lane by lane.
    fn ge(self, other: Self) -> Self::Mask;
    /// Both numbers are above zero, or both below it.
    #[inline(always)]
    fn agrees(self, other: Self) -> Self::Mask {
        (self * other).gt(Self::zero())
    }
    /// Both conditions.
    fn and(a: Self::Mask, b: Self::Mask) -> Self::Mask;
    /// `yes` where the mask holds, `no` elsewhere.
    fn select(mask: Self::Mask, yes: Self, no: Self) -> Self;
    /// True where the mask holds in any lane.
    fn any(mask: Self::Mask) -> bool;
    /// True where the mask holds in every lane.
    fn all(mask: Self::Mask) -> bool;
    /// Changes the value of one lane. `lane` is below `WIDTH`.
    fn set(&mut self, lane: usize, value: f64);
    /// How many of the knots are not above the value, lane by lane, as a whole number. Tables have some ten knots: counting
    /// them all needs no branch and serves all lanes at once. Knots come in fours, filled up with NaN.
    #[inline(always)]
    fn rank(self, knots: &[[f64; 4]]) -> Self {
        let one = Self::splat(1.0);
        // Four counts, so that one addition need not wait for the other.
        let mut counts = [Self::zero(); 4];
        for four in knots {
            for k in 0..4 {
                counts[k] = Self::select(self.ge(Self::splat(four[k])), counts[k] + one, counts[k]);
            }
        }
        (counts[0] + counts[1]) + (counts[2] + counts[3])
    }
    /// The nearest whole number, of numbers from 0 to 2^32.
    #[inline(always)]
    fn rounded(self) -> Self {
        (self + Self::splat(UNITS_LAST)) - Self::splat(UNITS_LAST)
    }
    /// Whole numbers from 0 to 2^32 as indices.
    fn whole(self) -> Self::Index;
    /// The table's row of every lane, `ahead` rows behind its index, column by column.
    fn rows<const K: usize>(table: &[[Self::Number; K]], index: Self::Index, ahead: usize) -> [Self; K];
    /// True where a look-up among a few numbers ([`Lane::among`]) stays in the registers, and so beats rows from memory.
    const LOOKS_UP: bool = false;
    /// The number of every lane's index, of which the last four bits count.
    fn among(numbers: &[Self::Number; 16], index: Self::Index) -> Self;
    /// The index at every lane's index, of which the last six bits count.
    fn index_among(indices: &[u16; 64], index: Self::Index) -> Self::Index;
    /// Rows of values, one a lane, value by value.
    fn columns<const K: usize>(rows: &[&[f64; K]]) -> [Self; K];
    /// Does work whose `run` is compiled with the instructions of this lane type: the time loop, and whatever in it is rare
    /// and stands apart. Code outside is compiled for every processor, and calls a function for each operation.
    fn enter<W: Work>(work: W) -> W::Output {
        work.run()
    }
    /// All lanes zero.
    #[inline(always)]
    fn zero() -> Self {
        Self::splat(0.0)
    }
}

/// Asks for the cache line of a number that will be read soon; nothing where there is no such instruction.
#[inline(always)]
pub fn fetch(number: &f64) {
    #[cfg(target_arch = "x86_64")]
    wide::fetch(number);
    #[cfg(not(target_arch = "x86_64"))]
    let _ = number;
}

/// Work on lanes. `run` must be `#[inline(always)]`, and so must all that it calls often.
pub trait Work {
    /// What comes of it.
    type Output;
    /// Does it.
    fn run(self) -> Self::Output;
}

impl Lane for f64 {
    const WIDTH: usize = 1;
    type Mask = bool;
    type Index = usize;
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
    fn splat(value: f64) -> Self {
        value
    }
    #[inline(always)]
    fn from_fn(mut value: impl FnMut(usize) -> f64) -> Self {
        value(0)
    }
    #[inline(always)]
    fn get(self, _lane: usize) -> f64 {
        self
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        if other < self { other } else { self }
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        if other > self { other } else { self }
    }
    #[inline(always)]
    fn abs(self) -> Self {
        f64::abs(self)
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        f64::sqrt(self)
    }
    #[inline(always)]
    fn floor(self) -> Self {
        f64::floor(self)
    }
    #[inline(always)]
    fn gt(self, other: Self) -> bool {
        self > other
    }
    #[inline(always)]
    fn ge(self, other: Self) -> bool {
        self >= other
    }
    #[inline(always)]
    fn and(a: bool, b: bool) -> bool {
        a & b
    }
    #[inline(always)]
    fn select(mask: bool, yes: Self, no: Self) -> Self {
        if mask { yes } else { no }
    }
    #[inline(always)]
    fn any(mask: bool) -> bool {
        mask
    }
    #[inline(always)]
    fn all(mask: bool) -> bool {
        mask
    }
    #[inline(always)]
    fn set(&mut self, _lane: usize, value: f64) {
        *self = value;
    }
    #[inline(always)]
    fn whole(self) -> usize {
        ((self + UNITS_LAST).to_bits() & 0xffff_ffff) as usize
    }
    #[inline(always)]
    fn rows<const K: usize>(table: &[[f64; K]], index: usize, ahead: usize) -> [f64; K] {
        table[index + ahead]
    }
    #[inline(always)]
    fn among(numbers: &[f64; 16], index: usize) -> f64 {
        numbers[index % 16]
    }
    #[inline(always)]
    fn index_among(indices: &[u16; 64], index: usize) -> usize {
        usize::from(indices[index % 64])
    }
    #[inline(always)]
    fn columns<const K: usize>(rows: &[&[f64; K]]) -> [f64; K] {
        *rows[0]
    }
}

/// `N` runs side by side as a plain array. Eight of them fill a cache line, which they should not straddle.
#[derive(Clone, Copy, Debug, PartialEq)]
#[repr(align(64))]
pub struct Lanes<const N: usize>(pub [f64; N]);

impl<const N: usize> Default for Lanes<N> {
    #[inline(always)]
    fn default() -> Self {
        Lanes([0.0; N])
    }
}

macro_rules! lanewise {
    ($trait:ident, $method:ident, $op:tt) => {
        impl<const N: usize> $trait for Lanes<N> {
            type Output = Self;
            #[inline(always)]
            fn $method(self, other: Self) -> Self {
                let mut out = self;
                for i in 0..N {
                    out.0[i] = self.0[i] $op other.0[i];
                }
                out
            }
        }
    };
}
lanewise!(Add, add, +);
lanewise!(Sub, sub, -);
lanewise!(Mul, mul, *);
lanewise!(Div, div, /);

impl<const N: usize> Neg for Lanes<N> {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        let mut out = self;
        for i in 0..N {
            out.0[i] = -self.0[i];
        }
        out
    }
}
impl<const N: usize> AddAssign for Lanes<N> {
    #[inline(always)]
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}
impl<const N: usize> SubAssign for Lanes<N> {
    #[inline(always)]
    fn sub_assign(&mut self, other: Self) {
        *self = *self - other;
    }
}

impl<const N: usize> Lane for Lanes<N> {
    const WIDTH: usize = N;
    type Mask = [bool; N];
    type Index = [usize; N];
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
    fn splat(value: f64) -> Self {
        Lanes([value; N])
    }
    #[inline(always)]
    fn from_fn(mut value: impl FnMut(usize) -> f64) -> Self {
        let mut out = Self::default();
        for i in 0..N {
            out.0[i] = value(i);
        }
        out
    }
    #[inline(always)]
    fn get(self, lane: usize) -> f64 {
        self.0[lane]
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        let mut out = self;
        for i in 0..N {
            out.0[i] = Lane::min(self.0[i], other.0[i]);
        }
        out
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        let mut out = self;
        for i in 0..N {
            out.0[i] = Lane::max(self.0[i], other.0[i]);
        }
        out
    }
    #[inline(always)]
    fn abs(self) -> Self {
        let mut out = self;
        for i in 0..N {
            out.0[i] = self.0[i].abs();
        }
        out
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        let mut out = self;
        for i in 0..N {
            out.0[i] = self.0[i].sqrt();
        }
        out
    }
    #[inline(always)]
    fn floor(self) -> Self {
        let mut out = self;
        for i in 0..N {
            out.0[i] = self.0[i].floor();
        }
        out
    }
    #[inline(always)]
    fn gt(self, other: Self) -> [bool; N] {
        let mut out = [false; N];
        for i in 0..N {
            out[i] = self.0[i] > other.0[i];
        }
        out
    }
    #[inline(always)]
    fn ge(self, other: Self) -> [bool; N] {
        let mut out = [false; N];
        for i in 0..N {
            out[i] = self.0[i] >= other.0[i];
        }
        out
    }
    #[inline(always)]
    fn and(a: [bool; N], b: [bool; N]) -> [bool; N] {
        let mut out = a;
        for i in 0..N {
            out[i] = a[i] & b[i];
        }
        out
    }
    #[inline(always)]
    fn select(mask: [bool; N], yes: Self, no: Self) -> Self {
        let mut out = no;
        for i in 0..N {
            out.0[i] = if mask[i] { yes.0[i] } else { no.0[i] };
        }
        out
    }
    #[inline(always)]
    fn any(mask: [bool; N]) -> bool {
        let mut any = false;
        for i in 0..N {
            any |= mask[i];
        }
        any
    }
    #[inline(always)]
    fn all(mask: [bool; N]) -> bool {
        let mut all = true;
        for i in 0..N {
            all &= mask[i];
        }
        all
    }
    #[inline(always)]
    fn set(&mut self, lane: usize, value: f64) {
        self.0[lane] = value;
    }
    #[inline(always)]
    fn whole(self) -> [usize; N] {
        let shifted = self + Self::splat(UNITS_LAST);
        let mut out = [0; N];
        for i in 0..N {
            out[i] = (shifted.0[i].to_bits() & 0xffff_ffff) as usize;
        }
        out
    }
    #[inline(always)]
    fn rows<const K: usize>(table: &[[f64; K]], index: [usize; N], ahead: usize) -> [Self; K] {
        let mut out = [Self::default(); K];
        for i in 0..N {
            let row = &table[index[i] + ahead];
            for k in 0..K {
                out[k].0[i] = row[k];
            }
        }
        out
    }
    #[inline(always)]
    fn among(numbers: &[f64; 16], index: [usize; N]) -> Self {
        Self::from_fn(|i| numbers[index[i] % 16])
    }
    #[inline(always)]
    fn index_among(indices: &[u16; 64], index: [usize; N]) -> [usize; N] {
        index.map(|i| usize::from(indices[i % 64]))
    }
    #[inline(always)]
    fn columns<const K: usize>(rows: &[&[f64; K]]) -> [Self; K] {
        let rows = &rows[..N];
        let mut out = [Self::default(); K];
        for i in 0..N {
            for k in 0..K {
                out[k].0[i] = rows[i][k];
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A formula with every operation of the trait.
    fn formula<L: Lane>(a: L, b: L) -> L {
        let c = (a * b + a / (b.abs() + L::splat(1.0))).sqrt().max(-a).min(b * b);
        L::select(L::and(a.gt(b), b.ge(L::zero())), c, c - a)
    }

    #[test]
    fn ranks_and_rows_are_those_of_each_lane() {
        let knots = [[-1.0, 0.0, 2.0, 3.0], [4.0, f64::NAN, f64::NAN, f64::NAN]];
        let table = [[0.0, 10.0], [1.0, 11.0], [2.0, 12.0], [3.0, 13.0], [4.0, 14.0], [5.0, 15.0]];
        let values = [-3.0, -1.0, 1.9, f64::NAN, 3.5, 4.0, f64::INFINITY, f64::NEG_INFINITY];
        let rank = Lanes(values).rank(&knots);
        assert_eq!(rank, Lanes([0.0, 1.0, 2.0, 0.0, 4.0, 5.0, 5.0, 0.0]));
        let [first, second] = Lanes::<8>::rows(&table, rank.whole(), 0);
        assert_eq!((first, second), (rank, rank + Lanes([10.0; 8])));
        for (value, lane) in values.into_iter().zip(rank.0) {
            assert_eq!(value.rank(&knots), lane);
            assert_eq!(f64::rows(&table, lane.whole(), 0), [lane, lane + 10.0]);
        }
        assert_eq!(f64::rows(&table, 2.0.whole(), 3), [5.0, 15.0]);
    }

    #[test]
    fn every_lane_equals_the_scalar_bit_for_bit() {
        let a = [0.3, 1.7, 2.0, 9.1];
        let b = [0.2, 4.0, 2.0, 0.7];
        let lanes = formula(Lanes(a), Lanes(b));
        for i in 0..4 {
            assert_eq!(lanes.get(i).to_bits(), formula(a[i], b[i]).to_bits(), "lane {i}");
        }
    }
}
