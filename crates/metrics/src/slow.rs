//! Means of a few samples, for filters of low bands: what changes slowly need not be filtered at every sample.
//!
//! Averages of N samples pass a frequency f with sinc(f N/rate): at the 200 Hz that are kept, 0.1 % is lost at 5 Hz, 0.4 %
//! at 10 Hz, and what could fold onto the lowest frequencies is taken out entirely.

use washboard_signal::Lane;

/// Means come at least this often, Hz, if the samples do.
const LEAST_RATE_HZ: f64 = 200.0;

/// Means that are filtered at once, so that the state of each filter stays in the registers on the way.
const AT_ONCE: usize = 8;

/// Samples that come at once, at most: each of them may complete a mean.
pub(crate) const MOST_SAMPLES: usize = 12;

/// Gathers `N` channels into means, and lets the means wait until there are some of them.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Slow<L, const N: usize> {
    stride: u64,
    since: u64,
    share: f64,
    sums: [L; N],
    means: [[L; N]; AT_ONCE + MOST_SAMPLES],
    waiting: usize,
}

impl<L: Lane, const N: usize> Slow<L, N> {
    pub(crate) fn new(sample_rate_hz: f64) -> Self {
        let stride = (sample_rate_hz / LEAST_RATE_HZ + 1e-9).floor().max(1.0);
        let none = [L::zero(); N];
        let means = [none; AT_ONCE + MOST_SAMPLES];
        Slow { stride: stride as u64, since: 0, share: 1.0 / stride, sums: none, means, waiting: 0 }
    }

    /// Means a second, Hz, of so many samples a second.
    pub(crate) fn rate_hz(&self, sample_rate_hz: f64) -> f64 {
        sample_rate_hz * self.share
    }

    /// Takes samples of every channel, at most [`MOST_SAMPLES`]. True once the means that wait should be fetched.
    #[inline(always)]
    pub(crate) fn take(&mut self, samples: impl Iterator<Item = [L; N]>) -> bool {
        let (mut sums, mut since) = (self.sums, self.since);
        for values in samples {
            for i in 0..N {
                sums[i] += values[i];
            }
            since += 1;
            if since == self.stride {
                for i in 0..N {
                    self.means[self.waiting][i] = sums[i] * L::splat(self.share);
                    sums[i] = L::zero();
                }
                self.waiting += 1;
                since = 0;
            }
        }
        (self.sums, self.since) = (sums, since);
        self.waiting >= AT_ONCE
    }

    /// True if any means wait.
    pub(crate) fn is_waiting(&self) -> bool {
        self.waiting > 0
    }

    /// The means that wait; they do no longer.
    #[inline(always)]
    pub(crate) fn fetch(&mut self) -> &[[L; N]] {
        let waiting = std::mem::take(&mut self.waiting);
        &self.means[..waiting]
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
            let mut found = Vec::new();
            for i in 0..stride * 20 {
                if slow.take(std::iter::once([f64::from(i)])) {
                    found.extend(slow.fetch().iter().map(|m| m[0]));
                }
            }
            assert_eq!(found.len(), 2 * AT_ONCE, "those that are left wait");
            found.extend(slow.fetch().iter().map(|m| m[0]));
            let middle = 0.5 * f64::from(stride - 1);
            let means: Vec<f64> = (0..20).map(|k| middle + f64::from(k * stride)).collect();
            assert_eq!(found, means);
            assert!(slow.fetch().is_empty());
        }
    }
}
