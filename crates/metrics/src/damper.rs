//! Use of the dampers over all corners: shares of time by what was wanted, force steps.

use crate::card::Scorecard;
use crate::delivery::{ABOVE_FIRM, BELOW_SOFT, DELIVERABLE};
use crate::registry::MetricId;
use crate::sample::RideSample;
use crate::sum::{SquareSum, Sum};
use washboard_signal::{Lane, each};

/// Use of the dampers, over all corners.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Dampers<L, const C: usize> {
    /// How often the wanted force was at least below soft, deliverable, above firm, in the order of the classes.
    reached: [Sum<L>; 3],
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
            reached: [Sum::default(); 3],
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
            self.reached[0].add(corner.delivery.reaches(BELOW_SOFT));
            self.reached[1].add(corner.delivery.reaches(DELIVERABLE));
            self.reached[2].add(corner.delivery.reaches(ABOVE_FIRM));
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
        let [below, deliverable, above] = [0, 1, 2].map(|k| self.reached[k].total(lane));
        card.set_one(MetricId::SHARE_WRONG_SIGN, (all - below) / all);
        card.set_one(MetricId::SHARE_BELOW_SOFT, (below - deliverable) / all);
        card.set_one(MetricId::SHARE_DELIVERABLE, (deliverable - above) / all);
        card.set_one(MetricId::SHARE_ABOVE_FIRM, above / all);
        card.set_one(MetricId::SHARE_OUTSIDE_TABLE, self.outside_table.mean(lane, all));
        if self.steps > 0 {
            card.set_one(MetricId::FORCE_STEP_RMS, self.step_squares.rms(lane, self.steps as f64 * C as f64));
        }
    }
}
