//! Bench data whose curve, gas force and friction are known, and whatever else a bench may write.

mod common;

use common::small;
use proptest::prelude::*;
use washboard_session::bench::{BenchFault, Direction, Reduced, Sample, reduce};
use washboard_session::check;

const SPEEDS: [f64; 9] = [0.02, 0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 1.0, 1.5];
const CURRENTS: [f64; 4] = [0.3, 0.7, 1.1, 1.6];

/// Closed form of the synthetic damper, N: straight to 0.1 m/s, then a flatter straight; rebound 2.4 times compression.
fn curve(velocity: f64, current: f64) -> f64 {
    let side = if velocity > 0.0 { 2.4 } else { 1.0 };
    let (slope, knee) = (400.0 + 900.0 * current, 0.1);
    let speed = velocity.abs();
    side * velocity.signum() * (slope * speed.min(knee) + 0.4 * slope * (speed - knee).max(0.0))
}

/// What a bench logs of it: rebound positive, a gas force that pushes the rod out, friction against the motion.
fn measured(gas: f64, friction: f64, strokes: usize, noise: impl Fn(usize) -> f64) -> Vec<Sample> {
    let mut all = Vec::new();
    for stroke in 0..strokes {
        for current_a in CURRENTS {
            for speed in SPEEDS {
                for velocity_m_per_s in [-speed, speed] {
                    let force = curve(velocity_m_per_s, current_a) - gas + friction * velocity_m_per_s.signum();
                    all.push(Sample { velocity_m_per_s, force_n: force + noise(all.len() + stroke), current_a });
                }
            }
        }
    }
    all
}

/// Rows in an order that has nothing to do with time.
fn shuffled(mut samples: Vec<Sample>, seed: u64) -> Vec<Sample> {
    let mut state = seed | 1;
    for i in (1..samples.len()).rev() {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        samples.swap(i, (state >> 33) as usize % (i + 1));
    }
    samples
}

fn assert_is_the_curve(reduced: &Reduced, within_n: f64) {
    assert_eq!(reduced.current_a, CURRENTS);
    let mut velocities: Vec<f64> = SPEEDS.iter().rev().map(|v| -v).collect();
    velocities.push(0.0);
    velocities.extend(SPEEDS);
    assert_eq!(reduced.velocity_m_per_s, velocities);
    for (v, row) in velocities.iter().zip(&reduced.force_n) {
        for (a, force) in CURRENTS.iter().zip(row) {
            let expected = if *v == 0.0 { 0.0 } else { curve(*v, *a) };
            assert!((force - expected).abs() <= within_n, "{v} m/s, {a} A: {force} N instead of {expected} N");
        }
    }
}

fn assert_valid(reduced: &Reduced) {
    let mut session = small();
    session.dampers[0] = reduced.damper("one");
    let (first, last) = (reduced.current_a[0], reduced.current_a[reduced.current_a.len() - 1]);
    (session.modes[0].current_min_a, session.modes[0].current_max_a) = (first, last);
    assert_eq!(check(&session), Ok(()));
}

#[test]
fn curve_gas_force_and_friction_are_recovered() {
    let reduced = reduce(&shuffled(measured(180.0, 22.0, 3, |_| 0.0), 7), Direction::FromData).unwrap();
    assert!((reduced.gas_force_n + 180.0).abs() < 1e-6, "{}", reduced.gas_force_n);
    assert!((reduced.friction_n - 22.0).abs() < 1e-6, "{}", reduced.friction_n);
    assert!(reduced.file_has_rebound_positive && reduced.cautions.is_empty(), "{:?}", reduced.cautions);
    assert_is_the_curve(&reduced, 0.051);
    assert_valid(&reduced);
    // The points that are drawn lie on the same curve.
    for (points, current) in reduced.points.iter().zip(CURRENTS) {
        assert_eq!(points.len(), 3 * 2 * SPEEDS.len());
        assert!(points.iter().all(|[v, f]| (f - curve(*v, current)).abs() < 1e-6));
    }
}

#[test]
fn every_sign_convention_gives_the_same_table_and_is_said() {
    let straight = measured(180.0, 22.0, 1, |_| 0.0);
    let turned = |velocity: f64, force: f64| -> Vec<Sample> {
        let turn = |s: &Sample| Sample {
            velocity_m_per_s: velocity * s.velocity_m_per_s,
            force_n: force * s.force_n,
            current_a: s.current_a,
        };
        straight.iter().map(turn).collect()
    };
    let reference = reduce(&straight, Direction::FromData).unwrap();
    for (velocity, force) in [(1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)] {
        let reduced = reduce(&turned(velocity, force), Direction::FromData).unwrap();
        assert_eq!(reduced.force_n, reference.force_n, "{velocity} {force}");
        assert_eq!(reduced.file_has_rebound_positive, velocity > 0.0);
        assert!((reduced.gas_force_n + 180.0).abs() < 1e-6);
        assert!(reduced.done.iter().any(|s| s.contains("turned")), "{:?}", reduced.done);
    }
    // Whoever knows better is believed.
    let forced = reduce(&straight, Direction::Compression).unwrap();
    assert_eq!(forced.velocity_m_per_s[0], -1.5);
    assert!(forced.force_n[0][0].abs() > forced.force_n[forced.force_n.len() - 1][0]);
    assert!(forced.cautions.iter().any(|s| s.contains("pulls the rod in")), "{:?}", forced.cautions);
}

#[test]
fn strokes_average_out_the_noise() {
    let noise = |i: usize| 30.0 * (i as f64 * 2.399).sin();
    let reduced = reduce(&shuffled(measured(150.0, 15.0, 40, noise), 3), Direction::FromData).unwrap();
    assert_is_the_curve(&reduced, 15.0);
    assert!(reduced.done.iter().any(|s| s.contains("scatter by at most")), "{:?}", reduced.done);
    assert_valid(&reduced);
}

#[test]
fn a_continuous_stroke_with_wandering_readings_is_read_at_round_velocities() {
    // Three strokes of a sine of 1 Hz and 0.25 m amplitude, 2 kHz, current read with 5 mA of ripple.
    let samples: Vec<Sample> = (0..4)
        .flat_map(|c| (0..6000).map(move |i| (c, i)))
        .map(|(c, i)| {
            let t = f64::from(i) / 2000.0;
            let v = 0.25 * std::f64::consts::TAU * (std::f64::consts::TAU * t + 0.001).cos();
            let current = CURRENTS[c] + 0.005 * (t * 313.0).sin();
            Sample {
                velocity_m_per_s: v,
                force_n: curve(v, CURRENTS[c]) - 200.0 + 20.0 * v.signum(),
                current_a: current,
            }
        })
        .collect();
    let reduced = reduce(&samples, Direction::FromData).unwrap();
    assert_eq!(reduced.current_a, CURRENTS);
    assert!((reduced.gas_force_n + 200.0).abs() < 2.0 && (reduced.friction_n - 20.0).abs() < 2.0);
    assert!(reduced.velocity_m_per_s.contains(&0.1) && reduced.velocity_m_per_s.len() < 50);
    for (v, row) in reduced.velocity_m_per_s.iter().zip(&reduced.force_n).filter(|(v, _)| **v != 0.0) {
        for (a, force) in CURRENTS.iter().zip(row) {
            // Averaging over the knee of the curve rounds it.
            let expected = curve(*v, *a);
            assert!((force - expected).abs() < 4.0 + 0.03 * expected.abs(), "{v} m/s {a} A {force} {expected}");
        }
    }
    assert_valid(&reduced);
}

#[test]
fn fast_points_alone_leave_gas_and_friction_in_and_say_so() {
    let fast: Vec<Sample> =
        measured(0.0, 0.0, 1, |_| 0.0).into_iter().filter(|s| s.velocity_m_per_s.abs() > 0.15).collect();
    let reduced = reduce(&fast, Direction::FromData).unwrap();
    assert_eq!((reduced.gas_force_n, reduced.friction_n), (0.0, 0.0));
    assert!(reduced.cautions.iter().any(|s| s.contains("0.12 m/s")), "{:?}", reduced.cautions);
    assert_valid(&reduced);
}

#[test]
fn what_cannot_be_made_right_is_refused_with_what_to_do() {
    let good = measured(100.0, 10.0, 1, |_| 0.0);
    let with = |change: &dyn Fn(&mut Sample)| {
        let mut samples = good.clone();
        samples.iter_mut().for_each(change);
        reduce(&samples, Direction::FromData)
    };
    assert_eq!(reduce(&[], Direction::FromData), Err(BenchFault::Nothing));
    let one_way = with(&|s| s.velocity_m_per_s = s.velocity_m_per_s.abs());
    assert!(matches!(one_way, Err(BenchFault::OneDirection { .. })), "{one_way:?}");
    let falls = with(&|s| {
        if s.velocity_m_per_s == 1.0 {
            s.force_n = 100.0;
        }
    });
    let Err(BenchFault::Falls { current_a, .. }) = &falls else { panic!("{falls:?}") };
    assert_eq!(*current_a, 0.3);
    let back = with(&|s| {
        if s.current_a == 1.1 {
            s.force_n *= 0.3;
        }
    });
    assert!(matches!(back, Err(BenchFault::TurnsBack { .. })), "{back:?}");
    let not_finite = with(&|s| s.force_n = f64::NAN).unwrap_err().to_string();
    assert!(not_finite.contains("Row 1: damper force is NaN N"), "{not_finite}");
    let sweep: Vec<Sample> =
        (0..100).map(|i| Sample { current_a: 0.3 + 0.01 * f64::from(i), ..good[i as usize % good.len()] }).collect();
    assert!(matches!(reduce(&sweep, Direction::FromData), Err(BenchFault::Wandering { .. })));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Whatever is taken passes every promise of the document; whatever is not is one sentence.
    #[test]
    fn any_rows_give_a_valid_table_or_a_sentence(
        rows in proptest::collection::vec((-2.0..2.0f64, -3000.0..3000.0f64, 0usize..3, 0.0..1.0f64), 0..120),
        drags in any::<bool>(),
        seed in any::<u64>(),
    ) {
        let samples: Vec<Sample> = rows
            .iter()
            .map(|&(v, f, c, share)| Sample {
                velocity_m_per_s: v,
                // Half the cases are damper-like, so that the way to the end is walked as well.
                force_n: if drags { v * (900.0 + 400.0 * c as f64) + 20.0 * share } else { f },
                current_a: 0.4 * c as f64,
            })
            .collect();
        for direction in [Direction::FromData, Direction::Rebound, Direction::Compression] {
            match reduce(&samples, direction) {
                Ok(reduced) => {
                    assert_valid(&reduced);
                    prop_assert!(!reduced.done.is_empty());
                }
                Err(fault) => prop_assert!(fault.to_string().ends_with('.')),
            }
        }
        // The order of rows does not matter beyond the last digits of a mean.
        let (one, other) = (reduce(&samples, Direction::FromData), reduce(&shuffled(samples.clone(), seed), Direction::FromData));
        prop_assert_eq!(one.is_ok(), other.is_ok());
    }

    /// Gas force, friction and number of strokes come back for any of them.
    #[test]
    fn gas_force_and_friction_come_back(gas in 40.0..500.0f64, friction in 0.0..60.0f64, strokes in 1usize..4, seed in any::<u64>()) {
        let reduced = reduce(&shuffled(measured(gas, friction, strokes, |_| 0.0), seed), Direction::FromData).unwrap();
        prop_assert!((reduced.gas_force_n + gas).abs() < 1e-6 && (reduced.friction_n - friction).abs() < 1e-6);
        assert_is_the_curve(&reduced, 0.051);
    }
}
