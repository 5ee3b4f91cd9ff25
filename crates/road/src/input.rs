//! What every wheel meets at every plant step, sampled from an event.

use std::iter::repeat_n;
use std::sync::Arc;

use crate::line::{Line, Mean, Shifted};
use crate::manoeuvre::Motion;
use crate::obstacle::{CircularHump, CosineWaves, Pothole};
use crate::pieces::Polyline;
use crate::sine::{Sweep, harmonic};
use crate::{Elevation, Event, Geometry, Profile, Side, Surface, Tracks, random};

/// What every wheel meets, and what the car as a whole does, at the times 0, `step_s`, ..., `steps * step_s`.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// Time between samples, s.
    pub step_s: f64,
    /// Number of steps; there is one sample more.
    pub steps: usize,
    /// Road under the wheels: front and rear axle, and of each the left and right wheel.
    pub wheels: [[WheelInput; 2]; 2],
    /// Vehicle speed, m/s: one entry a sample, or one entry for all.
    pub speed_m_per_s: Vec<f64>,
    /// Lateral acceleration, m/s^2, positive to the left: one entry a sample, or empty for zero throughout.
    pub lateral_m_per_s2: Vec<f64>,
    /// Longitudinal acceleration, m/s^2, positive when speeding up: one entry a sample, or empty for zero throughout.
    pub longitudinal_m_per_s2: Vec<f64>,
}

/// Road under one wheel: one entry a sample, or both empty for a flat road.
#[derive(Clone, Debug, PartialEq)]
pub struct WheelInput {
    /// Height, m, positive upwards.
    pub height_m: Arc<[f64]>,
    /// Rate of the height, m/s.
    pub rate_m_per_s: Arc<[f64]>,
}

impl WheelInput {
    /// A flat road.
    pub fn flat() -> Self {
        WheelInput { height_m: Arc::from([]), rate_m_per_s: Arc::from([]) }
    }

    /// True where the road is flat throughout.
    pub fn is_flat(&self) -> bool {
        self.height_m.is_empty()
    }
}

impl Input {
    /// Vehicle speed at a sample, m/s.
    pub fn speed_at(&self, sample: usize) -> f64 {
        self.speed_m_per_s[if self.speed_m_per_s.len() == 1 { 0 } else { sample }]
    }

    /// Lateral acceleration at a sample, m/s^2.
    pub fn lateral_at(&self, sample: usize) -> f64 {
        self.lateral_m_per_s2.get(sample).copied().unwrap_or(0.0)
    }

    /// Longitudinal acceleration at a sample, m/s^2.
    pub fn longitudinal_at(&self, sample: usize) -> f64 {
        self.longitudinal_m_per_s2.get(sample).copied().unwrap_or(0.0)
    }
}

/// Samples an event at every plant step for a car of the given geometry.
///
/// The front axle is as far along the road as the car has driven, the rear axle one wheelbase behind. Sweep and harmonic
/// are functions of time: the rear axle meets them later by wheelbase over the speed at t = 0, and never at standstill.
/// Rates are slope times speed, or the derivative in time of a sine. Roads over distance are averaged over the contact
/// patch; sines of time are what the tyre feels already.
pub fn sample(event: &Event, geometry: &Geometry, tracks: Tracks, step_s: f64, steps: usize) -> Input {
    let way = Way::new(event, geometry, step_s, steps);
    let motion = Motion::new(event.speed_m_per_s, &event.manoeuvre);
    Input {
        step_s,
        steps,
        wheels: way.wheels(event, geometry, tracks),
        lateral_m_per_s2: event.manoeuvre.lateral_m_per_s2(&motion, step_s, steps),
        longitudinal_m_per_s2: way.acceleration_m_per_s2,
        speed_m_per_s: way.speed_m_per_s,
    }
}

/// The way of the car along the road, sampled.
pub(crate) struct Way {
    step_s: f64,
    steps: usize,
    distance_m: Vec<f64>,
    /// One entry a sample, or one for all.
    speed_m_per_s: Vec<f64>,
    /// One entry a sample, or empty.
    acceleration_m_per_s2: Vec<f64>,
    behind_m: [f64; 2],
    contact_length_m: [f64; 2],
    behind_s: [f64; 2],
}

impl Way {
    fn new(event: &Event, geometry: &Geometry, step_s: f64, steps: usize) -> Self {
        let motion = Motion::new(event.speed_m_per_s, &event.manoeuvre);
        let speed_m_per_s = motion.at(0.0).speed_m_per_s;
        let moments = || (0..=steps).map(|i| motion.at(i as f64 * step_s));
        let steady = event.manoeuvre.is_steady();
        Way {
            step_s,
            steps,
            distance_m: if steady {
                (0..=steps).map(|i| speed_m_per_s * (i as f64 * step_s)).collect()
            } else {
                moments().map(|moment| moment.distance_m).collect()
            },
            speed_m_per_s: if steady {
                vec![speed_m_per_s]
            } else {
                moments().map(|moment| moment.speed_m_per_s).collect()
            },
            acceleration_m_per_s2: if steady {
                Vec::new()
            } else {
                moments().map(|moment| moment.acceleration_m_per_s2).collect()
            },
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
            steps,
            distance_m: (0..=steps).map(|i| i as f64 * step_m).collect(),
            speed_m_per_s: vec![speed_m_per_s],
            acceleration_m_per_s2: Vec::new(),
            behind_m: [0.0, geometry.wheelbase_m],
            contact_length_m: geometry.contact_length_m,
            behind_s: [0.0, geometry.wheelbase_m / speed_m_per_s],
        }
    }

    fn covered_m(&self) -> f64 {
        self.distance_m.last().copied().unwrap_or(0.0)
    }

    pub(crate) fn wheels(&self, event: &Event, geometry: &Geometry, tracks: Tracks) -> [[WheelInput; 2]; 2] {
        match &event.surface {
            Surface::Flat => self.both(|_| WheelInput::flat()),
            Surface::Random(road) => {
                let apart_m = (tracks == Tracks::Two).then_some(geometry.track_m);
                let ahead_m = 0.5 * self.contact_length_m[0].max(self.contact_length_m[1]);
                match random::draw(road, self.covered_m(), ahead_m, apart_m) {
                    None => self.both(|_| WheelInput::flat()),
                    Some((one, None)) => self.both(|axle| self.follow(axle, &one)),
                    Some((left, Some(right))) => self.two(&left, &right),
                }
            }
            &Surface::CosineBump { height_m, length_m, lead_m, side } => {
                self.sided(CosineWaves { height_m, length_m, waves: 1.0 }, lead_m, side, tracks)
            }
            &Surface::CircularHump { height_m, length_m, lead_m, side } => {
                self.sided(CircularHump { height_m, length_m }, lead_m, side, tracks)
            }
            &Surface::Pothole { depth_m, length_m, edge_m, lead_m, side } => {
                self.sided(Pothole { depth_m, length_m, edge_m }, lead_m, side, tracks)
            }
            &Surface::Undulation { height_m, length_m, waves, right_lag_share, lead_m } => {
                let line = CosineWaves { height_m, length_m, waves: f64::from(waves) };
                let late = |share: f64| Shifted { line, by_m: lead_m + share * length_m, times: 1.0 };
                match tracks {
                    _ if right_lag_share == 0.0 => self.both(|axle| self.follow(axle, &late(0.0))),
                    Tracks::Two => self.two(&late(0.0), &late(right_lag_share)),
                    Tracks::Single => self.both(|axle| self.follow(axle, &Mean(late(0.0), late(right_lag_share)))),
                }
            }
            Surface::RailwayCrossing(crossing) => self.sided(crossing.line(), 0.0, Side::Both, tracks),
            Surface::ExpansionJoints { joints, side } => self.sided(joints.line(), 0.0, *side, tracks),
            Surface::Patched(road) => {
                let [left, right] = road.lines(self.covered_m());
                match tracks {
                    Tracks::Two => self.two(&left, &right),
                    Tracks::Single => self.both(|axle| self.follow(axle, &left)),
                }
            }
            &Surface::Sweep { from_hz, to_hz, velocity_amplitude_m_per_s, spacing } => {
                let duration_s = event.duration_s;
                let sweep = Sweep { from_hz, to_hz, velocity_amplitude_m_per_s, spacing, duration_s };
                self.both(|axle| self.in_time(axle, |time_s| sweep.at(time_s)))
            }
            &Surface::Harmonic { frequency_hz, amplitude_m } => {
                self.both(|axle| self.in_time(axle, |time_s| harmonic(frequency_hz, amplitude_m, time_s)))
            }
            Surface::Profile(profile) => self.profile(profile, tracks),
        }
    }

    fn profile(&self, profile: &Profile, tracks: Tracks) -> [[WheelInput; 2]; 2] {
        let line = |elevation_m: &[f64]| Polyline::new(profile.distance_m().to_vec(), elevation_m.to_vec());
        match (profile.elevation_m(), tracks) {
            (Elevation::Two(left_m, right_m), Tracks::Two) => self.two(&line(left_m), &line(right_m)),
            (Elevation::One(one_m), _) => {
                let one = line(one_m);
                self.both(|axle| self.follow(axle, &one))
            }
            (Elevation::Two(..), Tracks::Single) => {
                let mean = line(&profile.mean_m());
                self.both(|axle| self.follow(axle, &mean))
            }
        }
    }

    /// The same under both wheels of an axle, computed and kept once.
    fn both(&self, wheel: impl Fn(usize) -> WheelInput) -> [[WheelInput; 2]; 2] {
        [0, 1].map(|axle| {
            let one = wheel(axle);
            [one.clone(), one]
        })
    }

    /// A line in the left track and one in the right.
    fn two(&self, left: &impl Line, right: &impl Line) -> [[WheelInput; 2]; 2] {
        [0, 1].map(|axle| [self.follow(axle, left), self.follow(axle, right)])
    }

    /// A line that begins after `lead_m`, in one track or both.
    fn sided(&self, line: impl Line, lead_m: f64, side: Side, tracks: Tracks) -> [[WheelInput; 2]; 2] {
        // A car on one track meets the mean of both.
        let times = if tracks == Tracks::Single && side != Side::Both { 0.5 } else { 1.0 };
        let line = Shifted { line, by_m: lead_m, times };
        match (side, tracks) {
            (Side::Both, _) | (_, Tracks::Single) => self.both(|axle| self.follow(axle, &line)),
            (Side::Left, Tracks::Two) => [0, 1].map(|axle| [self.follow(axle, &line), WheelInput::flat()]),
            (Side::Right, Tracks::Two) => [0, 1].map(|axle| [WheelInput::flat(), self.follow(axle, &line)]),
        }
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
        let half_m = |i: usize| 0.5 * self.step_s * speed(i);
        let mut before_m = felt(self.distance_m[0] - behind_m - half_m(0)).height_m;
        self.fill(|i| {
            let x_m = self.distance_m[i] - behind_m;
            let height_m = felt(x_m).height_m;
            let after_m = felt(x_m + half_m(i)).height_m;
            let rate_m_per_s = (after_m - before_m) / self.step_s;
            before_m = after_m;
            (height_m, rate_m_per_s)
        })
    }

    /// Height and rate of every sample, written straight to where they stay.
    fn fill(&self, mut sample: impl FnMut(usize) -> (f64, f64)) -> WheelInput {
        let zeros = || repeat_n(0.0, self.steps + 1).collect::<Arc<[f64]>>();
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
    fn in_time(&self, axle: usize, road: impl Fn(f64) -> (f64, f64)) -> WheelInput {
        self.fill(|i| road(i as f64 * self.step_s - self.behind_s[axle]))
    }
}
