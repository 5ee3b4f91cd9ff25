//! The way of the car along a road, some samples of it at a time, and what lies under each axle there.

use std::iter::repeat_n;
use std::sync::Arc;

use crate::laid::{Laid, Time};
use crate::line::Line;
use crate::manoeuvre::{Moment, Motion};
use crate::{Event, Geometry, WheelInput};

/// Consecutive samples of the way of the car along the road.
///
/// Every sample is a function of its number alone, so that it is the same in whichever piece of the way it is asked for.
pub(crate) struct Way {
    step_s: f64,
    /// Number of the first sample.
    from: usize,
    distance_m: Vec<f64>,
    /// One entry a sample, or one for all.
    pub speed_m_per_s: Vec<f64>,
    /// One entry a sample, or empty.
    pub acceleration_m_per_s2: Vec<f64>,
    /// Mean over the step around each sample; empty where none differs from the acceleration at the sample.
    pub mean_acceleration_m_per_s2: Vec<f64>,
    /// Distance and speed a sample before the first; the first itself where there is none before.
    before: (f64, f64),
    behind_m: [f64; 2],
    contact_length_m: [f64; 2],
    behind_s: [f64; 2],
}

impl Way {
    /// `count` samples from number `from` on.
    pub(crate) fn piece(event: &Event, geometry: &Geometry, step_s: f64, from: usize, count: usize) -> Self {
        let course = Course::new(event, step_s);
        let samples = || from..from + count;
        let (steady, speed_m_per_s) = (event.manoeuvre.is_steady(), course.first_speed_m_per_s());
        let before = course.at(from.saturating_sub(1));
        let jumps = !steady && samples().any(|i| course.jumps_around(i));
        Way {
            step_s,
            from,
            distance_m: samples().map(|i| course.at(i).distance_m).collect(),
            speed_m_per_s: if steady {
                vec![speed_m_per_s]
            } else {
                samples().map(|i| course.at(i).speed_m_per_s).collect()
            },
            acceleration_m_per_s2: if steady {
                Vec::new()
            } else {
                samples().map(|i| course.at(i).acceleration_m_per_s2).collect()
            },
            mean_acceleration_m_per_s2: if jumps {
                samples().map(|i| course.mean_acceleration_m_per_s2(i)).collect()
            } else {
                Vec::new()
            },
            before: (before.distance_m, before.speed_m_per_s),
            behind_m: [0.0, geometry.wheelbase_m],
            contact_length_m: geometry.contact_length_m,
            behind_s: [0.0, if geometry.wheelbase_m == 0.0 { 0.0 } else { geometry.wheelbase_m / speed_m_per_s }],
        }
    }

    /// The distance an event drives, m.
    pub(crate) fn distance_covered_m(event: &Event) -> f64 {
        if event.manoeuvre.is_steady() {
            return event.speed_m_per_s * event.duration_s;
        }
        Motion::new(event.speed_m_per_s, &event.manoeuvre).at(event.duration_s).distance_m
    }

    /// A way of even steps in distance, at one speed.
    pub(crate) fn evenly(speed_m_per_s: f64, geometry: &Geometry, step_m: f64, steps: usize) -> Self {
        let speed_m_per_s = if speed_m_per_s > 0.0 { speed_m_per_s } else { 1.0 };
        Way {
            step_s: step_m / speed_m_per_s,
            from: 0,
            distance_m: (0..=steps).map(|i| i as f64 * step_m).collect(),
            speed_m_per_s: vec![speed_m_per_s],
            acceleration_m_per_s2: Vec::new(),
            mean_acceleration_m_per_s2: Vec::new(),
            before: (0.0, speed_m_per_s),
            behind_m: [0.0, geometry.wheelbase_m],
            contact_length_m: geometry.contact_length_m,
            behind_s: [0.0, geometry.wheelbase_m / speed_m_per_s],
        }
    }

    /// What front and rear axle meet, and of each the left and the right wheel.
    pub(crate) fn wheels(&self, laid: &Laid) -> [[WheelInput; 2]; 2] {
        match laid {
            Laid::Flat => self.both(|_| WheelInput::flat()),
            Laid::Time(road) => self.both(|axle| self.in_time(axle, road)),
            Laid::One(line) => self.both(|axle| line.under(self, axle)),
            Laid::Two(lines) => [0, 1].map(|axle| {
                let under = |line: &Option<Box<dyn Under>>| match line {
                    Some(line) => line.under(self, axle),
                    None => WheelInput::flat(),
                };
                [under(&lines[0]), under(&lines[1])]
            }),
        }
    }

    /// The same under both wheels of an axle, computed and kept once.
    fn both(&self, wheel: impl Fn(usize) -> WheelInput) -> [[WheelInput; 2]; 2] {
        [0, 1].map(|axle| {
            let one = wheel(axle);
            [one.clone(), one]
        })
    }

    /// A road over distance under an axle.
    ///
    /// On a road with kinks or jumps the rate is that of the height over the step around the sample, so that what a
    /// damping tyre passes on over a step is exact wherever in it the kink lies.
    fn follow(&self, axle: usize, line: &impl Line) -> WheelInput {
        let (behind_m, contact_m) = (self.behind_m[axle], self.contact_length_m[axle]);
        let felt = |x_m: f64| if contact_m > 0.0 { line.mean(x_m, contact_m) } else { line.at(x_m) };
        let steady = self.speed_m_per_s.len() == 1;
        let speed = |i: usize| self.speed_m_per_s[if steady { 0 } else { i }];
        if !line.has_kinks() {
            return self.fill(|i| {
                let point = felt(self.distance_m[i] - behind_m);
                (point.height_m, point.slope * speed(i))
            });
        }
        let half_m = |speed_m_per_s: f64| 0.5 * self.step_s * speed_m_per_s;
        let (distance_m, speed_m_per_s) = self.before;
        let middle_m = distance_m - behind_m;
        // The half step before the first sample ends where that of the sample before begins; at the start it is looked back.
        let mut before_m = if self.from == 0 {
            felt(middle_m - half_m(speed_m_per_s)).height_m
        } else {
            felt(middle_m + half_m(speed_m_per_s)).height_m
        };
        self.fill(|i| {
            let x_m = self.distance_m[i] - behind_m;
            let height_m = felt(x_m).height_m;
            let after_m = felt(x_m + half_m(speed(i))).height_m;
            let rate_m_per_s = (after_m - before_m) / self.step_s;
            before_m = after_m;
            (height_m, rate_m_per_s)
        })
    }

    /// Height and rate of every sample, written straight to where they stay.
    fn fill(&self, mut sample: impl FnMut(usize) -> (f64, f64)) -> WheelInput {
        let zeros = || repeat_n(0.0, self.distance_m.len()).collect::<Arc<[f64]>>();
        let mut wheel = WheelInput { height_m: zeros(), rate_m_per_s: zeros() };
        if let (Some(heights), Some(rates)) = (Arc::get_mut(&mut wheel.height_m), Arc::get_mut(&mut wheel.rate_m_per_s))
        {
            for (i, (height, rate)) in heights.iter_mut().zip(rates).enumerate() {
                (*height, *rate) = sample(i);
            }
        }
        wheel
    }

    /// A road over time under an axle.
    fn in_time(&self, axle: usize, road: &Time) -> WheelInput {
        self.fill(|i| road.at((self.from + i) as f64 * self.step_s - self.behind_s[axle]))
    }
}

/// A line that a way can be laid over, whatever its kind: asked once for many samples.
pub(crate) trait Under: Send {
    /// What an axle meets of it.
    fn under(&self, way: &Way, axle: usize) -> WheelInput;
}

impl<L: Line + Send> Under for L {
    fn under(&self, way: &Way, axle: usize) -> WheelInput {
        way.follow(axle, self)
    }
}

/// Where the car is, and how it moves, at each sample.
pub(crate) struct Course {
    motion: Motion,
    /// The speed, where it never changes.
    steady_m_per_s: Option<f64>,
    step_s: f64,
}

impl Course {
    pub(crate) fn new(event: &Event, step_s: f64) -> Self {
        let motion = Motion::new(event.speed_m_per_s, &event.manoeuvre);
        let steady_m_per_s = event.manoeuvre.is_steady().then(|| motion.at(0.0).speed_m_per_s);
        Course { motion, steady_m_per_s, step_s }
    }

    fn first_speed_m_per_s(&self) -> f64 {
        self.motion.at(0.0).speed_m_per_s
    }

    /// Distance, speed and acceleration at a sample.
    pub(crate) fn at(&self, sample: usize) -> Moment {
        let time_s = sample as f64 * self.step_s;
        match self.steady_m_per_s {
            Some(speed_m_per_s) => {
                Moment { distance_m: speed_m_per_s * time_s, speed_m_per_s, acceleration_m_per_s2: 0.0 }
            }
            None => self.motion.at(time_s),
        }
    }

    /// From half a step before a sample to half a step after it, within the event, s.
    fn around_s(&self, sample: usize) -> [f64; 2] {
        [(sample as f64 - 0.5).max(0.0), sample as f64 + 0.5].map(|at| at * self.step_s)
    }

    /// Whether the acceleration has a jump or a kink in the step around a sample.
    fn jumps_around(&self, sample: usize) -> bool {
        let [from_s, to_s] = self.around_s(sample);
        self.motion.stretch(from_s) != self.motion.stretch(to_s)
    }

    /// Mean of the acceleration over the step around a sample.
    ///
    /// A stop falls somewhere between two samples. What brakes the car for the rest of that time is lost, or too much, where
    /// the samples alone are taken: up to half a step, which wheel loads show for as long as the car sways afterwards.
    fn mean_acceleration_m_per_s2(&self, sample: usize) -> f64 {
        if !self.jumps_around(sample) {
            return self.at(sample).acceleration_m_per_s2;
        }
        let [from_s, to_s] = self.around_s(sample);
        (self.motion.at(to_s).speed_m_per_s - self.motion.at(from_s).speed_m_per_s) / (to_s - from_s)
    }
}
