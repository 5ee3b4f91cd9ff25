//! A whole run through the accumulator.

use super::*;
use crate::card::Value;
use crate::delivery::Delivery;
use crate::sample::CornerSample;
use std::f64::consts::{SQRT_2, TAU};
use washboard_signal::Lanes;

const NAMES: [&str; 4] = ["front_left", "front_right", "rear_left", "rear_right"];
const STATIC_N: [f64; 4] = [4000.0, 4100.0, 3500.0, 3600.0];

/// A made-up run with every channel alive; `k` makes lanes differ.
fn motion(n: u32, k: f64) -> RideSample<f64, 4> {
    let t = f64::from(n) * 0.001;
    let wave = |hz: f64, phase: f64| (TAU * hz * t * (1.0 + 0.1 * k) + phase).sin();
    RideSample {
        heave_m: 0.02 * wave(1.1, 0.0) + 0.002 * wave(6.0, 1.0),
        heave_acceleration_m_per_s2: wave(1.1, 0.5) + 0.7 * wave(11.0, k),
        roll_rad: 0.03 * wave(0.9, k),
        roll_rate_rad_per_s: 0.2 * wave(0.9, 1.6),
        roll_acceleration_rad_per_s2: 0.9 * wave(2.0, 0.0),
        pitch_rad: 0.01 * wave(1.4, 0.0),
        pitch_rate_rad_per_s: 0.1 * wave(1.4, 1.6),
        pitch_acceleration_rad_per_s2: 0.5 * wave(2.0, 0.3) + 0.4 * wave(11.0, 0.0),
        seat_acceleration_m_per_s2: 1.3 * wave(3.0, k),
        lateral_acceleration_m_per_s2: 4.0,
        longitudinal_acceleration_m_per_s2: 0.0,
        corners: std::array::from_fn(|i| {
            let a = 0.02 * (1.0 + i as f64);
            let v = a * TAU * 1.5 * wave(1.5, 1.6);
            let wanted = 900.0 * wave(2.3, i as f64);
            CornerSample {
                deflection_m: a * wave(1.5, 0.0),
                rate_m_per_s: v,
                wheel_load_n: (STATIC_N[i] + 4200.0 * wave(9.0, i as f64)).max(0.0),
                quasi_static_load_n: STATIC_N[i],
                damper_force_n: 1500.0 * v,
                stop_force_n: 1e5 * ((a * wave(1.5, 0.0)).abs() - 0.05).max(0.0) * wave(1.5, 0.0).signum(),
                current_a: 0.5 + 0.3 * wave(3.0, 0.0),
                delivery: Delivery::classify(wanted, v, 300.0 * v, 3000.0 * v),
            }
        }),
    }
}

/// The same field of several samples, lane by lane.
fn side_by_side<const N: usize>(lanes: &[RideSample<f64, 4>; N]) -> RideSample<Lanes<N>, 4> {
    let pick = |f: &dyn Fn(&RideSample<f64, 4>) -> f64| Lanes(std::array::from_fn(|lane| f(&lanes[lane])));
    RideSample {
        heave_m: pick(&|s| s.heave_m),
        heave_acceleration_m_per_s2: pick(&|s| s.heave_acceleration_m_per_s2),
        roll_rad: pick(&|s| s.roll_rad),
        roll_rate_rad_per_s: pick(&|s| s.roll_rate_rad_per_s),
        roll_acceleration_rad_per_s2: pick(&|s| s.roll_acceleration_rad_per_s2),
        pitch_rad: pick(&|s| s.pitch_rad),
        pitch_rate_rad_per_s: pick(&|s| s.pitch_rate_rad_per_s),
        pitch_acceleration_rad_per_s2: pick(&|s| s.pitch_acceleration_rad_per_s2),
        seat_acceleration_m_per_s2: pick(&|s| s.seat_acceleration_m_per_s2),
        lateral_acceleration_m_per_s2: pick(&|s| s.lateral_acceleration_m_per_s2),
        longitudinal_acceleration_m_per_s2: pick(&|s| s.longitudinal_acceleration_m_per_s2),
        corners: std::array::from_fn(|i| CornerSample {
            deflection_m: pick(&|s| s.corners[i].deflection_m),
            rate_m_per_s: pick(&|s| s.corners[i].rate_m_per_s),
            wheel_load_n: pick(&|s| s.corners[i].wheel_load_n),
            quasi_static_load_n: pick(&|s| s.corners[i].quasi_static_load_n),
            damper_force_n: pick(&|s| s.corners[i].damper_force_n),
            stop_force_n: pick(&|s| s.corners[i].stop_force_n),
            current_a: pick(&|s| s.corners[i].current_a),
            delivery: Delivery::side_by_side(|lane| lanes[lane].corners[i].delivery),
        }),
    }
}

/// Everything applies.
fn options<L: Lane>() -> RideOptions<L, 4> {
    let gap = StopGaps { bump_m: Some(L::splat(0.05)), rebound_m: Some(L::splat(0.05)) };
    RideOptions {
        table_m_per_s: [[-0.5, 0.5]; 4],
        stop_gaps: [gap; 4],
        roll: true,
        pitch: true,
        roll_step: Some(Step { steady_rad: L::splat(0.029), start_s: L::splat(0.2) }),
        pitch_step: Some(Step { steady_rad: L::splat(-0.009), start_s: L::splat(0.2) }),
        lateral: true,
        obstacle: true,
        lateral_start_s: Some(L::splat(0.2)),
        longitudinal: true,
        track_m: 1.5,
        seat_above_roll_axis_m: L::splat(0.5),
        seat_above_cg_m: L::splat(-0.3),
        head_above_roll_axis_m: Some(L::splat(0.8)),
        ..RideOptions::new(NAMES, STATIC_N.map(L::splat))
    }
}

#[test]
fn every_lane_equals_the_scalar_bit_for_bit() {
    let mut wide = RideMetrics::<Lanes<4>, 4>::new(1000.0, options()).unwrap();
    let mut narrow: [_; 4] = std::array::from_fn(|_| RideMetrics::<f64, 4>::new(1000.0, options()).unwrap());
    for n in 0..6000 {
        let lanes: [_; 4] = std::array::from_fn(|lane| motion(n, lane as f64));
        wide.sample(&side_by_side(&lanes), n >= 1000);
        for (run, s) in narrow.iter_mut().zip(&lanes) {
            run.sample(s, n >= 1000);
        }
    }
    for lane in 0..4 {
        let (a, b) = (wide.finish(lane), narrow[lane].finish(0));
        assert_eq!(a.iter().count(), b.iter().count());
        for ((id, x), (_, y)) in a.iter().zip(b.iter()) {
            let bits = |v: Value| v.numbers().map(f64::to_bits).collect::<Vec<_>>();
            assert_eq!(bits(x), bits(y), "{} in lane {lane}", id.name());
        }
    }
}

#[test]
fn a_run_has_the_closed_forms_and_shares_sum_to_one() {
    let mut run = RideMetrics::<f64, 4>::new(1000.0, options()).unwrap();
    // 10 s count: whole periods of everything looked at.
    for n in 0..20_000 {
        run.sample(&motion(n, 0.0), n >= 10_000);
    }
    let card = run.finish(0);
    assert!(card.is_finite());
    let one = |id: MetricId| match card.get(id) {
        Some(Value::One(x)) => x,
        other => panic!("{}: {other:?}", id.name()),
    };
    let close = |got: f64, want: f64, share: f64| assert!((got / want - 1.0).abs() < share, "{got} against {want}");
    // Sums of sines: r.m.s. = sqrt of half the sum of squared amplitudes.
    close(one(MetricId::BODY_ACCELERATION_RMS), (0.5 * (1.0 + 0.49f64)).sqrt(), 1e-9);
    close(one(MetricId::ROLL_RATE_RMS), 0.2 / SQRT_2, 1e-9);
    close(one(MetricId::ROLL_PEAK), 0.03, 1e-4);
    close(one(MetricId::PITCH_RATE_PEAK), 0.1, 1e-4);
    close(one(MetricId::HEAD_TOSS_RMS), 0.8 * 0.9 / SQRT_2, 1e-9);
    close(one(MetricId::HEAD_TOSS_PEAK), 0.8 * 0.9, 1e-4);
    close(one(MetricId::ROLL_GRADIENT), 0.029 / 4.0, 1e-12);
    close(one(MetricId::ROLL_OVERSHOOT_SHARE), 0.03 / 0.029 - 1.0, 1e-3);
    close(one(MetricId::PITCH_OVERSHOOT_SHARE), 0.01 / 0.009 - 1.0, 1e-3);
    assert_eq!(card.get(MetricId::ROLL_SETTLING), None, "it swings for ever");
    // checks.json case 03: Wk at 3 Hz lies between its values at 2 and 4 Hz.
    let gain = one(MetricId::WEIGHTED_ACCELERATION) * SQRT_2 / 1.3;
    assert!((0.5314..0.9672).contains(&gain), "{gain}");
    // checks.json case 03: Wd at 2 Hz; ISO 2631-1, 6.5: the total is the root of the sum of squares.
    let lateral = 0.5 * 0.9 / SQRT_2 * 0.8902425636177467;
    close(one(MetricId::WEIGHTED_LATERAL_ACCELERATION), lateral, 2e-3);
    let longitudinal = one(MetricId::WEIGHTED_LONGITUDINAL_ACCELERATION);
    let vertical = one(MetricId::WEIGHTED_ACCELERATION);
    let sum = lateral * lateral + longitudinal * longitudinal + vertical * vertical;
    close(one(MetricId::TOTAL_WEIGHTED_ACCELERATION), sum.sqrt(), 1e-3);
    close(one(MetricId::LEFT_RIGHT_ACCELERATION_RMS), 1.5 * 0.9 / SQRT_2, 1e-9);
    close(one(MetricId::LEFT_RIGHT_ACCELERATION_PEAK), 1.5 * 0.9, 1e-4);
    // Angular accelerations in their bands: 2 Hz in the primary, 11 Hz in the secondary one.
    close(one(MetricId::PRIMARY_ROLL_ACCELERATION), 0.9 / SQRT_2, 0.01);
    close(one(MetricId::PRIMARY_PITCH_ACCELERATION), 0.5 / SQRT_2, 0.02);
    close(one(MetricId::SECONDARY_PITCH_ACCELERATION), 0.4 / SQRT_2, 0.02);
    close(one(MetricId::PITCH_ACCELERATION_RMS), (0.5 * (0.25 + 0.16f64)).sqrt(), 1e-3);
    // 1.1 Hz lies well inside the motion band (its 6 Hz share adds 0.1 %), 11 Hz in the wheel-hop band.
    close(one(MetricId::BODY_MOTION_RMS), 0.02 / SQRT_2, 0.01);
    close(one(MetricId::WHEEL_HOP_ACCELERATION), 0.7 / SQRT_2, 0.01);
    for i in 0..4 {
        let (a, v) = (0.02 * (1.0 + i as f64), 0.02 * (1.0 + i as f64) * TAU * 1.5);
        close(card.at(MetricId::SUSPENSION_TRAVEL_PEAK, NAMES[i]).unwrap(), a, 1e-4);
        close(card.at(MetricId::TRAVEL_USED_SHARE, NAMES[i]).unwrap(), a / 0.05, 1e-4);
        close(card.at(MetricId::DAMPER_POWER, NAMES[i]).unwrap(), 1500.0 * v * v / 2.0, 1e-9);
        close(card.at(MetricId::MEAN_CURRENT, NAMES[i]).unwrap(), 0.5, 1e-9);
        let load = card.at(MetricId::WHEEL_LOAD_VARIATION_RMS, NAMES[i]).unwrap();
        close(card.at(MetricId::DYNAMIC_LOAD_COEFFICIENT, NAMES[i]).unwrap(), load / STATIC_N[i], 1e-12);
        assert_eq!(card.at(MetricId::BUMP_STOP_TIME, NAMES[i]).unwrap() > 0.0, a > 0.05);
    }
    // A sine changes over h by 2 A sin(w h/2) times a cosine.
    let steps = (0..4).map(|i| 1500.0 * 0.02 * (1.0 + f64::from(i)) * TAU * 1.5).map(|a| a * a).sum::<f64>() / 4.0;
    close(one(MetricId::FORCE_STEP_RMS), steps.sqrt() * 2.0 * (TAU * 1.5 * 0.0005).sin() / SQRT_2, 1e-3);
    let shares = one(MetricId::SHARE_WRONG_SIGN)
        + one(MetricId::SHARE_BELOW_SOFT)
        + one(MetricId::SHARE_DELIVERABLE)
        + one(MetricId::SHARE_ABOVE_FIRM);
    assert!((shares - 1.0).abs() < 1e-12, "{shares}");
}

#[test]
fn force_steps_are_over_a_millisecond_at_any_rate() {
    // A force that rises by 1000 N/s changes by 1 N in a millisecond, by 2 N in a sample of 2 ms.
    for (rate, want) in [(1000.0, 1.0), (4000.0, 1.0), (500.0, 2.0)] {
        let mut run = RideMetrics::<f64, 1>::new(rate, RideOptions::new(["front"], [4000.0])).unwrap();
        for n in 0..2001 {
            let mut s = RideSample::<f64, 1>::default();
            s.corners[0].damper_force_n = 1000.0 * f64::from(n) / rate;
            run.sample(&s, true);
        }
        let got = run.finish(0).worst(MetricId::FORCE_STEP_RMS).unwrap();
        assert!((got - want).abs() < 1e-9, "{rate} Hz: {got}");
    }
}

#[test]
fn the_motion_sickness_dose_is_the_closed_form() {
    // checks.json cases 03 and 04: Wf at 0.2 Hz 0.99201; dose = weighted r.m.s. times the root of the time (ISO 2631-1, D.1.1).
    let mut run = RideMetrics::<f64, 1>::new(500.0, RideOptions::new(["front"], [4000.0])).unwrap();
    for n in 0..100_000 {
        let wave = (TAU * 0.2 * f64::from(n) / 500.0).sin();
        let s = RideSample { seat_acceleration_m_per_s2: 2.0 * wave, ..RideSample::<f64, 1>::default() };
        run.sample(&s, n >= 50_000);
    }
    let got = run.finish(0).worst(MetricId::MOTION_SICKNESS_DOSE).unwrap();
    let want = SQRT_2 * 0.9920096022885491 * 100f64.sqrt();
    let source = "checks 03, checks 04: ISO 2631-1:1997, D.1.1, Wf at 0.2 Hz";
    washboard_checks::relative("motion sickness dose of a sine over 100 s", source, got, want, 1e-3);
}

#[test]
fn load_transfer_is_shared_as_it_moves() {
    let options = RideOptions { roll: true, lateral: true, ..RideOptions::new(NAMES, STATIC_N) };
    let mut run = RideMetrics::<f64, 4>::new(1000.0, options).unwrap();
    for n in 0..1000 {
        let moved = 800.0 * (f64::from(n) * 0.01).sin();
        let mut s = RideSample::<f64, 4>::default();
        for (i, share) in [-0.6, 0.6, -0.4, 0.4].into_iter().enumerate() {
            s.corners[i].wheel_load_n = STATIC_N[i] + share * moved;
        }
        run.sample(&s, true);
    }
    let got = run.finish(0).worst(MetricId::FRONT_LOAD_TRANSFER_SHARE).unwrap();
    assert!((got - 0.6).abs() < 1e-12, "{got}");
}

#[test]
fn what_does_not_apply_is_absent() {
    let mut run = RideMetrics::<f64, 1>::new(1000.0, RideOptions::new(["front"], [4000.0])).unwrap();
    run.sample(&RideSample::default(), false);
    assert!(run.finish(0).is_empty(), "nothing counted yet");
    run.sample(&RideSample::default(), true);
    let card = run.finish(0);
    for id in [
        MetricId::ROLL_PEAK,
        MetricId::PITCH_PEAK,
        MetricId::ROLL_OVERSHOOT_SHARE,
        MetricId::TRAVEL_USED_SHARE,
        MetricId::BUMP_STOP_TIME,
        MetricId::STOP_ENERGY,
        MetricId::AFTER_SHAKE,
        MetricId::HEAD_TOSS_RMS,
        MetricId::CREST_FACTOR,
        MetricId::FORCE_STEP_RMS,
    ] {
        assert_eq!(card.get(id), None, "{}", id.name());
    }
    assert_eq!(card.corners(), ["front"]);
    assert_eq!(card.get(MetricId::LIFT_TIME), Some(Value::PerCorner([Some(0.001), None, None, None])));
}

#[test]
fn figures_count_from_when_they_are_told_to_while_filters_run_from_the_start() {
    let mut late = RideMetrics::<f64, 4>::new(1000.0, options()).unwrap();
    let mut fresh = RideMetrics::<f64, 4>::new(1000.0, options()).unwrap();
    for n in 0..3000 {
        late.sample(&motion(n, 0.0), n >= 2000);
        if n >= 2000 {
            fresh.sample(&motion(n, 0.0), true);
        }
    }
    let (late, fresh) = (late.finish(0), fresh.finish(0));
    assert_eq!(late.get(MetricId::BODY_ACCELERATION_RMS), fresh.get(MetricId::BODY_ACCELERATION_RMS));
    assert_ne!(late.get(MetricId::WEIGHTED_ACCELERATION), fresh.get(MetricId::WEIGHTED_ACCELERATION));
}
