//! Use of the dampers over all corners: shares of time by what was wanted, force steps.

use crate::card::Scorecard;
use crate::delivery::DeliveryCount;
use crate::registry::MetricId;
use crate::sample::RideSample;
use crate::sum::{SquareSum, Sum};
use washboard_signal::{Lane, each};

/// Use of the dampers, over all corners.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Dampers<L, const C: usize> {
    delivery: [DeliveryCount<L>; C],
    outside_table: [Sum<L>; C],
    /// Samples in a millisecond, at least one.
    stride: usize,
    /// Samples to come before the next that is compared with the one a millisecond before.
    until: usize,
    force_n: [L; C],
    step_squares: [SquareSum<L>; C],
    /// Samples compared; the first one has nothing to be compared with.
    compared: u64,
}

impl<L: Lane, const C: usize> Dampers<L, C> {
    pub(crate) fn new(sample_rate_hz: f64) -> Self {
        Dampers {
            delivery: [DeliveryCount::default(); C],
            outside_table: [Sum::default(); C],
            stride: (sample_rate_hz * 0.001).round().max(1.0) as usize,
            until: 0,
            force_n: [L::zero(); C],
            step_squares: [SquareSum::default(); C],
            compared: 0,
        }
    }

    /// Takes samples that count.
    #[inline(always)]
    pub(crate) fn take(&mut self, samples: &[RideSample<L, C>]) {
        for i in 0..C {
            let (mut delivery, mut outside) = (self.delivery[i].ready_for(samples.len()), self.outside_table[i]);
            for s in samples {
                delivery.add(s.corners[i].delivery);
                outside.add(s.corners[i].outside_table);
            }
            self.delivery[i].sum = delivery;
            self.outside_table[i] = outside;
        }
        let Some(first) = samples.get(self.until) else {
            self.until -= samples.len();
            return;
        };
        if self.compared == 0 {
            // Compared with itself it has not changed.
            self.force_n = each!(i in C => first.corners[i].damper_force_n);
        }
        let mut at = self.until;
        for i in 0..C {
            let (mut before, mut squares) = (self.force_n[i], self.step_squares[i]);
            at = self.until;
            while let Some(s) = samples.get(at) {
                let force_n = s.corners[i].damper_force_n;
                squares.add(force_n - before);
                before = force_n;
                at += self.stride;
            }
            (self.force_n[i], self.step_squares[i]) = (before, squares);
        }
        self.compared += ((at - self.until) / self.stride) as u64;
        self.until = at - samples.len();
    }

    pub(crate) fn finish(&self, card: &mut Scorecard, lane: usize, count: f64) {
        let all = count * C as f64;
        let (mut classes, mut outside, mut step_squares) = ([0.0; 3], 0.0, 0.0);
        for i in 0..C {
            let totals = self.delivery[i].totals(lane);
            for class in 0..3 {
                classes[class] += totals[class];
            }
            outside += self.outside_table[i].total(lane);
            step_squares += self.step_squares[i].total(lane);
        }
        let [below, deliverable, above] = classes;
        card.set_one(MetricId::SHARE_WRONG_SIGN, (all - below - deliverable - above) / all);
        card.set_one(MetricId::SHARE_BELOW_SOFT, below / all);
        card.set_one(MetricId::SHARE_DELIVERABLE, deliverable / all);
        card.set_one(MetricId::SHARE_ABOVE_FIRM, above / all);
        card.set_one(MetricId::SHARE_OUTSIDE_TABLE, outside / all);
        if self.compared > 1 {
            let steps = (self.compared - 1) as f64 * C as f64;
            card.set_one(MetricId::FORCE_STEP_RMS, (step_squares / steps).sqrt());
        }
    }
}
