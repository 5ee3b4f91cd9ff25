//! A board that takes over what it knows is the board computed from nothing.

#![allow(clippy::unwrap_used)] // a test fails by panicking

use std::sync::Arc;
use washboard_metrics::{MetricId, Scorecard};
use washboard_session::Session;
use washboard_study::{Board, BoardRequest, Memory, Model, Profiles, Progress, Study};

/// The demo with short events.
fn session() -> Session {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-sessions/estate.ron")).unwrap();
    let mut session = washboard_session::parse_ron(&text).unwrap();
    let kept = ["country road", "farm track", "speed hump", "lateral step"];
    session.events.retain(|e| kept.contains(&e.name.as_str()));
    session.fences.retain(|f| f.event.as_ref().is_none_or(|e| kept.contains(&e.as_str())));
    for event in &mut session.events {
        event.duration_s = 2.0;
        event.settle_s = 0.0;
    }
    session
}

fn request(model: Model) -> BoardRequest {
    BoardRequest { model, load_case: 1, event: 1, speed_km_h: 70.0, roughness_m_per_s2: 2.0, reference: 1 }
}

fn board(session: &Session, memory: &Memory, model: Model) -> Board {
    let study = Study::new(session, &Profiles::default()).unwrap().sharing(memory);
    study.board(&request(model), None, &Progress::new()).unwrap()
}

fn assert_same(a: &Board, b: &Board, what: &str) {
    for (x, y) in a.evaluation.runs.iter().zip(&b.evaluation.runs) {
        assert_eq!((x.mode, x.event, x.load_case, &x.card), (y.mode, y.event, y.load_case, &y.card), "{what}");
    }
    assert_eq!(a.evaluation.runs.len(), b.evaluation.runs.len());
    assert_eq!(a.evaluation.fences, b.evaluation.fences, "{what}");
    assert_eq!(a.differences, b.differences, "{what}");
    assert_eq!(a.responses, b.responses, "{what}");
    assert_eq!((&a.soft, &a.firm), (&b.soft, &b.firm), "{what}");
    assert_eq!(a.fixed_dampers, b.fixed_dampers, "{what}");
    assert_eq!(a.mode_points, b.mode_points, "{what}");
    assert_eq!(a.traces, b.traces, "{what}");
    assert_eq!(a.visits, b.visits, "{what}");
    assert_eq!(a.derived, b.derived, "{what}");
}

/// Single precision, where it is enough, against double: share by which a figure of an answer at once may differ.
const AT_ONCE_WITHIN: f64 = 1e-3;

fn assert_close(a: &Scorecard, b: &Scorecard, what: &str) {
    for metric in MetricId::all() {
        let (a, b) = (a.mean(metric), b.mean(metric));
        assert_eq!(a.is_some(), b.is_some(), "{what}, {}", metric.name());
        if let (Some(a), Some(b)) = (a, b) {
            let off = (a - b).abs();
            assert!(off <= AT_ONCE_WITHIN * b.abs(), "{what}, {}: {a} against {b}", metric.name());
        }
    }
}

#[test]
fn the_first_answer_is_the_board_but_for_digits_and_intervals_that_are_not_known_yet() {
    let memory = Memory::default();
    let mut session = session();
    let whole = board(&session, &memory, Model::Pitch);
    let at_once = |session: &Session, memory: &Memory| {
        let study = Study::new(session, &Profiles::default()).unwrap().sharing(memory);
        study.board_at_once(&request(Model::Pitch), None, &Progress::new()).unwrap()
    };
    let known = at_once(&session, &memory);
    assert!(!known.more_follows && !whole.more_follows);
    assert_same(&known, &whole, "everything known");

    session.modes[2].heave.values_n_s_per_m[2][1] += 300.0;
    let first = at_once(&session, &memory);
    assert!(first.more_follows);
    let whole = board(&session, &memory, Model::Pitch);
    for (early, late) in first.evaluation.runs.iter().zip(&whole.evaluation.runs) {
        let what = format!("mode {}, event {}", early.mode, early.event);
        assert_eq!((early.mode, early.event, early.load_case), (late.mode, late.event, late.load_case));
        if early.mode == 2 {
            assert_close(&early.card, &late.card, &what);
        } else {
            assert_eq!(early.card, late.card, "{what}: nothing of this mode has changed");
        }
    }
    let early = Board {
        evaluation: whole.evaluation.clone(),
        differences: whole.differences.clone(),
        mode_points: whole.mode_points.clone(),
        traces: whole.traces.clone(),
        visits: whole.visits.clone(),
        ..first.clone()
    };
    assert_same(&early, &whole, "what needs neither digits nor draws");
    assert_eq!(first.differences.len(), whole.differences.len());
    let reference = request(Model::Pitch).reference;
    for (early, late) in first.differences.iter().zip(&whole.differences) {
        assert_eq!((early.mode, early.metric), (late.mode, late.metric));
        if early.mode != 2 {
            assert_eq!(early, late, "nothing of this mode has changed");
            continue;
        }
        assert_eq!(early.half_width, Some(f64::INFINITY));
        assert!(late.half_width.is_some_and(f64::is_finite));
        let of =
            |mode: usize| first.evaluation.overall.iter().find(|o| o.mode == mode).unwrap().card.mean(early.metric);
        assert_eq!((Some(early.value), Some(early.reference)), (of(2), of(reference)), "of the events' own roads");
    }
    let study = Study::new(&session, &Profiles::default()).unwrap().sharing(&memory).in_double_precision();
    let double = study.board_at_once(&request(Model::Pitch), None, &Progress::new()).unwrap();
    for (a, b) in double.evaluation.runs.iter().zip(&whole.evaluation.runs) {
        assert_eq!(a.card, b.card, "all digits where they are asked for");
    }
    let again = at_once(&session, &memory);
    assert!(!again.more_follows);
    assert_same(&again, &whole, "what is known better is not taken from single precision");
}

#[test]
fn what_is_taken_over_is_what_would_be_computed() {
    let memory = Memory::default();
    let mut session = session();
    let first = board(&session, &memory, Model::Pitch);
    assert_same(&first, &board(&session, &Memory::default(), Model::Pitch), "nothing known");
    type Change = fn(&mut Session);
    let changes: [(&str, Change); 7] = [
        ("a gain", |s| s.modes[2].heave.values_n_s_per_m[2][1] += 300.0),
        ("a limit of the first mode", |s| s.modes[0].current_min_a = 0.5),
        ("a name and a weight", |s| {
            s.modes[0].name = "soft".to_owned();
            s.events[0].weight = 3.0;
        }),
        ("a length", |s| s.events[1].duration_s = 2.5),
        ("a seed", |s| {
            if let washboard_session::EventKind::RandomRoad { seed, .. } = &mut s.events[0].kind {
                *seed = 77;
            }
        }),
        ("a damper", |s| s.dampers[0].rise_s = 0.02),
        ("the controller", |s| s.controller.roughness.rise_s = 0.1),
    ];
    for (what, change) in changes {
        change(&mut session);
        let known = board(&session, &memory, Model::Pitch);
        assert_same(&known, &board(&session, &Memory::default(), Model::Pitch), what);
    }
    let other = board(&session, &memory, Model::QuarterFront);
    assert_same(&other, &board(&session, &Memory::default(), Model::QuarterFront), "another model");
}

#[test]
fn an_edit_of_one_mode_leaves_the_others_alone() {
    let memory = Memory::default();
    let mut session = session();
    let before = board(&session, &memory, Model::Pitch);
    session.modes[2].wheel.values_n_s_per_m[0][0] += 100.0;
    let after = board(&session, &memory, Model::Pitch);
    for mode in 0..3 {
        // The very same history, not one that looks like it.
        assert_eq!(Arc::ptr_eq(&before.traces[mode], &after.traces[mode]), mode != 2);
    }
    assert_eq!(before.responses[..2], after.responses[..2]);
}
