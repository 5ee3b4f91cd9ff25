//! How finely a run's time is divided: the guard's steps for a law that does not switch, finer ones where law or road ask
//! for them, whatever else is computed beside it.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use common::{progress, quarter};
use washboard_session::{Event, EventKind, Law, Session, Side};
use washboard_study::{Model, Profiles, Study};

fn event(name: &str, speed_km_h: f64, kind: EventKind) -> Event {
    Event { name: name.into(), speed_km_h, duration_s: 1.0, settle_s: 0.0, weight: 1.0, speed_change: None, kind }
}

/// A continuous and an on/off mode over a bump, joints (edges of 10 mm) and a pothole (edges of 100 mm).
fn session(sample_rate_hz: f64) -> Session {
    let mut session = quarter(300.0, 3900.0, &[]);
    session.controller.sample_rate_hz = sample_rate_hz;
    let mut on_off = session.modes[0].clone();
    (on_off.name, on_off.law) = ("on/off".into(), Law::OnOff);
    session.modes[0].name = "continuous".into();
    session.modes.push(on_off);
    let side = Side::Both;
    session.events = vec![
        event("bump", 36.0, EventKind::CosineBump { height_m: 0.05, length_m: 1.0, lead_m: 1.0, side }),
        event(
            "joints",
            36.0,
            EventKind::ExpansionJoints {
                spacing_m: 5.0,
                joints: 2,
                gap_m: 0.05,
                depth_m: 0.01,
                fault_m: 0.0,
                edge_m: 0.01,
                lead_m: 1.0,
                side,
            },
        ),
        event("pothole", 36.0, EventKind::Pothole { depth_m: 0.05, length_m: 0.7, edge_m: 0.1, lead_m: 1.0, side }),
    ];
    session
}

fn compiled(session: &Session) -> Study {
    Study::new(session, &Profiles::default()).unwrap()
}

/// Plant steps of a mode over an event, of one second.
fn steps(study: &Study, mode: &str, event: &str) -> usize {
    let selection = study.selection(Model::QuarterFront, &[mode], &[event], &["as described"]).unwrap();
    study.run_steps(&selection) - 1
}

#[test]
fn only_laws_that_switch_and_short_edges_take_finer_steps() {
    let quick = compiled(&session(1000.0));
    // 10 mm at 10 m/s take a millisecond: four steps. 100 mm take ten.
    for (event, continuous, on_off) in [("bump", 1000, 2000), ("joints", 4000, 4000), ("pothole", 1000, 2000)] {
        assert_eq!(steps(&quick, "continuous", event), continuous, "{event}");
        assert_eq!(steps(&quick, "on/off", event), on_off, "{event}");
    }
    let slow = compiled(&session(250.0));
    assert_eq!((steps(&slow, "continuous", "bump"), steps(&slow, "on/off", "bump")), (1000, 8000));
    // Comparisons divide all of them.
    let finer = compiled(&session(250.0)).with_finer_steps(2);
    for (mode, event, of_one) in [("continuous", "bump", 1000), ("on/off", "bump", 8000), ("on/off", "joints", 8000)] {
        assert_eq!(steps(&finer, mode, event), 2 * of_one, "{mode}, {event}");
    }
}

#[test]
fn a_run_is_the_same_to_the_last_bit_whatever_runs_beside_it() {
    let study = compiled(&session(1000.0));
    let evaluate = |modes: &[&str], events: &[&str]| {
        let selection = study.selection(Model::QuarterFront, modes, events, &["as described"]).unwrap();
        study.evaluate(&selection, &progress()).unwrap().runs
    };
    let together = evaluate(&[], &[]);
    assert_eq!(together.len(), 6);
    for run in &together {
        let alone = evaluate(&[study.mode_names()[run.mode]], &[study.event_names()[run.event]]);
        assert_eq!(alone[0].card, run.card, "mode {}, event {}", run.mode, run.event);
    }
}

#[test]
fn histories_of_all_modes_have_the_same_times() {
    let study = compiled(&session(1000.0));
    for event in 0..3 {
        let of = |mode: usize| study.trace(Model::QuarterFront, mode, event, 0);
        let (continuous, on_off) = (of(0), of(1));
        assert_eq!(continuous.time_s.len(), 1001);
        let apart = continuous.time_s.iter().zip(&on_off.time_s).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        assert!(on_off.time_s.len() == 1001 && apart < 1e-12, "{apart} s");
    }
}

#[test]
fn finer_steps_are_said_with_their_reason() {
    let study = compiled(&session(1000.0));
    let said = |modes: &[&str], events: &[&str]| {
        let selection = study.selection(Model::QuarterFront, modes, events, &["as described"]).unwrap();
        study.finer_steps_in_words(&study.evaluate(&selection, &progress()).unwrap())
    };
    assert!(said(&["continuous"], &["bump", "pothole"]).is_empty());
    let all = said(&[], &[]);
    assert!(all.len() == 2, "{all:?}");
    assert!(all[0].contains("0.500 ms: on/off, because the law switches"), "{all:?}");
    assert!(all[1].contains("0.250 ms: joints, because edges"), "{all:?}");
}
