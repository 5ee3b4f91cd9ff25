//! Proposed numbers of the car: a middle-sized one, scaled to what is known of it.

use super::to_digits;
use crate::{Axle, LoadCase, LoadItem, Point, Stop, Vehicle};
use std::collections::HashSet;
use std::f64::consts::TAU;

/// Ride frequency that springs are proposed for, front and rear, Hz: the rear a little higher, so that pitch dies out
/// over a bump (common practice, no source).
const RIDE_HZ: [f64; 2] = [1.2, 1.32];
/// Vertical tyre rate over static wheel load, 1/m.
const TYRE_RATE_PER_LOAD_PER_M: f64 = 54.0;
/// Roll radius of gyration over the mean track.
const ROLL_GYRATION: f64 = 0.385;
/// Pitch inertia over mass, and the distances of both axles from the centre of gravity.
const DYNAMIC_INDEX: f64 = 0.88;
/// Roll rate of the bars a kilogram of body, N m/rad.
const BAR_PER_KG: [f64; 2] = [13.5, 8.3];
const GRAVITY_M_PER_S2: f64 = 9.806_65;

const OF_BODY: [&str; 6] =
    ["body_mass_kg", "roll_inertia_kg_m2", "pitch_inertia_kg_m2", "wheelbase_m", "cg_to_front_axle_m", "cg_height_m"];
const OF_AXLE: [&str; 13] = [
    "track_m",
    "wheel_mass_kg",
    "spring_rate_n_per_m",
    "anti_roll_rate_n_m_per_rad",
    "tyre_rate_n_per_m",
    "tyre_damping_n_s_per_m",
    "motion_ratio",
    "roll_centre_height_m",
    "wheel_centre_height_m",
    "anti_pitch_braking_share",
    "anti_pitch_driving_share",
    "bump_stop",
    "rebound_stop",
];

/// Everything of the car that can be proposed.
pub(super) fn marks() -> Vec<String> {
    let body = OF_BODY.iter().chain(&["name", "seat_m", "load_cases"]).map(|field| format!("vehicle.{field}"));
    let axles =
        ["front", "rear"].iter().flat_map(|end| OF_AXLE.iter().map(move |field| format!("vehicle.{end}.{field}")));
    body.chain(axles).collect()
}

/// A car without a single value of its own; `follow` fills it.
pub(super) fn bare() -> Vehicle {
    let axle = |damper: &str| Axle {
        track_m: 0.0,
        wheel_mass_kg: 0.0,
        spring_rate_n_per_m: 0.0,
        anti_roll_rate_n_m_per_rad: 0.0,
        tyre_rate_n_per_m: 0.0,
        tyre_damping_n_s_per_m: 0.0,
        motion_ratio: 1.0,
        roll_centre_height_m: 0.0,
        wheel_centre_height_m: 0.0,
        anti_pitch_braking_share: 0.0,
        anti_pitch_driving_share: 0.0,
        bump_stop: None,
        rebound_stop: None,
        top_mount_rate_n_per_m: None,
        contact_length_m: 0.0,
        damper: damper.to_owned(),
    };
    let mut vehicle = Vehicle {
        name: String::new(),
        body_mass_kg: 0.0,
        roll_inertia_kg_m2: 0.0,
        pitch_inertia_kg_m2: 0.0,
        wheelbase_m: 0.0,
        cg_to_front_axle_m: 0.0,
        cg_height_m: 0.0,
        seat_m: None,
        front: axle("front damper"),
        rear: axle("rear damper"),
        load_cases: Vec::new(),
        handling: crate::Handling::default(),
    };
    follow(&mut vehicle, &marks().into_iter().collect());
    vehicle
}

/// Body mass on one wheel of each axle, kg.
pub(super) fn body_mass_on_wheel_kg(vehicle: &Vehicle) -> [f64; 2] {
    // A centre of gravity outside the axles is a fault that is said elsewhere.
    let rear = (vehicle.cg_to_front_axle_m / vehicle.wheelbase_m).clamp(0.05, 0.95);
    [0.5 * vehicle.body_mass_kg * (1.0 - rear), 0.5 * vehicle.body_mass_kg * rear]
}

/// Gives every marked value of the car the one that follows from the others.
pub(super) fn follow(vehicle: &mut Vehicle, marks: &HashSet<String>) {
    let body = |field: &str| marks.contains(&format!("vehicle.{field}"));
    if body("name") {
        vehicle.name = "New car".to_owned();
    }
    let put = |is_marked: bool, place: &mut f64, value: f64| {
        if is_marked {
            *place = value;
        }
    };
    put(body("body_mass_kg"), &mut vehicle.body_mass_kg, 1550.0);
    put(body("wheelbase_m"), &mut vehicle.wheelbase_m, 2.75);
    put(body("cg_to_front_axle_m"), &mut vehicle.cg_to_front_axle_m, to_digits(0.47 * vehicle.wheelbase_m, 3));
    put(body("cg_height_m"), &mut vehicle.cg_height_m, 0.56);
    let on_wheel = body_mass_on_wheel_kg(vehicle);
    let (mass, height) = (vehicle.body_mass_kg, vehicle.cg_height_m);
    for (a, (end, axle)) in [("front", &mut vehicle.front), ("rear", &mut vehicle.rear)].into_iter().enumerate() {
        let of = |field: &str| marks.contains(&format!("vehicle.{end}.{field}"));
        let pick = |values: [f64; 2]| values[a];
        put(of("track_m"), &mut axle.track_m, pick([1.57, 1.56]));
        put(of("wheel_mass_kg"), &mut axle.wheel_mass_kg, pick([43.0, 41.0]));
        let load_n = (on_wheel[a] + axle.wheel_mass_kg) * GRAVITY_M_PER_S2;
        put(of("tyre_rate_n_per_m"), &mut axle.tyre_rate_n_per_m, to_digits(TYRE_RATE_PER_LOAD_PER_M * load_n, 2));
        put(of("tyre_damping_n_s_per_m"), &mut axle.tyre_damping_n_s_per_m, 80.0);
        // Spring and tyre in series give the ride rate.
        let (ride, tyre) = (on_wheel[a] * (TAU * RIDE_HZ[a]).powi(2), axle.tyre_rate_n_per_m);
        let spring = if tyre > 1.2 * ride { ride * tyre / (tyre - ride) } else { 6.0 * ride };
        put(of("spring_rate_n_per_m"), &mut axle.spring_rate_n_per_m, to_digits(spring, 3));
        put(of("anti_roll_rate_n_m_per_rad"), &mut axle.anti_roll_rate_n_m_per_rad, to_digits(BAR_PER_KG[a] * mass, 2));
        put(of("motion_ratio"), &mut axle.motion_ratio, pick([0.95, 0.85]));
        put(of("roll_centre_height_m"), &mut axle.roll_centre_height_m, pick([0.06, 0.12]).min(height));
        put(of("wheel_centre_height_m"), &mut axle.wheel_centre_height_m, 0.32);
        put(of("anti_pitch_braking_share"), &mut axle.anti_pitch_braking_share, pick([0.18, 0.25]));
        put(of("anti_pitch_driving_share"), &mut axle.anti_pitch_driving_share, pick([0.05, 0.15]));
        let stop = |gap_m: f64, per_spring: f64, progression_n_per_m3: f64| {
            Some(Stop {
                gap_m,
                rate_n_per_m: to_digits(per_spring * axle.spring_rate_n_per_m, 2),
                progression_n_per_m3,
                curve: None,
            })
        };
        let (bump, rebound) = (stop(pick([0.062, 0.07]), 1.0, 3e7), stop(pick([0.088, 0.095]), 1.5, 4e7));
        if of("bump_stop") {
            axle.bump_stop = bump;
        }
        if of("rebound_stop") {
            axle.rebound_stop = rebound;
        }
    }
    let track = 0.5 * (vehicle.front.track_m + vehicle.rear.track_m);
    put(
        body("roll_inertia_kg_m2"),
        &mut vehicle.roll_inertia_kg_m2,
        to_digits(mass * (ROLL_GYRATION * track).powi(2), 3),
    );
    let (to_front, wheelbase) = (vehicle.cg_to_front_axle_m, vehicle.wheelbase_m);
    let arms = to_front * (wheelbase - to_front).max(0.1 * wheelbase);
    put(body("pitch_inertia_kg_m2"), &mut vehicle.pitch_inertia_kg_m2, to_digits(DYNAMIC_INDEX * mass * arms, 3));
    // The driver sits a little behind the middle of the wheelbase, on the left.
    let forward = |behind_front: f64| to_hundredths(to_front - behind_front * wheelbase);
    let seat = Point { x: forward(0.52), y: to_hundredths(0.235 * track), z: 0.62 };
    if body("seat_m") {
        vehicle.seat_m = Some(seat);
    }
    if body("load_cases") {
        let item = |name: &str, mass_kg: f64, x_m: f64, y_m: f64, z_m: f64| LoadItem {
            name: name.to_owned(),
            mass_kg,
            x_m,
            y_m,
            z_m,
        };
        let driver = item("driver", 75.0, seat.x, seat.y, seat.z);
        let full = vec![
            driver.clone(),
            item("front passenger", 75.0, seat.x, -seat.y, seat.z),
            item("rear passengers", 150.0, forward(0.82), 0.0, 0.65),
            item("luggage", 75.0, forward(1.12), 0.0, 0.7),
        ];
        vehicle.load_cases = vec![
            LoadCase { name: "driver".to_owned(), items: vec![driver], levelled: false },
            LoadCase { name: "full load".to_owned(), items: full, levelled: false },
        ];
    }
}

fn to_hundredths(value: f64) -> f64 {
    (value * 100.0).round() / 100.0 + 0.0
}
