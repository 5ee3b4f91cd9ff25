//! Load transfer from side to side: the front axle's share of it.

use crate::sample::RideSample;
use washboard_signal::Lane;

/// Left-right load transfer: front times total, total squared.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Transfer<L> {
    front: L,
    total: L,
}

impl<L: Lane> Transfer<L> {
    /// Only a car with two axles and two sides has anything to share.
    #[inline(always)]
    pub(crate) fn sample<const C: usize>(&mut self, s: &RideSample<L, C>, static_load_n: &[L; C]) {
        if C != 4 {
            return;
        }
        let moved = |i: usize| s.corners[i].wheel_load_n - static_load_n[i];
        let front = moved(1) - moved(0);
        let total = front + moved(3) - moved(2);
        self.front += front * total;
        self.total += total * total;
    }

    pub(crate) fn front_share(&self, lane: usize) -> Option<f64> {
        let total = self.total.get(lane);
        (total > 0.0).then(|| self.front.get(lane) / total)
    }
}
