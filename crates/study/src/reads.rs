//! Which metrics the trade reads from each kind of event, the most telling first (common practice, no source, unless a
//! standard is named at the event).

use washboard_metrics::MetricId as M;
use washboard_session::EventKind;

/// Continuous roads: how it rides and how the wheels hold.
const ROAD: &[M] = &[
    M::WEIGHTED_ACCELERATION,
    M::PRIMARY_RIDE_ACCELERATION,
    M::CHOPPY_ACCELERATION,
    M::SECONDARY_RIDE_ACCELERATION,
    M::WHEEL_HOP_ACCELERATION,
    M::DYNAMIC_LOAD_COEFFICIENT,
    M::LEAST_WHEEL_LOAD,
    M::HEAD_TOSS_RMS,
    M::TRAVEL_USED_SHARE,
];
/// Broken surfaces: harshness first.
const BROKEN: &[M] = &[
    M::SECONDARY_RIDE_ACCELERATION,
    M::WHEEL_HOP_ACCELERATION,
    M::WEIGHTED_ACCELERATION,
    M::VIBRATION_DOSE,
    M::HEAD_TOSS_RMS,
    M::DYNAMIC_LOAD_COEFFICIENT,
    M::LEAST_WHEEL_LOAD,
];
/// Single obstacles: the blow, what follows, what it does to travel and grip.
const OBSTACLE: &[M] = &[
    M::BODY_ACCELERATION_PEAK_TO_PEAK,
    M::AFTER_SHAKE,
    M::MTVV,
    M::VIBRATION_DOSE,
    M::PITCH_RATE_PEAK,
    M::TRAVEL_USED_SHARE,
    M::STOP_ENERGY,
    M::LEAST_WHEEL_LOAD,
    M::LIFT_TIME,
];
/// Sharp edges: impact harshness.
const EDGE: &[M] = &[
    M::BODY_ACCELERATION_PEAK_TO_PEAK,
    M::AFTER_SHAKE,
    M::WHEEL_HOP_ACCELERATION,
    M::VIBRATION_DOSE,
    M::CREST_FACTOR,
    M::LEAST_WHEEL_LOAD,
    M::LIFT_TIME,
    M::SHARE_OUTSIDE_TABLE,
];
/// Long waves: float.
const WAVES: &[M] = &[
    M::BODY_MOTION_RMS,
    M::PITCH_MOTION_RMS,
    M::ROLL_MOTION_RMS,
    M::PRIMARY_RIDE_ACCELERATION,
    M::TRAVEL_USED_SHARE,
    M::BUMP_STOP_TIME,
    M::REBOUND_STOP_TIME,
    M::STOP_ENERGY,
];
/// Rig inputs.
const RIG: &[M] = &[
    M::BODY_ACCELERATION_RMS,
    M::BODY_MOTION_RMS,
    M::SUSPENSION_TRAVEL_RMS,
    M::WHEEL_LOAD_VARIATION_RMS,
    M::SHARE_DELIVERABLE,
    M::DAMPER_POWER,
];
/// Steps of lateral acceleration: how far, how fast, how well damped.
const ROLL_STEP: &[M] = &[
    M::ROLL_RATE_PEAK,
    M::ROLL_PEAK,
    M::ROLL_OVERSHOOT_SHARE,
    M::ROLL_SETTLING,
    M::ROLL_GRADIENT,
    M::ROLL_ACCELERATION_RMS,
    M::HEAD_TOSS_PEAK,
    M::FRONT_LOAD_TRANSFER_SHARE,
    M::LEAST_WHEEL_LOAD,
];
/// From side to side: there is no steady value to settle to.
const ROLL_SWAY: &[M] = &[
    M::ROLL_RATE_PEAK,
    M::ROLL_PEAK,
    M::ROLL_RATE_RMS,
    M::HEAD_TOSS_PEAK,
    M::FRONT_LOAD_TRANSFER_SHARE,
    M::LEAST_WHEEL_LOAD,
    M::LIFT_TIME,
    M::TRAVEL_USED_SHARE,
];
/// Braking and driving.
const PITCH_STEP: &[M] = &[
    M::PITCH_PEAK,
    M::PITCH_RATE_PEAK,
    M::PITCH_OVERSHOOT_SHARE,
    M::PITCH_SETTLING,
    M::PITCH_STEADY,
    M::COMPRESSION_PEAK,
    M::REBOUND_PEAK,
    M::LEAST_WHEEL_LOAD,
];
/// Both at once.
const BEND: &[M] = &[
    M::ROLL_PEAK,
    M::PITCH_PEAK,
    M::ROLL_RATE_PEAK,
    M::PITCH_RATE_PEAK,
    M::FRONT_LOAD_TRANSFER_SHARE,
    M::LEAST_WHEEL_LOAD,
    M::LIFT_TIME,
    M::COMPRESSION_PEAK,
];

/// The metrics that the trade reads from a kind of event, the most telling first.
pub fn metrics_read(kind: &EventKind) -> &'static [M] {
    use EventKind as K;
    match kind {
        K::RandomRoad { .. } | K::Profile { .. } => ROAD,
        K::PatchedRoad { .. } => BROKEN,
        K::CosineBump { .. } | K::CircularHump { .. } => OBSTACLE,
        K::Pothole { .. } | K::RailwayCrossing { .. } | K::ExpansionJoints { .. } => EDGE,
        K::Undulation { .. } => WAVES,
        K::Sweep { .. } | K::Harmonic { .. } => RIG,
        K::LateralStep { .. } | K::StepSteer { .. } => ROLL_STEP,
        K::LaneChange { .. } | K::SineSteer { .. } | K::ConeLaneChange { .. } | K::Slalom { .. } => ROLL_SWAY,
        K::Braking { .. } | K::Drive { .. } => PITCH_STEP,
        K::BrakeInBend { .. } => BEND,
    }
}
