//! Lanes of a precision give the same bits, whatever their number and the instructions.

use super::*;
use crate::filter::{Cascade, band_pass};
use crate::{Lanes, Work};

const MOST: usize = 16;

/// Every operation of the trait on noise, and what a filter makes of it: the bits of each lane's results.
struct Formulas<'a>(&'a [f64; MOST]);

impl Job for Formulas<'_> {
    type Output = Vec<Vec<f64>>;
    fn run<L: Lane>(self) -> Vec<Vec<f64>> {
        let results = L::enter(OfLanes(L::from_fn(|i| self.0[i])));
        let number = |i: usize, x: &L| {
            assert_eq!(x.peek(i).into().to_bits(), x.get(i).to_bits());
            x.get(i)
        };
        (0..L::WIDTH).map(|i| results.iter().map(|x| number(i, x)).collect()).collect()
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
        let numbers = |first: f64, r: usize, c: usize| L::number((10 * r + c) as f64 + first);
        let table: [[L::Number; 4]; 7] = std::array::from_fn(|r| std::array::from_fn(|c| numbers(0.5, r, c)));
        let wide: [[L::Number; 8]; 7] = std::array::from_fn(|r| std::array::from_fn(|c| numbers(-0.5, r, c)));
        let odd: [[L::Number; 3]; 7] = std::array::from_fn(|r| std::array::from_fn(|c| numbers(0.0, r, c)));
        let rank = (own * L::splat(3.0) - L::splat(1.5)).rank(&knots);
        let mut all = vec![sum, least, most, rank];
        all.extend(L::rows(&table, rank.whole(), 1));
        all.extend(L::rows(&wide, rank.whole(), 0));
        all.extend(L::rows(&odd, rank.whole(), 1));
        let sixteen: [L::Number; 16] = std::array::from_fn(|i| L::number(3.5 - i as f64));
        let indices: [u16; 64] = std::array::from_fn(|i| (7 * i % 16) as u16);
        // Beyond sixteen too: the last bits count.
        let far = (own.abs() * L::splat(40.0)).min(L::splat(63.0)).floor();
        all.push(L::among(&sixteen, rank.whole()));
        all.push(L::among(&sixteen, far.whole()));
        all.push(L::among(&sixteen, L::index_among(&indices, far.whole())));
        all.extend(L::rows(&table, L::index_among(&[3; 64], far.whole()), 2));
        all.extend([(own - L::splat(1.3)).floor(), (own * L::splat(7.7)).rounded(), L::spread(sixteen[3])]);
        let rows: Vec<[f64; 11]> = (0..MOST).map(|r| std::array::from_fn(|c| (7 * r + c * c) as f64 / 3.0)).collect();
        all.extend(L::columns(&rows.iter().collect::<Vec<_>>()));
        // Zeros of either sign and what is no number.
        let odd_ones = L::from_fn(|i| [f64::NAN, -0.0, 0.0, f64::INFINITY, -1.0, 1.0, 5e-324, -2.0][i % 8]);
        all.extend([odd_ones.min(own), own.min(odd_ones), odd_ones.max(own), own.max(odd_ones), -odd_ones]);
        all.extend([odd_ones.min(L::zero()), odd_ones.max(L::zero()), L::zero().max(odd_ones), odd_ones.abs()]);
        let flag = |is: L::Mask| L::select(is, L::splat(1.0), L::zero());
        all.extend([flag(odd_ones.gt(own)), flag(odd_ones.ge(own)), flag(own.ge(odd_ones))]);
        all
    }
}

fn inputs() -> [f64; MOST] {
    std::array::from_fn(|i| 0.1 + 0.37 * i as f64)
}

/// Every set that is here with a width it serves.
fn served(precision: Precision) -> impl Iterator<Item = (Instructions, usize)> {
    let sets = Instructions::ALL.into_iter().filter(|i| i.are_here());
    sets.flat_map(move |set| set.widths(precision).iter().map(move |&lanes| (set, lanes)))
}

fn assert_same_bits(precision: Precision, want: &[Vec<f64>]) {
    for (set, lanes) in served(precision) {
        let got = set.side_by_side(precision, lanes, Formulas(&inputs()));
        assert_eq!(got.len(), lanes);
        for (lane, (got, want)) in got.iter().zip(want).enumerate() {
            for (k, (got, want)) in got.iter().zip(want).enumerate() {
                let what = format!("{}, {lanes} lanes of {precision:?}, lane {lane}, result {k}", set.name());
                assert_eq!(got.to_bits(), want.to_bits(), "{what}");
            }
        }
    }
}

#[test]
fn every_set_and_width_gives_the_same_bits() {
    // `Lanes` is held against the scalar in `lane`.
    assert_same_bits(Precision::Double, &Formulas(&inputs()).run::<Lanes<MOST>>());
}

#[test]
fn single_precision_has_bits_of_its_own_close_to_those_of_double() {
    let Some((set, lanes)) = served(Precision::Single).last() else { return };
    let single = set.side_by_side(Precision::Single, lanes, Formulas(&inputs()));
    assert_same_bits(Precision::Single, &single);
    let double = Formulas(&inputs()).run::<Lanes<MOST>>();
    let mut differ = 0;
    for (single, double) in single.iter().zip(&double) {
        for (k, (a, b)) in single.iter().zip(double).enumerate() {
            // What is added to the sum hangs on comparisons, some of which a last digit decides.
            let within = if k == 0 { 1e-3 } else { 1e-4 };
            let is_close = a == b || (a.is_nan() && b.is_nan()) || (a - b).abs() < within * b.abs() + 1e-30;
            assert!(is_close, "result {k}: {a}, {b}");
            differ += usize::from(a != b);
        }
    }
    assert!(differ > 0, "seven digits are not sixteen");
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
    for precision in [Precision::Double, Precision::Single] {
        for (set, lanes) in served(precision) {
            let what = format!("{}, {lanes} lanes of {precision:?}", set.name());
            assert_eq!(set.side_by_side(precision, lanes, Masks), [true, true, false, false, false], "{what}");
        }
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
            let rows: Vec<[f64; 8]> = (0..MOST).map(|r| std::array::from_fn(|c| (10 * r + c) as f64)).collect();
            for (c, column) in L::columns(&rows.iter().collect::<Vec<_>>()).into_iter().enumerate() {
                for lane in 0..L::WIDTH {
                    assert_eq!(column.get(lane), (10 * lane + c) as f64);
                }
            }
        }
    }
    for precision in [Precision::Double, Precision::Single] {
        served(precision).for_each(|(set, lanes)| set.side_by_side(precision, lanes, Turned));
    }
}

#[test]
#[should_panic(expected = "none of AVX2")]
fn a_width_that_a_set_does_not_serve_is_refused() {
    Instructions::Avx2.side_by_side(Precision::Double, 8, Formulas(&inputs()));
}

#[test]
fn the_best_set_is_here() {
    assert!(Instructions::best().are_here() && Instructions::Baseline.are_here());
    assert!(Instructions::best().lanes() >= Instructions::Baseline.lanes());
}

#[test]
fn signs_of_forces_and_rates_agree_however_little_is_left_of_them() {
    struct Agreeing(f64, f64);
    impl Job for Agreeing {
        type Output = [bool; 2];
        fn run<L: Lane>(self) -> [bool; 2] {
            L::enter(OfPair(L::splat(self.0), L::splat(self.1)))
        }
    }
    struct OfPair<L>(L, L);
    impl<L: Lane> Work for OfPair<L> {
        type Output = [bool; 2];
        #[inline(always)]
        fn run(self) -> [bool; 2] {
            [L::all(self.0.agrees(self.1)), L::any(self.0.agrees(self.1))]
        }
    }
    let sets = || [Precision::Double, Precision::Single].into_iter().flat_map(|p| served(p).map(move |s| (p, s)));
    // A force of 1000 N a metre a second fades with the rate.
    for exponent in -34..2 {
        let rate = 10f64.powi(exponent);
        for (force, want) in [(1e3 * rate, true), (-1e3 * rate, false), (0.0, false)] {
            for (precision, (set, lanes)) in sets() {
                for sign in [1.0, -1.0] {
                    let got = set.side_by_side(precision, lanes, Agreeing(sign * force, sign * rate));
                    assert_eq!(got, [want; 2], "{force}, {rate}: {}, {lanes} lanes of {precision:?}", set.name());
                }
            }
        }
    }
}
