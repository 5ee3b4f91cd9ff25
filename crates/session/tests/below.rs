//! A session that rests on another holds only what deviates: in its file, through a change below, and put together again.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use std::{fs, path::Path};

use common::{full, small};
use washboard_session::{
    Below, Edit, EventKind, History, MapName, Recovery, Session, apply, check, load, load_below, load_draft,
    past::Past, recovery::find, save, schema, to_ron,
};

fn edit(session: &mut Session, edit: &Edit) {
    apply(session, edit).unwrap_or_else(|fault| panic!("{edit:?}: {fault}"));
    assert_eq!(check(session), Ok(()));
}

/// A session saved as `base.ron`, and one that rests on it, unsaved.
fn rested(folder: &Path, base: &Session) -> Session {
    assert_eq!(save(&folder.join("base.ron"), base).unwrap(), []);
    let mut session = base.clone();
    session.title = "winter tyres".to_owned();
    // Runs and sets are each session's own.
    (session.logbook, session.handed_over, session.in_car, session.began_from) = (vec![], vec![], None, None);
    let below = load_below(&folder.join("above.ron"), "base.ron").unwrap();
    edit(&mut session, &Edit::RestOnSession(Some(Box::new(below))));
    assert!(session.own_parts().is_empty(), "nothing deviates yet");
    session
}

/// Everything an edit can make a session's own.
fn deviating(session: &mut Session) {
    let steps = [
        Edit::SetNumber { path: "vehicle.front.tyre_rate_n_per_m".into(), value: 240_000.0 },
        Edit::SetNumber { path: "controller.sample_rate_hz".into(), value: 500.0 },
        Edit::SetNumber { path: "dampers[0].rise_s".into(), value: 0.012 },
        Edit::SetNumber { path: "events[0].speed_km_h".into(), value: 71.0 },
        Edit::cell(0, MapName::Heave, 1, 0, 1800.0),
        Edit::SetPurpose { mode: 0, purpose: String::new() },
        Edit::DuplicateMode { mode: 0, name: "winter".into() },
        Edit::MoveMode { from: 1, to: 0 },
    ];
    for it in &steps {
        edit(session, it);
    }
}

fn text(path: &Path) -> String {
    fs::read_to_string(path).unwrap()
}

#[test]
fn only_what_deviates_is_written_and_comes_back_bit_for_bit_in_both_languages() {
    let dir = tempfile::tempdir().unwrap();
    for base in [small(), full()] {
        let mut session = rested(dir.path(), &base);
        if session.events.is_empty() {
            session.events = full().events[..1].to_vec();
        }
        deviating(&mut session);
        for name in ["above.ron", "above.json"] {
            let path = dir.path().join(name);
            assert_eq!(save(&path, &session).unwrap(), []);
            let back = load(&path).unwrap();
            assert_eq!(to_ron(&back).unwrap(), to_ron(&session).unwrap(), "{name}");
            assert_eq!(back, session);
            let written = text(&path);
            assert!(written.contains("rests_on") && written.contains("base.ron"), "{written}");
            assert!(!written.contains("body_mass_kg") && !written.contains("force_n"), "{written}");
            assert!(written.contains("\"vehicle.front.tyre_rate_n_per_m\""), "{written}");
        }
    }
    let written = text(&dir.path().join("above.ron"));
    let whole = to_ron(&load(&dir.path().join("above.ron")).unwrap()).unwrap();
    assert!(written.len() * 2 < whole.len(), "{} of {} bytes", written.len(), whole.len());
}

#[test]
fn the_session_below_changes_and_what_is_not_its_own_follows() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("above.ron");
    let mut base = small();
    let mut session = rested(dir.path(), &base);
    edit(&mut session, &Edit::cell(0, MapName::Heave, 1, 0, 1800.0));
    save(&path, &session).unwrap();
    assert!(!load(&path).unwrap().rests_on().unwrap().has_changed);

    edit(&mut base, &Edit::SetCells { mode: 0, map: MapName::Heave, cells: vec![(0, 0, 1100.0), (1, 0, 1700.0)] });
    edit(&mut base, &Edit::SetNumber { path: "vehicle.body_mass_kg".into(), value: 1500.0 });
    save(&dir.path().join("base.ron"), &base).unwrap();
    let after = load(&path).unwrap();
    assert_eq!(after.modes[0].heave.values_n_s_per_m, [[1100.0, 900.0], [1800.0, 1300.0]]);
    assert_eq!(after.vehicle.body_mass_kg, 1500.0);
    assert!(after.rests_on().unwrap().has_changed, "that it follows is said");
    // The work on screen can follow too.
    let now = load_below(&path, "base.ron").unwrap();
    edit(&mut session, &Edit::FollowSession(Box::new(now)));
    assert_eq!(session.modes, after.modes);
    assert_eq!(session.vehicle, after.vehicle);
    // Words and runs of the session below are not given and change nothing.
    save(&path, &session).unwrap();
    base.notes = "another word".to_owned();
    save(&dir.path().join("base.ron"), &base).unwrap();
    let again = load(&path).unwrap();
    assert!(!again.rests_on().unwrap().has_changed);
    assert_eq!(again.notes, session.notes);
}

#[test]
fn a_mode_that_rests_on_another_follows_it_in_the_resting_session() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("above.ron");
    let mut base = small();
    edit(&mut base, &Edit::DuplicateMode { mode: 0, name: "winter".into() });
    edit(&mut base, &Edit::RestOn { mode: 1, on: Some("everyday".into()) });
    edit(&mut base, &Edit::cell(1, MapName::Heave, 0, 0, 1250.0));
    let mut session = rested(dir.path(), &base);
    edit(&mut session, &Edit::cell(0, MapName::Heave, 1, 1, 1400.0));
    save(&path, &session).unwrap();
    let written = text(&path);
    assert!(!written.contains("\"winter\""), "what follows inside the session needs no words: {written}");
    let back = load(&path).unwrap();
    assert_eq!(back, session);
    assert_eq!(back.modes[1].heave.values_n_s_per_m, [[1250.0, 900.0], [1500.0, 1400.0]]);
    // Cells of its own in the resting mode.
    edit(&mut session, &Edit::cell(1, MapName::Heave, 0, 1, 950.0));
    save(&path, &session).unwrap();
    assert_eq!(load(&path).unwrap(), session);
}

#[test]
fn what_deviates_is_listed_and_each_part_goes_back() {
    let dir = tempfile::tempdir().unwrap();
    let base = full();
    let mut session = rested(dir.path(), &base);
    deviating(&mut session);
    let said: Vec<String> =
        session.own_parts().iter().map(|p| format!("{}: {} → {}", p.what, p.below, p.own)).collect();
    let has = |words: &[&str]| said.iter().any(|line| words.iter().all(|word| line.contains(word)));
    assert!(has(&["car, front", "240000 N/m"]), "{said:#?}");
    assert!(has(&["controller", "500 Hz"]) && has(&["0.012 s"]) && has(&["71 km/h"]), "{said:#?}");
    assert!(has(&["mode winter", "only here"]), "{said:#?}");
    for _ in 0..20 {
        let Some(back) = session.own_parts().into_iter().find_map(|part| part.back) else { break };
        edit(&mut session, &back);
    }
    assert!(session.own_parts().is_empty(), "{:#?}", session.own_parts());
    assert_eq!(session.modes, base.modes);
    assert_eq!(session.vehicle, base.vehicle);
}

#[test]
fn what_is_taken_out_stays_out_and_what_is_new_stays_in() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("above.ron");
    let mut base = full();
    base.fences.clear();
    let mut session = rested(dir.path(), &base);
    session.modes.remove(0);
    session.reference_mode = None;
    let gone = session.events.remove(0).name;
    let mut new = full().events[0].clone();
    new.name = "new road".to_owned();
    session.events.insert(0, new);
    session.vehicle.seat_m = None;
    session.vehicle.load_cases.reverse();
    save(&path, &session).unwrap();
    assert_eq!(load_draft(&path).unwrap().0, session);
    assert!(text(&path).contains(&gone));
    let said = session.own_parts();
    assert!(said.iter().any(|p| p.what.contains(&gone) && p.own == "taken out"), "{said:#?}");
    assert!(said.iter().any(|p| p.what.contains("load cases")), "{said:#?}");
}

#[test]
fn a_missing_or_circular_session_below_is_one_clear_sentence() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("above.ron");
    let session = rested(dir.path(), &small());
    save(&path, &session).unwrap();
    let refused = |path: &Path| load(path).unwrap_err().to_string();
    fs::rename(dir.path().join("base.ron"), dir.path().join("gone.ron")).unwrap();
    let said = refused(&path);
    assert!(said.contains("it rests on \"base.ron\", but the file cannot be read"), "{said}");
    fs::write(dir.path().join("base.ron"), "(format: 1, title: ").unwrap();
    let said = refused(&path);
    assert!(said.contains("rests on \"base.ron\", but line 1"), "{said}");
    fs::write(dir.path().join("base.ron"), "(format: 1, title: \"b\", rests_on: \"above.ron\")").unwrap();
    let said = refused(&path);
    assert!(said.contains("circle"), "{said}");
    for outside in ["../base.ron", "/base.ron", ""] {
        fs::write(&path, format!("(format: 1, title: \"a\", rests_on: {outside:?})")).unwrap();
        let said = refused(&path);
        assert!(said.contains("inside the folder"), "{outside}: {said}");
    }
    // What the session below no longer has is named.
    fs::rename(dir.path().join("gone.ron"), dir.path().join("base.ron")).unwrap();
    for (own, word) in [
        ("modes: [(name: \"gone\", current_max_a: 1.0)]", "\"gone\" holds only what is its own"),
        ("numbers: [(event: \"gone\", path: \"speed_km_h\", value: 1.0)]", "the event \"gone\""),
        ("numbers: [(path: \"vehicle.wings\", value: 1.0)]", "vehicle.wings"),
        ("wings: 2", "unknown field `wings`"),
    ] {
        fs::write(&path, format!("(format: 1, title: \"a\", rests_on: \"base.ron\", {own})")).unwrap();
        let said = refused(&path);
        assert!(said.contains(word) && said.lines().count() == 1, "{own}: {said}");
    }
    // A number out of its range is told as in any session.
    let far =
        "(format: 1, title: \"a\", rests_on: \"base.ron\", numbers: [(path: \"vehicle.body_mass_kg\", value: -5.0)])";
    fs::write(&path, far).unwrap();
    assert!(refused(&path).contains("body_mass_kg is -5 kg"));
    assert!(load_below(&path, "above.ron").unwrap_err().to_string().contains("itself"));
}

#[test]
fn sessions_rest_on_each_other_in_a_row_and_profiles_lie_beside_their_own() {
    let dir = tempfile::tempdir().unwrap();
    fs::create_dir(dir.path().join("cars")).unwrap();
    let mut base = small();
    base.events = full().events[..1].to_vec();
    base.events[0].kind = EventKind::Profile { file: "roads/dip.csv".into() };
    let lowest = dir.path().join("cars/base.ron");
    save(&lowest, &base).unwrap();
    let middle = dir.path().join("middle.ron");
    let mut session = base.clone();
    session.events.clear();
    let below = load_below(&middle, "cars/base.ron").unwrap();
    session.events.clone_from(&below.session.events);
    assert_eq!(session.events[0].kind, EventKind::Profile { file: "cars/roads/dip.csv".into() });
    session.below = Some(Box::new(below));
    save(&middle, &session).unwrap();
    let top = dir.path().join("top.ron");
    fs::write(&top, "(format: 1, title: \"top\", rests_on: \"middle.ron\", numbers: [(path: \"vehicle.body_mass_kg\", value: 1600.0)])").unwrap();
    let read = load(&top).unwrap();
    assert_eq!(read.vehicle.body_mass_kg, 1600.0);
    assert_eq!(read.events[0].kind, EventKind::Profile { file: "cars/roads/dip.csv".into() });
    assert!(!read.rests_on().unwrap().has_changed, "nothing was noted, so nothing is said");
}

#[test]
fn a_session_whose_base_is_not_beside_the_file_is_written_whole_and_says_so() {
    let (dir, elsewhere) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let session = rested(dir.path(), &small());
    let path = elsewhere.path().join("a.ron");
    let faults = save(&path, &session).unwrap();
    assert!(faults[0].to_string().contains("stands alone"), "{faults:?}");
    assert_eq!(load(&path).unwrap(), session.clone().standing_alone());
    // Neither can names that are there twice be told apart.
    let mut twice = session.clone();
    twice.modes.push(twice.modes[0].clone());
    let faults = save(&dir.path().join("twice.ron"), &twice).unwrap();
    assert!(faults[0].to_string().contains("names of their own"), "{faults:?}");
    assert_eq!(load_draft(&dir.path().join("twice.ron")).unwrap().0.modes.len(), 2);
    let mut work = twice.standing_alone();
    let below = Below::new("base.ron", small());
    assert!(apply(&mut work, &Edit::RestOnSession(Some(Box::new(below)))).is_err());
}

#[test]
fn a_crash_loses_neither_the_work_nor_what_it_rests_on() {
    let (dir, folder) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let session = rested(dir.path(), &small());
    let mut history = History::opened(session);
    let mut recovery = Recovery::open(folder.path()).unwrap();
    recovery.begin_from(history.session());
    let step = washboard_session::journal::Step::Edit(Box::new(Edit::cell(0, MapName::Heave, 0, 0, 1234.0)));
    assert!(step.apply(&mut history));
    recovery.record(&[step], history.session(), Some(&dir.path().join("above.ron")), "now").unwrap();
    drop(recovery);
    let found = find(folder.path()).unwrap().pop().unwrap();
    assert_eq!(found.content.unwrap().0, **history.session());
    // Standing alone and resting again are steps like others.
    history.edit(&Edit::RestOnSession(None)).unwrap();
    assert!(history.session().rests_on().is_none());
    assert!(history.undo() && history.session().rests_on().is_some());
}

#[test]
fn a_set_of_the_past_stands_alone_and_the_schema_knows_both_forms() {
    let dir = tempfile::tempdir().unwrap();
    let mut session = rested(dir.path(), &small());
    let record =
        session.note_of_set("ab".repeat(32), "2026-01-01T00:00:00Z".into(), String::new(), String::new(), &[0]);
    session.handed_over.push(record);
    let Past { session: was, .. } = session.as_it_was(0).unwrap();
    assert!(was.rests_on().is_none());
    let schema = schema();
    assert!(schema["properties"].get("below").is_none());
    assert!(schema["$defs"]["RestingSession"]["properties"].get("rests_on").is_some());
}
