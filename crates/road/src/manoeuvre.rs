//! What the driver does: accelerations over time, and the speed and distance that follow from them.

use std::f64::consts::TAU;

use crate::{ConeTrack, SingleTrack};

/// What the driver does; accelerations in the directions of ISO 8855.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Manoeuvre {
    /// Straight on at constant speed.
    #[default]
    None,
    /// Lateral acceleration that rises linearly to its value and stays.
    LateralStep {
        /// Final lateral acceleration, m/s^2, positive to the left.
        acceleration_m_per_s2: f64,
        /// Time of the rise, s.
        rise_s: f64,
        /// When the rise begins, s.
        start_s: f64,
    },
    /// One full sine of lateral acceleration, zero before and after.
    LaneChange {
        /// Peak lateral acceleration, m/s^2; positive: to the left first.
        acceleration_m_per_s2: f64,
        /// Time of the full sine, s.
        period_s: f64,
        /// When it begins, s.
        start_s: f64,
    },
    /// Braking or driving: longitudinal acceleration that rises linearly, stays, and falls linearly after `hold_s`.
    /// Braking ends at standstill, at once, and the car stays there.
    Longitudinal {
        /// Longitudinal acceleration, m/s^2, negative in braking.
        acceleration_m_per_s2: f64,
        /// Time of the rise, and of the fall, s.
        rise_s: f64,
        /// When the rise begins, s.
        start_s: f64,
        /// Time at full acceleration, s; `None`: to the end.
        hold_s: Option<f64>,
    },
    /// Steering at constant speed; lateral acceleration follows by the linear single-track model.
    Steered {
        /// What the driver steers.
        steering: Steering,
        /// The car that is steered.
        car: SingleTrack,
    },
    /// Braking in a bend (ISO 7975; from memory): the car enters a circle, then brakes and stays on it, so that lateral
    /// acceleration falls with the square of speed. Where the car would leave its circle is not part of it.
    BrakingInBend {
        /// Lateral acceleration on the circle before braking, m/s^2, positive to the left.
        lateral_m_per_s2: f64,
        /// Time of the entry, in which lateral acceleration rises linearly, s.
        entry_s: f64,
        /// When the entry begins, s.
        start_s: f64,
        /// Deceleration, m/s^2, positive.
        deceleration_m_per_s2: f64,
        /// Time in which deceleration rises linearly, s.
        rise_s: f64,
        /// When braking begins, s.
        brake_s: f64,
    },
}

/// What the driver steers. Steering is told by the lateral acceleration it would give in the end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Steering {
    /// Steering angle that rises linearly and stays (ISO 7401).
    Step {
        /// Lateral acceleration in the end, m/s^2, positive to the left.
        acceleration_m_per_s2: f64,
        /// Time of the rise, s.
        rise_s: f64,
        /// When it begins, s.
        start_s: f64,
    },
    /// Whole periods of a sine of steering angle (ISO 7401: one period of 0.5 Hz).
    Sine {
        /// Amplitude, as the lateral acceleration that a steady angle of that size gives, m/s^2; positive: left first.
        acceleration_m_per_s2: f64,
        /// Frequency, Hz.
        frequency_hz: f64,
        /// Number of periods.
        periods: u32,
        /// When it begins, s.
        start_s: f64,
    },
    /// Along a way between cones: the angle that the curvature of the way needs, earlier by the car's mean delay, so that
    /// the car comes out where the way leads.
    Cones(ConeTrack),
}

/// A value that rises linearly from `start_s` on within `rise_s`, and stays.
fn ramp(value: f64, rise_s: f64, start_s: f64, time_s: f64) -> f64 {
    let since_s = time_s - start_s;
    if since_s < 0.0 {
        0.0
    } else if since_s < rise_s {
        value * (since_s / rise_s)
    } else {
        value
    }
}

/// A value at 0, a step, two steps, ..., without end.
pub(crate) type OverTime = Box<dyn Iterator<Item = f64> + Send>;

fn over_time(step_s: f64, value: impl Fn(f64) -> f64 + Send + 'static) -> OverTime {
    Box::new((0_usize..).map(move |i| value(i as f64 * step_s)))
}

impl Steering {
    fn is_straight(&self) -> bool {
        match *self {
            Steering::Step { acceleration_m_per_s2, .. } => acceleration_m_per_s2 == 0.0,
            Steering::Sine { acceleration_m_per_s2, periods, .. } => acceleration_m_per_s2 == 0.0 || periods == 0,
            Steering::Cones(_) => false,
        }
    }

    fn respond(&self, car: &SingleTrack, speed_m_per_s: f64, step_s: f64) -> OverTime {
        let steered = car.at_speed(speed_m_per_s);
        match *self {
            Steering::Step { acceleration_m_per_s2, rise_s, start_s } => {
                Box::new(steered.respond(move |t| ramp(acceleration_m_per_s2, rise_s, start_s, t), step_s))
            }
            Steering::Sine { acceleration_m_per_s2, frequency_hz, periods, start_s } => {
                let wave = move |t: f64| {
                    let turns = frequency_hz * (t - start_s);
                    let is_on = turns > 0.0 && turns < f64::from(periods);
                    if is_on { acceleration_m_per_s2 * (TAU * turns).sin() } else { 0.0 }
                };
                Box::new(steered.respond(wave, step_s))
            }
            Steering::Cones(track) => {
                let (line, delay_s) = (track.line_of_the_car(), steered.delay_s());
                let squared = speed_m_per_s * speed_m_per_s;
                let wanted = move |t: f64| squared * line.curvature_per_m(speed_m_per_s * (t + delay_s));
                Box::new(steered.respond(wanted, step_s))
            }
        }
    }
}

impl Manoeuvre {
    /// Lateral acceleration at 0, `step_s`, ..., m/s^2, without end; `None` where it is zero throughout.
    pub(crate) fn lateral_m_per_s2(&self, motion: &Motion, step_s: f64) -> Option<OverTime> {
        match *self {
            _ if self.is_straight() => None,
            Manoeuvre::LateralStep { acceleration_m_per_s2, rise_s, start_s } => {
                Some(over_time(step_s, move |t| ramp(acceleration_m_per_s2, rise_s, start_s, t)))
            }
            Manoeuvre::LaneChange { acceleration_m_per_s2, period_s, start_s } => Some(over_time(step_s, move |t| {
                let share = (t - start_s) / period_s;
                if share > 0.0 && share < 1.0 { acceleration_m_per_s2 * (TAU * share).sin() } else { 0.0 }
            })),
            Manoeuvre::Steered { steering, car } => Some(steering.respond(&car, motion.at(0.0).speed_m_per_s, step_s)),
            Manoeuvre::BrakingInBend { lateral_m_per_s2, entry_s, start_s, .. } => {
                let (first, motion) = (motion.at(0.0).speed_m_per_s, motion.clone());
                Some(over_time(step_s, move |t| {
                    let share = motion.at(t).speed_m_per_s / first;
                    ramp(lateral_m_per_s2, entry_s, start_s, t) * share * share
                }))
            }
            Manoeuvre::None | Manoeuvre::Longitudinal { .. } => None,
        }
    }

    /// True where lateral acceleration is zero throughout.
    fn is_straight(&self) -> bool {
        match self {
            Manoeuvre::LateralStep { acceleration_m_per_s2: lateral, .. }
            | Manoeuvre::LaneChange { acceleration_m_per_s2: lateral, .. }
            | Manoeuvre::BrakingInBend { lateral_m_per_s2: lateral, .. } => *lateral == 0.0,
            Manoeuvre::Steered { steering, .. } => steering.is_straight(),
            Manoeuvre::None | Manoeuvre::Longitudinal { .. } => true,
        }
    }

    /// Longitudinal acceleration, its rise, start and hold; `None` where speed is constant throughout.
    fn speed_change(&self) -> Option<(f64, f64, f64, Option<f64>)> {
        let change = match *self {
            Manoeuvre::Longitudinal { acceleration_m_per_s2, rise_s, start_s, hold_s } => {
                (acceleration_m_per_s2, rise_s, start_s, hold_s)
            }
            Manoeuvre::BrakingInBend { deceleration_m_per_s2, rise_s, brake_s, .. } => {
                (-deceleration_m_per_s2, rise_s, brake_s, None)
            }
            Manoeuvre::None
            | Manoeuvre::LateralStep { .. }
            | Manoeuvre::LaneChange { .. }
            | Manoeuvre::Steered { .. } => return None,
        };
        (change.0 != 0.0).then_some(change)
    }

    /// True where speed is constant throughout.
    pub(crate) fn is_steady(&self) -> bool {
        self.speed_change().is_none()
    }
}

/// Distance, speed and longitudinal acceleration at one moment.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Moment {
    pub distance_m: f64,
    pub speed_m_per_s: f64,
    pub acceleration_m_per_s2: f64,
}

/// A stretch of time with constant jerk: acceleration linear, speed quadratic, distance cubic.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    start_s: f64,
    at_start: Moment,
    jerk_m_per_s3: f64,
}

impl Stretch {
    fn after(&self, since_s: f64) -> Moment {
        let Moment { distance_m: x, speed_m_per_s: v, acceleration_m_per_s2: a } = self.at_start;
        let (t, j) = (since_s, self.jerk_m_per_s3);
        Moment {
            distance_m: x + t * (v + t * (a / 2.0 + t * j / 6.0)),
            speed_m_per_s: (v + t * (a + t * j / 2.0)).max(0.0),
            acceleration_m_per_s2: a + t * j,
        }
    }

    /// Time from the stretch's start to standstill while braking; `None`: it never comes.
    fn standstill_s(&self) -> Option<f64> {
        let Moment { speed_m_per_s: v, acceleration_m_per_s2: a, .. } = self.at_start;
        if v <= 0.0 {
            return Some(0.0);
        }
        // Smallest positive root of v + a t + j t^2 / 2 for a <= 0, in the form without cancellation.
        let discriminant = a * a - 2.0 * self.jerk_m_per_s3 * v;
        let denominator = discriminant.sqrt() - a;
        (denominator > 0.0).then(|| 2.0 * v / denominator)
    }
}

/// The car's way along the road, in closed form.
#[derive(Clone, Debug)]
pub(crate) struct Motion {
    stretches: Vec<Stretch>,
}

impl Motion {
    pub(crate) fn new(speed_m_per_s: f64, manoeuvre: &Manoeuvre) -> Self {
        let start = Moment { speed_m_per_s: speed_m_per_s.max(0.0), ..Moment::default() };
        let Some((a, rise_s, start_s, hold_s)) = manoeuvre.speed_change() else {
            return Motion { stretches: vec![Stretch { start_s: 0.0, at_start: start, jerk_m_per_s3: 0.0 }] };
        };
        // (length, acceleration at its start, jerk); lengths that are not positive drop out below.
        let rise_s = rise_s.max(0.0);
        let plan = [
            (start_s, 0.0, 0.0),
            (rise_s, 0.0, a / rise_s),
            (hold_s.unwrap_or(f64::INFINITY), a, 0.0),
            (rise_s, a, -a / rise_s),
            (f64::INFINITY, 0.0, 0.0),
        ];
        let mut stretches = Vec::with_capacity(plan.len() + 1);
        let (mut time_s, mut here) = (0.0, start);
        for (length_s, acceleration_m_per_s2, jerk_m_per_s3) in plan {
            if length_s > 0.0 {
                here.acceleration_m_per_s2 = acceleration_m_per_s2;
                let stretch = Stretch { start_s: time_s, at_start: here, jerk_m_per_s3 };
                stretches.push(stretch);
                let braking = acceleration_m_per_s2 < 0.0 || jerk_m_per_s3 < 0.0;
                if let Some(stop_s) = stretch.standstill_s().filter(|&stop_s| a < 0.0 && braking && stop_s <= length_s)
                {
                    let distance_m = stretch.after(stop_s).distance_m;
                    stretches.push(Stretch {
                        start_s: time_s + stop_s,
                        at_start: Moment { distance_m, ..Moment::default() },
                        jerk_m_per_s3: 0.0,
                    });
                    break;
                }
                if length_s == f64::INFINITY {
                    break;
                }
                here = stretch.after(length_s);
                time_s += length_s;
            }
        }
        Motion { stretches }
    }

    /// Number of the stretch a time lies in; acceleration jumps or has a kink from one to the next.
    pub(crate) fn stretch(&self, time_s: f64) -> usize {
        self.stretches.partition_point(|stretch| stretch.start_s <= time_s).saturating_sub(1)
    }

    /// Distance of the front axle, speed and acceleration at a time not before 0.
    pub(crate) fn at(&self, time_s: f64) -> Moment {
        let stretch = &self.stretches[self.stretch(time_s)];
        stretch.after(time_s - stretch.start_s)
    }
}
