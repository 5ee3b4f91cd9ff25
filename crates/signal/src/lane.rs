//! The lane type: one formula serves one run (`f64`) or several side by side (`Lanes<N>`), bit for bit alike.
//!
//! Formulas are generic over [`Lane`]. No operation here fuses a multiply with an add, so that the result of a lane is
//! the same `f64` whatever the width and the instruction set.

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

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

    /// The same value in every lane.
    fn splat(value: f64) -> Self;
    /// One value a lane, by lane index.
    fn from_fn(value: impl FnMut(usize) -> f64) -> Self;
    /// The value of one lane. `lane` is below `WIDTH`.
    fn get(self, lane: usize) -> f64;
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
    /// `self > other`, lane by lane.
    fn gt(self, other: Self) -> Self::Mask;
    /// `self >= other`, lane by lane.
    fn ge(self, other: Self) -> Self::Mask;
    /// Both conditions.
    fn and(a: Self::Mask, b: Self::Mask) -> Self::Mask;
    /// `yes` where the mask holds, `no` elsewhere.
    fn select(mask: Self::Mask, yes: Self, no: Self) -> Self;
    /// True where the mask holds in any lane.
    fn any(mask: Self::Mask) -> bool;
    /// All lanes zero.
    #[inline(always)]
    fn zero() -> Self {
        Self::splat(0.0)
    }
}

impl Lane for f64 {
    const WIDTH: usize = 1;
    type Mask = bool;

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
}

/// `N` runs side by side as a plain array, which the compiler turns into vector instructions.
#[derive(Clone, Copy, Debug, PartialEq)]
#[repr(align(32))]
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
                Lanes(std::array::from_fn(|i| self.0[i] $op other.0[i]))
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
        Lanes(std::array::from_fn(|i| -self.0[i]))
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

    #[inline(always)]
    fn splat(value: f64) -> Self {
        Lanes([value; N])
    }
    #[inline(always)]
    fn from_fn(value: impl FnMut(usize) -> f64) -> Self {
        Lanes(std::array::from_fn(value))
    }
    #[inline(always)]
    fn get(self, lane: usize) -> f64 {
        self.0[lane]
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        Lanes(std::array::from_fn(|i| Lane::min(self.0[i], other.0[i])))
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        Lanes(std::array::from_fn(|i| Lane::max(self.0[i], other.0[i])))
    }
    #[inline(always)]
    fn abs(self) -> Self {
        Lanes(std::array::from_fn(|i| self.0[i].abs()))
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        Lanes(std::array::from_fn(|i| self.0[i].sqrt()))
    }
    #[inline(always)]
    fn gt(self, other: Self) -> [bool; N] {
        std::array::from_fn(|i| self.0[i] > other.0[i])
    }
    #[inline(always)]
    fn ge(self, other: Self) -> [bool; N] {
        std::array::from_fn(|i| self.0[i] >= other.0[i])
    }
    #[inline(always)]
    fn and(a: [bool; N], b: [bool; N]) -> [bool; N] {
        std::array::from_fn(|i| a[i] & b[i])
    }
    #[inline(always)]
    fn select(mask: [bool; N], yes: Self, no: Self) -> Self {
        Lanes(std::array::from_fn(|i| if mask[i] { yes.0[i] } else { no.0[i] }))
    }
    #[inline(always)]
    fn any(mask: [bool; N]) -> bool {
        mask.iter().any(|&m| m)
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
    fn every_lane_equals_the_scalar_bit_for_bit() {
        let a = [0.3, 1.7, 2.0, 9.1];
        let b = [0.2, 4.0, 2.0, 0.7];
        let lanes = formula(Lanes(a), Lanes(b));
        for i in 0..4 {
            assert_eq!(lanes.get(i).to_bits(), formula(a[i], b[i]).to_bits(), "lane {i}");
        }
    }
}
