//! A small session for tests in which every number of every table is another one.

use washboard_session::{
    Axle, AxleScales, Controller, CurrentMap, Damper, Demand, FORMAT, GainMap, Handling, InverseTable, Law, Mixed,
    Mode, Roughness, Session, States, Vehicle,
};

use crate::set::CarSet;

fn axle(damper: &str, track_m: f64, motion_ratio: f64) -> Axle {
    Axle {
        track_m,
        wheel_mass_kg: 42.0,
        spring_rate_n_per_m: 24_000.0,
        anti_roll_rate_n_m_per_rad: 18_000.0,
        tyre_rate_n_per_m: 220_000.0,
        tyre_damping_n_s_per_m: 0.0,
        motion_ratio,
        top_mount_rate_n_per_m: None,
        roll_centre_height_m: 0.05,
        wheel_centre_height_m: 0.0,
        anti_pitch_braking_share: 0.0,
        anti_pitch_driving_share: 0.0,
        contact_length_m: 0.0,
        bump_stop: None,
        rebound_stop: None,
        damper: damper.to_owned(),
    }
}

/// Digressive, stiffer in rebound, firmer with more current; no two cells alike.
fn damper(name: &str, scale: f64) -> Damper {
    let velocity = vec![-1.2, -0.3, -0.05, 0.0, 0.05, 0.3, 1.2];
    let current = vec![0.3, 0.9, 1.6];
    let force = |v: f64, i: f64| {
        let side = if v < 0.0 { 1.0 } else { 2.3 };
        scale * side * v * (300.0 + (250.0 + 900.0 * i) / (0.2 + v.abs()))
    };
    let force_n = velocity.iter().map(|&v| current.iter().map(|&i| (force(v, i) * 100.0).round() / 100.0).collect());
    Damper {
        name: name.to_owned(),
        force_n: force_n.collect(),
        velocity_m_per_s: velocity,
        current_a: current,
        dead_time_s: 0.002,
        rise_s: 0.008,
        fall_s: 0.006,
        friction_n: 0.0,
        friction_velocity_m_per_s: 0.01,
        supply_lost: None,
        temperature: None,
    }
}

/// Gains that tell row, column and map apart: start + 100 * row + column.
fn map(rows: &[f64], columns: &[f64], start: f64) -> GainMap {
    let cell = |r: usize, c: usize| start + 100.0 * r as f64 + c as f64;
    GainMap {
        rows: rows.to_vec(),
        columns: columns.to_vec(),
        values_n_s_per_m: (0..rows.len()).map(|r| (0..columns.len()).map(|c| cell(r, c)).collect()).collect(),
    }
}

fn mode(name: &str, law: Law, shift: f64) -> Mode {
    let (speed, rough) = ([0.0, 60.0 + shift, 130.0], [0.0, 1.5, 4.0, 9.0]);
    Mode {
        name: name.to_owned(),
        rests_on: None,
        purpose: "for tests".to_owned(),
        law,
        heave: map(&speed, &rough, 1010.0 + shift),
        wheel: map(&speed, &rough, 520.0 + shift),
        base: map(&speed, &rough, 730.0 + shift),
        roll: map(&speed, &[0.0, 2.0, 6.0], 2040.0 + shift),
        pitch: map(&speed, &[0.0, 3.0, 7.0], 1550.0 + shift),
        floor: Some(CurrentMap {
            rows: vec![0.0, 100.0],
            columns: vec![0.0, 4.0, 8.0],
            values_a: vec![vec![0.45, 0.5, 0.55], vec![0.6, 0.65, 0.7]],
        }),
        end_stop: None,
        front: AxleScales {
            heave: 1.01,
            wheel: 1.02,
            base: 1.03,
            roll: 1.04,
            pitch: 1.05,
            rebound: 1.06,
            compression: 0.97,
        },
        rear: AxleScales {
            heave: 0.91,
            wheel: 0.92,
            base: 0.93,
            roll: 0.94,
            pitch: 0.95,
            rebound: 0.96,
            compression: 0.87,
        },
        current_min_a: 0.4,
        current_max_a: 1.5 - shift / 1000.0,
        slew_a_per_s: Some(150.0 + shift),
        locked: Default::default(),
    }
}

/// Two modes, two dampers.
pub(crate) fn session() -> Session {
    Session {
        format: FORMAT,
        title: "fixture".to_owned(),
        notes: String::new(),
        vehicle: Vehicle {
            name: "car".to_owned(),
            body_mass_kg: 1450.0,
            roll_inertia_kg_m2: 520.0,
            pitch_inertia_kg_m2: 2300.0,
            wheelbase_m: 2.7,
            cg_to_front_axle_m: 1.25,
            cg_height_m: 0.58,
            seat_m: None,
            front: axle("front damper", 1.58, 0.95),
            rear: axle("rear damper", 1.56, 0.85),
            handling: Handling::default(),
            load_cases: vec![],
        },
        conditions: washboard_session::Conditions::default(),
        dampers: vec![damper("front damper", 1.0), damper("rear damper", 0.8)],
        controller: Controller {
            sample_rate_hz: 1000.0,
            states: States::default(),
            roughness: Roughness::default(),
            lateral_demand: Demand { rise_s: 0.05, fall_s: 0.8, lead_s: 0.0 },
            longitudinal_demand: Demand { rise_s: 0.04, fall_s: 0.6, lead_s: 0.0 },
            blend_velocity_m_per_s: 0.01,
            inverse_table: InverseTable { velocities: 7, forces: 9 },
        },
        modes: vec![
            mode("soft/1", Law::Continuous, 0.0),
            mode("firm, wet", Law::Mixed(Mixed { crossover_hz: 1.9 }), 7.0),
        ],
        events: vec![],
        reference_mode: None,
        fences: vec![],
        verdict_attributes: vec![],
        logbook: vec![],
        handed_over: vec![],
        in_car: None,
        began_from: None,
        release: None,
        proposed: vec![],
        below: None,
    }
}

/// The set of both modes.
pub(crate) fn set() -> CarSet {
    CarSet::from_session(&session(), &[0, 1]).expect("the fixture is valid")
}
