//! The single-track model, the lines between cones and braking in a bend.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use std::collections::BTreeMap;

use approx::assert_relative_eq;
use common::*;
use washboard_road::*;

/// The car of fixtures/make_steering.py.
fn car() -> SingleTrack {
    SingleTrack {
        to_front_m: 1.21,
        to_rear_m: 1.53,
        compliance_rad_per_g: [5.5_f64.to_radians(), 3.5_f64.to_radians()],
        yaw_radius_squared_m2: 1.3 * 1.3,
    }
}

fn lateral(speed_km_h: f64, steering: Steering, car: SingleTrack, duration_s: f64) -> Vec<f64> {
    let event = Event {
        speed_m_per_s: speed_km_h / 3.6,
        duration_s,
        surface: Surface::Flat,
        manoeuvre: Manoeuvre::Steered { steering, car },
    };
    sample(&event, &GEOMETRY, Tracks::Two, 0.001, (1_000.0 * duration_s) as usize).lateral_m_per_s2
}

fn fixture() -> BTreeMap<String, Vec<f64>> {
    let text = include_str!("fixtures/steering.csv");
    let mut lines = text.lines();
    let names: Vec<&str> = lines.next().unwrap().split(',').collect();
    let rows: Vec<Vec<f64>> = lines.map(|l| l.split(',').map(|x| x.parse().unwrap()).collect()).collect();
    names.iter().enumerate().map(|(i, name)| ((*name).to_owned(), rows.iter().map(|r| r[i]).collect())).collect()
}

fn step() -> Steering {
    Steering::Step { acceleration_m_per_s2: 4.0, rise_s: 0.15, start_s: 0.5 }
}

fn cones(cones: Cones) -> ConeTrack {
    ConeTrack { cones, vehicle_width_m: 1.8, lead_m: 20.0 }
}

/// scipy.signal.lsim and scipy.interpolate.CubicSpline, see fixtures/make_steering.py (versions there).
#[test]
fn lateral_acceleration_is_that_of_an_independent_library() {
    let fixture = fixture();
    let sine = Steering::Sine { acceleration_m_per_s2: 3.0, frequency_hz: 0.5, periods: 1, start_s: 0.5 };
    let runs = [
        ("step_50", 50.0, step()),
        ("step_80", 80.0, step()),
        ("step_130", 130.0, step()),
        ("sine_50", 50.0, sine),
        ("sine_80", 80.0, sine),
        ("sine_130", 130.0, sine),
        ("double", 80.0, Steering::Cones(cones(Cones::DoubleLaneChange))),
        ("avoid", 60.0, Steering::Cones(cones(Cones::ObstacleAvoidance))),
    ];
    for (name, speed_km_h, steering) in runs {
        let got = lateral(speed_km_h, steering, car(), 9.0);
        let expected = &fixture[name];
        let peak = largest(expected);
        for (i, expected) in expected.iter().enumerate() {
            assert!((got[20 * i] - expected).abs() < 2e-4 * peak, "{name} at {i}: {} for {expected}", got[20 * i]);
        }
    }
}

/// Step steer (ISO 7401): at once the front axle's share, in the end what was asked for; where front and rear compliance
/// are equal the gain of both speeds is that of geometry, and the steering angle L/u^2 (Ackermann).
#[test]
fn a_step_begins_with_the_front_axle_and_ends_at_its_value() {
    let jump = Steering::Step { acceleration_m_per_s2: 4.0, rise_s: 0.0, start_s: 0.0 };
    let got = lateral(80.0, jump, car(), 6.0);
    let u = 80.0 / 3.6_f64;
    let (g, l) = (9.80665, 2.74);
    let steering = 4.0 * (l / (u * u) + 2.0_f64.to_radians() / g);
    assert_relative_eq!(got[0], g * 1.53 / l / 5.5_f64.to_radians() * steering, max_relative = 1e-12);
    assert_relative_eq!(got[6_000], 4.0, max_relative = 1e-6);
    let neutral = SingleTrack { compliance_rad_per_g: [0.08, 0.08], ..car() };
    assert_relative_eq!(neutral.steering_rad_per_m_per_s2(u), l / (u * u), max_relative = 1e-12);
    assert_eq!(neutral.critical_speed_m_per_s(), f64::INFINITY);
    // u^2 = g L/(Dr - Df).
    let loose = SingleTrack { compliance_rad_per_g: [0.06, 0.08], ..car() };
    assert_relative_eq!(loose.critical_speed_m_per_s(), (9.80665 * 2.74 / 0.02_f64).sqrt(), max_relative = 1e-12);
    assert_relative_eq!(loose.steering_rad_per_m_per_s2(loose.critical_speed_m_per_s()), 0.0, epsilon = 1e-15);
}

/// With the yaw radius squared a b each axle is a car of its own: front a_f = g/Df slip, a first-order lag of u Df/g.
#[test]
fn the_steps_of_a_stiff_step_do_not_matter() {
    let stiff = SingleTrack { compliance_rad_per_g: [0.01, 0.009], ..car() };
    let fine = {
        let event = Event {
            speed_m_per_s: 5.0,
            duration_s: 2.0,
            surface: Surface::Flat,
            manoeuvre: Manoeuvre::Steered { steering: step(), car: stiff },
        };
        sample(&event, &GEOMETRY, Tracks::Two, 0.0001, 20_000).lateral_m_per_s2
    };
    let coarse = lateral(18.0, step(), stiff, 2.0);
    for i in 0..2_000 {
        assert!((coarse[i] - fine[10 * i]).abs() < 2e-3, "{i}: {} {}", coarse[i], fine[10 * i]);
    }
}

/// Twice integrated, the acceleration puts the car where the line leads: back in its first lane and straight ahead.
/// On the way it must be in the second lane.
#[test]
fn the_car_comes_out_where_the_cones_lead() {
    for (which, speed_km_h, across_m) in
        [(Cones::DoubleLaneChange, 80.0, 3.5), (Cones::ObstacleAvoidance, 60.0, 1.0 + 0.1 + 1.8 + 0.1)]
    {
        let a = lateral(speed_km_h, Steering::Cones(cones(which)), car(), 14.0);
        let (mut rate, mut way, mut most) = (0.0, 0.0, 0.0_f64);
        for pair in a.windows(2) {
            let mean = 0.5 * (pair[0] + pair[1]);
            way += 0.001 * (rate + 0.0005 * mean);
            rate += 0.001 * mean;
            most = most.max(way);
        }
        assert!(rate.abs() < 1e-4, "{which:?}: {rate} m/s sideways in the end");
        assert!(way.abs() < 1e-3, "{which:?}: {way} m off in the end");
        assert!((across_m - 0.3..across_m + 0.6).contains(&most), "{which:?}: {most} m at most");
    }
}

/// Section lengths and offsets of ISO 3888-1 and -2 (second-hand and from memory, see `Cones`); cars of 1.5 to 2.1 m keep
/// clear of every cone.
#[test]
fn the_line_stays_between_the_cones() {
    for vehicle_width_m in [1.5, 1.65, 1.8, 1.95, 2.1] {
        for which in [Cones::DoubleLaneChange, Cones::ObstacleAvoidance] {
            let track = ConeTrack { cones: which, vehicle_width_m, lead_m: 20.0 };
            let line = track.line_of_the_car();
            for lane in track.lanes() {
                let steps = ((lane.to_m - lane.from_m) / 0.05) as usize;
                for i in 0..=steps {
                    let y = line.left_m(line.origin_m + lane.from_m + 0.05 * i as f64);
                    let room = (y - 0.5 * vehicle_width_m - lane.right_m).min(lane.left_m - y - 0.5 * vehicle_width_m);
                    assert!(room > 0.02, "{which:?}, {vehicle_width_m} m wide: {room} m of room in {lane:?}");
                }
            }
        }
    }
    let lengths = |which| {
        let track = cones(which);
        track.lanes().iter().map(|l| (l.from_m, l.to_m)).collect::<Vec<_>>()
    };
    // 15 | 30 | 25 | 25 | 15 + 15 and 12 | 13.5 | 11 | 12.5 | 12.
    assert_eq!(lengths(Cones::DoubleLaneChange), [(0.0, 15.0), (45.0, 70.0), (95.0, 125.0)]);
    assert_eq!(lengths(Cones::ObstacleAvoidance), [(0.0, 12.0), (25.5, 36.5), (49.0, 61.0)]);
}

/// Far from its ends a cubic spline through +-A at a spacing h has the second derivative -+12 A/h^2 there.
#[test]
fn a_slalom_bends_at_every_cone() {
    let track = cones(Cones::Slalom { spacing_m: 18.0, count: 12 });
    let line = track.line_of_the_car();
    let offset_m = 0.9 + 0.1;
    for cone in 4..8_u32 {
        let x_m = line.origin_m + 18.0 * f64::from(cone);
        let side = if cone % 2 == 0 { 1.0 } else { -1.0 };
        assert_relative_eq!(line.left_m(x_m), side * offset_m, epsilon = 1e-12);
        assert_relative_eq!(line.curvature_per_m(x_m), -side * 12.0 * offset_m / (18.0 * 18.0), max_relative = 1e-2);
    }
    assert_relative_eq!(track.length_m(), 20.0 + 14.0 * 18.0, max_relative = 1e-12);
}

/// On a circle of radius R = u0^2/a0 the lateral acceleration is u^2/R while braking (ISO 7975: 100 m, 80 km/h, 5 m/s^2;
/// from memory).
#[test]
fn braking_in_a_bend_keeps_the_circle() {
    let event = Event {
        speed_m_per_s: 80.0 / 3.6,
        duration_s: 8.0,
        surface: Surface::Flat,
        manoeuvre: Manoeuvre::BrakingInBend {
            lateral_m_per_s2: 5.0,
            entry_s: 1.0,
            start_s: 0.5,
            deceleration_m_per_s2: 4.0,
            rise_s: 0.2,
            brake_s: 3.0,
        },
    };
    let input = sample(&event, &GEOMETRY, Tracks::Two, 0.001, 8_000);
    assert_eq!(input.lateral_at(500), 0.0);
    assert_relative_eq!(input.lateral_at(1_000), 2.5, max_relative = 1e-9);
    assert_relative_eq!(input.lateral_at(2_999), 5.0, max_relative = 1e-9);
    let radius_m = (80.0 / 3.6_f64).powi(2) / 5.0;
    for i in (3_000..8_000).step_by(100) {
        assert_relative_eq!(input.lateral_at(i), input.speed_at(i).powi(2) / radius_m, max_relative = 1e-9);
    }
    assert_relative_eq!(input.longitudinal_at(3_100), -2.0, max_relative = 1e-9);
    assert_relative_eq!(input.longitudinal_at(5_000), -4.0, max_relative = 1e-9);
    assert_relative_eq!(input.speed_at(5_000), 80.0 / 3.6 - 0.4 - 4.0 * 1.8, max_relative = 1e-9);
}
