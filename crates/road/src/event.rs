//! The event: which surface is driven over, at which speed, with which manoeuvre, and by how wide and long a car.

use std::sync::Arc;

use crate::{ExpansionJoints, Manoeuvre, PatchedRoad, Profile, RailwayCrossing, RandomRoad};

/// One run over a surface.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// Vehicle speed at t = 0, m/s, not negative.
    pub speed_m_per_s: f64,
    /// Length of the run, s; a sweep walks through its frequencies in this time.
    pub duration_s: f64,
    /// What lies under the wheels.
    pub surface: Surface,
    /// What the driver does.
    pub manoeuvre: Manoeuvre,
}

impl Event {
    /// Time in which the shortest sloping edge of the road is crossed at the speed of the start, s: of rails, joints,
    /// patches and potholes. None where the road has no such edge or the car stands.
    pub fn shortest_edge_s(&self) -> Option<f64> {
        let edge_m = match &self.surface {
            Surface::RailwayCrossing(crossing) => crossing.edge_m,
            Surface::ExpansionJoints { joints, .. } => joints.edge_m,
            Surface::Patched(road) => road.edge_m,
            Surface::Pothole { edge_m, .. } => *edge_m,
            Surface::Flat
            | Surface::Random(_)
            | Surface::CosineBump { .. }
            | Surface::CircularHump { .. }
            | Surface::Undulation { .. }
            | Surface::Sweep { .. }
            | Surface::Harmonic { .. }
            | Surface::Profile(_) => return None,
        };
        (self.speed_m_per_s > 0.0).then(|| edge_m / self.speed_m_per_s)
    }
}

/// What lies under the wheels. Places are distances the front axle has covered since t = 0; the rear axle meets
/// everything one wheelbase later.
#[derive(Clone, Debug, PartialEq)]
pub enum Surface {
    /// Flat.
    Flat,
    /// Random road by ISO 8608.
    Random(RandomRoad),
    /// height/2 * (1 - cos(2 pi s / length)), s from the obstacle's start.
    CosineBump {
        /// Height, m; negative for a dip.
        height_m: f64,
        /// Length along the road, m.
        length_m: f64,
        /// Flat road before it, m.
        lead_m: f64,
        /// Which track it lies in.
        side: Side,
    },
    /// Arc of a circle (Watts 1973: 3.7 m long and 100 mm high).
    CircularHump {
        /// Height in the middle, m; negative for a dip.
        height_m: f64,
        /// Length along the road, m.
        length_m: f64,
        /// Flat road before it, m.
        lead_m: f64,
        /// Which track it lies in.
        side: Side,
    },
    /// Cosine waves one after another: height/2 * (1 - cos(2 pi s / length)).
    Undulation {
        /// Height from trough to crest, m.
        height_m: f64,
        /// Length of a wave along the road, m.
        length_m: f64,
        /// Number of waves.
        waves: u32,
        /// By which share of a wave the right track is late: 0 heaves the car, 0.5 rolls it.
        right_lag_share: f64,
        /// Flat road before it, m.
        lead_m: f64,
    },
    /// Rails crossed at a right angle, in both tracks.
    RailwayCrossing(RailwayCrossing),
    /// Joints between slabs.
    ExpansionJoints {
        /// The slabs and their joints.
        joints: ExpansionJoints,
        /// Which track they lie in.
        side: Side,
    },
    /// Patches in either track or both.
    Patched(PatchedRoad),
    /// A hole: floor at -depth, straight edges inside the length.
    ///
    /// Edges longer than half the length meet in the middle at full depth. Where an edge is crossed in less than one
    /// step (`edge_m` 0 is a vertical one) its slope cannot be sampled: there the rate is the height's difference
    /// over the step that crossed it, so that its integral is the height.
    Pothole {
        /// Depth, m, positive.
        depth_m: f64,
        /// Length over all along the road, m.
        length_m: f64,
        /// Length of each sloping edge, m.
        edge_m: f64,
        /// Flat road before it, m.
        lead_m: f64,
        /// Which track it lies in.
        side: Side,
    },
    /// Sine of time that walks through frequencies over the event's duration at constant velocity amplitude: its height
    /// is V/(2 pi f) sin(phase) with f the frequency of that moment, zero at t = 0.
    Sweep {
        /// First frequency, Hz, positive.
        from_hz: f64,
        /// Last frequency, Hz, positive.
        to_hz: f64,
        /// Amplitude V of the vertical velocity, m/s.
        velocity_amplitude_m_per_s: f64,
        /// How it walks.
        spacing: Spacing,
    },
    /// One sine of time, zero at t = 0.
    Harmonic {
        /// Frequency, Hz.
        frequency_hz: f64,
        /// Amplitude of the height, m.
        amplitude_m: f64,
    },
    /// Measured profile; the front axle starts at its distance 0.
    Profile(Arc<Profile>),
}

/// Which track an obstacle lies in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Side {
    /// Both.
    #[default]
    Both,
    /// The left one only.
    Left,
    /// The right one only.
    Right,
}

/// How a sweep walks through its frequencies.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Spacing {
    /// Equal time an octave.
    #[default]
    Logarithmic,
    /// Equal time a hertz.
    Linear,
}

/// Where the wheels stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Geometry {
    /// Distance between the axles, m.
    pub wheelbase_m: f64,
    /// Distance between left and right wheel, m.
    pub track_m: f64,
    /// Length of the contact patch of front and rear tyres, m: the road they feel is its mean over that length. 0: a point.
    pub contact_length_m: [f64; 2],
}

/// How many tracks the car runs on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tracks {
    /// Quarter car and pitch half car: random and patched roads give their left track, obstacles, undulations and profiles
    /// the mean of both tracks (a one-sided obstacle comes at half its height).
    Single,
    /// Roll half car and full car.
    Two,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_time_of_an_edge_is_its_length_over_the_speed() {
        let event = |surface: Surface, speed_m_per_s: f64| Event {
            speed_m_per_s,
            duration_s: 1.0,
            surface,
            manoeuvre: Manoeuvre::None,
        };
        let pothole =
            || Surface::Pothole { depth_m: 0.05, length_m: 0.7, edge_m: 0.12, lead_m: 10.0, side: Side::Both };
        assert_eq!(event(pothole(), 12.0).shortest_edge_s(), Some(0.01));
        assert_eq!(event(pothole(), 0.0).shortest_edge_s(), None);
        let patches = PatchedRoad { seed: 1, height_m: 0.02, length_m: 1.0, clear_m: 1.0, edge_m: 0.05, lead_m: 0.0 };
        assert_eq!(event(Surface::Patched(patches), 25.0).shortest_edge_s(), Some(0.002));
        let bump = Surface::CosineBump { height_m: 0.05, length_m: 0.3, lead_m: 1.0, side: Side::Both };
        assert_eq!(event(bump, 25.0).shortest_edge_s(), None);
        assert_eq!(event(Surface::Flat, 25.0).shortest_edge_s(), None);
    }
}
