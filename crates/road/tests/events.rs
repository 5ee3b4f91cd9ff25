//! Humps, waves, crossings, joints, patches, averaging over the contact patch, and a speed that changes on the way.

mod common;

use std::f64::consts::{PI, TAU};

use approx::assert_relative_eq;
use common::*;
use washboard_road::*;

/// One metre a second, a thousand samples a metre: samples are places, rates are slopes.
fn along(surface: Surface, length_m: usize, contact_m: f64, tracks: Tracks) -> Input {
    let geometry = Geometry { contact_length_m: [contact_m; 2], ..GEOMETRY };
    sample(&over(surface, 1.0, length_m as f64), &geometry, tracks, 0.001, 1_000 * length_m)
}

fn hump(side: Side) -> Surface {
    Surface::CircularHump { height_m: 0.1, length_m: 3.7, lead_m: 2.0, side }
}

/// The hump of Watts (TRRL LR 597, 1973), 3.7 m by 100 mm: every point lies on the circle of radius
/// (1.85^2 + 0.1^2)/(2 * 0.1) = 17.1625 m; the area below it is the circle's segment r^2/2 (angle - sin angle).
#[test]
fn the_circular_hump_is_an_arc_of_a_circle() {
    let input = along(hump(Side::Both), 8, 0.0, Tracks::Two);
    let wheel = &input.wheels[0][0];
    let r = 17.1625_f64;
    for i in 2_001..5_700 {
        let (u, z) = (0.001 * i as f64 - 2.0 - 1.85, wheel.height_m[i]);
        assert_relative_eq!(u * u + (z + r - 0.1) * (z + r - 0.1), r * r, max_relative = 1e-13);
    }
    assert_relative_eq!(wheel.height_m[3_850], 0.1, max_relative = 1e-12);
    assert_eq!((wheel.height_m[2_000], wheel.height_m[5_700]), (0.0, 0.0));
    // Radius of the circle through the ends and the middle of what was sampled.
    let (sagitta, half) = (wheel.height_m[3_850], 1.85);
    let radius = (half * half + sagitta * sagitta) / (2.0 * sagitta);
    washboard_checks::relative("radius of the hump, m", "checks 12: circle of 3.7 m by 100 mm", radius, 17.1625, 1e-9);
    let angle = 2.0 * (1.85 / r).asin();
    let area_m2: f64 = wheel.height_m.iter().sum::<f64>() * 0.001;
    assert_relative_eq!(area_m2, 0.5 * r * r * (angle - angle.sin()), max_relative = 1e-6);
    // Second-order error of the central difference of the arc; the two ends of the arc are kinks.
    assert!(rate_error(wheel, 0.001, 2_002..5_699) < 1e-8);
    let dip = Surface::CircularHump { height_m: -0.1, length_m: 3.7, lead_m: 2.0, side: Side::Both };
    let dip = along(dip, 8, 0.0, Tracks::Two);
    for i in (0..8_000).step_by(37) {
        assert_eq!(dip.wheels[0][0].height_m[i], -wheel.height_m[i]);
        assert_eq!(dip.wheels[0][0].rate_m_per_s[i], -wheel.rate_m_per_s[i]);
    }
}

/// A mean over L of a sine of wavelength l is that sine times sin(pi L/l)/(pi L/l), and its rate likewise.
#[test]
fn averaging_over_the_contact_patch_is_the_closed_form_for_waves() {
    for contact_m in [0.05, 0.2, 0.7] {
        let waves = Surface::Undulation { height_m: 0.04, length_m: 2.0, waves: 4, right_lag_share: 0.0, lead_m: 1.0 };
        let input = along(waves, 8, contact_m, Tracks::Two);
        let wheel = &input.wheels[0][1];
        let x = PI * contact_m / 2.0;
        let kept = x.sin() / x;
        for i in (2_000..8_000).step_by(7) {
            let phase = TAU * (0.001 * i as f64 - 1.0) / 2.0;
            assert_relative_eq!(wheel.height_m[i], 0.02 * (1.0 - kept * phase.cos()), epsilon = 1e-14);
            assert_relative_eq!(wheel.rate_m_per_s[i], 0.02 * PI * kept * phase.sin(), epsilon = 1e-13);
        }
    }
}

/// Every surface over distance against the trapezoidal sum over 0.1 mm of the same surface met by a point.
#[test]
fn averaging_over_the_contact_patch_is_a_moving_average_of_any_road() {
    let profile = Profile::new(
        vec![0.5, 1.0, 1.02, 1.5, 3.0, 4.0],
        Elevation::Two(vec![0.0, 0.01, 0.03, 0.0, 0.02, 0.0], vec![0.0, -0.02, 0.0, 0.0, 0.01, 0.03]),
    )
    .unwrap();
    let joints = ExpansionJoints {
        spacing_m: 1.0,
        joints: 4,
        gap_m: 0.1,
        depth_m: 0.02,
        fault_m: 0.01,
        edge_m: 0.02,
        lead_m: 0.6,
    };
    let crossing = RailwayCrossing {
        tracks: 1,
        track_spacing_m: 4.0,
        rail_height_m: 0.01,
        groove_width_m: 0.06,
        groove_depth_m: 0.04,
        edge_m: 0.01,
        lead_m: 0.8,
    };
    let patched = PatchedRoad { seed: 3, height_m: 0.02, length_m: 0.5, clear_m: 0.3, edge_m: 0.05, lead_m: 0.5 };
    let surfaces = [
        hump(Side::Left),
        Surface::CosineBump { height_m: 0.03, length_m: 0.4, lead_m: 1.0, side: Side::Both },
        Surface::Pothole { depth_m: 0.05, length_m: 0.8, edge_m: 0.1, lead_m: 1.0, side: Side::Right },
        Surface::Random(class_c(7, 2.0)),
        Surface::Profile(profile.into()),
        Surface::RailwayCrossing(crossing),
        Surface::ExpansionJoints { joints, side: Side::Both },
        Surface::Patched(patched),
    ];
    let contact_m = 0.15;
    for surface in surfaces {
        // Ten samples a millimetre for the point; its rear wheel is not looked at.
        let event = over(surface.clone(), 1.0, 5.0);
        let point = sample(&event, &GEOMETRY, Tracks::Two, 0.0001, 50_000);
        let patch = along(surface.clone(), 4, contact_m, Tracks::Two);
        for side in 0..2 {
            let (z, wheel) = (&point.wheels[0][side].height_m, &patch.wheels[0][side]);
            if z.is_empty() {
                assert!(wheel.is_flat());
                continue;
            }
            let largest_m = largest(z);
            for i in (200..4_000).step_by(13) {
                let mean_m = |middle: usize| {
                    let cells = middle - 750..middle + 750;
                    cells.map(|k| 0.5 * (z[k] + z[k + 1])).sum::<f64>() * 0.0001 / contact_m
                };
                assert!((wheel.height_m[i] - mean_m(10 * i)).abs() < 2e-6 * largest_m, "{surface:?} at {i} mm");
                // The rate is that of the height over the millimetre around.
                let rate = (mean_m(10 * i + 5) - mean_m(10 * i - 5)) / 0.001;
                assert!((wheel.rate_m_per_s[i] - rate).abs() < 5e-3 * largest_m, "{surface:?} at {i} mm");
            }
        }
    }
}

#[test]
fn a_wave_late_in_the_right_track_rolls_the_car_and_comes_as_the_mean_to_a_single_track() {
    let waves =
        |lag| Surface::Undulation { height_m: 0.06, length_m: 4.0, waves: 3, right_lag_share: lag, lead_m: 1.0 };
    let input = along(waves(0.5), 12, 0.0, Tracks::Two);
    let single = along(waves(0.5), 12, 0.0, Tracks::Single);
    let [left, right] = &input.wheels[0];
    for i in (3_000..13_000).step_by(11) {
        // Half a wave apart both tracks add to the height of a wave, so that their mean is level.
        assert_relative_eq!(left.height_m[i.min(12_000)] + right.height_m[i.min(12_000)], 0.06, epsilon = 1e-14);
        assert_relative_eq!(single.wheels[0][0].height_m[i.min(12_000)], 0.03, epsilon = 1e-14);
    }
    assert_relative_eq!(left.height_m[3_000], 0.06, max_relative = 1e-12);
    assert_relative_eq!(right.height_m[5_000], 0.06, max_relative = 1e-12);
}

/// Inner sides of the rail heads are 1435 mm apart (EN 13848-1); each track has two heads and two grooves inside them.
#[test]
fn a_railway_crossing_has_standard_gauge_and_a_groove_inside_each_rail() {
    let crossing = RailwayCrossing {
        tracks: 2,
        track_spacing_m: 4.0,
        rail_height_m: 0.008,
        groove_width_m: 0.06,
        groove_depth_m: 0.045,
        edge_m: 0.01,
        lead_m: 1.0,
    };
    let input = along(Surface::RailwayCrossing(crossing), 9, 0.0, Tracks::Two);
    let z = &input.wheels[0][0].height_m;
    for start_mm in [1_000, 5_000] {
        let at = |mm: usize| z[start_mm + mm];
        assert_relative_eq!(at(36), 0.008, max_relative = 1e-9);
        assert_relative_eq!(at(72), 0.0, epsilon = 1e-12);
        assert_relative_eq!(at(72 + 30), -0.045, max_relative = 1e-9);
        assert_relative_eq!(at(72 + 60), 0.0, epsilon = 1e-12);
        assert_relative_eq!(at(72 + 700), 0.0, epsilon = 1e-12);
        assert_relative_eq!(at(72 + 1_435 - 30), -0.045, max_relative = 1e-9);
        assert_relative_eq!(at(72 + 1_435), 0.0, epsilon = 1e-12);
        assert_relative_eq!(at(72 + 1_435 + 36), 0.008, max_relative = 1e-9);
    }
    assert_eq!(input.wheels[0][0], input.wheels[0][1]);
}

#[test]
fn joints_come_at_their_spacing_and_slabs_rise_to_their_fault() {
    let joints = ExpansionJoints {
        spacing_m: 5.0,
        joints: 3,
        gap_m: 0.06,
        depth_m: 0.015,
        fault_m: 0.004,
        edge_m: 0.01,
        lead_m: 2.0,
    };
    let input = along(Surface::ExpansionJoints { joints, side: Side::Left }, 14, 0.0, Tracks::Two);
    let z = &input.wheels[0][0].height_m;
    assert!(input.wheels[0][1].is_flat());
    for joint in 0..3 {
        let start = 2_000 + 5_000 * joint;
        assert_relative_eq!(z[start], if joint == 0 { 0.0 } else { 0.004 }, epsilon = 1e-12);
        assert_relative_eq!(z[start + 30], -0.015, max_relative = 1e-9);
        assert_relative_eq!(z[start + 60], 0.0, epsilon = 1e-12);
    }
    // The slab between: straight from 2.06 m to 7 m.
    assert_relative_eq!(z[4_530], 0.004 * 2.47 / 4.94, max_relative = 1e-9);
    assert_relative_eq!(z[13_500], 0.0, epsilon = 1e-12);
}

/// Heights are even between -h and h: their mean square is h^2/3. Two patches of three lie in a track, and of the way a
/// share of length/(length + clear) is patched; edges take a third of an edge each at both ends off the mean square.
/// Over n patches the mean square scatters by sqrt((9/5 * 3/2 - 1)/n), here 1.7 %.
#[test]
fn patches_have_their_share_their_heights_and_their_tracks() {
    let road = PatchedRoad { seed: 11, height_m: 0.02, length_m: 2.0, clear_m: 3.0, edge_m: 0.05, lead_m: 10.0 };
    let input = sample(&over(Surface::Patched(road), 100.0, 300.0), &GEOMETRY, Tracks::Two, 0.0002, 1_500_000);
    let [left, right] = &input.wheels[0];
    let patches = 0.02 * 0.02 / 3.0 * (2.0 / 3.0) * (2.0 - 2.0 * 0.05 * 2.0 / 3.0) / 5.0;
    for track in [left, right] {
        assert_relative_eq!(mean_square(&track.height_m), patches, max_relative = 0.06);
        assert!(largest(&track.height_m) <= 0.02);
    }
    // A third of all patches lies across both tracks: half of a track's own.
    let both: f64 = left.height_m.iter().zip(right.height_m.iter()).map(|(l, r)| l * r).sum();
    let own: f64 = left.height_m.iter().map(|l| l * l).sum();
    assert_relative_eq!(both / own, 0.5, max_relative = 0.06);
    assert!(left.height_m[..500].iter().all(|&z| z == 0.0), "10 m of flat road first");
    let again = sample(&over(Surface::Patched(road), 25.0, 4.0), &GEOMETRY, Tracks::Single, 0.001, 4_000);
    for i in (0..4_000).step_by(29) {
        let x_m = 0.025 * i as f64;
        assert_relative_eq!(
            again.wheels[0][0].height_m[i],
            left.height_m[(x_m / 0.02).round() as usize],
            epsilon = 2e-2 * 0.4
        );
    }
}

/// A road is met where the car is: speeding up from 10 to 20 m/s, the same places come at the times of uniform
/// acceleration, and the rate is the slope times the speed of that moment.
#[test]
fn a_road_is_driven_over_at_a_speed_that_changes() {
    let manoeuvre =
        Manoeuvre::Longitudinal { acceleration_m_per_s2: 2.0, rise_s: 0.0, start_s: 0.0, hold_s: Some(5.0) };
    let surface = Surface::Random(class_c(5, 0.0));
    let event = Event { speed_m_per_s: 10.0, duration_s: 8.0, surface: surface.clone(), manoeuvre };
    let changing = sample(&event, &GEOMETRY, Tracks::Two, 0.001, 8_000);
    let steady = sample(&over(surface, 1.0, 200.0), &GEOMETRY, Tracks::Two, 0.001, 200_000);
    for i in (0..8_000).step_by(50) {
        let t = 0.001 * i as f64;
        let (x_m, speed) = if t < 5.0 { (10.0 * t + t * t, 10.0 + 2.0 * t) } else { (75.0 + 20.0 * (t - 5.0), 20.0) };
        let place = (1_000.0 * x_m).round() as usize;
        if (1_000.0 * x_m - place as f64).abs() > 1e-6 {
            continue;
        }
        assert_relative_eq!(changing.wheels[0][1].height_m[i], steady.wheels[0][1].height_m[place], epsilon = 1e-12);
        let rate = steady.wheels[0][1].rate_m_per_s[place] * speed;
        assert_relative_eq!(changing.wheels[0][1].rate_m_per_s[i], rate, epsilon = 1e-9);
        assert_relative_eq!(changing.speed_at(i), speed, max_relative = 1e-12);
    }
}
