//! How the car stands at one moment of a trace, and the road around it: read out, nothing computed anew.

use crate::Trace;

/// The car at one moment.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pose {
    /// Time, s.
    pub time_s: f64,
    /// Distance of the front axle, m.
    pub distance_m: f64,
    /// Speed, m/s.
    pub speed_m_per_s: f64,
    /// Lateral acceleration, m/s^2, positive to the left.
    pub lateral_m_per_s2: f64,
    /// Longitudinal acceleration, m/s^2, positive when speeding up.
    pub longitudinal_m_per_s2: f64,
    /// Body displacement at the centre of gravity from its static position, m.
    pub heave_m: f64,
    /// Roll, rad, positive with the left side up; zero where the model has none.
    pub roll_rad: f64,
    /// Pitch, rad, positive nose down; zero where the model has none.
    pub pitch_rad: f64,
    /// The wheels, by corner.
    pub wheels: Vec<(&'static str, WheelPose)>,
}

/// One wheel at one moment.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct WheelPose {
    /// Height of the road under it, m.
    pub road_m: f64,
    /// Displacement of the wheel from its static position, m.
    pub height_m: f64,
    /// Wheel load, N.
    pub load_n: f64,
    /// Static wheel load, N: that of the first sample.
    pub static_load_n: f64,
}

impl WheelPose {
    /// True where the wheel has left the road.
    pub fn is_lifted(&self) -> bool {
        self.load_n <= 0.0
    }
}

impl Trace {
    /// How the car stands at a sample; `corners` as its model names them. `None` where the trace has no such motion.
    pub fn pose(&self, corners: &[&'static str], index: usize) -> Option<Pose> {
        let of = |name: &str| self.value(name, index);
        let wheel = |corner: &&'static str| {
            let load = format!("{corner}_wheel_load_n");
            let wheel = WheelPose {
                road_m: of(&format!("{corner}_road_height_m"))?,
                height_m: of(&format!("{corner}_wheel_height_m"))?,
                load_n: of(&load)?,
                static_load_n: self.value(&load, 0)?,
            };
            Some((*corner, wheel))
        };
        Some(Pose {
            time_s: *self.time_s.get(index)?,
            distance_m: of("distance_m")?,
            speed_m_per_s: of("speed_m_per_s")?,
            lateral_m_per_s2: of("lateral_acceleration_m_per_s2")?,
            longitudinal_m_per_s2: of("longitudinal_acceleration_m_per_s2")?,
            heave_m: of("body_heave_m")?,
            roll_rad: of("roll_rad").unwrap_or(0.0),
            pitch_rad: of("pitch_rad").unwrap_or(0.0),
            wheels: corners.iter().map(wheel).collect::<Option<_>>()?,
        })
    }

    /// The road that a corner has driven and will drive over, around where it is at a sample: pairs of the distance ahead
    /// of it and the height, m, from `behind_m` (below zero) to `ahead_m`, as far as the run goes.
    pub fn road_around(&self, corner: &str, index: usize, behind_m: f64, ahead_m: f64) -> Vec<[f64; 2]> {
        let (Some(distance), Some(height)) =
            (self.channel("distance_m"), self.channel(&format!("{corner}_road_height_m")))
        else {
            return Vec::new();
        };
        let Some(here) = distance.values.get(index) else { return Vec::new() };
        let first = distance.values.partition_point(|d| *d < here + behind_m);
        let last = distance.values.partition_point(|d| *d <= here + ahead_m);
        let points = distance.values.iter().zip(height.values);
        points.take(last).skip(first).map(|(d, z)| [d - here, *z]).collect()
    }
}
