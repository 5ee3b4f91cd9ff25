//! Steady load transfer in a bend and under braking and drive, against the equilibrium of body and axles in closed form.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use common::quarter;
use washboard_session::{Event, EventKind, Session};
use washboard_study::{Model, Profiles, Study};

const GRAVITY: f64 = 9.80665;
const BODY_KG: f64 = 1600.0;
const WHEELBASE_M: f64 = 2.7;
const TO_FRONT_M: f64 = 1.2;
const CG_M: f64 = 0.56;

/// Front and rear.
struct Axle {
    track_m: f64,
    wheel_kg: f64,
    spring: f64,
    bar: f64,
    tyre: f64,
    roll_centre_m: f64,
    wheel_centre_m: f64,
    anti_braking: f64,
    anti_driving: f64,
}

const AXLES: [Axle; 2] = [
    Axle {
        track_m: 1.58,
        wheel_kg: 44.0,
        spring: 24_000.0,
        bar: 19_000.0,
        tyre: 210_000.0,
        roll_centre_m: 0.05,
        wheel_centre_m: 0.31,
        anti_braking: 0.25,
        anti_driving: 0.1,
    },
    Axle {
        track_m: 1.54,
        wheel_kg: 47.0,
        spring: 28_000.0,
        bar: 8_000.0,
        tyre: 230_000.0,
        roll_centre_m: 0.14,
        wheel_centre_m: 0.32,
        anti_braking: 0.4,
        anti_driving: 0.3,
    },
];

/// A well damped linear car with roll centres and anti-pitch shares.
fn session(kind: EventKind) -> Session {
    let mut session = quarter(4000.0, 4000.0, &[]);
    let v = &mut session.vehicle;
    (v.body_mass_kg, v.wheelbase_m, v.cg_to_front_axle_m, v.cg_height_m) = (BODY_KG, WHEELBASE_M, TO_FRONT_M, CG_M);
    for (axle, a) in [&mut v.front, &mut v.rear].into_iter().zip(&AXLES) {
        axle.track_m = a.track_m;
        axle.wheel_mass_kg = a.wheel_kg;
        axle.spring_rate_n_per_m = a.spring;
        axle.anti_roll_rate_n_m_per_rad = a.bar;
        axle.tyre_rate_n_per_m = a.tyre;
        axle.roll_centre_height_m = a.roll_centre_m;
        axle.wheel_centre_height_m = a.wheel_centre_m;
        axle.anti_pitch_braking_share = a.anti_braking;
        axle.anti_pitch_driving_share = a.anti_driving;
    }
    let (settle_s, weight, speed_change) = (0.0, 1.0, None);
    session.events = vec![Event {
        name: "manoeuvre".into(),
        speed_km_h: 200.0,
        duration_s: 6.0,
        settle_s,
        weight,
        speed_change,
        kind,
    }];
    session
}

/// Last sample of a channel of the full car, less the first one where `change`.
fn end(study: &Study, name: &str, change: bool) -> f64 {
    let trace = study.trace(Model::Full, 0, 0, 0);
    let values = trace.channel(name).unwrap_or_else(|| panic!("no channel {name}")).values;
    values.last().unwrap() - if change { values[0] } else { 0.0 }
}

/// Moment equilibrium of the body about the roll axis and of each axle about the ground, left-hand bend. Springs and bar of
/// an axle (K) stand in series with its tyres (T); the roll centre's side force and the wheels' own turn the axle alone (P):
/// phi (sum of K T/(K + T) - m g h) = m h a + sum of K P/(K + T), and each axle's load transfer is T (K phi + P)/(K + T)
/// over its track.
#[test]
fn a_bend_moves_load_through_springs_bars_and_roll_centres() {
    let a = 4.0;
    let study = Study::new(
        &session(EventKind::LateralStep { acceleration_m_per_s2: a, rise_s: 0.3, start_s: 0.0 }),
        &Profiles::default(),
    )
    .unwrap();
    let share = [(WHEELBASE_M - TO_FRONT_M) / WHEELBASE_M, TO_FRONT_M / WHEELBASE_M];
    let axis = AXLES[0].roll_centre_m + (AXLES[1].roll_centre_m - AXLES[0].roll_centre_m) * TO_FRONT_M / WHEELBASE_M;
    let arm = CG_M - axis;
    let half = |axle: &Axle| 0.5 * axle.track_m * axle.track_m;
    let springs = AXLES.each_ref().map(|x| x.spring * half(x) + x.bar);
    let tyres = AXLES.each_ref().map(|x| x.tyre * half(x));
    let past_springs: [f64; 2] = std::array::from_fn(|i| {
        a * (share[i] * BODY_KG * AXLES[i].roll_centre_m + 2.0 * AXLES[i].wheel_kg * AXLES[i].wheel_centre_m)
    });
    let sum = |f: &dyn Fn(usize) -> f64| f(0) + f(1);
    let stiffness = sum(&|i| springs[i] * tyres[i] / (springs[i] + tyres[i])) - BODY_KG * GRAVITY * arm;
    let drive = BODY_KG * arm * a + sum(&|i| springs[i] * past_springs[i] / (springs[i] + tyres[i]));
    let roll = drive / stiffness;
    let source = "closed form: moments about the roll axis and of each axle (Gillespie 1992, ch. 6, with tyres)";
    let close = |what: &str, got: f64, want: f64| washboard_checks::relative(what, source, got, want, 1e-4);
    close("steady roll with roll centres, rad", end(&study, "roll_rad", false), roll);
    let mut moved = 0.0;
    for (i, name) in ["front", "rear"].into_iter().enumerate() {
        let transfer = tyres[i] * (springs[i] * roll + past_springs[i]) / (springs[i] + tyres[i]) / AXLES[i].track_m;
        for (side, sign) in [("left", -1.0), ("right", 1.0)] {
            let got = end(&study, &format!("{name}_{side}_wheel_load_n"), true);
            close(&format!("lateral load transfer, {name} {side}, N"), got, sign * transfer);
        }
        moved += transfer * AXLES[i].track_m;
    }
    // Nothing is lost: the whole moment of all side forces about the ground, and gravity's over the rolled body.
    let whole = a * (BODY_KG * CG_M + sum(&|i| 2.0 * AXLES[i].wheel_kg * AXLES[i].wheel_centre_m))
        + BODY_KG * GRAVITY * arm * roll;
    close("moment of the lateral load transfer, N m", moved, whole);
}

/// With an axle's load changed by m h a/L, of which the share A goes past its springs: travel (1 - A) of it over the axle's
/// spring rate, tyre all of it over the tyres' rate, pitch the sum of both axles' body displacements over the wheelbase.
#[test]
fn braking_and_driving_move_load_past_the_springs_by_the_anti_pitch_shares() {
    let source = "closed form: m h a/L, the share past the springs taken off (Gillespie 1992, ch. 7)";
    for (kind, a, what) in [
        (EventKind::Braking { deceleration_m_per_s2: 6.0, rise_s: 0.3, start_s: 0.0, hold_s: None }, -6.0, "braking"),
        (EventKind::Drive { acceleration_m_per_s2: 3.0, rise_s: 0.3, start_s: 0.0, hold_s: None }, 3.0, "driving"),
    ] {
        let study = Study::new(&session(kind), &Profiles::default()).unwrap();
        let close = |name: &str, got: f64, want: f64| {
            washboard_checks::relative(format!("{what}, {name}"), source, got, want, 1e-4)
        };
        let transfer = -BODY_KG * CG_M * a / WHEELBASE_M;
        let mut body = [0.0; 2];
        for (i, (name, sign)) in [("front", 1.0), ("rear", -1.0)].into_iter().enumerate() {
            let axle = &AXLES[i];
            let anti = if a < 0.0 { axle.anti_braking } else { axle.anti_driving };
            let corner = 0.5 * sign * transfer;
            let travel = -(1.0 - anti) * corner / axle.spring;
            close(
                &format!("load of a {name} wheel, N"),
                end(&study, &format!("{name}_left_wheel_load_n"), true),
                corner,
            );
            close(&format!("travel {name}, m"), end(&study, &format!("{name}_right_travel_m"), false), travel);
            body[i] = travel - corner / axle.tyre;
        }
        close("pitch, rad", end(&study, "pitch_rad", false), (body[1] - body[0]) / WHEELBASE_M);
    }
}
