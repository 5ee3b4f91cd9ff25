//! The demo sessions make sense to an engineer: a car, modes in the felt order, and a comfort mode worth its controller.

#![allow(clippy::unwrap_used)] // a test fails by panicking

use std::path::{Path, PathBuf};
use washboard_metrics::MetricId;
use washboard_road::{Elevation, Profile};
use washboard_session::{EventKind, Mode, Session};
use washboard_study::{Comparison, Model, Profiles, Progress, Study};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-sessions")
}

fn demos() -> Vec<Session> {
    ["estate.ron", "estate-firm.ron"].map(|f| washboard_session::load(&folder().join(f)).unwrap()).to_vec()
}

fn profiles() -> Profiles {
    let text = std::fs::read_to_string(folder().join("dip.csv")).unwrap();
    let row = |l: &str| l.split(',').map(|x| x.parse().unwrap()).collect::<Vec<f64>>();
    let rows: Vec<Vec<f64>> = text.lines().skip(1).filter(|l| !l.is_empty()).map(row).collect();
    let column = |i: usize| rows.iter().map(|r| r[i]).collect::<Vec<f64>>();
    let mut profiles = Profiles::default();
    profiles.insert("dip.csv", Profile::new(column(0), Elevation::Two(column(1), column(2))).unwrap());
    profiles
}

fn compare(session: &Session, model: Model, reference: &str, seeds: usize) -> (Study, Comparison) {
    let study = Study::new(session, &profiles()).unwrap();
    let selection = study.selection(model, &[], &[], &["as described"]).unwrap();
    let reference = study.mode(reference).unwrap();
    let comparison = study.compare(&selection, reference, seeds, &Progress::new()).unwrap();
    (study, comparison)
}

#[test]
fn the_cars_are_believable() {
    for session in demos() {
        assert!(session.events.len() >= 10 && session.modes.len() == 3 && session.vehicle.load_cases.len() == 2);
        let study = Study::new(&session, &profiles()).unwrap();
        // As described and with the driver; a full load lowers both, as in any car.
        for d in study.derived().iter().take(2) {
            for axle in 0..2 {
                let (f, soft, firm) =
                    (d.ride_frequency_hz[axle], d.damping_ratio_soft[axle], d.damping_ratio_firm[axle]);
                assert!((1.1..=1.6).contains(&f), "{}: ride frequency {f} Hz", session.title);
                assert!((0.12..=0.2).contains(&soft), "{}: soft damping ratio {soft}", session.title);
                assert!((0.6..=0.8).contains(&firm), "{}: firm damping ratio {firm}", session.title);
            }
        }
        // Rebound two to three times as stiff as compression (common practice, no source).
        for damper in &session.dampers {
            let v = &damper.velocity_m_per_s;
            let at = |x: f64| v.iter().position(|y| *y == x).unwrap();
            for (rebound, compression) in damper.force_n[at(0.3)].iter().zip(&damper.force_n[at(-0.3)]) {
                assert!((2.0..=3.0).contains(&(rebound / -compression)));
            }
        }
    }
}

#[test]
fn modes_come_in_the_felt_order_with_steps_that_are_felt() {
    for session in demos() {
        let (study, comparison) = compare(&session, Model::Full, "everyday", 8);
        let share = |mode: &str, metric: MetricId| {
            let mode = study.mode(mode).unwrap();
            let d = comparison.differences.iter().find(|d| d.mode == mode && d.metric == metric).unwrap();
            (d.share, d.half_width.unwrap_or(0.0))
        };
        // The comfort mode is the more comfortable one over all events, the firm one the least.
        assert!(share("gentle", MetricId::WEIGHTED_ACCELERATION).0 < 0.0, "{}", session.title);
        assert!(share("firm", MetricId::WEIGHTED_ACCELERATION).0 > 0.0, "{}", session.title);
        for metric in [MetricId::ROLL_RATE_PEAK, MetricId::BODY_MOTION_RMS] {
            let ((gentle, a), (firm, b)) = (share("gentle", metric), share("firm", metric));
            assert!(gentle - a >= 0.08, "{}: gentle {gentle} ± {a} in {}", session.title, metric.name());
            assert!(firm + b <= -0.08, "{}: firm {firm} ± {b} in {}", session.title, metric.name());
        }
    }
}

#[test]
fn every_fence_is_kept_in_every_load_case() {
    for session in demos() {
        let study = Study::new(&session, &profiles()).unwrap();
        let selection = study.selection(Model::Full, &[], &[], &[]).unwrap();
        let evaluation = study.evaluate(&selection, &Progress::new()).unwrap();
        assert!(evaluation.fences.len() >= 3 * 3 * 3, "{} verdicts", evaluation.fences.len());
        for verdict in &evaluation.fences {
            assert!(verdict.kept, "{}: {verdict:?}", session.title);
        }
    }
}

#[test]
fn the_comfort_mode_beats_every_fixed_current_at_its_wheel_load() {
    for mut session in demos() {
        session.events.retain(|e| matches!(e.kind, EventKind::RandomRoad { .. }));
        session.fences.clear();
        let gentle = session.modes.iter().find(|m| m.name == "gentle").unwrap().clone();
        session.modes = vec![gentle.clone()];
        for step in 0..=12 {
            let current = gentle.current_min_a + (gentle.current_max_a - gentle.current_min_a) * f64::from(step) / 12.0;
            let name = format!("fixed {step}");
            session.modes.push(Mode { name, current_min_a: current, current_max_a: current, ..gentle.clone() });
        }
        session.reference_mode = None;
        let (_, comparison) = compare(&session, Model::Pitch, "gentle", 8);
        let of = |mode: usize, metric: MetricId| {
            comparison.differences.iter().find(|d| d.mode == mode && d.metric == metric).unwrap()
        };
        // Along the curve of fixed currents, comfort is a function of wheel load; each stretch that passes the mode's wheel
        // load is judged by interpolation, with the wider interval of its two ends.
        let mut crossed = 0;
        for mode in 1..=12 {
            let load = |m: usize| of(m, MetricId::DYNAMIC_LOAD_COEFFICIENT).share;
            let (a, b) = (load(mode), load(mode + 1));
            if (a > 0.0) == (b > 0.0) {
                continue;
            }
            crossed += 1;
            let comfort = |m: usize| of(m, MetricId::WEIGHTED_ACCELERATION);
            let t = a / (a - b);
            let share = comfort(mode).share + (comfort(mode + 1).share - comfort(mode).share) * t;
            let interval = comfort(mode).half_width.unwrap().max(comfort(mode + 1).half_width.unwrap());
            assert!(share > interval, "{}: fixed dampers {share} ± {interval} at equal wheel load", session.title);
        }
        assert!(crossed > 0, "{}: no fixed current has the wheel load of the comfort mode", session.title);
    }
}
