//! After-shake: how long the body acceleration needs to die away after its peak.

use crate::sum::stored;
use washboard_signal::Lane;

/// Share of the peak below which the shake has died away.
pub const DECAYED_SHARE: f64 = 0.1;

/// Gathers the decay of an acceleration after its peak.
///
/// The threshold follows the peak so far. It is final from the peak on, and only what comes after the peak matters, so one
/// pass is enough.
#[derive(Clone, Copy, Debug)]
pub struct AfterShake<L> {
    peak: L,
    peak_s: L,
    above_s: L,
}

impl<L: Lane> Default for AfterShake<L> {
    fn default() -> Self {
        AfterShake { peak: L::zero(), peak_s: L::zero(), above_s: L::zero() }
    }
}

impl<L: Lane> AfterShake<L> {
    /// Takes one sample that counts.
    #[inline(always)]
    pub fn sample(&mut self, acceleration_m_per_s2: L, time_s: f64) {
        let a = acceleration_m_per_s2.abs();
        let now = L::splat(time_s);
        self.peak_s = stored(L::select(a.gt(self.peak), now, self.peak_s));
        self.peak = stored(self.peak.max(a));
        self.above_s = stored(L::select(a.gt(self.peak * L::splat(DECAYED_SHARE)), now, self.above_s));
    }

    /// From the peak until the acceleration stays below a tenth of it, s; `None` if it never does or never moved.
    pub fn duration_s(&self, lane: usize, last_s: f64) -> Option<f64> {
        let above = self.above_s.get(lane);
        (self.peak.get(lane) > 0.0 && above < last_s).then(|| above - self.peak_s.get(lane))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decaying_pulse_lasts_tau_ln_ten() {
        let mut shake = AfterShake::<f64>::default();
        for n in 0..5000 {
            let t = f64::from(n) * 0.001;
            // A small forerunner must not matter.
            let a = if t < 1.0 { 0.3 * (9.0 * t).sin() } else { -4.0 * (-(t - 1.0) / 0.25).exp() };
            shake.sample(a, t);
        }
        let got = shake.duration_s(0, 4.999).unwrap();
        let exact = 0.25 * 10f64.ln();
        washboard_checks::absolute("after-shake of a decaying pulse, s", "closed form tau ln 10", got, exact, 0.001);
        assert_eq!(AfterShake::<f64>::default().duration_s(0, 1.0), None);
    }
}
