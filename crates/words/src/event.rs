//! What kinds of event there are, in words: name, main numbers, what each is for and where it comes from.

use crate as words;
use washboard_session::{ConeCourse, EventKind, Side};

/// What a kind of event is called on screen.
pub fn kind_name(kind: &EventKind) -> &'static str {
    match kind {
        EventKind::RandomRoad { .. } => "random road",
        EventKind::PatchedRoad { .. } => "patched road",
        EventKind::Undulation { .. } => "long waves",
        EventKind::Profile { .. } => "measured profile",
        EventKind::CosineBump { height_m, .. } if *height_m < 0.0 => "cosine dip",
        EventKind::CosineBump { .. } => "cosine bump",
        EventKind::CircularHump { .. } => "circular hump",
        EventKind::Pothole { .. } => "pothole",
        EventKind::RailwayCrossing { .. } => "railway crossing",
        EventKind::ExpansionJoints { .. } => "expansion joints",
        EventKind::Sweep { .. } => "sweep",
        EventKind::Harmonic { .. } => "one sine",
        EventKind::LateralStep { .. } => "lateral step",
        EventKind::LaneChange { .. } => "lane change",
        EventKind::StepSteer { .. } => "step steer",
        EventKind::SineSteer { .. } => "sine steer",
        EventKind::ConeLaneChange { course: ConeCourse::DoubleLaneChange, .. } => "double lane change",
        EventKind::ConeLaneChange { course: ConeCourse::ObstacleAvoidance, .. } => "obstacle avoidance",
        EventKind::Slalom { .. } => "slalom",
        EventKind::BrakeInBend { .. } => "braking in a bend",
        EventKind::Braking { .. } => "braking",
        EventKind::Drive { .. } => "drive-off",
    }
}

/// Millimetres without decimals.
fn mm(metres: f64) -> String {
    format!("{} mm", words::fixed(metres * 1e3, 0))
}

fn side_word(side: Side) -> &'static str {
    match side {
        Side::Both => "",
        Side::Left => ", left",
        Side::Right => ", right",
    }
}

/// What it is in a few words, with its main numbers.
pub fn summary(kind: &EventKind) -> String {
    let short = words::breakpoint;
    match kind {
        EventKind::RandomRoad { class, seed, .. } => format!("class {class:?}, seed {seed}"),
        EventKind::PatchedRoad { height_m, length_m, .. } => format!("± {}, {} m", mm(*height_m), short(*length_m)),
        EventKind::Undulation { height_m, length_m, waves, .. } => {
            format!("{waves} × {} over {} m", mm(*height_m), short(*length_m))
        }
        EventKind::Profile { file } => file.clone(),
        EventKind::CosineBump { height_m, length_m, side, .. }
        | EventKind::CircularHump { height_m, length_m, side, .. } => {
            format!("{} over {} m{}", mm(*height_m), short(*length_m), side_word(*side))
        }
        EventKind::Pothole { depth_m, length_m, side, .. } => {
            format!("{} deep, {} m{}", mm(*depth_m), short(*length_m), side_word(*side))
        }
        EventKind::RailwayCrossing { tracks, groove_width_m, groove_depth_m, .. } => {
            let tracks = words::count(*tracks as usize, "track", "tracks");
            format!("{tracks}, grooves {} × {}", mm(*groove_width_m), mm(*groove_depth_m))
        }
        EventKind::ExpansionJoints { spacing_m, joints, depth_m, side, .. } => {
            format!("{joints} × {} at {} m{}", mm(*depth_m), short(*spacing_m), side_word(*side))
        }
        EventKind::Sweep { from_hz, to_hz, .. } => format!("{} to {} Hz", short(*from_hz), short(*to_hz)),
        EventKind::Harmonic { frequency_hz, amplitude_m } => {
            format!("{} Hz, {} mm", short(*frequency_hz), words::fixed(amplitude_m * 1e3, 1))
        }
        EventKind::LateralStep { acceleration_m_per_s2: a, rise_s, .. }
        | EventKind::StepSteer { acceleration_m_per_s2: a, rise_s, .. } => {
            format!("{} m/s² in {} s", short(*a), short(*rise_s))
        }
        EventKind::LaneChange { acceleration_m_per_s2, period_s, .. } => {
            format!("± {} m/s², {} s", short(*acceleration_m_per_s2), short(*period_s))
        }
        EventKind::SineSteer { acceleration_m_per_s2, frequency_hz, .. } => {
            format!("± {} m/s², {} Hz", short(*acceleration_m_per_s2), short(*frequency_hz))
        }
        EventKind::ConeLaneChange { course: ConeCourse::DoubleLaneChange, .. } => "cones of ISO 3888-1".to_owned(),
        EventKind::ConeLaneChange { course: ConeCourse::ObstacleAvoidance, .. } => "cones of ISO 3888-2".to_owned(),
        EventKind::Slalom { spacing_m, cones, .. } => format!("{cones} cones at {} m", short(*spacing_m)),
        EventKind::BrakeInBend { lateral_m_per_s2, deceleration_m_per_s2, .. } => {
            format!("{} m/s², then {} m/s²", short(*lateral_m_per_s2), short(-*deceleration_m_per_s2))
        }
        EventKind::Braking { deceleration_m_per_s2, .. } => format!("{} m/s²", short(*deceleration_m_per_s2)),
        EventKind::Drive { acceleration_m_per_s2, .. } => format!("{} m/s²", short(*acceleration_m_per_s2)),
    }
}

/// What it is, what it is for, and where it comes from.
pub fn about(kind: &EventKind) -> &'static str {
    match kind {
        EventKind::RandomRoad { .. } => {
            "Sum of sines with the density of its class, ISO 8608, waviness 2. For ride and wheel load over all frequencies."
        }
        EventKind::PatchedRoad { .. } => {
            "Patches drawn from a seed, in either track or both; sizes are yours, not measured. For busyness and harshness."
        }
        EventKind::Undulation { .. } => {
            "Cosine waves one after another; a right track half a wave late rolls the car. For float over long waves, for travel, and short for washboard."
        }
        EventKind::Profile { .. } => {
            "Elevation over distance of one track or two, from a CSV file beside the session. For what your proving ground is like."
        }
        EventKind::CosineBump { .. } => {
            "height/2 · (1 − cos(2π x/length)), of both tracks or one. For the blow and what follows it."
        }
        EventKind::CircularHump { .. } => {
            "Arc of a circle; 3.7 m by 100 mm is the hump of Watts (TRRL LR 597, 1973). For travel, stops and the landing."
        }
        EventKind::Pothole { .. } => "Flat floor between straight edges. For harshness and wheels that lift.",
        EventKind::RailwayCrossing { .. } => {
            "Rails of 1435 mm gauge with a groove inside each, crossed at a right angle. For impact harshness."
        }
        EventKind::ExpansionJoints { .. } => {
            "Joints of a bridge or of slabs at an even distance; slabs may rise to the joint. For rhythm and impact."
        }
        EventKind::Sweep { .. } => {
            "Sine of time that walks through frequencies at an even velocity amplitude, as on a rig. For where it resonates."
        }
        EventKind::Harmonic { .. } => "One sine of time, as on a rig. For one frequency alone.",
        EventKind::LateralStep { .. } => {
            "Lateral acceleration that rises and stays, as stated: no tyre in between. For roll and how it settles."
        }
        EventKind::LaneChange { .. } => {
            "One sine of lateral acceleration, as stated: no tyre in between. For roll from side to side."
        }
        EventKind::StepSteer { .. } => {
            "Step of steering, ISO 7401: 80 km/h, about 4 m/s², rise up to 0.15 s (from memory). Lateral acceleration by the car's own handling."
        }
        EventKind::SineSteer { .. } => {
            "Whole periods of sine steering, ISO 7401: one period of 0.5 Hz (from memory). Lateral acceleration by the car's own handling."
        }
        EventKind::ConeLaneChange { course: ConeCourse::DoubleLaneChange, .. } => {
            "ISO 3888-1: sections of 15, 30, 25, 25, 15 and 15 m, lanes 3.5 m apart, 80 km/h; smooth line between the cones, lateral acceleration by the car's own handling."
        }
        EventKind::ConeLaneChange { course: ConeCourse::ObstacleAvoidance, .. } => {
            "ISO 3888-2: sections of 12, 13.5, 11, 12.5 and 12 m, 1 m between the lanes, as fast as it goes; smooth line between the cones, lateral acceleration by the car's own handling."
        }
        EventKind::Slalom { .. } => {
            "Cones in one line, passed left and right in turn (18 m and 36 m are common practice, no source); lateral acceleration by the car's own handling."
        }
        EventKind::BrakeInBend { .. } => {
            "Braking on a circle, ISO 7975: radius 100 m, 80 km/h, 5 m/s² sideways (from memory). For roll and dive at once."
        }
        EventKind::Braking { .. } => "Deceleration that rises and stays, or ends. For dive and how it settles.",
        EventKind::Drive { .. } => "Acceleration that rises and stays, or ends. For squat and how it settles.",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn summaries_say_size_and_side() {
        let bump = EventKind::CosineBump { height_m: 0.05, length_m: 0.8, lead_m: 10.0, side: Side::Left };
        assert_eq!(summary(&bump), "50 mm over 0.8 m, left");
        let waves =
            EventKind::Undulation { height_m: 0.1, length_m: 25.0, waves: 4, right_lag_share: 0.0, lead_m: 10.0 };
        assert_eq!(summary(&waves), "4 × 100 mm over 25 m");
        assert_eq!(
            kind_name(&EventKind::CosineBump { height_m: -0.05, length_m: 0.8, lead_m: 0.0, side: Side::Both }),
            "cosine dip"
        );
    }
}
