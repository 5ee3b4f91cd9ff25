//! The quarter car of the published values: 400/50 kg a wheel, 20/250 kN/m.
#![allow(dead_code)] // each test binary uses its own part

use std::path::{Path, PathBuf};
use washboard_road::{Elevation, Profile};
use washboard_session::{Event, Session};
use washboard_study::{Profiles, Progress};

/// Where the runs of the independent simulator lie.
pub fn reference_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference")
}

/// The measured roads of a fixture.
pub fn reference_profiles(of: &str) -> Profiles {
    let mut profiles = Profiles::default();
    for name in ["two-a.csv", "two-b.csv", "one-a.csv", "one-b.csv"] {
        let text = std::fs::read_to_string(reference_folder().join(of).join(name)).unwrap();
        let rows: Vec<Vec<f64>> =
            text.lines().skip(1).map(|l| l.split(',').map(|x| x.parse().unwrap()).collect()).collect();
        let column = |i: usize| rows.iter().map(|r| r[i]).collect::<Vec<f64>>();
        let elevation = match rows[0].len() {
            2 => Elevation::One(column(1)),
            _ => Elevation::Two(column(1), column(2)),
        };
        profiles.insert(name, Profile::new(column(0), elevation).unwrap());
    }
    profiles
}

/// Nobody stops a test.
pub fn progress() -> Progress {
    Progress::new()
}

/// A sine of one frequency.
pub fn sine(frequency_hz: f64, amplitude_m: f64, duration_s: f64) -> Event {
    let text = format!(
        r#"{{"name": "sine", "speed_km_h": 72, "duration_s": {duration_s},
            "kind": {{"Harmonic": {{"frequency_hz": {frequency_hz}, "amplitude_m": {amplitude_m}}}}}}}"#
    );
    serde_json::from_str(&text).unwrap()
}

/// A car whose every corner is the quarter car, with a linear damper between two coefficients and a skyhook gain that an
/// on/off law turns into full strength; one minute of class C road at 72 km/h a seed.
pub fn quarter(soft_n_s_per_m: f64, firm_n_s_per_m: f64, road_seeds: &[u64]) -> Session {
    let events: Vec<String> = road_seeds
        .iter()
        .map(|seed| {
            format!(
                r#"{{"name": "road {seed}", "speed_km_h": 72, "duration_s": 65, "settle_s": 5,
                    "kind": {{"RandomRoad": {{"class": "C", "seed": {seed}}}}}}}"#
            )
        })
        .collect();
    let axle = r#"{"track_m": 1.5, "wheel_mass_kg": 50, "spring_rate_n_per_m": 20000, "tyre_rate_n_per_m": 250000,
        "damper": "linear"}"#;
    let map = |gain: f64| {
        format!(r#"{{"rows": [0, 100], "columns": [0, 10], "values_n_s_per_m": [[{gain}, {gain}], [{gain}, {gain}]]}}"#)
    };
    let (low, high) = (5.0 * soft_n_s_per_m, 5.0 * firm_n_s_per_m);
    let text = format!(
        r#"{{"format": 1, "title": "quarter", "vehicle": {{"name": "quarter", "body_mass_kg": 1600, "roll_inertia_kg_m2": 500,
            "pitch_inertia_kg_m2": 2000, "wheelbase_m": 2.7, "cg_to_front_axle_m": 1.35, "cg_height_m": 0.5,
            "front": {axle}, "rear": {axle}}},
        "dampers": [{{"name": "linear", "velocity_m_per_s": [-5, 0, 5], "current_a": [0, 1],
            "force_n": [[-{low}, -{high}], [0, 0], [{low}, {high}]]}}],
        "controller": {{"sample_rate_hz": 1000}},
        "modes": [{{"name": "mode", "law": "Continuous", "heave": {sky}, "wheel": {none}, "base": {none}, "roll": {none},
            "pitch": {none}, "current_min_a": 0, "current_max_a": 1}}],
        "events": [{events}]}}"#,
        sky = map(2000.0),
        none = map(0.0),
        events = events.join(",")
    );
    washboard_session::parse_json(&text).unwrap()
}

/// The car of checks.json 14_roll and what its closed forms take.
pub struct Rolling {
    pub session: Session,
    /// Mass, kg, and height of the centre of gravity over the roll axis, m.
    pub mass_kg: f64,
    pub height_m: f64,
    /// Roll stiffness less gravity's moment, N m/rad.
    pub stiffness_n_m_per_rad: f64,
    /// About the roll axis.
    pub inertia_kg_m2: f64,
    pub damping_ratio: f64,
}

/// The tyre is a stiff spring in series with each corner's, so that the corner has the rate asked for.
pub fn rolling() -> Rolling {
    let (mass_kg, height_m, inertia_kg_m2, damping_ratio) = (1280.0, 0.365, 600.0, 0.3);
    let roll_rate = 28_650.0;
    let stiffness_n_m_per_rad: f64 = roll_rate - mass_kg * height_m * 9.80665;
    let (track, tyre) = (1.5_f64, 4.0e7);
    let corner = roll_rate / (track * track);
    let damping = 2.0 * damping_ratio * (stiffness_n_m_per_rad * inertia_kg_m2).sqrt() / (track * track);
    let mut session = quarter(damping, damping, &[]);
    session.vehicle.body_mass_kg = mass_kg;
    session.vehicle.cg_height_m = height_m;
    session.vehicle.roll_inertia_kg_m2 = inertia_kg_m2 - mass_kg * height_m * height_m;
    for axle in [&mut session.vehicle.front, &mut session.vehicle.rear] {
        axle.track_m = track;
        axle.wheel_mass_kg = 20.0;
        axle.tyre_rate_n_per_m = tyre;
        axle.spring_rate_n_per_m = corner * tyre / (tyre - corner);
    }
    Rolling { session, mass_kg, height_m, stiffness_n_m_per_rad, inertia_kg_m2, damping_ratio }
}
