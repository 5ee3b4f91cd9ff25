//! What dampers do on a sine: their mean force, and how much of it goes with the rate.

use std::f64::consts::TAU;
use washboard_signal::Lane;
use washboard_sim::{Clock, Sample, Watch};

/// Looks at the dampers over whole periods of every lane.
pub(crate) struct DamperLook<L, const C: usize> {
    /// Samples before the look, samples of the look, and samples of each lane's whole periods within it.
    before: usize,
    samples: usize,
    counts: L,
    /// Samples taken, since the look began.
    taken: usize,
    at: L,
    phase: (L, L),
    turn: (L, L),
    corners: [Sums<L>; C],
}

/// Sums of force, of force with cosine and sine, and of rate with cosine and sine.
type Sums<L> = [L; 5];

impl<L: Lane, const C: usize> DamperLook<L, C> {
    /// One frequency a lane; the look takes `look_s`, of which `before_s` is left out.
    pub fn new(frequencies_hz: &[f64], before_s: f64, look_s: Option<f64>, clock: &Clock) -> Self {
        let rate = clock.watch_rate_hz();
        let count = |seconds: f64| (seconds * rate).round() as usize;
        let (before, samples) = (count(before_s), count(look_s.unwrap_or(before_s)));
        let left = (samples - before) as f64 / rate;
        DamperLook {
            before,
            samples,
            counts: L::from_fn(|i| ((left * frequencies_hz[i]).floor() / frequencies_hz[i] * rate).round()),
            taken: 0,
            at: L::zero(),
            phase: (L::splat(1.0), L::zero()),
            turn: (
                L::from_fn(|i| (TAU * frequencies_hz[i] / rate).cos()),
                L::from_fn(|i| (TAU * frequencies_hz[i] / rate).sin()),
            ),
            corners: [[L::zero(); 5]; C],
        }
    }

    /// Samples of the whole look.
    pub fn samples(&self) -> usize {
        self.samples
    }

    /// Damping, N s/m at the wheel, and mean force, N, of each corner of a lane; `about` where the corner does not move.
    pub fn seen(&self, lane: usize, about: &[f64; C]) -> ([f64; C], [f64; C]) {
        let count = self.counts.get(lane).max(1.0);
        let sums = |c: usize| self.corners[c].map(|sum| sum.get(lane));
        let damping = std::array::from_fn(|c| {
            let [_, fc, fs, vc, vs] = sums(c);
            let seen = (fc * vc + fs * vs) / (vc * vc + vs * vs);
            if seen.is_finite() && seen > 0.0 { seen } else { about[c] }
        });
        (damping, std::array::from_fn(|c| sums(c)[0] / count))
    }
}

impl<L: Lane, const C: usize> Watch<L, C> for DamperLook<L, C> {
    #[inline(always)]
    fn sample(&mut self, s: &Sample<'_, '_, L, C>) {
        self.taken += 1;
        if self.taken <= self.before {
            return;
        }
        // One while the lane's whole periods last.
        let weight = L::select(self.counts.gt(self.at), L::splat(1.0), L::zero());
        self.at += L::splat(1.0);
        let ((c, s_), (ct, st)) = (self.phase, self.turn);
        self.phase = (c * ct - s_ * st, s_ * ct + c * st);
        for corner in 0..C {
            let (force, rate) = (weight * s.damper_n[corner], weight * s.corner_rate[corner]);
            let sums = &mut self.corners[corner];
            sums[0] += force;
            sums[1] += force * c;
            sums[2] += force * s_;
            sums[3] += rate * c;
            sums[4] += rate * s_;
        }
    }
}
