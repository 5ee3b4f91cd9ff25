//! Which vector instructions a piece of work is compiled for, chosen once when the program runs.
//!
//! The same generic code is compiled for each set; everything it calls is inlined into the copy. Results are the same to
//! the last bit, because nothing here fuses a multiply with an add and vector additions are those of the scalar.

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

/// Work that is compiled once a set. `run` must be `#[inline(always)]`, and so must all that it calls often.
pub trait Work {
    /// What comes of it.
    type Output;
    /// Numbers side by side. A set makes copies only of the work it serves best, so that the program is built in less time.
    const LANES: usize;
    /// Does it.
    fn run(self) -> Self::Output;
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

    /// Numbers side by side that serve best.
    pub fn lanes(self) -> usize {
        match self {
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

    /// Does the work with these instructions, or with those of every processor where they are not here or serve no better.
    #[allow(unsafe_code, reason = "the one place where code for wider instructions is entered, after they were found")]
    pub fn run<W: Work>(self, work: W) -> W::Output {
        match self {
            // SAFETY: `are_here` has found every feature that the copy is compiled for.
            #[cfg(target_arch = "x86_64")]
            Instructions::Avx512 if W::LANES == 8 && self.are_here() => unsafe { avx512(work) },
            // SAFETY: as above.
            #[cfg(target_arch = "x86_64")]
            Instructions::Avx2 | Instructions::Avx512 if W::LANES == 4 && Self::Avx2.are_here() => unsafe {
                avx2(work)
            },
            _ => work.run(),
        }
    }
}

#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
fn avx2<W: Work>(work: W) -> W::Output {
    work.run()
}

#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx512f,avx512dq,avx512vl,avx512bw")]
fn avx512<W: Work>(work: W) -> W::Output {
    work.run()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::filter::{Cascade, band_pass};
    use crate::{Lane, Lanes};

    /// Filters noise and takes what a formula makes of it.
    struct Filtered<L>(L);

    impl<L: Lane> Work for Filtered<L> {
        type Output = L;
        const LANES: usize = L::WIDTH;
        #[inline(always)]
        fn run(self) -> L {
            let mut filter = Cascade::<L, 2>::new(band_pass(0.5, 25.0, 1000.0).unwrap());
            let mut sum = L::zero();
            for n in 0..2000 {
                let x = self.0 * L::splat(f64::from(n * n % 101) - 50.0);
                let y = filter.step(x);
                sum += L::select(y.gt(x), y * y / (x.abs() + L::splat(1.0)), y.abs().sqrt());
            }
            sum
        }
    }

    #[test]
    fn every_set_and_width_gives_the_same_bits() {
        let inputs: [f64; 8] = std::array::from_fn(|i| 0.1 + 0.37 * i as f64);
        for instructions in Instructions::ALL.into_iter().filter(|i| i.are_here()) {
            let eight = instructions.run(Filtered(Lanes(inputs)));
            let four = instructions.run(Filtered(Lanes::<4>(std::array::from_fn(|i| inputs[i]))));
            for (i, input) in inputs.into_iter().enumerate() {
                let one = Filtered(input).run();
                assert_eq!(eight.get(i).to_bits(), one.to_bits(), "{}, lane {i} of 8", instructions.name());
                if i < 4 {
                    assert_eq!(four.get(i).to_bits(), one.to_bits(), "{}, lane {i} of 4", instructions.name());
                }
            }
        }
    }

    #[test]
    fn the_best_set_is_here() {
        assert!(Instructions::best().are_here() && Instructions::Baseline.are_here());
        assert!(Instructions::best().lanes() >= Instructions::Baseline.lanes());
    }
}
