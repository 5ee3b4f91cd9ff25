//! Random roads carry the density of their class, and one seed is one road.

mod common;

use std::f64::consts::{PI, TAU};

use approx::assert_relative_eq;
use common::*;
use spectral_density::{Welch, WelchWindow, welch_f64};
use washboard_road::*;

/// checks.json 01_iso8608: `rms_disp_A_0p011_2p83` and `rms_disp_C_0p01_10` (closed form of the ISO 8608 density).
#[test]
fn rms_is_the_closed_form_of_the_density() {
    for (class, from_cycles_per_m, to_cycles_per_m, rms_m) in
        [(0, 0.011, 2.83, 0.0038064310637368768), (2, 0.01, 10.0, 0.015991997998999377)]
    {
        let road = RandomRoad {
            psd_at_n0_m3: class_psd_at_n0_m3(class),
            seed: 7,
            from_cycles_per_m,
            to_cycles_per_m,
            ramp_m: 0.0,
        };
        let what = format!("r.m.s. height of class {}, m", CLASS_LETTERS[class]);
        let source = "checks 01: integral of the ISO 8608 density";
        washboard_checks::relative(what, source, road.variance_m2().sqrt(), rms_m, 1e-9);
        let input = one_period(road, Tracks::Two, 32.0);
        for wheel in &input.wheels[0] {
            assert_relative_eq!(mean_square(&wheel.height_m).sqrt(), rms_m, max_relative = 1e-4);
        }
    }
}

/// Every sinusoid has the amplitude sqrt(2 G dn) of ISO 8608's density, in both tracks, in height and in slope, also
/// halfway between the points that the road is computed at; and there is nothing beyond the band.
#[test]
fn every_component_has_its_amplitude_and_interpolation_adds_nothing() {
    // checks.json 01_iso8608 `sine_amp_n0_C_dn0p01`: amplitude at n0 for dn = 0.01, class C.
    let amplitude_at_n0_m = 0.002262741699796952 * (1.0 / PERIOD_M / 0.01_f64).sqrt();
    let input = one_period(class_c(3, 0.0), Tracks::Two, 96.0);
    for wheel in &input.wheels[0] {
        let (heights, slopes) = (amplitudes(&wheel.height_m), amplitudes(&wheel.rate_m_per_s));
        // 0.011 and 2.83 cycles/m are 22.53 and 5795.84 periods: whole bins lie between.
        for k in 24..=5795 {
            let cycles_per_m = k as f64 / PERIOD_M;
            let expected_m = amplitude_at_n0_m * (0.1 / cycles_per_m);
            // A bin holds slightly more than its middle times its width; at k = 24 that is 2e-4 in amplitude.
            assert_relative_eq!(heights[k].norm(), expected_m, max_relative = if k < 100 { 3e-4 } else { 2e-5 });
            let derivative = heights[k] * realfft::num_complex::Complex64::new(0.0, TAU * cycles_per_m);
            assert!((slopes[k] - derivative).norm() < 5e-5 * derivative.norm(), "slope at {cycles_per_m} cycles/m");
        }
        let k = (0.1 * PERIOD_M).round();
        let at_n0_m = heights[k as usize].norm() * (k / PERIOD_M / 0.1) * (0.01 * PERIOD_M).sqrt();
        let source = "checks 01: amplitude sqrt(2 G dn) of ISO 8608";
        washboard_checks::relative(
            "amplitude at 0.1 cycles/m, class C, m",
            source,
            at_n0_m,
            0.002262741699796952,
            1e-4,
        );
        let least_m = heights[5795].norm();
        let least_slope = slopes[5795].norm();
        for k in (1..22).chain(5797..heights.len()) {
            assert!(heights[k].norm() < 1e-5 * least_m, "height at {k}");
            assert!(slopes[k].norm() < 2e-5 * least_slope, "slope at {k}");
        }
    }
}

/// checks.json 01_iso8608 `one_sided_vel_PSD_per_Hz`, class C at 20 m/s: the velocity spectrum is flat. Welch with Hann
/// windows over half-overlapping segments; for 20 roads of 19 segments a bin scatters by 5.3 %.
#[test]
fn velocity_spectrum_over_time_is_flat_and_of_the_class() {
    let (speed_m_per_s, step_s, segment) = (20.0, 0.005, 2048);
    let steps = (PERIOD_M / speed_m_per_s / step_s) as usize - 1;
    let roads = 20;
    let mut density = vec![0.0; segment / 2 + 1];
    for seed in 0..roads {
        let event = over(Surface::Random(class_c(seed, 0.0)), speed_m_per_s, 102.4);
        let input = sample(&event, &GEOMETRY, Tracks::Single, step_s, steps);
        let rate_m_per_s = &input.wheels[0][0].rate_m_per_s;
        let welch = Welch::new(rate_m_per_s).fs(1.0 / step_s).nperseg(segment).noverlap(segment / 2);
        let spectrum = welch_f64(&welch.window(WelchWindow::HannPeriodic)).unwrap();
        for (sum, value) in density.iter_mut().zip(&spectrum.psd) {
            *sum += value / roads as f64;
        }
    }
    let bin_hz = 1.0 / (segment as f64 * step_s);
    let bins = (1.0 / bin_hz) as usize..(50.0 / bin_hz) as usize;
    let expected = 0.002021294981343101;
    let deviation = 1.0 / (roads as f64 * 19.0 / 1.056).sqrt();
    for bin in bins.clone() {
        let ratio = density[bin] / expected;
        assert!((ratio - 1.0).abs() < 5.0 * deviation, "{} Hz: {ratio}", bin as f64 * bin_hz);
    }
    let mean = density[bins.clone()].iter().sum::<f64>() / bins.len() as f64;
    // 500 bins, of which Hann's width leaves two thirds independent: 0.3 %.
    let source = "checks 01: 4 pi^2 n0^2 G v";
    washboard_checks::relative("velocity density of class C at 20 m/s, (m/s)²/Hz", source, mean, expected, 0.01);
    // The same over wavenumber, and as the intensity of two-sided white noise.
    let (slope, intensity) = (0.00010106474906715502, 0.0010106474906715504);
    washboard_checks::relative("slope density of class C, m", source, mean / 20.0, slope, 0.01);
    washboard_checks::relative("white noise of class C at 20 m/s, (m/s)²/Hz", source, mean / 2.0, intensity, 0.01);
}

#[test]
fn the_same_seed_is_the_same_road_whatever_step_duration_and_speed() {
    let road = Surface::Random(class_c(11, 10.0));
    let reference = sample(&over(road.clone(), 20.0, 20.0), &GEOMETRY, Tracks::Two, 0.001, 20_000);
    let finer = sample(&over(road.clone(), 20.0, 20.0), &GEOMETRY, Tracks::Two, 0.0005, 40_000);
    let longer = sample(&over(road.clone(), 20.0, 90.0), &GEOMETRY, Tracks::Two, 0.001, 90_000);
    let slower = sample(&over(road.clone(), 10.0, 40.0), &GEOMETRY, Tracks::Two, 0.002, 20_000);
    let single = sample(&over(road, 20.0, 20.0), &GEOMETRY, Tracks::Single, 0.001, 20_000);
    for axle in 0..2 {
        for side in 0..2 {
            let wheel = |input: &Input| input.wheels[axle][side].clone();
            let height_m = wheel(&reference).height_m;
            assert_eq!(height_m[..], wheel(&longer).height_m[..=20_000]);
            for i in (0..=20_000).step_by(97) {
                assert!((wheel(&finer).height_m[2 * i] - height_m[i]).abs() < 1e-12);
                assert!((wheel(&slower).height_m[i] - height_m[i]).abs() < 1e-12);
                assert!((wheel(&slower).rate_m_per_s[i] * 2.0 - wheel(&reference).rate_m_per_s[i]).abs() < 1e-9);
            }
        }
        assert_eq!(single.wheels[axle][0], reference.wheels[axle][0], "a single track is the left one");
    }
}

#[test]
fn another_seed_is_another_road_of_the_same_roughness() {
    let height_m = |seed| one_period(class_c(seed, 0.0), Tracks::Single, 8.0).wheels[0][0].height_m.clone();
    let (one, other) = (height_m(1), height_m(2));
    let product = one.iter().zip(other.iter()).map(|(a, b)| a * b).sum::<f64>() / one.len() as f64;
    // Sums of random phases: the correlation of two roads scatters by about sqrt(sum a^4 / 8) / variance = 0.1.
    assert!((product / mean_square(&one)).abs() < 0.5);
    assert_relative_eq!(mean_square(&one), mean_square(&other), max_relative = 1e-4);
}

#[test]
fn every_thread_draws_the_same_bytes() {
    let event = over(Surface::Random(class_c(5, 10.0)), 25.0, 10.0);
    let draw = || sample(&event, &GEOMETRY, Tracks::Two, 0.001, 10_000);
    let here = draw();
    std::thread::scope(|scope| {
        for thread in [scope.spawn(draw), scope.spawn(draw), scope.spawn(draw)] {
            assert_eq!(thread.join().unwrap(), here);
        }
    });
}

#[test]
fn the_road_grows_over_its_ramp_and_is_flat_before() {
    let input =
        |ramp_m| sample(&over(Surface::Random(class_c(4, ramp_m)), 10.0, 5.0), &GEOMETRY, Tracks::Single, 0.001, 5_000);
    let (ramped, full) = (input(10.0), input(0.0));
    let (front, bare) = (&ramped.wheels[0][0], &full.wheels[0][0]);
    for i in 0..=5_000 {
        let x_m = 0.01 * i as f64;
        let share = if x_m < 10.0 { 0.5 * (1.0 - (PI * x_m / 10.0).cos()) } else { 1.0 };
        assert!((front.height_m[i] - share * bare.height_m[i]).abs() < 1e-12, "{x_m} m");
    }
    assert_eq!((front.height_m[0], front.rate_m_per_s[0]), (0.0, 0.0));
    // The rear axle is 2.7 m behind: 0.27 s at 10 m/s.
    let rear = &ramped.wheels[1][0];
    assert!(rear.height_m[..270].iter().chain(&rear.rate_m_per_s[..270]).all(|&value| value == 0.0));
    assert!(rear.height_m[280] != 0.0);
    // Central differences over 10 mm err by (2 pi n h)^2/6 = 0.5 % at the highest wavenumber.
    assert!(rate_error(front, 0.001, 1..5_000) < 0.005 * largest(&front.rate_m_per_s));
}

#[test]
fn a_road_without_density_or_band_is_flat() {
    let mut smooth = class_c(1, 10.0);
    smooth.psd_at_n0_m3 = 0.0;
    let mut empty = class_c(1, 10.0);
    empty.to_cycles_per_m = empty.from_cycles_per_m;
    for road in [smooth, empty] {
        let input = sample(&over(Surface::Random(road), 10.0, 1.0), &GEOMETRY, Tracks::Two, 0.001, 1_000);
        assert!(input.wheels.iter().flatten().all(WheelInput::is_flat));
    }
}

/// Bands far from the usual ones keep the closed form: a single narrow band, very long waves, very short ones.
#[test]
fn unusual_bands_keep_their_variance() {
    for (from_cycles_per_m, to_cycles_per_m, metres) in
        [(0.0999, 0.1001, 2048.0), (0.002, 0.1, 8192.0), (5.0, 60.0, 2048.0)]
    {
        let road = RandomRoad { psd_at_n0_m3: 256e-6, seed: 9, from_cycles_per_m, to_cycles_per_m, ramp_m: 0.0 };
        let points_per_m = if to_cycles_per_m > 10.0 { 128.0 } else { 8.0 };
        let steps = (metres * points_per_m) as usize - 1;
        let event = over(Surface::Random(road), 1.0, metres);
        let input = sample(&event, &GEOMETRY, Tracks::Single, 1.0 / points_per_m, steps);
        assert_relative_eq!(mean_square(&input.wheels[0][0].height_m), road.variance_m2(), max_relative = 1e-3);
    }
}

/// The phase of a component belongs to its wavenumber: a band cut out of a wider one is the same road, filtered.
#[test]
fn a_narrower_band_keeps_the_phases_of_what_it_holds() {
    let wide = class_c(6, 0.0);
    let narrow = RandomRoad { from_cycles_per_m: 0.1, to_cycles_per_m: 1.0, ..wide };
    let [wide, narrow] =
        [wide, narrow].map(|road| amplitudes(&one_period(road, Tracks::Single, 32.0).wheels[0][0].height_m));
    for k in 206..=2047 {
        assert!((wide[k] - narrow[k]).norm() < 1e-5 * wide[k].norm(), "component {k}");
    }
    assert!(narrow[100].norm() < 1e-6 * wide[100].norm());
}

/// Long waves lengthen the period whatever is driven, so that the same seed stays the same road.
#[test]
fn long_waves_have_their_period_even_on_a_short_drive() {
    let road = RandomRoad { from_cycles_per_m: 0.002, ..class_c(8, 10.0) };
    let drive = |steps: usize| {
        sample(&over(Surface::Random(road), 20.0, steps as f64 * 0.01), &GEOMETRY, Tracks::Single, 0.01, steps)
    };
    let (short, long) = (drive(1_000), drive(40_000));
    assert_eq!(short.wheels[0][0].height_m[..], long.wheels[0][0].height_m[..=1_000]);
}
