//! Which plant step a run needs: the stability guard of cars and dampers, and finer steps where law or road ask for them.

use washboard_car::{Damper, Plant};

/// Largest product of plant step and fastest damping rate. Measured against a fine reference integration: 0.5 keeps
/// r.m.s. and peak figures within 0.1 %, 1.4 diverges.
pub const LARGEST_STEP_TIMES_DECAY: f64 = 0.5;
/// Largest product of plant step and a wheel's undamped angular frequency.
pub const LARGEST_STEP_TIMES_WHEEL_RATE: f64 = 0.15;
/// Longest plant step, s.
pub const LONGEST_STEP_S: f64 = 0.001;

/// How many times finer than the guard's the plant steps of a law that switches are, where its controller takes at least
/// [`QUICK_CONTROL_HZ`] samples a second, and where it takes fewer.
///
/// Such a law answers the sign of a rate with one end of the damper for a whole control sample. A rate that is off by the
/// error of a step decides a sample now and then otherwise, and the slower the controller, the longer the wrong end is held.
/// Worst of 1,356 figures of acceleration, load, travel and power against the independent simulator with steps once, twice
/// and four times as fine as the guard's: 0.83, 0.24 and 0.12 % from 1 kHz on; 1.11, 0.44 and 0.10 % below. Four times left
/// one figure of 712 on cars drawn later beyond 1 %: a heave of 0.033 m/s^2 at 333 Hz, off by a single sample; with eight
/// times that one is within 0.1 % too.
pub const TIMES_FINER_SWITCHING: [usize; 2] = [2, 8];
/// Control samples a second that are many, Hz.
pub const QUICK_CONTROL_HZ: f64 = 1000.0;
/// Sloping edges of a road that are crossed in at least this time need no finer steps, s.
pub const GENTLE_EDGE_S: f64 = 0.005;
/// Plant steps to an edge that is crossed faster, as far as [`FINE_STEP_S`] allows.
pub const STEPS_AN_EDGE: f64 = 4.0;
/// Shortest and longest plant step over such edges, s.
///
/// An edge that is a few steps long is met as the steps happen to fall. With steps of 1 ms, figures over rails, joints and
/// patches were off by up to 0.96 %, with edges crossed in half a millisecond by up to 4.6 %.
pub const FINE_STEP_S: [f64; 2] = [0.000_125, 0.000_25];

/// How many times finer than the guard's the plant steps of a law that switches are.
pub fn times_finer_switching(sample_rate_hz: f64) -> usize {
    // A hair of tolerance for rates that are written as a fraction.
    TIMES_FINER_SWITCHING[usize::from(sample_rate_hz < QUICK_CONTROL_HZ * (1.0 - 1e-9))]
}

/// Longest plant step over a road whose shortest edge is crossed in `edge_s`, s; infinite where edges are gentle.
pub fn longest_step_over_edges_s(edge_s: f64) -> f64 {
    let [shortest_s, longest_s] = FINE_STEP_S;
    if edge_s < GENTLE_EDGE_S { (edge_s / STEPS_AN_EDGE).clamp(shortest_s, longest_s) } else { f64::INFINITY }
}

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

    /// The same control samples and the same watched ones, with plant steps that many times finer.
    #[must_use]
    pub fn finer(self, times: usize) -> Self {
        let times = times.max(1);
        Clock { step_s: self.step_s / times as f64, substeps: self.substeps * times, stride: self.stride * times }
    }

    /// The least number of times finer at which no step is longer than `longest_s`.
    pub fn times_within(&self, longest_s: f64) -> usize {
        (self.step_s / longest_s - 1e-9).ceil().max(1.0) as usize
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finer_steps_keep_control_and_watched_samples() {
        let clock = Clock::with_substeps(333.0, 4);
        let finer = clock.finer(3);
        assert_eq!((finer.substeps, finer.stride), (12, 3 * clock.stride));
        assert!((finer.watch_rate_hz() / clock.watch_rate_hz() - 1.0).abs() < 1e-12);
        assert_eq!(clock.finer(1), clock);
        assert_eq!(clock.finer(0), clock);
    }

    #[test]
    fn steps_are_finer_where_a_law_switches_and_where_edges_are_short() {
        assert_eq!(
            [50.0, 333.0, 999.0, 1000.0, 1e3 * (1.0 - 1e-12), 2000.0].map(times_finer_switching),
            [8, 8, 8, 2, 2, 2]
        );
        // A vertical edge, half a millisecond, one, two, and one that is gentle.
        assert_eq!(longest_step_over_edges_s(0.0), 0.000_125);
        assert_eq!(longest_step_over_edges_s(0.0008), 0.0002);
        assert_eq!(longest_step_over_edges_s(0.002), 0.000_25);
        assert_eq!(longest_step_over_edges_s(0.005), f64::INFINITY);
        let clock = Clock::with_substeps(1000.0, 1);
        assert_eq!([f64::INFINITY, 0.001, 0.0009, 0.00025].map(|s| clock.times_within(s)), [1, 1, 2, 4]);
    }
}
