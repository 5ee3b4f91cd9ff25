//! An event sampled piece by piece is the event sampled at once, to the last bit.

#![allow(clippy::unwrap_used)]

mod common;

use common::{GEOMETRY, class_c, over};
use std::sync::Arc;
use washboard_road::*;

const STEP_S: f64 = 0.002;

/// One of every kind of surface.
fn surfaces() -> Vec<Surface> {
    let (height_m, length_m, lead_m) = (0.05, 3.0, 4.0);
    let distance_m: Vec<f64> = (0..60).map(f64::from).collect();
    let elevation_m = |shift: f64| distance_m.iter().map(|x| 0.01 * (x + shift).sin()).collect::<Vec<f64>>();
    let profile = |elevation_m| Arc::new(Profile::new(distance_m.clone(), elevation_m).unwrap());
    let joints =
        ExpansionJoints { spacing_m: 5.0, joints: 9, gap_m: 0.1, depth_m: 0.02, fault_m: 0.004, edge_m: 0.02, lead_m };
    vec![
        Surface::Flat,
        Surface::Random(class_c(3, 10.0)),
        Surface::CosineBump { height_m, length_m, lead_m, side: Side::Both },
        Surface::CircularHump { height_m, length_m, lead_m, side: Side::Left },
        Surface::Pothole { depth_m: height_m, length_m, edge_m: 0.0, lead_m, side: Side::Right },
        Surface::Undulation { height_m, length_m, waves: 4, right_lag_share: 0.5, lead_m },
        Surface::RailwayCrossing(RailwayCrossing {
            tracks: 2,
            track_spacing_m: 4.5,
            rail_height_m: 0.01,
            groove_width_m: 0.06,
            groove_depth_m: 0.04,
            edge_m: 0.01,
            lead_m,
        }),
        Surface::ExpansionJoints { joints, side: Side::Both },
        Surface::Patched(PatchedRoad { seed: 5, height_m: 0.02, length_m: 1.5, clear_m: 2.0, edge_m: 0.05, lead_m }),
        Surface::Sweep { from_hz: 0.5, to_hz: 20.0, velocity_amplitude_m_per_s: 0.1, spacing: Spacing::Logarithmic },
        Surface::Harmonic { frequency_hz: 1.5, amplitude_m: 0.02 },
        Surface::Profile(profile(Elevation::One(elevation_m(0.0)))),
        Surface::Profile(profile(Elevation::Two(elevation_m(0.0), elevation_m(1.0)))),
    ]
}

/// One of every kind of manoeuvre.
fn manoeuvres() -> Vec<Manoeuvre> {
    let car = SingleTrack {
        to_front_m: 1.25,
        to_rear_m: 1.45,
        compliance_rad_per_g: [0.09, 0.06],
        yaw_radius_squared_m2: 1.7,
    };
    let (start_s, rise_s, acceleration_m_per_s2) = (0.5, 0.3, 3.0);
    let steered = |steering| Manoeuvre::Steered { steering, car };
    let cones = ConeTrack { cones: Cones::Slalom { spacing_m: 15.0, count: 3 }, vehicle_width_m: 1.8, lead_m: 5.0 };
    vec![
        Manoeuvre::None,
        Manoeuvre::LateralStep { acceleration_m_per_s2, rise_s, start_s },
        Manoeuvre::LaneChange { acceleration_m_per_s2, period_s: 2.0, start_s },
        Manoeuvre::Longitudinal { acceleration_m_per_s2: -4.0, rise_s, start_s, hold_s: Some(1.0) },
        steered(Steering::Step { acceleration_m_per_s2, rise_s, start_s }),
        steered(Steering::Sine { acceleration_m_per_s2, frequency_hz: 0.5, periods: 1, start_s }),
        steered(Steering::Cones(cones)),
        Manoeuvre::BrakingInBend {
            lateral_m_per_s2: 4.0,
            entry_s: 0.5,
            start_s,
            deceleration_m_per_s2: 3.0,
            rise_s,
            brake_s: 1.0,
        },
    ]
}

/// Holds an event in pieces, each of which reaches into the next, against the event at once.
fn compare(event: &Event, geometry: &Geometry, tracks: Tracks, step_s: f64, steps: usize, length: usize) {
    let whole = sample(event, geometry, tracks, step_s, steps);
    assert_eq!(Stream::outline(event, step_s, steps), whole.outline());
    let mut stream = Stream::new(event, geometry, tracks, step_s, steps);
    // Bits, for a zero has a sign.
    let bits = |values: &[f64]| values.iter().map(|v| v.to_bits()).collect::<Vec<_>>();
    let (mut from, mut pieces) = (0, 0);
    while from <= steps {
        let piece = stream.piece(from, length + 17);
        let to = (from + length + 17).min(steps + 1);
        assert_eq!(piece.steps + 1, to - from);
        let part = |values: &[f64]| if values.len() > 1 { bits(&values[from..to]) } else { bits(values) };
        let what = || format!("{event:?} from sample {from} on");
        for (got, wanted) in piece.wheels.iter().flatten().zip(whole.wheels.iter().flatten()) {
            assert_eq!(bits(&got.height_m), part(&wanted.height_m), "{}", what());
            assert_eq!(bits(&got.rate_m_per_s), part(&wanted.rate_m_per_s), "{}", what());
        }
        assert_eq!(bits(&piece.speed_m_per_s), part(&whole.speed_m_per_s), "{}", what());
        assert_eq!(bits(&piece.lateral_m_per_s2), part(&whole.lateral_m_per_s2), "{}", what());
        assert_eq!(bits(&piece.longitudinal_m_per_s2), part(&whole.longitudinal_m_per_s2), "{}", what());
        let pushing = piece.pushing_m_per_s2();
        assert_eq!(bits(pushing), part(whole.pushing_m_per_s2()), "{}", what());
        (from, pieces) = (from + length, pieces + 1);
    }
    assert!(pieces > 2, "an event in {pieces} pieces shows nothing");
}

#[test]
fn every_surface_and_manoeuvre_comes_in_pieces_as_at_once() {
    for contact_m in [0.0, 0.12] {
        let geometry = Geometry { contact_length_m: [contact_m; 2], ..GEOMETRY };
        for tracks in [Tracks::Single, Tracks::Two] {
            for surface in surfaces() {
                let event = Event { speed_m_per_s: 12.0, duration_s: 4.0, surface, manoeuvre: Manoeuvre::None };
                compare(&event, &geometry, tracks, STEP_S, 2000, 391);
            }
            for manoeuvre in manoeuvres() {
                for surface in [Surface::Flat, surfaces().swap_remove(8)] {
                    let event = Event { speed_m_per_s: 12.0, duration_s: 4.0, surface, manoeuvre };
                    compare(&event, &geometry, tracks, STEP_S, 2000, 391);
                }
            }
        }
    }
}

/// Where the road is too long to be drawn at once, both axles cross from one part of it into the next.
#[test]
fn a_road_of_many_miles_comes_in_pieces_as_at_once() {
    let (speed_m_per_s, step_s, steps) = (50.0, 0.01, 24_000);
    for tracks in [Tracks::Single, Tracks::Two] {
        let event = over(Surface::Random(class_c(9, 10.0)), speed_m_per_s, step_s * steps as f64);
        compare(&event, &GEOMETRY, tracks, step_s, steps, 1000);
    }
}

/// The parts fit together: nothing of the road tells where one ends and the next begins.
#[test]
fn a_road_of_many_miles_has_no_seams() {
    let event = over(Surface::Random(class_c(9, 10.0)), 1.0, 12_000.0);
    let mut stream = Stream::new(&event, &GEOMETRY, Tracks::Single, 1e-3, 12_000_000);
    // Parts of 2048 m: millimetres around the places where the second and the third begin.
    for seam in [2_048_000, 4_096_000] {
        let road = stream.piece(seam - 500, 1001).wheels[0][0].clone();
        let worst = common::rate_error(&road, 1e-3, 1..1000);
        let largest = common::largest(&road.rate_m_per_s);
        // A central difference over 2 mm errs by (2 pi 2.83 1e-3)^2/6 = 5e-5 of the shortest wave's slope; a step of a
        // nanometre in the height would be 5e-7 in it.
        assert!(worst < 1e-4 * largest, "{worst:e} of {largest:e}");
    }
}
