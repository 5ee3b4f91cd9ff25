//! Samples into the accumulators.

use super::{Angular, Body, MOST_WAITING, Manoeuvres, RideMetrics, RideOptions};
use crate::sample::RideSample;
use washboard_signal::{Lane, Work};

/// Takes the samples that wait, apart from the time loop: it has registers enough of its own then.
struct TakeWaiting<'m, L: Lane, const C: usize>(&'m mut RideMetrics<L, C>);

impl<L: Lane, const C: usize> Work for TakeWaiting<'_, L, C> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        self.0.take_waiting();
    }
}

/// Takes the means that wait, apart from what takes samples.
struct TakeMeans<'m, L: Lane, const C: usize>(&'m mut RideMetrics<L, C>);

impl<L: Lane, const C: usize> Work for TakeMeans<'_, L, C> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let metrics = self.0;
        let counting = metrics.slow_counting;
        let means = metrics.body.take_means(counting);
        metrics.slow_counted += if counting { means as u64 } else { 0 };
        for angular in [&mut metrics.roll, &mut metrics.pitch].into_iter().flatten() {
            angular.take_means(counting);
        }
    }
}

impl<L: Lane, const C: usize> RideMetrics<L, C> {
    /// Takes one step, from t = 0 on. Filters always run; figures are gathered where `counting`.
    #[inline(always)]
    pub fn sample(&mut self, s: &RideSample<L, C>, counting: bool) {
        *self.next_sample(counting) = *s;
    }

    /// As [`Self::sample`]: the place that the next step is to be written to.
    #[inline(always)]
    pub fn next_sample(&mut self, counting: bool) -> &mut RideSample<L, C> {
        if self.are_waiting == MOST_WAITING || counting != self.counting {
            self.take_all();
            self.counting = counting;
        }
        let place = self.are_waiting % MOST_WAITING;
        self.are_waiting += 1;
        &mut self.waiting[place]
    }

    /// The sample that was written last.
    #[inline(always)]
    pub fn newest(&self) -> &RideSample<L, C> {
        &self.waiting[self.are_waiting.saturating_sub(1) % MOST_WAITING]
    }

    /// Takes the samples that wait.
    #[inline(always)]
    pub(super) fn take_all(&mut self) {
        L::enter(TakeWaiting(self));
    }

    #[inline(always)]
    fn take_waiting(&mut self) {
        let (counting, first, step_s) = (self.counting, self.taken, self.step_s);
        if counting != self.slow_counting {
            self.take_means();
            self.slow_counting = counting;
        }
        let samples = &self.waiting[..self.are_waiting.min(MOST_WAITING)];
        self.taken += samples.len() as u64;
        self.counted += if counting { samples.len() as u64 } else { 0 };
        self.are_waiting = 0;
        let time_s = |k: usize| (first + k as u64) as f64 * step_s;

        let mut means_are_due = self.body.take(samples, counting);
        if let Some(roll) = &mut self.roll {
            let of = |s: &RideSample<L, C>| [s.roll_rad, s.roll_rate_rad_per_s, s.roll_acceleration_rad_per_s2];
            means_are_due |= roll.take(samples.iter().map(of), time_s, counting);
        }
        if let Some(pitch) = &mut self.pitch {
            let of = |s: &RideSample<L, C>| [s.pitch_rad, s.pitch_rate_rad_per_s, s.pitch_acceleration_rad_per_s2];
            means_are_due |= pitch.take(samples.iter().map(of), time_s, counting);
        }
        if counting {
            for i in 0..C {
                self.corners[i].take(samples.iter().map(|s| &s.corners[i]), self.stops[i]);
            }
            self.damper.take(samples);
            self.manoeuvres.take(samples, &self.options, time_s);
        }
        if means_are_due {
            self.take_means();
        }
    }

    /// Takes the means that wait. Filters always run; figures are gathered where the means count.
    #[inline(always)]
    pub(super) fn take_means(&mut self) {
        L::enter(TakeMeans(self));
    }
}

impl<L: Lane> Body<L> {
    /// Takes samples. True once means are due to be taken.
    #[inline(always)]
    fn take<const C: usize>(&mut self, samples: &[RideSample<L, C>], counting: bool) -> bool {
        let heave_acceleration = || samples.iter().map(|s| s.heave_acceleration_m_per_s2);
        self.bands.take(heave_acceleration(), counting);
        self.seat.take(samples.iter().map(|s| s.seat_acceleration_m_per_s2), counting);
        if counting {
            let (mut squares, mut extremes) = (self.squares, self.extremes);
            for x in heave_acceleration() {
                squares.add(x);
                extremes.add(x);
            }
            (self.squares, self.extremes) = (squares, extremes);
        }
        let of = |s: &RideSample<L, C>| [s.heave_m, s.heave_acceleration_m_per_s2, s.seat_acceleration_m_per_s2];
        self.slow.take(samples.iter().map(of))
    }

    /// Takes the means that wait, and tells how many they were.
    #[inline(always)]
    fn take_means(&mut self, counting: bool) -> usize {
        let means = self.slow.fetch();
        self.motion.take(means.iter().map(|m| m[0]), counting);
        self.primary.take(means.iter().map(|m| m[1]), counting);
        self.sickness.take(means.iter().map(|m| m[2]), counting);
        means.len()
    }
}

impl<L: Lane> Angular<L> {
    /// Takes samples: angle, rate, acceleration. True once means are due to be taken.
    #[inline(always)]
    fn take(
        &mut self,
        samples: impl Iterator<Item = [L; 3]> + Clone,
        time_s: impl Fn(usize) -> f64,
        counting: bool,
    ) -> bool {
        self.secondary.take(samples.clone().map(|[_, _, acceleration]| acceleration), counting);
        if counting {
            self.attitude.take(samples.clone().map(|[angle, rate, _]| [angle, rate]), time_s);
            let mut squares = self.acceleration;
            for [_, _, acceleration] in samples.clone() {
                squares.add(acceleration);
            }
            self.acceleration = squares;
        }
        self.slow.take(samples.map(|[angle, _, acceleration]| [angle, acceleration]))
    }

    /// Takes the means that wait.
    #[inline(always)]
    fn take_means(&mut self, counting: bool) {
        let means = self.slow.fetch();
        self.motion.take(means.iter().map(|m| m[0]), counting);
        self.primary.take(means.iter().map(|m| m[1]), counting);
        self.horizontal.take(means.iter().map(|m| m[1]), counting);
    }
}

impl<L: Lane> Manoeuvres<L> {
    /// Takes samples that count, and of each the time, s.
    #[inline(always)]
    fn take<const C: usize>(
        &mut self,
        samples: &[RideSample<L, C>],
        options: &RideOptions<L, C>,
        time_s: impl Fn(usize) -> f64,
    ) {
        if options.obstacle {
            let mut shake = self.after_shake;
            for (k, s) in samples.iter().enumerate() {
                shake.sample(s.heave_acceleration_m_per_s2, time_s(k));
            }
            self.after_shake = shake;
        }
        if options.lateral {
            for (k, s) in samples.iter().enumerate() {
                self.transfer.sample(s, &options.static_load_n);
                self.lateral_acceleration = s.lateral_acceleration_m_per_s2;
                if let Some(lag) = &mut self.lag {
                    lag.sample(s.lateral_acceleration_m_per_s2, s.roll_rad, time_s(k));
                }
                if options.roll && options.pitch {
                    self.phase.sample(
                        [s.roll_rate_rad_per_s, s.roll_acceleration_rad_per_s2],
                        [s.pitch_rate_rad_per_s, s.pitch_acceleration_rad_per_s2],
                    );
                }
            }
        }
        if options.longitudinal {
            let mut dive = self.dive;
            for s in samples {
                dive.sample(s);
            }
            self.dive = dive;
        }
    }
}
