//! What a run measures besides what every run does: it follows from what the driver does and what lies on the road.

use washboard_road::{Event, Manoeuvre, Outline, Steering, Surface};

/// What applies to a run.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Measured {
    /// There is a lateral acceleration.
    pub lateral: bool,
    /// There is a longitudinal acceleration.
    pub longitudinal: bool,
    /// A single obstacle is driven over.
    pub obstacle: bool,
    /// When a lateral manoeuvre starts that ends in a steady lateral acceleration, s.
    pub roll_step_s: Option<f64>,
    /// When braking or driving starts that still goes on at the end, s.
    pub pitch_step_s: Option<f64>,
    /// When a lateral manoeuvre starts that ends steady or goes there and back, s.
    pub lateral_start_s: Option<f64>,
}

impl Measured {
    /// What applies to an event of which so much is known.
    pub(crate) fn of(event: &Event, outline: &Outline) -> Self {
        let [lateral, longitudinal] = [outline.last_lateral_m_per_s2, outline.last_longitudinal_m_per_s2];
        let ends = |last: Option<f64>| last.is_some_and(|last| last != 0.0);
        let (ends_lateral, ends_longitudinal) = (ends(lateral), ends(longitudinal));
        let (lateral_start_s, steps, longitudinal_start_s) = match event.manoeuvre {
            Manoeuvre::None => (None, false, None),
            Manoeuvre::LateralStep { start_s, .. } => (Some(start_s), true, None),
            Manoeuvre::LaneChange { start_s, .. } => (Some(start_s), false, None),
            Manoeuvre::Longitudinal { start_s, .. } => (None, false, Some(start_s)),
            Manoeuvre::Steered { steering, .. } => match steering {
                Steering::Step { start_s, .. } => (Some(start_s), true, None),
                Steering::Sine { start_s, .. } => (Some(start_s), false, None),
                Steering::Cones(_) => (Some(0.0), false, None),
            },
            // Lateral acceleration falls with the speed: it neither stays nor comes back from the other side.
            Manoeuvre::BrakingInBend { brake_s, .. } => (None, false, Some(brake_s)),
        };
        Measured {
            lateral: lateral.is_some(),
            longitudinal: longitudinal.is_some(),
            obstacle: matches!(
                event.surface,
                Surface::CosineBump { .. }
                    | Surface::CircularHump { .. }
                    | Surface::RailwayCrossing(_)
                    | Surface::ExpansionJoints { .. }
                    | Surface::Pothole { .. }
            ),
            roll_step_s: lateral_start_s.filter(|_| steps && ends_lateral),
            pitch_step_s: longitudinal_start_s.filter(|_| ends_longitudinal),
            lateral_start_s,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use washboard_road::{Geometry, Side, Tracks, sample};

    fn measured(surface: Surface, manoeuvre: Manoeuvre) -> Measured {
        let event = Event { speed_m_per_s: 20.0, duration_s: 4.0, surface, manoeuvre };
        let geometry = Geometry { wheelbase_m: 2.7, track_m: 1.5, contact_length_m: [0.0; 2] };
        Measured::of(&event, &sample(&event, &geometry, Tracks::Two, 0.001, 4000).outline())
    }

    #[test]
    fn each_manoeuvre_measures_what_it_can_tell() {
        let straight = measured(Surface::Flat, Manoeuvre::None);
        assert_eq!(straight, Measured::default());
        let step = Manoeuvre::LateralStep { acceleration_m_per_s2: 4.0, rise_s: 0.2, start_s: 0.5 };
        let step = measured(Surface::Flat, step);
        assert_eq!((step.roll_step_s, step.lateral_start_s, step.lateral), (Some(0.5), Some(0.5), true));
        let change = Manoeuvre::LaneChange { acceleration_m_per_s2: 4.0, period_s: 2.0, start_s: 0.5 };
        let change = measured(Surface::Flat, change);
        assert_eq!((change.roll_step_s, change.lateral_start_s), (None, Some(0.5)));
        let bend = Manoeuvre::BrakingInBend {
            lateral_m_per_s2: 4.0,
            entry_s: 0.5,
            start_s: 0.5,
            deceleration_m_per_s2: 3.0,
            rise_s: 0.2,
            brake_s: 1.5,
        };
        let bend = measured(Surface::Flat, bend);
        assert_eq!((bend.lateral, bend.longitudinal), (true, true));
        assert_eq!((bend.roll_step_s, bend.pitch_step_s, bend.lateral_start_s), (None, Some(1.5), None));
        let short =
            Manoeuvre::Longitudinal { acceleration_m_per_s2: -3.0, rise_s: 0.2, start_s: 0.5, hold_s: Some(1.0) };
        let bump = Surface::CosineBump { height_m: 0.05, length_m: 1.0, lead_m: 10.0, side: Side::Both };
        let short = measured(bump, short);
        assert_eq!((short.longitudinal, short.pitch_step_s, short.obstacle), (true, None, true));
    }
}
