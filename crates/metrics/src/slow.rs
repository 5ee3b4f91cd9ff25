//! Means of a few samples, for filters of low bands: what changes slowly need not be filtered at every sample.
//!
//! Averages of N samples pass a frequency f with sinc(f N/rate): at the 200 Hz that are kept, 0.1 % is lost at 5 Hz, 0.4 %
//! at 10 Hz, and what could fold onto the lowest frequencies is taken out entirely.

use washboard_signal::Lane;

/// Means come at least this often, Hz, if the samples do.
const LEAST_RATE_HZ: f64 = 200.0;

/// Gathers `N` channels into means.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Slow<L, const N: usize> {
    stride: u64,
    since: u64,
    share: f64,
    sums: [L; N],
}

impl<L: Lane, const N: usize> Slow<L, N> {
    pub(crate) fn new(sample_rate_hz: f64) -> Self {
        let stride = (sample_rate_hz / LEAST_RATE_HZ + 1e-9).floor().max(1.0);
        Slow { stride: stride as u64, since: 0, share: 1.0 / stride, sums: [L::zero(); N] }
    }

    /// Means a second, Hz, of so many samples a second.
    pub(crate) fn rate_hz(&self, sample_rate_hz: f64) -> f64 {
        sample_rate_hz * self.share
    }

    /// Takes one sample of every channel, and gives their means once there are enough.
    #[inline(always)]
    pub(crate) fn sample(&mut self, values: [L; N]) -> Option<[L; N]> {
        for i in 0..N {
            self.sums[i] += values[i];
        }
        self.since += 1;
        if self.since < self.stride {
            return None;
        }
        self.since = 0;
        let share = L::splat(self.share);
        let means = self.sums.map(|sum| sum * share);
        self.sums = [L::zero(); N];
        Some(means)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn means_come_at_two_hundred_hertz_or_more() {
        for (rate, stride) in [(1000.0, 5), (500.0, 2), (300.0, 1), (150.0, 1), (999.0, 4)] {
            let mut slow = Slow::<f64, 1>::new(rate);
            assert!((slow.rate_hz(rate) - rate / f64::from(stride)).abs() < 1e-9);
            let found: Vec<f64> = (0..stride * 3).filter_map(|i| slow.sample([f64::from(i)])).map(|m| m[0]).collect();
            let middle = 0.5 * f64::from(stride - 1);
            assert_eq!(found, [middle, middle + f64::from(stride), middle + 2.0 * f64::from(stride)]);
        }
    }
}
