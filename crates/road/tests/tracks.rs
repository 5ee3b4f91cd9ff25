//! Two tracks are as alike as an isotropic surface makes them, and the rear axle follows the front.

mod common;

use std::f64::consts::TAU;

use approx::assert_relative_eq;
use common::*;
use washboard_road::*;

/// checks.json 02_tracks_wheelbase, b = 1.5 m: |cross| over direct density (Kamash and Robson 1978, isotropic surface of
/// waviness 2; verified there by integrating the two-dimensional spectrum).
#[test]
fn cross_spectrum_over_direct_spectrum_is_that_of_an_isotropic_surface() {
    let roads = 60;
    let spectra: Vec<_> = (0..roads)
        .map(|seed| {
            let input = one_period(class_c(seed, 0.0), Tracks::Two, 8.0);
            [0, 1].map(|side| amplitudes(&input.wheels[0][side].height_m))
        })
        .collect();
    for (cycles_per_m, gamma) in
        [(0.05, 0.8414695658827397), (0.1, 0.6264186016060478), (0.2, 0.3070570693777836), (0.5, 0.02627556295547465)]
    {
        // Components within 5 % on both sides, weighted alike: gamma is nearly linear there.
        let middle = cycles_per_m * PERIOD_M;
        let bins = (0.95 * middle).round() as usize..=(1.05 * middle).round() as usize;
        let (mut cross, mut left, mut right) = (realfft::num_complex::Complex64::ZERO, 0.0_f64, 0.0);
        for [l, r] in &spectra {
            for k in bins.clone() {
                cross += l[k].conj() * r[k] / l[k].norm_sqr();
                left += 1.0;
                right += r[k].norm_sqr() / l[k].norm_sqr();
            }
        }
        // Each component is gamma in phase and sqrt(1 - gamma^2) in quadrature of either sign.
        let deviation = ((1.0 - gamma * gamma) / left).sqrt();
        assert_relative_eq!(right / left, 1.0, max_relative = 1e-6);
        let source = "checks 02: X K1(X) (Kamash and Robson 1978)";
        let what = format!("coherence of two tracks at {cycles_per_m} cycles/m");
        washboard_checks::absolute(what, source, cross.re / left, gamma, 0.003);
        assert!((cross.im / left).abs() < 5.0 * deviation, "{cycles_per_m}: {}", cross.im / left);
        assert!(((cross / left).norm() - gamma).abs() < 0.01 + 5.0 * deviation);
    }
}

/// In time, too, the tracks are alike where waves are long and unlike where they are short.
#[test]
fn left_and_right_have_the_covariance_of_the_surface() {
    // Covariance is the integral of gamma G over the band, here by midpoints, independent of the synthesis.
    let road = class_c(21, 0.0);
    let intervals = 200_000;
    let width = (road.to_cycles_per_m - road.from_cycles_per_m) / intervals as f64;
    let covariance_m2: f64 = (0..intervals)
        .map(|i| {
            let n = road.from_cycles_per_m + (i as f64 + 0.5) * width;
            track_coherence(n, GEOMETRY.track_m) * road.psd_at_n0_m3 * (0.1 / n).powi(2) * width
        })
        .sum();
    let input = one_period(road, Tracks::Two, 8.0);
    let [left, right] = [0, 1].map(|side| &input.wheels[0][side].height_m);
    let measured_m2 = left.iter().zip(right.iter()).map(|(l, r)| l * r).sum::<f64>() / left.len() as f64;
    assert_relative_eq!(measured_m2, covariance_m2, max_relative = 1e-3);
}

#[test]
fn the_rear_axle_meets_what_the_front_met_a_wheelbase_before() {
    // 2.7 m at 20 m/s are 135 steps of 1 ms.
    let surfaces = [
        Surface::Random(class_c(2, 10.0)),
        Surface::CosineBump { height_m: 0.05, length_m: 1.0, lead_m: 10.0, side: Side::Both },
        Surface::Harmonic { frequency_hz: 3.0, amplitude_m: 0.01 },
        Surface::Sweep { from_hz: 0.5, to_hz: 20.0, velocity_amplitude_m_per_s: 0.1, spacing: Spacing::Logarithmic },
    ];
    for surface in surfaces {
        let input = sample(&over(surface.clone(), 20.0, 5.0), &GEOMETRY, Tracks::Two, 0.001, 5_000);
        for side in 0..2 {
            let (front, rear) = (&input.wheels[0][side], &input.wheels[1][side]);
            // The sample of arrival itself lies on a jump of the rate for sines, to either side by rounding.
            for i in 136..=5_000 {
                assert!((rear.height_m[i] - front.height_m[i - 135]).abs() < 1e-11, "{surface:?} at {i}");
                assert!((rear.rate_m_per_s[i] - front.rate_m_per_s[i - 135]).abs() < 1e-9, "{surface:?} at {i}");
            }
            assert!(rear.height_m[..135].iter().chain(&rear.rate_m_per_s[..135]).all(|&value| value == 0.0));
        }
    }
}

/// checks.json 02_tracks_wheelbase, L = 2.7 m at 20 m/s: what the wheelbase leaves of a sine for bounce and for pitch.
#[test]
fn the_wheelbase_filters_bounce_and_pitch() {
    let gains = |frequency_hz: f64| {
        let steps = 4_000;
        // Whole periods after arrival: measured over one second's worth of the sine, scaled to its period.
        let step_s = 1.0 / frequency_hz / 1_000.0;
        let event = over(Surface::Harmonic { frequency_hz, amplitude_m: 1.0 }, 20.0, steps as f64 * step_s);
        let input = sample(&event, &GEOMETRY, Tracks::Single, step_s, steps);
        let [front, rear] = [0, 1].map(|axle| &input.wheels[axle][0].height_m[3_000..4_000]);
        let half = |sign: f64| front.iter().zip(rear).map(|(f, r)| 0.5 * (f + sign * r)).collect::<Vec<_>>();
        [half(1.0), half(-1.0)].map(|motion| (2.0 * mean_square(&motion)).sqrt())
    };
    let [bounce, pitch] = gains(2.0);
    let source = "checks 02: cosine and sine of half the wheelbase's phase";
    washboard_checks::relative("bounce at 2 Hz, 20 m/s", source, bounce, 0.6613118653236519, 1e-9);
    washboard_checks::relative("pitch at 2 Hz, 20 m/s", source, pitch, 0.7501110696304595, 1e-9);
    // A magnitude falls to its null and rises behind it: thirds of the interval close in on it.
    let null = |motion: usize, mut low: f64, mut high: f64| {
        for _ in 0..60 {
            let third = (high - low) / 3.0;
            if gains(low + third)[motion] < gains(high - third)[motion] {
                high -= third;
            } else {
                low += third;
            }
        }
        0.5 * (low + high)
    };
    washboard_checks::relative("null of bounce at 20 m/s, Hz", source, null(0, 3.0, 4.5), 3.7037037037037033, 1e-6);
    washboard_checks::relative("null of pitch at 20 m/s, Hz", source, null(1, 6.5, 8.0), 7.4074074074074066, 1e-6);
}

#[test]
fn sines_reach_the_rear_axle_never_at_standstill() {
    let event = over(Surface::Harmonic { frequency_hz: 2.0, amplitude_m: 0.01 }, 0.0, 1.0);
    let input = sample(&event, &GEOMETRY, Tracks::Two, 0.001, 1_000);
    assert!(input.wheels[1][0].height_m.iter().all(|&height_m| height_m == 0.0));
    assert_relative_eq!(input.wheels[0][0].height_m[125], 0.01 * (TAU * 0.25).sin(), max_relative = 1e-12);
}

#[test]
fn wheels_on_one_track_share_their_samples() {
    let input = sample(&over(Surface::Random(class_c(1, 10.0)), 20.0, 1.0), &GEOMETRY, Tracks::Single, 0.001, 1_000);
    for axle in &input.wheels {
        assert!(std::sync::Arc::ptr_eq(&axle[0].height_m, &axle[1].height_m));
        assert!(std::sync::Arc::ptr_eq(&axle[0].rate_m_per_s, &axle[1].rate_m_per_s));
    }
}
