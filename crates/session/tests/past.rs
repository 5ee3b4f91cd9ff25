//! A set that left keeps what stood around it, and the session as it was then comes back whole.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use common::full;
use washboard_session::{Edit, MapName, Session, apply, check, parse_ron, to_ron};

fn hand_over(session: &mut Session, identity: &str, modes: &[usize]) {
    let note = |text: &str| text.to_owned();
    let set = session.note_of_set(identity.to_owned(), note("2026-11-25T14:05:00Z"), note(""), note(""), modes);
    apply(session, &Edit::AddHandedOver(Box::new(set))).unwrap();
}

/// What figures depend on.
fn working_part(session: &Session) -> Session {
    Session {
        logbook: vec![],
        handed_over: vec![],
        began_from: None,
        in_car: None,
        release: None,
        proposed: vec![],
        below: None,
        ..session.clone()
    }
}

#[test]
fn the_session_comes_back_as_it_was_at_each_set() {
    let mut session = full();
    session.handed_over.clear();
    let first = working_part(&session);
    hand_over(&mut session, "aa", &[0, 1]);
    apply(&mut session, &Edit::cell(1, MapName::Heave, 0, 0, 1234.0)).unwrap();
    let second = working_part(&session);
    hand_over(&mut session, "bb", &[0, 1]);
    apply(&mut session, &Edit::SetNumber { path: "vehicle.body_mass_kg".into(), value: 1500.0 }).unwrap();
    apply(&mut session, &Edit::SetFences(vec![])).unwrap();
    session.conditions.damper_temperature_c = Some(40.0);
    let third = working_part(&session);
    hand_over(&mut session, "cc", &[0, 1]);
    apply(&mut session, &Edit::DeleteMode { mode: 1 }).unwrap();

    assert!(session.handed_over[0].surroundings.is_some());
    assert!(session.handed_over[1].surroundings.is_none(), "the same as before is not written twice");
    assert!(session.handed_over[2].surroundings.is_some());
    // Through the file and back.
    let session = parse_ron(&to_ron(&session).unwrap()).unwrap();
    assert_eq!(check(&session), Ok(()));
    for (set, then) in [(0, first), (1, second), (2, third)] {
        let past = session.as_it_was(set).unwrap();
        assert!(past.is_whole);
        assert_eq!(working_part(&past.session), then, "set {set}");
        assert_eq!(past.session.logbook, session.logbook);
        assert_eq!(
            past.session.began_from.as_deref(),
            Some(["aa", "bb", "cc"][set]),
            "work on it goes on from this set"
        );
        assert_eq!(check(&past.session), Ok(()));
    }
    assert_eq!(session.as_it_was(3), None);
}

#[test]
fn modes_that_stayed_behind_come_back_too() {
    let mut session = full();
    session.handed_over.clear();
    hand_over(&mut session, "aa", &[1]);
    assert_eq!(session.handed_over[0].modes.len(), 1);
    assert_eq!(session.handed_over[0].left_behind.len(), 1);
    let past = session.as_it_was(0).unwrap().session;
    let names: Vec<&str> = past.modes.iter().map(|mode| mode.name.as_str()).collect();
    assert_eq!(names, ["firm", "everyday"]);
    assert_eq!(past.fences, session.fences);
}

#[test]
fn a_set_noted_by_an_older_program_gives_its_modes_and_says_so() {
    let session = full();
    let past = session.as_it_was(0).unwrap();
    assert!(!past.is_whole);
    assert_eq!(past.session.modes.len(), 1);
    assert_eq!(past.session.vehicle, session.vehicle);
    assert_eq!(past.session.reference_mode, None, "the reference is not among the modes of the set");
    assert_eq!(past.session.fences.len(), 1, "neither is the mode of the first fence");
    assert_eq!(check(&past.session), Ok(()));
}

#[test]
fn surroundings_that_do_not_hold_are_refused_with_their_place() {
    let mut session = full();
    session.handed_over.clear();
    hand_over(&mut session, "aa", &[0, 1]);
    let around = std::sync::Arc::make_mut(session.handed_over[0].surroundings.as_mut().unwrap());
    around.vehicle.wheelbase_m = -1.0;
    let faults = check(&session).unwrap_err();
    let sentence = faults[0].to_string();
    assert!(sentence.starts_with("handed_over[0] \"aa\".surroundings.vehicle: wheelbase_m is -1 m"), "{sentence}");
}

#[test]
fn the_newest_set_of_an_identity_is_found() {
    let mut session = full();
    session.handed_over.clear();
    for identity in ["aa", "bb", "aa"] {
        hand_over(&mut session, identity, &[0]);
    }
    assert_eq!(session.set_of("aa"), Some(2));
    assert_eq!(session.set_of("bb"), Some(1));
    assert_eq!((session.set_of("cc"), session.set_of("")), (None, None));
}
