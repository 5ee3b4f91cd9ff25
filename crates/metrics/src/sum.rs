//! Sums and extremes over the samples of a run.
//!
//! They do not count their samples: all accumulators of a run share one count, which is handed in at the end.

use washboard_signal::Lane;
use washboard_signal::filter::Gathers;

/// The value, as the result of an addition.
///
/// A selection stored where one of its operands came from compiles to a masked store, which many processors run in
/// microcode and never forward to the next load: it doubled the time of all metrics together. An addition in between
/// prevents it, and changes nothing but the sign of a zero.
#[inline(always)]
pub(crate) fn stored<L: Lane>(x: L) -> L {
    x + L::zero()
}

/// Sum, for a mean or a share of time.
#[derive(Clone, Copy, Debug)]
pub struct Sum<L>(L);

impl<L: Lane> Default for Sum<L> {
    fn default() -> Self {
        Sum(L::zero())
    }
}

impl<L: Lane> Sum<L> {
    /// Takes one value.
    #[inline(always)]
    pub fn add(&mut self, x: L) {
        self.0 += x;
    }

    /// Mean over `count` values.
    pub fn mean(&self, lane: usize, count: f64) -> f64 {
        self.0.get(lane) / count
    }

    /// The sum.
    pub fn total(&self, lane: usize) -> f64 {
        self.0.get(lane)
    }
}

/// Sum of squares, for an r.m.s. value (about zero).
#[derive(Clone, Copy, Debug)]
pub struct SquareSum<L>(L);

impl<L: Lane> Default for SquareSum<L> {
    fn default() -> Self {
        SquareSum(L::zero())
    }
}

impl<L: Lane> SquareSum<L> {
    /// Takes one value.
    #[inline(always)]
    pub fn add(&mut self, x: L) {
        self.0 += x * x;
    }

    /// The sum.
    pub fn total(&self, lane: usize) -> f64 {
        self.0.get(lane)
    }

    /// r.m.s. over `count` values.
    pub fn rms(&self, lane: usize, count: f64) -> f64 {
        (self.0.get(lane) / count).sqrt()
    }
}

impl<L: Lane> Gathers<L> for SquareSum<L> {
    #[inline(always)]
    fn gather(&mut self, filtered: L) {
        self.add(filtered);
    }
}

/// Sum of squares and the largest of them, for an r.m.s. value and a peak.
#[derive(Clone, Copy, Debug)]
pub struct Squares<L> {
    sum: L,
    largest: L,
}

impl<L: Lane> Default for Squares<L> {
    fn default() -> Self {
        Squares { sum: L::zero(), largest: L::zero() }
    }
}

impl<L: Lane> Squares<L> {
    /// Takes one value.
    #[inline(always)]
    pub fn add(&mut self, x: L) {
        self.add_square(x * x);
    }

    /// Takes one value already squared.
    #[inline(always)]
    pub fn add_square(&mut self, square: L) {
        self.sum += square;
        self.largest = self.largest.max(square);
    }

    /// r.m.s. over `count` values.
    pub fn rms(&self, lane: usize, count: f64) -> f64 {
        (self.sum.get(lane) / count).sqrt()
    }

    /// Largest magnitude.
    pub fn peak(&self, lane: usize) -> f64 {
        self.largest.get(lane).sqrt()
    }
}

/// Largest and least value.
#[derive(Clone, Copy, Debug)]
pub struct Extremes<L> {
    largest: L,
    least: L,
}

impl<L: Lane> Default for Extremes<L> {
    fn default() -> Self {
        Extremes { largest: L::splat(f64::NEG_INFINITY), least: L::splat(f64::INFINITY) }
    }
}

impl<L: Lane> Extremes<L> {
    /// Takes one value.
    #[inline(always)]
    pub fn add(&mut self, x: L) {
        self.largest = self.largest.max(x);
        self.least = self.least.min(x);
    }

    /// Largest value.
    pub fn largest(&self, lane: usize) -> f64 {
        self.largest.get(lane)
    }

    /// Least value.
    pub fn least(&self, lane: usize) -> f64 {
        self.least.get(lane)
    }

    /// Largest magnitude.
    pub fn magnitude(&self, lane: usize) -> f64 {
        f64::max(self.largest.get(lane), -self.least.get(lane))
    }

    /// Peak to peak.
    pub fn span(&self, lane: usize) -> f64 {
        self.largest.get(lane) - self.least.get(lane)
    }
}

/// Largest magnitude of a value, from zero up.
#[derive(Clone, Copy, Debug)]
pub struct Peak<L>(L);

impl<L: Lane> Default for Peak<L> {
    fn default() -> Self {
        Peak(L::zero())
    }
}

impl<L: Lane> Peak<L> {
    /// Takes one value.
    #[inline(always)]
    pub fn add(&mut self, x: L) {
        self.0 = self.0.max(x.abs());
    }

    /// The peak of every lane.
    #[inline(always)]
    pub fn reached(&self) -> L {
        self.0
    }

    /// The peak.
    pub fn value(&self, lane: usize) -> f64 {
        self.0.get(lane)
    }
}
