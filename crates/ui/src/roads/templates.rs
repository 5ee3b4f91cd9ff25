//! Events to begin with, in the groups of the menu: believable sizes, every number open to change.

use washboard_session::{ConeCourse, EventKind, RoadClass, Side, Spacing};

/// One event to begin with.
pub(super) struct Template {
    /// What it is called.
    pub name: &'static str,
    /// Speed, km/h.
    pub speed_km_h: f64,
    /// Length of the run, s.
    pub duration_s: f64,
    /// The road or manoeuvre.
    pub kind: EventKind,
}

fn template(name: &'static str, speed_km_h: f64, duration_s: f64, kind: EventKind) -> Template {
    Template { name, speed_km_h, duration_s, kind }
}

/// Heading and templates of each group.
pub(super) fn groups() -> [(&'static str, Vec<Template>); 4] {
    let (lead_m, side) = (10.0, Side::Both);
    let road =
        |class| EventKind::RandomRoad { class, seed: 1, from_cycles_per_m: 0.011, to_cycles_per_m: 2.83, ramp_m: 10.0 };
    let patches =
        EventKind::PatchedRoad { seed: 1, height_m: 0.012, length_m: 1.5, clear_m: 4.0, edge_m: 0.05, lead_m };
    let waves =
        |right_lag_share| EventKind::Undulation { height_m: 0.08, length_m: 20.0, waves: 5, right_lag_share, lead_m };
    let roads = vec![
        template("random road", 80.0, 20.0, road(RoadClass::C)),
        template("patched road", 50.0, 20.0, patches),
        template("long waves", 80.0, 10.0, waves(0.0)),
        template("twisting waves", 60.0, 10.0, waves(0.5)),
        // The file is chosen first; only then is there an event.
        template("measured profile …", 80.0, 20.0, EventKind::Profile { file: String::new() }),
    ];
    let bump = |side| EventKind::CosineBump { height_m: 0.05, length_m: 0.8, lead_m, side };
    let rails = EventKind::RailwayCrossing {
        tracks: 1,
        track_spacing_m: 4.0,
        rail_height_m: 0.005,
        groove_width_m: 0.065,
        groove_depth_m: 0.04,
        edge_m: 0.01,
        lead_m,
    };
    let joints = EventKind::ExpansionJoints {
        spacing_m: 15.0,
        joints: 6,
        gap_m: 0.08,
        depth_m: 0.012,
        fault_m: 0.0,
        edge_m: 0.01,
        lead_m,
        side,
    };
    let obstacles = vec![
        template("cosine bump", 30.0, 4.0, bump(side)),
        template("bump on one side", 30.0, 4.0, bump(Side::Left)),
        template("circular hump", 30.0, 5.0, EventKind::CircularHump { height_m: 0.1, length_m: 3.7, lead_m, side }),
        template("pothole", 40.0, 4.0, EventKind::Pothole { depth_m: 0.05, length_m: 0.8, edge_m: 0.1, lead_m, side }),
        template("railway crossing", 40.0, 4.0, rails),
        template("expansion joints", 90.0, 6.0, joints),
    ];
    let cones = |course| EventKind::ConeLaneChange { course, vehicle_width_m: 1.8, lead_m };
    let bend = EventKind::BrakeInBend {
        lateral_m_per_s2: 5.0,
        entry_s: 1.0,
        start_s: 0.5,
        deceleration_m_per_s2: 4.0,
        rise_s: 0.2,
        brake_s: 3.0,
    };
    let manoeuvres = vec![
        template(
            "step steer",
            80.0,
            5.0,
            EventKind::StepSteer { acceleration_m_per_s2: 4.0, rise_s: 0.15, start_s: 0.5 },
        ),
        template(
            "sine steer",
            80.0,
            6.0,
            EventKind::SineSteer { acceleration_m_per_s2: 3.0, frequency_hz: 0.5, periods: 1, start_s: 0.5 },
        ),
        template("double lane change", 80.0, 9.0, cones(ConeCourse::DoubleLaneChange)),
        template("obstacle avoidance", 55.0, 7.0, cones(ConeCourse::ObstacleAvoidance)),
        template("slalom", 50.0, 14.0, EventKind::Slalom { spacing_m: 18.0, cones: 7, vehicle_width_m: 1.8, lead_m }),
        template(
            "lane change",
            80.0,
            6.0,
            EventKind::LaneChange { acceleration_m_per_s2: 4.0, period_s: 2.0, start_s: 0.5 },
        ),
        template(
            "lateral step",
            80.0,
            5.0,
            EventKind::LateralStep { acceleration_m_per_s2: 4.0, rise_s: 0.3, start_s: 0.5 },
        ),
        template(
            "braking",
            80.0,
            5.0,
            EventKind::Braking { deceleration_m_per_s2: 5.0, rise_s: 0.3, start_s: 0.5, hold_s: None },
        ),
        template("braking in a bend", 80.0, 7.0, bend),
        template(
            "drive-off",
            20.0,
            5.0,
            EventKind::Drive { acceleration_m_per_s2: 3.0, rise_s: 0.3, start_s: 0.5, hold_s: None },
        ),
    ];
    let rig = vec![
        template(
            "sweep",
            80.0,
            20.0,
            EventKind::Sweep {
                from_hz: 0.5,
                to_hz: 20.0,
                velocity_amplitude_m_per_s: 0.1,
                spacing: Spacing::Logarithmic,
            },
        ),
        template("one sine", 80.0, 10.0, EventKind::Harmonic { frequency_hz: 1.3, amplitude_m: 0.01 }),
    ];
    [("roads", roads), ("obstacles", obstacles), ("manoeuvres", manoeuvres), ("as on a rig", rig)]
}
