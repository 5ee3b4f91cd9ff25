//! Manoeuvres have the accelerations asked for, and speed and distance are their integrals.

mod common;

use std::f64::consts::TAU;

use approx::assert_relative_eq;
use common::*;
use washboard_road::*;

const STEP_S: f64 = 0.001;

fn drive(speed_m_per_s: f64, manoeuvre: Manoeuvre, surface: Surface, steps: usize) -> Input {
    let event = Event { speed_m_per_s, duration_s: steps as f64 * STEP_S, surface, manoeuvre };
    sample(&event, &GEOMETRY, Tracks::Single, STEP_S, steps)
}

/// Brakes from 25 m/s with 8 m/s^2, rising over 0.2 s from 1 s on: stops at 1.2 + (25 - 0.8)/8 = 4.225 s after
/// 25 + (25*0.2 - 8*0.2^2/6) + 24.2^2/16 = 66.549 m (uniform and uniformly growing deceleration).
#[test]
fn braking_ends_at_standstill_where_mechanics_says() {
    let braking = Manoeuvre::Longitudinal { acceleration_m_per_s2: -8.0, rise_s: 0.2, start_s: 1.0, hold_s: None };
    // A ramp of slope 1 shows the distance as its height.
    let ruler = Profile::new(vec![0.0, 1000.0], Elevation::One(vec![0.0, 1000.0])).unwrap();
    let input = drive(25.0, braking, Surface::Profile(ruler.into()), 6_000);
    for (i, speed_m_per_s, acceleration_m_per_s2) in [
        (0, 25.0, 0.0),
        (1_000, 25.0, 0.0),
        (1_100, 25.0 - 0.2, -4.0),
        (1_200, 24.2, -8.0),
        (3_000, 24.2 - 8.0 * 1.8, -8.0),
        (4_224, 0.008, -8.0),
        (4_226, 0.0, 0.0),
        (6_000, 0.0, 0.0),
    ] {
        assert_relative_eq!(input.speed_at(i), speed_m_per_s, epsilon = 1e-9);
        assert_relative_eq!(input.longitudinal_at(i), acceleration_m_per_s2, epsilon = 1e-9);
    }
    assert!(input.speed_m_per_s.iter().all(|&speed| speed >= 0.0));
    let distance_m = &input.wheels[0][0].height_m;
    let stop_m = 25.0 + (25.0 * 0.2 - 8.0 * 0.04 / 6.0) + 24.2 * 24.2 / 16.0;
    assert_relative_eq!(distance_m[6_000], stop_m, max_relative = 1e-12);
    assert_relative_eq!(distance_m[1_200], 25.0 + 5.0 - 8.0 * 0.04 / 6.0, max_relative = 1e-12);
    assert_relative_eq!(input.wheels[1][0].height_m[6_000], stop_m - 2.7, max_relative = 1e-12);
    // Rate of the ruler is the speed; a profile's rate is a mean over the step, off by jerk * step^2 / 12 = 3.3e-6 m/s.
    for i in (1..6_000).step_by(61) {
        assert_relative_eq!(input.wheels[0][0].rate_m_per_s[i], input.speed_at(i), epsilon = 3.4e-6);
    }
}

/// Stops within the rise: v - a t^2/(2 rise) = 0 gives t = sqrt(2 v rise/a) = sqrt(2*1*1/8) = 0.5 s.
#[test]
fn braking_can_end_while_it_still_rises_or_before_it_begins() {
    let braking =
        |start_s| Manoeuvre::Longitudinal { acceleration_m_per_s2: -8.0, rise_s: 1.0, start_s, hold_s: Some(2.0) };
    let input = drive(1.0, braking(0.0), Surface::Flat, 2_000);
    assert!(input.speed_at(499) > 0.0 && input.longitudinal_at(499) < -3.9);
    assert_eq!((input.speed_at(501), input.longitudinal_at(501)), (0.0, 0.0));
    let parked = drive(0.0, braking(0.5), Surface::Flat, 2_000);
    assert!(parked.speed_m_per_s.iter().chain(&parked.longitudinal_m_per_s2).all(|&value| value == 0.0));
}

/// Speed lost is acceleration times (hold + rise); so it is when the brake is released while the car still rolls.
#[test]
fn acceleration_falls_again_after_its_hold() {
    for acceleration_m_per_s2 in [3.0, -3.0] {
        let manoeuvre = Manoeuvre::Longitudinal { acceleration_m_per_s2, rise_s: 0.4, start_s: 0.5, hold_s: Some(1.0) };
        let input = drive(20.0, manoeuvre, Surface::Flat, 4_000);
        assert_relative_eq!(input.longitudinal_at(700), 0.5 * acceleration_m_per_s2, max_relative = 1e-9);
        assert_relative_eq!(input.longitudinal_at(1_500), acceleration_m_per_s2);
        assert_relative_eq!(input.longitudinal_at(2_100), 0.5 * acceleration_m_per_s2, max_relative = 1e-9);
        assert_relative_eq!(input.longitudinal_at(3_000), 0.0, epsilon = 1e-12);
        assert_relative_eq!(input.speed_at(4_000), 20.0 + 1.4 * acceleration_m_per_s2, max_relative = 1e-12);
        // The trapezoidal rule is exact for acceleration that is linear within steps.
        let integral: f64 =
            (0..4_000).map(|i| 0.5 * STEP_S * (input.longitudinal_at(i) + input.longitudinal_at(i + 1))).sum();
        assert_relative_eq!(integral, 1.4 * acceleration_m_per_s2, max_relative = 1e-9);
    }
}

/// What pushes the car over the steps brings it from the first speed to the last one, wherever in a step it stops.
#[test]
fn pushes_of_all_steps_are_the_speed_lost() {
    for (speed_m_per_s, rise_s) in
        [(25.0, 0.2), (25.0003, 0.2), (25.0069, 0.2), (24.9971, 0.0), (1.0, 1.0), (1.003, 1.0)]
    {
        let braking = Manoeuvre::Longitudinal { acceleration_m_per_s2: -8.0, rise_s, start_s: 1.0, hold_s: None };
        let input = drive(speed_m_per_s, braking, Surface::Flat, 6_000);
        assert_eq!(input.speed_at(6_000), 0.0);
        // The first step around a sample is half a one: there is nothing before the start.
        let lost = |pushes: &[f64]| STEP_S * (0.5 * pushes[0] + pushes[1..].iter().sum::<f64>());
        assert_relative_eq!(lost(input.pushing_m_per_s2()), -speed_m_per_s, max_relative = 1e-11);
        // Where nothing begins or ends the mean is the sample.
        let differ = input.pushing_m_per_s2().iter().zip(&input.longitudinal_m_per_s2).filter(|(a, b)| a != b).count();
        assert!((1..=3).contains(&differ), "{differ} samples at {speed_m_per_s} m/s");
    }
    // 25.0069 m/s stop 0.86 of a step after a sample: the samples alone brake for 0.36 of a step less than there is.
    let braking = Manoeuvre::Longitudinal { acceleration_m_per_s2: -8.0, rise_s: 0.2, start_s: 1.0, hold_s: None };
    let input = drive(25.0069, braking, Surface::Flat, 6_000);
    let lost: f64 = STEP_S * input.longitudinal_m_per_s2.iter().sum::<f64>();
    assert_relative_eq!(lost + 25.0069, 0.36 * 8.0 * STEP_S, max_relative = 0.02);
    let steady = drive(25.0, Manoeuvre::None, Surface::Flat, 100);
    assert!(steady.pushing_m_per_s2().is_empty());
}

#[test]
fn an_acceleration_without_rise_comes_at_once() {
    let manoeuvre =
        Manoeuvre::Longitudinal { acceleration_m_per_s2: 2.0, rise_s: 0.0, start_s: 1.0, hold_s: Some(1.0) };
    let input = drive(5.0, manoeuvre, Surface::Flat, 3_000);
    assert_eq!([999, 1_000, 1_999, 2_001].map(|i| input.longitudinal_at(i)), [0.0, 2.0, 2.0, 0.0]);
    assert_relative_eq!(input.speed_at(3_000), 7.0, max_relative = 1e-12);
}

#[test]
fn lateral_step_rises_linearly_and_stays() {
    let step = Manoeuvre::LateralStep { acceleration_m_per_s2: -4.0, rise_s: 0.15, start_s: 1.0 };
    let input = drive(22.0, step, Surface::Flat, 3_000);
    for (i, lateral_m_per_s2) in [(0, 0.0), (1_000, 0.0), (1_075, -2.0), (1_150, -4.0), (3_000, -4.0)] {
        assert_relative_eq!(input.lateral_at(i), lateral_m_per_s2, epsilon = 1e-9);
    }
    assert_eq!(input.speed_m_per_s, [22.0]);
    assert!(input.longitudinal_m_per_s2.is_empty());
    assert!(input.wheels.iter().flatten().all(WheelInput::is_flat));
}

/// One full sine: lateral velocity ends at zero, the offset is a T^2/(2 pi).
#[test]
fn lane_change_moves_over_by_its_closed_form() {
    let change = Manoeuvre::LaneChange { acceleration_m_per_s2: 3.5, period_s: 2.5, start_s: 0.5 };
    let input = drive(22.0, change, Surface::Flat, 4_000);
    assert_relative_eq!(input.lateral_at(1_125), 3.5, max_relative = 1e-9);
    assert_relative_eq!(input.lateral_at(2_375), -3.5, max_relative = 1e-9);
    let (mut velocity, mut offset) = (0.0, 0.0);
    for i in 0..4_000 {
        let mean = 0.5 * (input.lateral_at(i) + input.lateral_at(i + 1));
        offset += STEP_S * (velocity + 0.5 * STEP_S * mean);
        velocity += STEP_S * mean;
    }
    assert!(f64::abs(velocity) < 1e-9);
    assert_relative_eq!(offset, 3.5 * 2.5 * 2.5 / TAU, max_relative = 1e-5);
    assert!(input.lateral_m_per_s2[..=500].iter().chain(&input.lateral_m_per_s2[3_001..]).all(|&a| a == 0.0));
}

#[test]
fn manoeuvres_of_no_acceleration_leave_their_channels_empty() {
    for manoeuvre in [
        Manoeuvre::None,
        Manoeuvre::LateralStep { acceleration_m_per_s2: 0.0, rise_s: 0.1, start_s: 0.0 },
        Manoeuvre::LaneChange { acceleration_m_per_s2: 0.0, period_s: 2.0, start_s: 0.0 },
        Manoeuvre::Longitudinal { acceleration_m_per_s2: 0.0, rise_s: 0.1, start_s: 0.0, hold_s: None },
    ] {
        let input = drive(10.0, manoeuvre, Surface::Flat, 100);
        assert!(input.lateral_m_per_s2.is_empty() && input.longitudinal_m_per_s2.is_empty());
        assert_eq!(
            (input.speed_m_per_s.as_slice(), input.lateral_at(50), input.speed_at(50)),
            (&[10.0][..], 0.0, 10.0)
        );
    }
}
