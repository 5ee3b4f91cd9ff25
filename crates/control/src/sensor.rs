//! A sensor between the car and the controller: noise, range, resolution and delay, sampled with the controller.

use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use washboard_signal::Lane;

/// What a sensor does to the quantity it measures, in that quantity's unit. All zero and without range: an ideal one.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SensorSettings {
    /// Standard deviation of the noise of each sample; normal, white, independent.
    pub noise_rms: f64,
    /// Largest magnitude it shows; absent: without end.
    pub range: Option<f64>,
    /// Step of its reading; 0: continuous.
    pub resolution: f64,
    /// How late the controller gets it, s; rounded to control samples.
    pub delay_s: f64,
}

/// One sensor in all lanes: `reading = delayed(quantised(limited(truth + noise)))`. It has shown zero until t = 0.
///
/// The noise is common to all lanes, so that runs compared with each other hear the same.
#[derive(Clone, Debug)]
pub struct Sensor<L> {
    settings: SensorSettings,
    past: Vec<L>,
    next: usize,
}

impl<L: Lane> Sensor<L> {
    /// A sensor at rest, sampled every `step_s`.
    pub fn new(settings: SensorSettings, step_s: f64) -> Self {
        let late = (settings.delay_s / step_s).round() as usize;
        Sensor { settings, past: vec![L::zero(); late], next: 0 }
    }

    /// Takes the truth of this sample and returns what the controller reads.
    #[inline(always)]
    pub fn read(&mut self, truth: L, noise: &mut ChaCha8Rng) -> L {
        let s = &self.settings;
        let mut x = truth;
        if s.noise_rms > 0.0 {
            let normal: f64 = StandardNormal.sample(noise);
            x += L::splat(s.noise_rms * normal);
        }
        if let Some(range) = s.range {
            x = x.min(L::splat(range)).max(L::splat(-range));
        }
        if s.resolution > 0.0 {
            let step = s.resolution;
            x = x.map(|v| (v / step + 0.5).floor() * step);
        }
        if self.past.is_empty() {
            return x;
        }
        let late = std::mem::replace(&mut self.past[self.next], x);
        self.next = (self.next + 1) % self.past.len();
        late
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand_chacha::rand_core::SeedableRng;

    #[test]
    fn readings_are_limited_stepped_and_late() {
        let settings = SensorSettings { noise_rms: 0.0, range: Some(2.0), resolution: 0.25, delay_s: 0.002 };
        let mut sensor = Sensor::<f64>::new(settings, 0.001);
        let mut rng = ChaCha8Rng::seed_from_u64(1);
        let got: Vec<f64> = [0.3, 0.4, -5.0, 1.0, 1.0].iter().map(|&x| sensor.read(x, &mut rng)).collect();
        assert_eq!(got, [0.0, 0.0, 0.25, 0.5, -2.0]);
    }

    #[test]
    fn noise_has_its_standard_deviation_and_repeats_with_its_seed() {
        // The standard deviation of N normal samples scatters by 1/sqrt(2 N): 0.5 % here; four of them.
        let settings = SensorSettings { noise_rms: 0.2, ..SensorSettings::default() };
        let draw = |seed: u64| {
            let (mut sensor, mut rng) = (Sensor::<f64>::new(settings, 0.001), ChaCha8Rng::seed_from_u64(seed));
            (0..20_000).map(|_| sensor.read(1.0, &mut rng)).collect::<Vec<f64>>()
        };
        let values = draw(7);
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        let rms = (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / values.len() as f64).sqrt();
        assert!((mean - 1.0).abs() < 4.0 * 0.2 / 20_000_f64.sqrt() && (rms / 0.2 - 1.0).abs() < 0.02, "{mean} {rms}");
        assert_eq!(values, draw(7));
        assert_ne!(values, draw(8));
    }
}
