//! Samples into the accumulators.

use super::{MOST_WAITING, RideMetrics};
use crate::sample::RideSample;
use washboard_signal::{Lane, Work};

/// Passes samples through accumulators that stay in the registers on the way: `$take` may use them by the names given.
macro_rules! pass {
    ($samples:expr, $s:ident => $take:expr, $($name:ident at $place:expr),+) => {{
        $(let mut $name = $place;)+
        for $s in $samples {
            $take;
        }
        $($place = $name;)+
    }};
}

/// Takes the samples that wait, apart from the time loop: it has registers enough of its own then.
struct TakeWaiting<'m, L, const C: usize>(&'m mut RideMetrics<L, C>);

impl<L: Lane, const C: usize> Work for TakeWaiting<'_, L, C> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        self.0.take_waiting();
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

    /// Takes the samples that wait.
    #[inline(always)]
    pub(super) fn take_all(&mut self) {
        L::enter(TakeWaiting(self));
    }

    #[inline(always)]
    fn take_waiting(&mut self) {
        let (counting, first, step_s) = (self.counting, self.taken, self.step_s);
        let samples = &self.waiting[..self.are_waiting.min(MOST_WAITING)];
        self.taken += samples.len() as u64;
        self.are_waiting = 0;
        let time_s = |k: usize| (first + k as u64) as f64 * step_s;

        let (body, slow) = (&mut self.body, &mut self.slow);
        let mut gathered = *slow;
        for s in samples {
            let means = gathered.sample([
                s.heave_m,
                s.heave_acceleration_m_per_s2,
                s.seat_acceleration_m_per_s2,
                s.roll_rad,
                s.roll_acceleration_rad_per_s2,
                s.pitch_rad,
                s.pitch_acceleration_rad_per_s2,
            ]);
            let Some([heave_m, heave, seat, roll_rad, roll_acceleration, pitch_rad, pitch_acceleration]) = means else {
                continue;
            };
            // The filters of low bands, at the rate of the means.
            if counting {
                self.slow_counted += 1;
            }
            body.motion.sample(heave_m, counting);
            body.primary.sample(heave, counting);
            body.sickness.sample(seat, counting);
            if let Some(roll) = &mut self.roll {
                roll.motion.sample(roll_rad, counting);
                roll.primary.sample(roll_acceleration, counting);
                roll.horizontal.sample(roll_acceleration, counting);
            }
            if let Some(pitch) = &mut self.pitch {
                pitch.motion.sample(pitch_rad, counting);
                pitch.primary.sample(pitch_acceleration, counting);
                pitch.horizontal.sample(pitch_acceleration, counting);
            }
        }
        *slow = gathered;

        pass!(samples, s => {
            choppy.sample(s.heave_acceleration_m_per_s2, counting);
            secondary.sample(s.heave_acceleration_m_per_s2, counting);
            hop.sample(s.heave_acceleration_m_per_s2, counting);
        }, choppy at body.choppy, secondary at body.secondary, hop at body.hop);
        pass!(samples, s => seat.sample(s.seat_acceleration_m_per_s2, counting), seat at body.seat);
        if let Some(roll) = &mut self.roll {
            pass!(samples, s => secondary.sample(s.roll_acceleration_rad_per_s2, counting), secondary at roll.secondary);
        }
        if let Some(pitch) = &mut self.pitch {
            pass!(samples, s => secondary.sample(s.pitch_acceleration_rad_per_s2, counting), secondary at pitch.secondary);
        }
        if !counting {
            return;
        }

        self.counted += samples.len() as u64;
        pass!(samples, s => {
            squares.add(s.heave_acceleration_m_per_s2);
            extremes.add(s.heave_acceleration_m_per_s2);
        }, squares at body.squares, extremes at body.extremes);
        if let Some(roll) = &mut self.roll {
            pass!(samples.iter().enumerate(), at => {
                let (k, s) = at;
                attitude.sample(s.roll_rad, s.roll_rate_rad_per_s, time_s(k));
                squares.add(s.roll_acceleration_rad_per_s2);
                peak.add(s.roll_acceleration_rad_per_s2);
            }, attitude at roll.attitude, squares at roll.acceleration_squares, peak at roll.acceleration_peak);
        }
        if let Some(pitch) = &mut self.pitch {
            pass!(samples.iter().enumerate(), at => {
                let (k, s) = at;
                attitude.sample(s.pitch_rad, s.pitch_rate_rad_per_s, time_s(k));
                squares.add(s.pitch_acceleration_rad_per_s2);
            }, attitude at pitch.attitude, squares at pitch.acceleration_squares);
        }
        for i in 0..C {
            pass!(samples, s => corner.sample(&s.corners[i], self.stops[i]), corner at self.corners[i]);
        }
        pass!(samples, s => damper.sample(s), damper at self.damper);
        if self.options.obstacle {
            for (k, s) in samples.iter().enumerate() {
                self.after_shake.sample(s.heave_acceleration_m_per_s2, time_s(k));
            }
        }
        if self.options.lateral {
            for (k, s) in samples.iter().enumerate() {
                self.transfer.sample(s, &self.options.static_load_n);
                self.lateral_acceleration = s.lateral_acceleration_m_per_s2;
                if let Some(lag) = &mut self.lag {
                    lag.sample(s.lateral_acceleration_m_per_s2, s.roll_rad, time_s(k));
                }
                if self.options.roll && self.options.pitch {
                    self.phase.sample(
                        [s.roll_rate_rad_per_s, s.roll_acceleration_rad_per_s2],
                        [s.pitch_rate_rad_per_s, s.pitch_acceleration_rad_per_s2],
                    );
                }
            }
        }
        if self.options.longitudinal {
            for s in samples {
                self.dive.sample(s);
            }
        }
    }
}
