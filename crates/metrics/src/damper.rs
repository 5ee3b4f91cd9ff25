//! Use of the dampers over all corners: shares of time by what was wanted, force steps.

use crate::card::Scorecard;
use crate::delivery::DeliveryCount;
use crate::registry::MetricId;
use crate::sample::RideSample;
use crate::sum::SquareSum;
use washboard_signal::{Lane, each};

/// Use of the dampers, over all corners.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Dampers<L, const C: usize> {
    delivery: [DeliveryCount<L>; C],
    /// Rates of each corner that the damper's table goes to, m/s.
    table_m_per_s: [[f64; 2]; C],
    outside_table: [L; C],
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
    /// `table_m_per_s`: the least and the largest rate of each corner that the damper's table goes to.
    pub(crate) fn new(sample_rate_hz: f64, table_m_per_s: [[f64; 2]; C]) -> Self {
        Dampers {
            delivery: [DeliveryCount::default(); C],
            table_m_per_s,
            outside_table: [L::zero(); C],
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
            let mut delivery = self.delivery[i].ready_for(samples.len());
            let [least, largest] = self.table_m_per_s[i].map(L::splat);
            let (mut down, mut up) = (least, largest);
            for s in samples {
                delivery.add(s.corners[i].delivery);
                (down, up) = (down.min(s.corners[i].rate_m_per_s), up.max(s.corners[i].rate_m_per_s));
            }
            self.delivery[i].sum = delivery;
            // Seldom any.
            if L::any(least.gt(down)) || L::any(up.gt(largest)) {
                for s in samples {
                    let (rate, one) = (s.corners[i].rate_m_per_s, L::splat(1.0));
                    let above = L::select(rate.gt(largest), one, L::zero());
                    self.outside_table[i] += L::select(least.gt(rate), one, above);
                }
            }
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
            outside += self.outside_table[i].get(lane);
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

#[cfg(test)]
mod tests {
    use super::*;
    use washboard_signal::Lanes;

    #[test]
    fn time_beyond_the_table_is_counted_either_way_in_each_lane() {
        let mut dampers = Dampers::<Lanes<4>, 1>::new(1000.0, [[-0.5, 0.7]]);
        // Rates of four lanes in batches: some beyond one end, some beyond the other, the ends themselves within.
        let rates = [[0.0, 0.7, -0.5, 0.1], [0.8, 0.7, -0.6, 0.7], [0.1, 0.2, 0.3, 0.4], [-0.51, 0.71, 9.0, -0.5]];
        for batch in rates.chunks(2) {
            let sample = |rate: &[f64; 4]| {
                let mut sample = RideSample::<Lanes<4>, 1>::default();
                sample.corners[0].rate_m_per_s = Lanes(*rate);
                sample
            };
            dampers.take(&batch.iter().map(sample).collect::<Vec<_>>());
        }
        for (lane, beyond) in [2.0, 1.0, 2.0, 0.0].into_iter().enumerate() {
            let mut card = Scorecard::new(&["quarter"]);
            dampers.finish(&mut card, lane, 4.0);
            assert_eq!(card.mean(MetricId::SHARE_OUTSIDE_TABLE), Some(beyond / 4.0), "lane {lane}");
        }
    }
}
