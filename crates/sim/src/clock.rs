//! The stability guard: which plant step a set of cars and dampers needs.

use washboard_car::{Damper, Plant};

/// Largest product of plant step and fastest damping rate. Measured against a fine reference integration: 0.5 keeps
/// r.m.s. and peak figures within 0.1 %, 1.4 diverges.
pub const LARGEST_STEP_TIMES_DECAY: f64 = 0.5;
/// Largest product of plant step and a wheel's undamped angular frequency.
pub const LARGEST_STEP_TIMES_WHEEL_RATE: f64 = 0.15;
/// Longest plant step, s.
pub const LONGEST_STEP_S: f64 = 0.001;

/// How control samples, plant steps and watched samples divide the time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clock {
    /// Plant step, s.
    pub step_s: f64,
    /// Plant steps a control sample.
    pub substeps: usize,
    /// Plant steps between watched samples; the watch sees about a thousand samples a second.
    pub stride: usize,
}

impl Clock {
    /// Chooses the number of sub-steps for the sample rate and the most demanding corner among the cars.
    pub fn new<'a, const C: usize>(
        sample_rate_hz: f64,
        plants: impl IntoIterator<Item = &'a Plant<C>>,
        dampers: &[&Damper; C],
    ) -> Self {
        let sample_s = 1.0 / sample_rate_hz;
        let mut needed_s = LONGEST_STEP_S;
        for plant in plants {
            for c in 0..C {
                let ratio = plant.corners[c].motion_ratio;
                let slope = dampers[c].in_car.steepest_slope_n_s_per_m() * ratio * ratio;
                let decay = plant.fastest_decay_per_s(c, slope);
                needed_s = needed_s
                    .min(LARGEST_STEP_TIMES_DECAY / decay.max(1e-9))
                    .min(LARGEST_STEP_TIMES_WHEEL_RATE / plant.wheel_rate_per_s(c).max(1e-9));
            }
        }
        // A hair of tolerance, so that 1 kHz and 1 ms agree in spite of rounding.
        Clock::with_substeps(sample_rate_hz, (sample_s / needed_s - 1e-9).ceil().max(1.0) as usize)
    }

    /// A clock with a given number of plant steps a control sample.
    pub fn with_substeps(sample_rate_hz: f64, substeps: usize) -> Self {
        let step_s = 1.0 / sample_rate_hz / substeps as f64;
        Clock { step_s, substeps, stride: ((LONGEST_STEP_S / step_s + 1e-9).floor() as usize).max(1) }
    }

    /// Number of plant steps in a time.
    pub fn steps(&self, duration_s: f64) -> usize {
        (duration_s / self.step_s).round() as usize
    }

    /// Samples a second that the watch sees, Hz.
    pub fn watch_rate_hz(&self) -> f64 {
        1.0 / (self.step_s * self.stride as f64)
    }
}
