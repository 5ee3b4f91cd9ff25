//! Which vector instructions a piece of work is compiled for, chosen once when the program runs.
//!
//! The same generic code is compiled for one number of runs side by side a set; everything it calls is inlined into the
//! copy. Results are the same to the last bit, because nothing here fuses a multiply with an add and vector additions are
//! those of the scalar. Every copy of the loop takes seconds to compile, so that a width has one set only: that which serves
//! it best.

use crate::Lane;
#[cfg(not(target_arch = "x86_64"))]
use crate::Lanes;
#[cfg(target_arch = "x86_64")]
use crate::lane::wide::{Eight, Four};
use std::sync::OnceLock;

/// A set of vector instructions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Instructions {
    /// What every processor of this kind has.
    Baseline,
    /// 256 bits: four numbers at once.
    Avx2,
    /// 512 bits: eight numbers at once.
    Avx512,
}

/// Work that needs to know how many runs lie side by side, and in which registers.
pub trait Job {
    /// What comes of it.
    type Output;
    /// Does it with runs in lanes of a type.
    fn run<L: Lane>(self) -> Self::Output;
}

impl Instructions {
    /// Every set, the widest last.
    pub const ALL: [Instructions; 3] = [Instructions::Baseline, Instructions::Avx2, Instructions::Avx512];

    /// The widest set that this processor has.
    pub fn best() -> Self {
        static BEST: OnceLock<Instructions> = OnceLock::new();
        *BEST.get_or_init(|| Self::ALL.into_iter().rev().find(|i| i.are_here()).unwrap_or(Instructions::Baseline))
    }

    /// True where this processor has them.
    pub fn are_here(self) -> bool {
        match self {
            Instructions::Baseline => true,
            #[cfg(target_arch = "x86_64")]
            Instructions::Avx2 => is_x86_feature_detected!("avx2"),
            #[cfg(target_arch = "x86_64")]
            Instructions::Avx512 => {
                is_x86_feature_detected!("avx512f")
                    && is_x86_feature_detected!("avx512dq")
                    && is_x86_feature_detected!("avx512vl")
                    && is_x86_feature_detected!("avx512bw")
            }
            #[cfg(not(target_arch = "x86_64"))]
            _ => false,
        }
    }

    /// Most numbers side by side that these instructions serve.
    pub fn lanes(self) -> usize {
        match self {
            Instructions::Baseline if cfg!(target_arch = "x86_64") => 1,
            Instructions::Baseline | Instructions::Avx2 => 4,
            Instructions::Avx512 => 8,
        }
    }

    /// Name as processors' manuals have it.
    pub fn name(self) -> &'static str {
        match self {
            Instructions::Baseline => "baseline",
            Instructions::Avx2 => "AVX2",
            Instructions::Avx512 => "AVX-512",
        }
    }

    /// Does a job with so many runs side by side: 1, 4 or 8.
    ///
    /// # Panics
    /// If these instructions serve fewer, or are not here: a fault of the caller, who asks [`Instructions::lanes`] first.
    pub fn side_by_side<J: Job>(self, lanes: usize, job: J) -> J::Output {
        assert!(lanes <= self.lanes(), "{lanes} lanes are too many for {}", self.name());
        match lanes {
            1 => job.run::<f64>(),
            // The one way to the lane types that only some processors have.
            #[cfg(target_arch = "x86_64")]
            4 => {
                assert!(Instructions::Avx2.are_here(), "AVX2 is here");
                job.run::<Four>()
            }
            #[cfg(target_arch = "x86_64")]
            8 => {
                assert!(Instructions::Avx512.are_here(), "AVX-512 is here");
                job.run::<Eight>()
            }
            #[cfg(not(target_arch = "x86_64"))]
            4 => job.run::<Lanes<4>>(),
            _ => panic!("there are no {lanes} lanes"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::filter::{Cascade, band_pass};
    use crate::{Lanes, Work};

    /// Every operation of the trait on noise, and what a filter makes of it: the bits of each lane's results.
    struct Formulas<'a>(&'a [f64; 8]);

    impl Job for Formulas<'_> {
        type Output = Vec<Vec<u64>>;
        fn run<L: Lane>(self) -> Vec<Vec<u64>> {
            let results = L::enter(OfLanes(L::from_fn(|i| self.0[i])));
            let bits = |i: usize, x: &L| {
                assert_eq!(x.peek(i).to_bits(), x.get(i).to_bits());
                x.get(i).to_bits()
            };
            (0..L::WIDTH).map(|i| results.iter().map(|x| bits(i, x)).collect()).collect()
        }
    }

    struct OfLanes<L>(L);

    impl<L: Lane> Work for OfLanes<L> {
        type Output = Vec<L>;
        #[inline(always)]
        fn run(self) -> Vec<L> {
            let own = self.0;
            let mut filter = Cascade::<L, 2>::new(band_pass(0.5, 25.0, 1000.0).unwrap());
            let (mut sum, mut least, mut most) = (L::zero(), own, own);
            for n in 0..2000 {
                let x = own * L::splat(f64::from(n * n % 101) - 50.0);
                let y = filter.step(x);
                sum += L::select(L::and(y.gt(x), x.ge(-y)), y * y / (x.abs() + L::splat(1.0)), y.abs().sqrt());
                (least, most) = (least.min(y - x), most.max(y));
            }
            sum -= own;
            let knots = [[-1.0, 0.0, 2.0, 3.0], [4.0, f64::NAN, f64::NAN, f64::NAN]];
            let table: [[f64; 4]; 7] = std::array::from_fn(|r| std::array::from_fn(|c| (10 * r + c) as f64 + 0.5));
            let wide: [[f64; 8]; 7] = std::array::from_fn(|r| std::array::from_fn(|c| (10 * r + c) as f64 - 0.5));
            let odd: [[f64; 3]; 7] = std::array::from_fn(|r| std::array::from_fn(|c| (10 * r + c) as f64));
            let rank = (own * L::splat(3.0) - L::splat(1.5)).rank(&knots);
            let mut all = vec![sum, least, most, rank];
            all.extend(L::rows(&table, rank.whole(), 1));
            all.extend(L::rows(&wide, rank.whole(), 0));
            all.extend(L::rows(&odd, rank.whole(), 1));
            let numbers: [f64; 16] = std::array::from_fn(|i| 3.5 - i as f64);
            let indices: [u16; 64] = std::array::from_fn(|i| (7 * i % 16) as u16);
            // Beyond sixteen too: the last bits count.
            let far = (own.abs() * L::splat(40.0)).min(L::splat(63.0));
            all.push(L::among(&numbers, rank.whole()));
            all.push(L::among(&numbers, far.whole()));
            all.push(L::among(&numbers, L::index_among(&indices, far.whole())));
            all.extend(L::rows(&table, L::index_among(&[3; 64], far.whole()), 2));
            let rows: Vec<[f64; 8]> = (0..8).map(|i| wide[i % 7].map(|x| x * own.get(i % L::WIDTH))).collect();
            all.extend(L::columns(&rows.iter().collect::<Vec<_>>()));
            // Zeros of either sign and what is no number.
            let odd_ones = L::from_fn(|i| [f64::NAN, -0.0, 0.0, f64::INFINITY, -1.0, 1.0, 5e-324, -2.0][i]);
            all.extend([odd_ones.min(own), own.min(odd_ones), odd_ones.max(own), own.max(odd_ones), -odd_ones]);
            all.extend([odd_ones.min(L::zero()), odd_ones.max(L::zero()), L::zero().max(odd_ones), odd_ones.abs()]);
            let flag = |is: L::Mask| L::select(is, L::splat(1.0), L::zero());
            all.extend([flag(odd_ones.gt(own)), flag(odd_ones.ge(own)), flag(own.ge(odd_ones))]);
            all.push(own.map(|x| f64::from(u8::from(L::any(odd_ones.gt(L::splat(1e300))))) + x));
            all
        }
    }

    /// As `Formulas`, but one lane after the other with its own share of what differs from lane to lane.
    fn expected(inputs: &[f64; 8]) -> Vec<Vec<u64>> {
        Formulas(inputs).run::<Lanes<8>>()
    }

    #[test]
    fn every_set_and_width_gives_the_same_bits() {
        let inputs: [f64; 8] = std::array::from_fn(|i| 0.1 + 0.37 * i as f64);
        let want = expected(&inputs);
        // `Lanes` is held against the scalar in `lane`; what `any` says is said of all lanes, and so left out.
        for instructions in Instructions::ALL.into_iter().filter(|i| i.are_here()) {
            for lanes in [1, 4, 8].into_iter().filter(|&lanes| lanes <= instructions.lanes()) {
                let got = instructions.side_by_side(lanes, Formulas(&inputs));
                assert_eq!(got.len(), lanes);
                for (lane, (got, want)) in got.iter().zip(&want).enumerate() {
                    let last = want.len() - 1;
                    // With fewer lanes the rows to be turned are others.
                    let differ = if lanes == 8 { 0..0 } else { 19..27 };
                    for k in (0..last).filter(|k| !differ.contains(k)) {
                        let what = format!("{}, {lanes} lanes, lane {lane}, result {k}", instructions.name());
                        assert_eq!(got[k], want[k], "{what}");
                    }
                }
            }
        }
    }

    #[test]
    fn masks_hold_in_any_or_all_lanes() {
        struct Masks;
        impl Job for Masks {
            type Output = [bool; 5];
            fn run<L: Lane>(self) -> [bool; 5] {
                L::enter(OfMasks::<L>(L::from_fn(|i| i as f64)))
            }
        }
        struct OfMasks<L>(L);
        impl<L: Lane> Work for OfMasks<L> {
            type Output = [bool; 5];
            #[inline(always)]
            fn run(self) -> [bool; 5] {
                let least = |value: f64| self.0.ge(L::splat(value));
                let last = (L::WIDTH - 1) as f64;
                [
                    L::any(least(last)),
                    L::all(least(0.0)),
                    L::any(least(last + 0.5)),
                    L::all(least(0.5)),
                    L::any(L::and(least(0.0), self.0.gt(L::splat(last)))),
                ]
            }
        }
        for lanes in [1, 4, 8].into_iter().filter(|&lanes| lanes <= Instructions::best().lanes()) {
            assert_eq!(Instructions::best().side_by_side(lanes, Masks), [true, true, false, false, false], "{lanes}");
        }
        assert_eq!(Masks.run::<Lanes<8>>(), [true, true, false, false, false]);
    }

    #[test]
    fn rows_are_turned_into_columns() {
        struct Turned;
        impl Job for Turned {
            type Output = ();
            fn run<L: Lane>(self) {
                L::enter(OfRows(std::marker::PhantomData::<L>));
            }
        }
        struct OfRows<L>(std::marker::PhantomData<L>);
        impl<L: Lane> Work for OfRows<L> {
            type Output = ();
            #[inline(always)]
            fn run(self) {
                let rows: Vec<[f64; 8]> = (0..8).map(|r| std::array::from_fn(|c| (10 * r + c) as f64)).collect();
                for (c, column) in L::columns(&rows.iter().collect::<Vec<_>>()).into_iter().enumerate() {
                    for lane in 0..L::WIDTH {
                        assert_eq!(column.get(lane), (10 * lane + c) as f64);
                    }
                }
            }
        }
        for lanes in [1, 4, 8].into_iter().filter(|&lanes| lanes <= Instructions::best().lanes()) {
            Instructions::best().side_by_side(lanes, Turned);
        }
    }

    #[test]
    #[should_panic(expected = "too many for AVX2")]
    fn a_width_that_a_set_does_not_serve_is_refused() {
        Instructions::Avx2.side_by_side(8, Formulas(&[0.5; 8]));
    }

    #[test]
    fn the_best_set_is_here() {
        assert!(Instructions::best().are_here() && Instructions::Baseline.are_here());
        assert!(Instructions::best().lanes() >= Instructions::Baseline.lanes());
    }
}
