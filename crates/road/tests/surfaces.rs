//! Obstacles, sines and measured profiles have their closed forms.

mod common;

use std::f64::consts::TAU;
use std::sync::Arc;

use approx::assert_relative_eq;
use common::*;
use washboard_road::*;

fn ten_metres_a_second(surface: Surface, tracks: Tracks) -> Input {
    sample(&over(surface, 10.0, 3.0), &GEOMETRY, tracks, 0.001, 3_000)
}

/// checks.json 12_bumps: h/2 (1 - cos 2 pi x/L), here 30 mm over 2 m after 10 m of flat road.
#[test]
fn cosine_bump_is_its_closed_form() {
    let bump = Surface::CosineBump { height_m: 0.03, length_m: 2.0, lead_m: 10.0, side: Side::Both };
    let input = ten_metres_a_second(bump, Tracks::Two);
    let wheel = &input.wheels[0][0];
    for i in 0..=3_000 {
        let s_m = 0.01 * i as f64 - 10.0;
        let on_it = (0.0..=2.0).contains(&s_m);
        let height_m = if on_it { 0.015 * (1.0 - (TAU * s_m / 2.0).cos()) } else { 0.0 };
        let rate_m_per_s = if on_it { 10.0 * 0.015 * TAU / 2.0 * (TAU * s_m / 2.0).sin() } else { 0.0 };
        assert!((wheel.height_m[i] - height_m).abs() < 1e-14, "{s_m}");
        assert!((wheel.rate_m_per_s[i] - rate_m_per_s).abs() < 1e-12, "{s_m}");
    }
    assert_relative_eq!(wheel.height_m[1_100], 0.03, max_relative = 1e-12);
    assert_eq!(input.wheels[0][0], input.wheels[0][1]);
}

#[test]
fn one_sided_obstacles_lie_in_their_track_and_come_at_half_height_to_a_single_track() {
    let bump = |side| Surface::CosineBump { height_m: 0.03, length_m: 2.0, lead_m: 10.0, side };
    let hole = |side| Surface::Pothole { depth_m: 0.04, length_m: 1.0, edge_m: 0.1, lead_m: 10.0, side };
    for obstacle in [&bump as &dyn Fn(Side) -> Surface, &hole] {
        let both = ten_metres_a_second(obstacle(Side::Both), Tracks::Two);
        let left = ten_metres_a_second(obstacle(Side::Left), Tracks::Two);
        let right = ten_metres_a_second(obstacle(Side::Right), Tracks::Two);
        let half = ten_metres_a_second(obstacle(Side::Right), Tracks::Single);
        for axle in 0..2 {
            assert_eq!(left.wheels[axle][0], both.wheels[axle][0]);
            assert!(left.wheels[axle][1].is_flat());
            assert!(right.wheels[axle][0].is_flat());
            assert_eq!(right.wheels[axle][1], both.wheels[axle][1]);
            for i in 0..=3_000 {
                assert_relative_eq!(2.0 * half.wheels[axle][0].height_m[i], both.wheels[axle][0].height_m[i]);
            }
        }
    }
}

#[test]
fn pothole_has_straight_edges_inside_its_length_and_a_floor_at_its_depth() {
    let hole = Surface::Pothole { depth_m: 0.04, length_m: 1.0, edge_m: 0.2, lead_m: 10.0, side: Side::Both };
    let wheel = ten_metres_a_second(hole, Tracks::Single).wheels[0][0].clone();
    let at = |s_m: f64| (1_000.0 + 100.0 * s_m).round() as usize;
    for (s_m, height_m, rate_m_per_s) in [
        (-0.01, 0.0, 0.0),
        (0.05, -0.01, -2.0),
        (0.15, -0.03, -2.0),
        (0.5, -0.04, 0.0),
        (0.85, -0.03, 2.0),
        (0.95, -0.01, 2.0),
        (1.01, 0.0, 0.0),
    ] {
        assert_relative_eq!(wheel.height_m[at(s_m)], height_m, epsilon = 1e-12);
        assert_relative_eq!(wheel.rate_m_per_s[at(s_m)], rate_m_per_s, epsilon = 1e-10);
    }
    // Area of the trapezoid: depth * (length - edge).
    assert_relative_eq!(wheel.height_m.iter().sum::<f64>() * 0.01, -0.04 * 0.8, max_relative = 1e-9);
}

#[test]
fn vertical_edges_have_a_rate_whose_integral_is_the_height() {
    let hole = Surface::Pothole { depth_m: 0.04, length_m: 1.0, edge_m: 0.0, lead_m: 10.0, side: Side::Both };
    let wheel = ten_metres_a_second(hole, Tracks::Single).wheels[0][0].clone();
    let mut height_m = 0.0;
    for i in 0..=3_000 {
        height_m += wheel.rate_m_per_s[i] * 0.001;
        assert!((height_m - wheel.height_m[i]).abs() < 1e-12);
        assert!(wheel.height_m[i] == 0.0 || wheel.height_m[i] == -0.04);
    }
    assert_eq!(wheel.rate_m_per_s.iter().filter(|&&rate| rate != 0.0).count(), 2);
    assert_relative_eq!(largest(&wheel.rate_m_per_s), 40.0, max_relative = 1e-12);
}

#[test]
fn edges_longer_than_half_the_hole_meet_in_the_middle() {
    let hole = Surface::Pothole { depth_m: 0.04, length_m: 1.0, edge_m: 3.0, lead_m: 10.0, side: Side::Both };
    let wheel = ten_metres_a_second(hole, Tracks::Single).wheels[0][0].clone();
    assert_relative_eq!(wheel.height_m[1_050], -0.04, max_relative = 1e-9);
    assert_relative_eq!(wheel.height_m[1_025], -0.02, max_relative = 1e-9);
}

#[test]
fn harmonic_starts_at_zero_and_has_its_amplitude() {
    let input = ten_metres_a_second(Surface::Harmonic { frequency_hz: 2.5, amplitude_m: 0.008 }, Tracks::Two);
    let wheel = &input.wheels[0][1];
    assert_eq!(wheel.height_m[0], 0.0);
    assert_relative_eq!(wheel.height_m[100], 0.008, max_relative = 1e-12);
    assert_relative_eq!(wheel.rate_m_per_s[0], TAU * 2.5 * 0.008, max_relative = 1e-12);
    assert_relative_eq!(wheel.rate_m_per_s[200], -TAU * 2.5 * 0.008, max_relative = 1e-12);
}

/// A sweep of either spacing starts at zero, keeps its velocity amplitude, has the number of periods that the integral of
/// its frequency gives (logarithmic: T (f1 - f0)/ln(f1/f0), linear: T (f0 + f1)/2), and reaches them at the end.
#[test]
fn sweep_walks_through_its_frequencies_at_constant_velocity_amplitude() {
    let (from_hz, to_hz, duration_s, step_s) = (0.5_f64, 20.0_f64, 40.0, 0.0005);
    for (spacing, periods) in [
        (Spacing::Logarithmic, duration_s * (to_hz - from_hz) / (to_hz / from_hz).ln()),
        (Spacing::Linear, duration_s * (from_hz + to_hz) / 2.0),
    ] {
        let sweep = Surface::Sweep { from_hz, to_hz, velocity_amplitude_m_per_s: 0.1, spacing };
        let input = sample(&over(sweep, 20.0, duration_s), &GEOMETRY, Tracks::Single, step_s, 80_000);
        let wheel = &input.wheels[0][0];
        let (z, rate) = (&wheel.height_m, &wheel.rate_m_per_s);
        assert_eq!(z[0], 0.0);
        let rising = z.windows(2).filter(|pair| pair[0] < 0.0 && pair[1] >= 0.0).count();
        assert!((rising as f64 - periods.floor()).abs() <= 1.0, "{spacing:?}: {rising} of {periods}");
        // Peaks of the rate, each within a part of V f'/(2 pi f^2) of V: 3 % of it at the start, less later.
        for (index, window) in rate.windows(2_000).step_by(2_000).enumerate().skip(2) {
            let peak = largest(window);
            assert!((0.99..=1.005).contains(&(peak / 0.1)), "{spacing:?} second {index}: {peak}");
        }
        // Height amplitude of the last periods is V/(2 pi f1).
        assert_relative_eq!(largest(&z[79_800..]), 0.1 / (TAU * to_hz), max_relative = 0.01);
        // Central differences err by (2 pi f h)^2/6 = 0.07 % of V at the end.
        assert!(rate_error(wheel, step_s, 1..80_000) < 1e-3 * 0.1, "{spacing:?}");
    }
}

#[test]
fn a_sweep_between_equal_frequencies_is_one_sine() {
    let sweep = |spacing| Surface::Sweep { from_hz: 4.0, to_hz: 4.0, velocity_amplitude_m_per_s: 0.1, spacing };
    let sine =
        ten_metres_a_second(Surface::Harmonic { frequency_hz: 4.0, amplitude_m: 0.1 / (TAU * 4.0) }, Tracks::Single);
    for spacing in [Spacing::Logarithmic, Spacing::Linear] {
        let swept = ten_metres_a_second(sweep(spacing), Tracks::Single);
        for i in 0..=3_000 {
            assert_relative_eq!(swept.wheels[0][0].height_m[i], sine.wheels[0][0].height_m[i], epsilon = 1e-13);
        }
    }
}

#[test]
fn profile_is_linear_between_samples_and_held_beyond() {
    let distance_m = vec![2.0, 4.0, 5.0, 10.0];
    let profile =
        Profile::new(distance_m, Elevation::Two(vec![0.01, 0.03, 0.0, 0.05], vec![0.03, 0.01, 0.02, -0.05])).unwrap();
    let surface = Surface::Profile(Arc::new(profile));
    let two = ten_metres_a_second(surface.clone(), Tracks::Two);
    let mean = ten_metres_a_second(surface, Tracks::Single);
    // (distance, left, its slope, right, its slope)
    for (x_m, left_m, left_slope, right_m, right_slope) in [
        (0.0, 0.01, 0.0, 0.03, 0.0),
        (3.0, 0.02, 0.01, 0.02, -0.01),
        (4.5, 0.015, -0.03, 0.015, 0.01),
        (7.5, 0.025, 0.01, -0.015, -0.014),
        (20.0, 0.05, 0.0, -0.05, 0.0),
    ] {
        let i = (100.0_f64 * x_m).round() as usize;
        // The rear axle is there 270 steps later.
        for (axle, i) in [(0, i), (1, i + 270)] {
            let [left, right] = &two.wheels[axle];
            assert_relative_eq!(left.height_m[i], left_m, epsilon = 1e-12);
            assert_relative_eq!(left.rate_m_per_s[i], 10.0 * left_slope, epsilon = 1e-12);
            assert_relative_eq!(right.height_m[i], right_m, epsilon = 1e-12);
            assert_relative_eq!(right.rate_m_per_s[i], 10.0 * right_slope, epsilon = 1e-12);
            assert_relative_eq!(mean.wheels[axle][0].height_m[i], 0.5 * (left_m + right_m), epsilon = 1e-12);
        }
    }
}

#[test]
fn what_is_not_a_profile_is_refused_with_its_place() {
    let one = |distance_m: &[f64], elevation_m: &[f64]| {
        Profile::new(distance_m.to_vec(), Elevation::One(elevation_m.to_vec())).map(|_| ())
    };
    assert_eq!(one(&[0.0, 1.0], &[0.0, 0.1]), Ok(()));
    assert_eq!(one(&[0.0], &[0.0]), Err(ProfileError::TooShort { samples: 1 }));
    assert_eq!(one(&[], &[]), Err(ProfileError::TooShort { samples: 0 }));
    assert_eq!(
        one(&[0.0, 1.0, 1.0], &[0.0; 3]),
        Err(ProfileError::NotRising { index: 2, before_m: 1.0, value_m: 1.0 })
    );
    assert_eq!(one(&[0.0, 1.0], &[0.0]), Err(ProfileError::UnequalLength { distances: 2, elevations: 1 }));
    assert_eq!(one(&[0.0, f64::INFINITY], &[0.0; 2]), Err(ProfileError::NotFinite { index: 1, value: f64::INFINITY }));
    assert!(matches!(one(&[0.0, 1.0], &[f64::NAN, 0.0]), Err(ProfileError::NotFinite { index: 0, .. })));
    let two = Profile::new(vec![0.0, 1.0], Elevation::Two(vec![0.0, 0.0], vec![0.0, 0.0, 0.0]));
    assert_eq!(two, Err(ProfileError::UnequalLength { distances: 2, elevations: 3 }));
}
