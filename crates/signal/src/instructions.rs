//! Which vector instructions a piece of work is compiled for, chosen once when the program runs.
//!
//! The same generic code is compiled for one number of runs side by side a set; everything it calls is inlined into the
//! copy. Results are the same to the last bit, because nothing here fuses a multiply with an add and vector additions are
//! those of the scalar. Every copy of the loop takes seconds to compile, so that a width of double precision has one set
//! only: that which serves it best.

use crate::Lane;
#[cfg(not(target_arch = "x86_64"))]
use crate::Lanes;
#[cfg(target_arch = "x86_64")]
use crate::lane::single::{SingleEight, SingleEightOf32, SingleSixteen};
#[cfg(target_arch = "x86_64")]
use crate::lane::wide::{Eight, Four};
use std::sync::OnceLock;

/// A set of vector instructions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Instructions {
    /// What every processor of this kind has.
    Baseline,
    /// 256 bits: four numbers at once, or eight of single precision.
    Avx2,
    /// 512 bits: eight numbers at once, or sixteen of single precision.
    Avx512,
}

/// How many digits a run's numbers have. Results are the same to the last bit for all widths of a precision.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Precision {
    /// Sixteen digits (`f64`).
    Double,
    /// Seven digits (`f32`) with twice the runs in a register. What a run starts from and what comes of it is `f64` here too.
    Single,
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
                    && is_x86_feature_detected!("avx2")
            }
            #[cfg(not(target_arch = "x86_64"))]
            _ => false,
        }
    }

    /// How many runs lie side by side, the most last; empty where there is no such precision.
    pub fn widths(self, precision: Precision) -> &'static [usize] {
        match (precision, self) {
            (Precision::Double, Instructions::Baseline) if cfg!(target_arch = "x86_64") => &[1],
            (Precision::Double, Instructions::Baseline | Instructions::Avx2) => &[1, 4],
            (Precision::Double, Instructions::Avx512) => &[1, 4, 8],
            (Precision::Single, Instructions::Baseline) => &[],
            (Precision::Single, Instructions::Avx2) => &[8],
            (Precision::Single, Instructions::Avx512) => &[8, 16],
        }
    }

    /// Most runs side by side in double precision.
    pub fn lanes(self) -> usize {
        self.widths(Precision::Double).last().copied().unwrap_or(1)
    }

    /// Name as processors' manuals have it.
    pub fn name(self) -> &'static str {
        match self {
            Instructions::Baseline => "baseline",
            Instructions::Avx2 => "AVX2",
            Instructions::Avx512 => "AVX-512",
        }
    }

    /// Does a job with so many runs side by side.
    ///
    /// # Panics
    /// If these instructions do not serve it ([`Instructions::widths`]), or are not here: a fault of the caller.
    pub fn side_by_side<J: Job>(self, precision: Precision, lanes: usize, job: J) -> J::Output {
        let served = self.widths(precision).contains(&lanes);
        assert!(served, "{lanes} lanes of {precision:?} are none of {}", self.name());
        assert!(self.are_here(), "{} is here", self.name());
        // The one way to the lane types that only some processors have. Whatever has AVX-512 has AVX2.
        match (precision, lanes) {
            (Precision::Double, 1) => job.run::<f64>(),
            #[cfg(target_arch = "x86_64")]
            (Precision::Double, 4) => job.run::<Four>(),
            #[cfg(target_arch = "x86_64")]
            (Precision::Double, 8) => job.run::<Eight>(),
            #[cfg(target_arch = "x86_64")]
            (Precision::Single, 8) if self == Instructions::Avx2 => job.run::<SingleEight>(),
            #[cfg(target_arch = "x86_64")]
            (Precision::Single, 8) => job.run::<SingleEightOf32>(),
            #[cfg(target_arch = "x86_64")]
            (Precision::Single, 16) => job.run::<SingleSixteen>(),
            #[cfg(not(target_arch = "x86_64"))]
            (Precision::Double, 4) => job.run::<Lanes<4>>(),
            _ => unreachable!("asked above"),
        }
    }
}

#[cfg(test)]
mod tests;
