//! Use of the dampers over all corners: shares of time by what was wanted, force steps.

use crate::card::Scorecard;
use crate::registry::MetricId;
use crate::sample::RideSample;
use crate::sum::{SquareSum, Sum};
use washboard_signal::{Lane, each};

/// Use of the dampers, over all corners.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Dampers<L, const C: usize> {
    wrong_sign: Sum<L>,
    below_soft: Sum<L>,
    deliverable: Sum<L>,
    above_firm: Sum<L>,
    outside_table: Sum<L>,
    /// Samples in a millisecond, at least one.
    stride: u64,
    since: u64,
    force_n: [L; C],
    step_squares: SquareSum<L>,
    steps: u64,
}

impl<L: Lane, const C: usize> Dampers<L, C> {
    pub(crate) fn new(sample_rate_hz: f64) -> Self {
        Dampers {
            wrong_sign: Sum::default(),
            below_soft: Sum::default(),
            deliverable: Sum::default(),
            above_firm: Sum::default(),
            outside_table: Sum::default(),
            stride: (sample_rate_hz * 0.001).round().max(1.0) as u64,
            since: 0,
            force_n: [L::zero(); C],
            step_squares: SquareSum::default(),
            steps: 0,
        }
    }

    #[inline(always)]
    pub(crate) fn sample(&mut self, s: &RideSample<L, C>) {
        for corner in &s.corners {
            self.wrong_sign.add(corner.delivery.wrong_sign);
            self.below_soft.add(corner.delivery.below_soft);
            self.deliverable.add(corner.delivery.deliverable);
            self.above_firm.add(corner.delivery.above_firm);
            self.outside_table.add(corner.outside_table);
        }
        // Every millisecond the change since the last one; the first sample has nothing to compare with.
        if self.since == self.stride {
            for i in 0..C {
                self.step_squares.add(s.corners[i].damper_force_n - self.force_n[i]);
            }
            self.steps += 1;
            self.since = 0;
        }
        if self.since == 0 {
            self.force_n = each!(i in C => s.corners[i].damper_force_n);
        }
        self.since += 1;
    }

    pub(crate) fn finish(&self, card: &mut Scorecard, lane: usize, count: f64) {
        let all = count * C as f64;
        card.set_one(MetricId::SHARE_WRONG_SIGN, self.wrong_sign.mean(lane, all));
        card.set_one(MetricId::SHARE_BELOW_SOFT, self.below_soft.mean(lane, all));
        card.set_one(MetricId::SHARE_DELIVERABLE, self.deliverable.mean(lane, all));
        card.set_one(MetricId::SHARE_ABOVE_FIRM, self.above_firm.mean(lane, all));
        card.set_one(MetricId::SHARE_OUTSIDE_TABLE, self.outside_table.mean(lane, all));
        if self.steps > 0 {
            card.set_one(MetricId::FORCE_STEP_RMS, self.step_squares.rms(lane, self.steps as f64 * C as f64));
        }
    }
}
