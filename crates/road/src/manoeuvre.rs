//! What the driver does: accelerations over time, and the speed and distance that follow from them.

use std::f64::consts::TAU;

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
}

impl Manoeuvre {
    /// Lateral acceleration at a time, m/s^2.
    pub(crate) fn lateral_m_per_s2(&self, time_s: f64) -> f64 {
        match *self {
            Manoeuvre::LateralStep { acceleration_m_per_s2, rise_s, start_s } => {
                let since_s = time_s - start_s;
                if since_s < 0.0 {
                    0.0
                } else if since_s < rise_s {
                    acceleration_m_per_s2 * (since_s / rise_s)
                } else {
                    acceleration_m_per_s2
                }
            }
            Manoeuvre::LaneChange { acceleration_m_per_s2, period_s, start_s } => {
                let share = (time_s - start_s) / period_s;
                if share > 0.0 && share < 1.0 { acceleration_m_per_s2 * (TAU * share).sin() } else { 0.0 }
            }
            Manoeuvre::None | Manoeuvre::Longitudinal { .. } => 0.0,
        }
    }

    /// True where lateral acceleration is zero throughout.
    pub(crate) fn is_straight(&self) -> bool {
        match *self {
            Manoeuvre::LateralStep { acceleration_m_per_s2, .. }
            | Manoeuvre::LaneChange { acceleration_m_per_s2, .. } => acceleration_m_per_s2 == 0.0,
            Manoeuvre::None | Manoeuvre::Longitudinal { .. } => true,
        }
    }

    /// True where speed is constant throughout.
    pub(crate) fn is_steady(&self) -> bool {
        !matches!(*self, Manoeuvre::Longitudinal { acceleration_m_per_s2, .. } if acceleration_m_per_s2 != 0.0)
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
        let Manoeuvre::Longitudinal { acceleration_m_per_s2: a, rise_s, start_s, hold_s } = *manoeuvre else {
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

    /// Distance of the front axle, speed and acceleration at a time not before 0.
    pub(crate) fn at(&self, time_s: f64) -> Moment {
        let index = self.stretches.partition_point(|stretch| stretch.start_s <= time_s).saturating_sub(1);
        let stretch = &self.stretches[index];
        stretch.after(time_s - stretch.start_s)
    }
}
