//! Events: what the car is driven over or made to do, as it stands in the session document.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::document::{is_default, is_one, is_zero, one};

fn ten() -> f64 {
    10.0
}
fn is_ten(value: &f64) -> bool {
    *value == 10.0
}
fn low_n() -> f64 {
    0.011
}
fn is_low_n(value: &f64) -> bool {
    *value == 0.011
}
fn high_n() -> f64 {
    2.83
}
fn is_high_n(value: &f64) -> bool {
    *value == 2.83
}
fn tenth() -> f64 {
    0.1
}
fn is_tenth(value: &f64) -> bool {
    *value == 0.1
}
fn patch_edge() -> f64 {
    0.05
}
fn is_patch_edge(value: &f64) -> bool {
    *value == 0.05
}
fn rail_edge() -> f64 {
    0.01
}
fn is_rail_edge(value: &f64) -> bool {
    *value == 0.01
}
fn joint_edge() -> f64 {
    0.01
}
fn is_joint_edge(value: &f64) -> bool {
    *value == 0.01
}
fn groove_width() -> f64 {
    0.065
}
fn is_groove_width(value: &f64) -> bool {
    *value == 0.065
}
fn groove_depth() -> f64 {
    0.04
}
fn is_groove_depth(value: &f64) -> bool {
    *value == 0.04
}
fn track_spacing() -> f64 {
    4.0
}
fn is_track_spacing(value: &f64) -> bool {
    *value == 4.0
}
fn car_width() -> f64 {
    1.8
}
fn is_car_width(value: &f64) -> bool {
    *value == 1.8
}
fn entry() -> f64 {
    1.0
}
fn is_entry(value: &f64) -> bool {
    *value == 1.0
}
fn steer_rise() -> f64 {
    0.15
}
fn is_steer_rise(value: &f64) -> bool {
    *value == 0.15
}
fn half_hz() -> f64 {
    0.5
}
fn is_half_hz(value: &f64) -> bool {
    *value == 0.5
}
fn change_rise() -> f64 {
    0.3
}
fn is_change_rise(value: &f64) -> bool {
    *value == 0.3
}
fn one_whole() -> u32 {
    1
}
fn is_one_whole(value: &u32) -> bool {
    *value == 1
}

/// What the car is driven over or made to do.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Event {
    /// Name on screen and in results.
    pub name: String,
    /// Vehicle speed at the start, km/h.
    pub speed_km_h: f64,
    /// Length of the run, s.
    pub duration_s: f64,
    /// Metrics count from here, s. Default 0.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub settle_s: f64,
    /// Weight in the overall figures. Default 1.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    pub weight: f64,
    /// A road is driven over at a speed that changes on the way. Absent: the speed holds. Not with manoeuvres and sines of
    /// time, which bring their own.
    #[serde(default, skip_serializing_if = "is_default")]
    pub speed_change: Option<SpeedChange>,
    /// The road or manoeuvre.
    pub kind: EventKind,
}

impl Event {
    /// An event of weight 1 whose metrics count from the start, at a speed that holds.
    pub fn new(name: impl Into<String>, speed_km_h: f64, duration_s: f64, kind: EventKind) -> Event {
        let (settle_s, weight, speed_change) = (0.0, 1.0, None);
        Event { name: name.into(), speed_km_h, duration_s, settle_s, weight, speed_change, kind }
    }
}

/// A change from the event's speed to another one, with the longitudinal acceleration that it takes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SpeedChange {
    /// Speed afterwards, km/h.
    pub to_km_h: f64,
    /// When it begins, s. Default 0.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub start_s: f64,
    /// How long it takes over all, s.
    pub over_s: f64,
    /// Time in which acceleration rises, and in which it falls again, s. Default 0.3.
    #[serde(default = "change_rise", skip_serializing_if = "is_change_rise")]
    pub rise_s: f64,
}

/// A road class of ISO 8608; geometric means of the displacement PSD at 0.1 cycle/m are 16e-6 * 4^i m^3.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[allow(missing_docs)]
pub enum RoadClass {
    A,
    B,
    C,
    D,
    E,
    F,
    G,
    H,
}

/// Which wheels meet an obstacle.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Side {
    /// Both tracks.
    #[default]
    Both,
    /// The left track only.
    Left,
    /// The right track only.
    Right,
}

/// How a sweep walks through its frequencies.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Spacing {
    /// Equal time an octave.
    #[default]
    Logarithmic,
    /// Equal time a hertz.
    Linear,
}

/// Ways between cones.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum ConeCourse {
    /// Double lane change of ISO 3888-1: sections of 15, 30, 25, 25, 15 and 15 m, lanes 3.5 m apart; 80 km/h.
    #[default]
    DoubleLaneChange,
    /// Obstacle avoidance of ISO 3888-2: sections of 12, 13.5, 11, 12.5 and 12 m, 1 m between the lanes.
    ObstacleAvoidance,
}

/// The kinds of road and manoeuvre. Obstacles have `lead_m` (default 10 m) of flat road first.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub enum EventKind {
    /// Random road by ISO 8608 class with waviness 2, ramped in over the first 10 m.
    RandomRoad {
        /// Roughness class.
        class: RoadClass,
        /// Seed of the phases: the same seed is the same road.
        seed: u64,
        /// Lowest wavenumber, cycles/m. Default 0.011.
        #[serde(default = "low_n", skip_serializing_if = "is_low_n")]
        from_cycles_per_m: f64,
        /// Highest wavenumber, cycles/m. Default 2.83.
        #[serde(default = "high_n", skip_serializing_if = "is_high_n")]
        to_cycles_per_m: f64,
        /// Distance over which the road grows to its full height, m. Default 10.
        #[serde(default = "ten", skip_serializing_if = "is_ten")]
        ramp_m: f64,
    },
    /// Height/2 * (1 - cos(2 pi x / length)).
    CosineBump {
        /// Height, m; negative for a dip.
        height_m: f64,
        /// Length along the road, m.
        length_m: f64,
        /// Flat road before it, m. Default 10.
        #[serde(default = "ten", skip_serializing_if = "is_ten")]
        lead_m: f64,
        /// Which wheels meet it. Default both.
        #[serde(default, skip_serializing_if = "is_default")]
        side: Side,
    },
    /// A hole with a flat floor and straight edges.
    Pothole {
        /// Depth, m.
        depth_m: f64,
        /// Length over all along the road, m.
        length_m: f64,
        /// Length of each sloping edge, m. Default 0.1.
        #[serde(default = "tenth", skip_serializing_if = "is_tenth")]
        edge_m: f64,
        /// Flat road before it, m. Default 10.
        #[serde(default = "ten", skip_serializing_if = "is_ten")]
        lead_m: f64,
        /// Which wheels meet it. Default both.
        #[serde(default, skip_serializing_if = "is_default")]
        side: Side,
    },
    /// Arc of a circle (Watts, TRRL LR 597, 1973: 3.7 m long, 100 mm high).
    CircularHump {
        /// Height in the middle, m; negative for a dip.
        height_m: f64,
        /// Length along the road, m.
        length_m: f64,
        /// Flat road before it, m. Default 10.
        #[serde(default = "ten", skip_serializing_if = "is_ten")]
        lead_m: f64,
        /// Which wheels meet it. Default both.
        #[serde(default, skip_serializing_if = "is_default")]
        side: Side,
    },
    /// Long waves one after another: height/2 * (1 - cos(2 pi x / length)).
    Undulation {
        /// Height from trough to crest, m.
        height_m: f64,
        /// Length of a wave along the road, m.
        length_m: f64,
        /// Number of waves.
        waves: u32,
        /// By which share of a wave the right track is late: 0 heaves the car, 0.5 rolls it. Default 0.
        #[serde(default, skip_serializing_if = "is_zero")]
        right_lag_share: f64,
        /// Flat road before it, m. Default 10.
        #[serde(default = "ten", skip_serializing_if = "is_ten")]
        lead_m: f64,
    },
    /// Rails of standard gauge (1435 mm) crossed at a right angle: rail heads with a groove inside each.
    RailwayCrossing {
        /// Number of tracks. Default 1.
        #[serde(default = "one_whole", skip_serializing_if = "is_one_whole")]
        tracks: u32,
        /// Distance between the middles of neighbouring tracks, m. Default 4.
        #[serde(default = "track_spacing", skip_serializing_if = "is_track_spacing")]
        track_spacing_m: f64,
        /// Height of the rail heads over the road, m; negative: below it. Default 0.
        #[serde(default, skip_serializing_if = "is_zero")]
        rail_height_m: f64,
        /// Width of the grooves, m. Default 0.065.
        #[serde(default = "groove_width", skip_serializing_if = "is_groove_width")]
        groove_width_m: f64,
        /// Depth of the grooves, m. Default 0.04.
        #[serde(default = "groove_depth", skip_serializing_if = "is_groove_depth")]
        groove_depth_m: f64,
        /// Length of every sloping edge, m. Default 0.01.
        #[serde(default = "rail_edge", skip_serializing_if = "is_rail_edge")]
        edge_m: f64,
        /// Flat road before the first rail, m. Default 10.
        #[serde(default = "ten", skip_serializing_if = "is_ten")]
        lead_m: f64,
    },
    /// Joints at a spacing, as of bridges and concrete slabs.
    ExpansionJoints {
        /// Distance from joint to joint, m.
        spacing_m: f64,
        /// Number of joints.
        joints: u32,
        /// Length of a joint along the road, m.
        gap_m: f64,
        /// Depth of a joint, m; negative: it stands above the road.
        depth_m: f64,
        /// How far each slab between two joints rises until its end, m; the next begins level again. Default 0.
        #[serde(default, skip_serializing_if = "is_zero")]
        fault_m: f64,
        /// Length of every sloping edge, m. Default 0.01.
        #[serde(default = "joint_edge", skip_serializing_if = "is_joint_edge")]
        edge_m: f64,
        /// Flat road before the first joint, m. Default 10.
        #[serde(default = "ten", skip_serializing_if = "is_ten")]
        lead_m: f64,
        /// Which wheels meet it. Default both.
        #[serde(default, skip_serializing_if = "is_default")]
        side: Side,
    },
    /// Raised and sunken patches of uneven length in either track or across both, drawn from a seed.
    PatchedRoad {
        /// The same seed is the same road.
        seed: u64,
        /// Largest height and depth of a patch, m.
        height_m: f64,
        /// Mean length of a patch, m; each has between half and one and a half times that.
        length_m: f64,
        /// Mean length of the road between patches, m, likewise.
        clear_m: f64,
        /// Length of every sloping edge, m. Default 0.05.
        #[serde(default = "patch_edge", skip_serializing_if = "is_patch_edge")]
        edge_m: f64,
        /// Flat road before the first patch, m. Default 10.
        #[serde(default = "ten", skip_serializing_if = "is_ten")]
        lead_m: f64,
    },
    /// Sine that walks through frequencies at constant velocity amplitude over the whole duration.
    Sweep {
        /// First frequency, Hz.
        from_hz: f64,
        /// Last frequency, Hz.
        to_hz: f64,
        /// Amplitude of the road's vertical velocity, m/s.
        velocity_amplitude_m_per_s: f64,
        /// Default logarithmic.
        #[serde(default, skip_serializing_if = "is_default")]
        spacing: Spacing,
    },
    /// One sine.
    Harmonic {
        /// Frequency, Hz.
        frequency_hz: f64,
        /// Amplitude of the road's height, m.
        amplitude_m: f64,
    },
    /// Measured profile, one or two tracks.
    Profile {
        /// CSV file `distance_m,elevation_m` or `distance_m,left_m,right_m`, relative to the session file.
        file: String,
    },
    /// Lateral acceleration that rises linearly to its value and stays.
    LateralStep {
        /// Final lateral acceleration, m/s^2, positive to the left.
        acceleration_m_per_s2: f64,
        /// Time of the rise, s.
        rise_s: f64,
        /// When the rise begins, s. Default 0.
        #[serde(default, skip_serializing_if = "is_zero")]
        start_s: f64,
    },
    /// One full sine of lateral acceleration: to the next lane.
    LaneChange {
        /// Peak lateral acceleration, m/s^2; positive: to the left lane first.
        acceleration_m_per_s2: f64,
        /// Time of the full sine, s.
        period_s: f64,
        /// When it begins, s. Default 0.
        #[serde(default, skip_serializing_if = "is_zero")]
        start_s: f64,
    },
    /// Steering that rises linearly and stays (ISO 7401 step input: 80 km/h, about 4 m/s^2, rise up to 0.15 s); lateral
    /// acceleration follows by the linear single-track model of the car's `handling`.
    StepSteer {
        /// Lateral acceleration in the end, m/s^2, positive to the left.
        acceleration_m_per_s2: f64,
        /// Time of the rise, s. Default 0.15.
        #[serde(default = "steer_rise", skip_serializing_if = "is_steer_rise")]
        rise_s: f64,
        /// When it begins, s. Default 0.
        #[serde(default, skip_serializing_if = "is_zero")]
        start_s: f64,
    },
    /// Whole periods of sine steering (ISO 7401: one period of 0.5 Hz), by the same model.
    SineSteer {
        /// Amplitude, as the lateral acceleration that a steady angle of that size gives, m/s^2; positive: left first.
        acceleration_m_per_s2: f64,
        /// Frequency, Hz. Default 0.5.
        #[serde(default = "half_hz", skip_serializing_if = "is_half_hz")]
        frequency_hz: f64,
        /// Number of periods. Default 1.
        #[serde(default = "one_whole", skip_serializing_if = "is_one_whole")]
        periods: u32,
        /// When it begins, s. Default 0.
        #[serde(default, skip_serializing_if = "is_zero")]
        start_s: f64,
    },
    /// Double lane change between cones at constant speed (ISO 3888-1 and -2), by the same model; angles count as small,
    /// tyres as linear.
    ConeLaneChange {
        /// Which cones. Default those of ISO 3888-1.
        #[serde(default, skip_serializing_if = "is_default")]
        course: ConeCourse,
        /// Width of the car, m: it sets the lanes' widths. Default 1.8.
        #[serde(default = "car_width", skip_serializing_if = "is_car_width")]
        vehicle_width_m: f64,
        /// Straight way before it, m. Default 10.
        #[serde(default = "ten", skip_serializing_if = "is_ten")]
        lead_m: f64,
    },
    /// Cones in one line, passed left and right in turn at constant speed, by the same model.
    Slalom {
        /// Distance from cone to cone, m.
        spacing_m: f64,
        /// Number of cones.
        cones: u32,
        /// Width of the car, m. Default 1.8.
        #[serde(default = "car_width", skip_serializing_if = "is_car_width")]
        vehicle_width_m: f64,
        /// Straight way before it, m. Default 10.
        #[serde(default = "ten", skip_serializing_if = "is_ten")]
        lead_m: f64,
    },
    /// Braking in a bend (ISO 7975): the car enters a circle, brakes and stays on it.
    BrakeInBend {
        /// Lateral acceleration on the circle before braking, m/s^2, positive to the left; speed^2 over it is the radius.
        lateral_m_per_s2: f64,
        /// Time of the entry into the circle, s. Default 1.
        #[serde(default = "entry", skip_serializing_if = "is_entry")]
        entry_s: f64,
        /// When the entry begins, s. Default 0.
        #[serde(default, skip_serializing_if = "is_zero")]
        start_s: f64,
        /// Deceleration, m/s^2, positive.
        deceleration_m_per_s2: f64,
        /// Time in which deceleration rises, s.
        rise_s: f64,
        /// When braking begins, s.
        brake_s: f64,
    },
    /// Braking: deceleration rises linearly, stays, and ends at standstill or after `hold_s`.
    Braking {
        /// Deceleration, m/s^2, positive.
        deceleration_m_per_s2: f64,
        /// Time of the rise, s.
        rise_s: f64,
        /// When it begins, s. Default 0.
        #[serde(default, skip_serializing_if = "is_zero")]
        start_s: f64,
        /// Time at full deceleration before it falls again over `rise_s`, s. Absent: to the end.
        #[serde(default, skip_serializing_if = "is_default")]
        hold_s: Option<f64>,
    },
    /// Drive-off: acceleration rises linearly and stays.
    Drive {
        /// Acceleration, m/s^2, positive.
        acceleration_m_per_s2: f64,
        /// Time of the rise, s.
        rise_s: f64,
        /// When it begins, s. Default 0.
        #[serde(default, skip_serializing_if = "is_zero")]
        start_s: f64,
        /// Time at full acceleration before it falls again over `rise_s`, s. Absent: to the end.
        #[serde(default, skip_serializing_if = "is_default")]
        hold_s: Option<f64>,
    },
}

impl EventKind {
    /// True for roads over distance: what can be driven over at a speed that changes.
    pub fn is_road(&self) -> bool {
        use EventKind as K;
        match self {
            K::RandomRoad { .. }
            | K::CosineBump { .. }
            | K::Pothole { .. }
            | K::CircularHump { .. }
            | K::Undulation { .. }
            | K::RailwayCrossing { .. }
            | K::ExpansionJoints { .. }
            | K::PatchedRoad { .. }
            | K::Profile { .. } => true,
            K::Sweep { .. }
            | K::Harmonic { .. }
            | K::LateralStep { .. }
            | K::LaneChange { .. }
            | K::StepSteer { .. }
            | K::SineSteer { .. }
            | K::ConeLaneChange { .. }
            | K::Slalom { .. }
            | K::BrakeInBend { .. }
            | K::Braking { .. }
            | K::Drive { .. } => false,
        }
    }

    /// True where lateral acceleration follows from steering by the single-track model.
    pub fn is_steered(&self) -> bool {
        use EventKind as K;
        matches!(self, K::StepSteer { .. } | K::SineSteer { .. } | K::ConeLaneChange { .. } | K::Slalom { .. })
    }
}
