//! A mode that rests on another holds only what is its own: in the file, through edits of either, and back again.

mod common;

use common::small;
use washboard_session::{
    Edit, History, MapName, OwnPart, Session, Setting, Table, apply, check, parse_json, parse_ron, schema, to_json,
    to_ron,
};

/// Two modes: everyday, and winter that rests on it with one cell and the most current of its own.
fn rested() -> Session {
    let mut session = small();
    let steps = [
        Edit::DuplicateMode { mode: 0, name: "winter".to_owned() },
        Edit::RestOn { mode: 1, on: Some("everyday".to_owned()) },
        Edit::cell(1, MapName::Heave, 1, 0, 1800.0),
        Edit::SetCurrentLimits { mode: 1, least_a: 0.0, most_a: 1.4 },
    ];
    for edit in &steps {
        apply(&mut session, edit).unwrap_or_else(|fault| panic!("{edit:?}: {fault}"));
    }
    session
}

fn edit(session: &mut Session, edit: &Edit) {
    apply(session, edit).unwrap_or_else(|fault| panic!("{edit:?}: {fault}"));
    assert_eq!(check(session), Ok(()));
}

fn heave(session: &Session, mode: usize) -> &[Vec<f64>] {
    &session.modes[mode].heave.values_n_s_per_m
}

#[test]
fn the_base_changes_and_the_resting_mode_follows_but_for_what_is_its_own() {
    let mut session = rested();
    edit(&mut session, &Edit::SetCells { mode: 0, map: MapName::Heave, cells: vec![(0, 0, 1100.0), (1, 0, 1700.0)] });
    assert_eq!(heave(&session, 1), [[1100.0, 900.0], [1800.0, 1300.0]]);
    edit(&mut session, &Edit::SetCurrentLimits { mode: 0, least_a: 0.1, most_a: 1.5 });
    assert_eq!((session.modes[1].current_min_a, session.modes[1].current_max_a), (0.1, 1.4));
    let said: Vec<(String, String, String)> =
        session.deviations(1).into_iter().map(|d| (d.what, d.base, d.own)).collect();
    assert_eq!(said[0], ("heave gain at 120 km/h, 0 m/s^2".into(), "1700 N s/m".into(), "1800 N s/m".into()));
    assert_eq!(said[1], ("most current".into(), "1.5 A".into(), "1.4 A".into()));
    assert!(session.modes[1].is_own_cell(MapName::Heave, 1, 0) && !session.modes[1].is_own_cell(MapName::Heave, 0, 0));
}

#[test]
fn a_base_pulled_past_a_cell_of_its_own_does_not_take_it_along() {
    let mut session = rested();
    for value in [1700.0, 1800.0, 1900.0] {
        edit(&mut session, &Edit::cell(0, MapName::Heave, 1, 0, value));
        assert_eq!(heave(&session, 1)[1][0], 1800.0);
    }
}

#[test]
fn each_deviation_goes_back_to_the_base_and_undo_brings_it_again() {
    let mut history = History::opened(rested());
    let parts: Vec<OwnPart> = history.session().deviations(1).iter().map(|d| d.part).collect();
    assert_eq!(parts, [OwnPart::Cell(MapName::Heave, 1, 0), OwnPart::Setting(Setting::CurrentMax)]);
    history.edit(&Edit::ToBase { mode: 1, parts: vec![parts[0]] }).unwrap();
    assert_eq!(heave(history.session(), 1)[1][0], 1500.0);
    assert_eq!(history.session().deviations(1).len(), 1);
    // From now on it follows.
    history.edit(&Edit::cell(0, MapName::Heave, 1, 0, 1600.0)).unwrap();
    assert_eq!(heave(history.session(), 1)[1][0], 1600.0);
    assert!(history.undo() && history.undo());
    assert_eq!(**history.session(), rested());
    // Typing what the base has is going back, too.
    history.edit(&Edit::cell(1, MapName::Heave, 1, 0, 1500.0)).unwrap();
    assert!(!history.session().modes[1].is_own_cell(MapName::Heave, 1, 0));
}

#[test]
fn the_file_holds_only_what_is_its_own_and_comes_back_bit_for_bit() {
    let session = rested();
    let text = to_ron(&session).unwrap();
    assert_eq!(text.matches("heave: (").count(), 1, "{text}");
    assert!(text.contains("rests_on: \"everyday\"") && text.contains("value: 1800.0"), "{text}");
    assert_eq!(parse_ron(&text).unwrap(), session);
    assert_eq!(parse_json(&to_json(&session).unwrap()).unwrap(), session);
    assert_eq!(to_ron(&parse_ron(&text).unwrap()).unwrap(), text);
    // What a script changes below is what the resting mode has.
    let changed = parse_ron(&text.replacen("[1000.0, 900.0]", "[1234.0, 900.0]", 1)).unwrap();
    assert_eq!((heave(&changed, 0)[0][0], heave(&changed, 1)[0][0]), (1234.0, 1234.0));
}

#[test]
fn everything_that_can_be_its_own_goes_through_the_file() {
    let mut session = rested();
    let table = Table { rows: vec![0.0, 90.0], columns: vec![0.0, 3.0, 6.0], values: vec![vec![1.0, 2.0, 3.0]; 2] };
    let floor = Table { rows: vec![0.0], columns: vec![0.0], values: vec![vec![0.2]] };
    for step in [
        Edit::SetMap { mode: 1, map: MapName::Roll, table },
        Edit::SetMap { mode: 0, map: MapName::Floor, table: floor },
        Edit::SetFloor { mode: 1, floor: None },
        Edit::SetSlew { mode: 0, slew_a_per_s: Some(150.0) },
        Edit::SetSlew { mode: 1, slew_a_per_s: None },
        Edit::SetLaw { mode: 1, law: washboard_session::Law::OnOff },
        Edit::SetScale {
            mode: 1,
            end: washboard_session::End::Rear,
            scale: washboard_session::Scale::Roll,
            value: 1.3,
        },
        Edit::cell(1, MapName::Pitch, 0, 1, -0.0),
    ] {
        edit(&mut session, &step);
    }
    assert_eq!(session.modes[1].floor, None);
    for text in [to_ron(&session).unwrap(), to_json(&session).unwrap()] {
        let read = if text.starts_with('{') { parse_json(&text) } else { parse_ron(&text) };
        let back = read.unwrap();
        assert_eq!(back, session);
        assert!(back.modes[1].pitch.values_n_s_per_m[0][1].is_sign_negative());
    }
}

#[test]
fn a_breakpoint_put_in_below_leaves_both_surfaces_as_they_were() {
    use washboard_session::MapAxis;
    let mut session = rested();
    edit(&mut session, &Edit::InsertBreakpoint { mode: 0, map: MapName::Heave, axis: MapAxis::Speed, at: 60.0 });
    assert_eq!(heave(&session, 0), [[1000.0, 900.0], [1250.0, 1100.0], [1500.0, 1300.0]]);
    // Midway between 1000 and its own 1800; where it follows, the base's own values.
    assert_eq!(heave(&session, 1), [[1000.0, 900.0], [1400.0, 1100.0], [1800.0, 1300.0]]);
    assert!(session.modes[1].is_own_cell(MapName::Heave, 2, 0) && session.modes[1].is_own_cell(MapName::Heave, 1, 0));
    assert!(!session.modes[1].is_own_cell(MapName::Heave, 1, 1));
    edit(&mut session, &Edit::RemoveBreakpoint { mode: 0, map: MapName::Heave, axis: MapAxis::Speed, index: 1 });
    assert_eq!(heave(&session, 1), [[1000.0, 900.0], [1800.0, 1300.0]]);
    // Axes of its own make the map its own.
    edit(&mut session, &Edit::InsertBreakpoint { mode: 1, map: MapName::Wheel, axis: MapAxis::Second, at: 2.0 });
    edit(&mut session, &Edit::cell(0, MapName::Wheel, 0, 0, 350.0));
    assert_eq!(session.modes[1].wheel.values_n_s_per_m[0][0], 300.0);
    edit(&mut session, &Edit::ToBase { mode: 1, parts: vec![OwnPart::Map(MapName::Wheel)] });
    assert_eq!(session.modes[1].wheel, session.modes[0].wheel);
}

#[test]
fn modes_rest_in_chains_and_never_in_circles() {
    let mut session = rested();
    edit(&mut session, &Edit::DuplicateMode { mode: 1, name: "snow".to_owned() });
    edit(&mut session, &Edit::RestOn { mode: 2, on: Some("winter".to_owned()) });
    edit(&mut session, &Edit::cell(0, MapName::Base, 0, 0, 250.0));
    assert_eq!(session.modes[2].base.values_n_s_per_m[0][0], 250.0, "through both");
    assert_eq!(parse_ron(&to_ron(&session).unwrap()).unwrap(), session);
    for (mode, on) in [(0, "snow"), (0, "everyday"), (1, "snow")] {
        let before = session.clone();
        let fault = apply(&mut session, &Edit::RestOn { mode, on: Some(on.to_owned()) }).unwrap_err().to_string();
        assert!(fault.contains("rests_on") && fault.contains("itself"), "{fault}");
        assert_eq!(session, before);
    }
    let fault = apply(&mut session, &Edit::RestOn { mode: 0, on: Some("nobody".to_owned()) }).unwrap_err().to_string();
    assert!(fault.contains("\"nobody\""), "{fault}");
    // The one in the middle goes: what rested on it rests on what is below, and holds what was the middle's.
    let held = session.modes[2].clone().standing_alone();
    edit(&mut session, &Edit::DeleteMode { mode: 1 });
    assert_eq!(session.modes[1].base_name(), Some("everyday"));
    assert_eq!(session.modes[1].clone().standing_alone(), held);
    edit(&mut session, &Edit::RenameMode { mode: 0, name: "daily".to_owned() });
    assert_eq!(session.modes[1].base_name(), Some("daily"));
    edit(&mut session, &Edit::cell(0, MapName::Base, 0, 0, 260.0));
    assert_eq!(session.modes[1].base.values_n_s_per_m[0][0], 260.0, "also under its new name");
    edit(&mut session, &Edit::RestOn { mode: 1, on: None });
    edit(&mut session, &Edit::cell(0, MapName::Base, 0, 0, 270.0));
    assert_eq!(session.modes[1].base.values_n_s_per_m[0][0], 260.0, "it stands alone");
}

#[test]
fn faults_in_the_file_are_sentences_that_name_the_mode() {
    let text = to_ron(&rested()).unwrap();
    let read = |text: &str| parse_ron(text).unwrap_err().to_string();
    let lost = read(&text.replace("rests_on: \"everyday\"", "rests_on: \"everyone\""));
    assert!(lost.contains("\"winter\"") && lost.contains("\"everyone\"") && lost.contains("no mode"), "{lost}");
    let circle = read(&text.replace("rests_on: \"everyday\"", "rests_on: \"winter\""));
    assert!(circle.contains("circle") && circle.contains("\"winter\""), "{circle}");
    let moved = read(&text.replace("speed_km_h: 120.0", "speed_km_h: 130.0"));
    assert!(moved.contains("cells[0]") && moved.contains("130 km/h"), "{moved}");
    let stray = read(&common::SMALL.replace("law: Continuous,", "law: Continuous, without: [floor],"));
    assert!(stray.contains("`without`") && stray.contains("rests_on"), "{stray}");
    let missing = read(&common::SMALL.replace("wheel: (rows", "whee: (rows"));
    assert!(missing.contains("unknown field `whee`"), "{missing}");
    let unknown = read(&text.replace("value: 1800.0", "worth: 1800.0"));
    assert!(unknown.contains("unknown field `worth`"), "{unknown}");
    let far = parse_ron(&text.replace("value: 1800.0", "value: 1e9")).unwrap();
    assert!(check(&far).unwrap_err()[0].to_string().contains("\"winter\".heave"));
}

#[test]
fn a_base_that_is_gone_loses_nothing() {
    let mut session = rested();
    session.modes.remove(0);
    assert!(check(&session).unwrap_err()[0].to_string().contains("rests_on"));
    // Half-finished work is saved all the same.
    let back = parse_ron(&to_ron(&session).unwrap()).unwrap();
    assert_eq!(back.modes[0].clone().standing_alone(), session.modes[0].clone().standing_alone());
    assert_eq!(back.modes[0].base_name(), Some("everyday"));
}

#[test]
fn locked_cells_stay_and_become_their_own() {
    let mut session = rested();
    let locked = Edit::SetLocked { mode: 1, map: MapName::Heave, cells: vec![(0, 1)], locked: true };
    edit(&mut session, &locked);
    edit(&mut session, &Edit::SetCells { mode: 0, map: MapName::Heave, cells: vec![(0, 0, 1.0), (0, 1, 2.0)] });
    assert_eq!(heave(&session, 1)[0], [1.0, 900.0]);
    assert!(session.modes[1].is_own_cell(MapName::Heave, 0, 1));
}

#[test]
fn sets_hold_whole_modes_that_rest_on_nothing() {
    let mut session = rested();
    let note = session.note_of_set("ab".repeat(32), "2026-11-25T18:00:00Z".into(), "".into(), "".into(), &[1]);
    assert!(note.modes.iter().chain(note.left_behind.iter()).all(|m| m.rests_on.is_none()));
    assert_eq!(note.modes[0], session.modes[1].clone().standing_alone());
    edit(&mut session, &Edit::AddHandedOver(Box::new(note)));
    edit(&mut session, &Edit::cell(0, MapName::Heave, 0, 0, 1111.0));
    assert_eq!(heave(&session, 1)[0][0], 1111.0);
    // Back to the set: as it was in the car, whatever the base has now; it still rests there.
    edit(&mut session, &Edit::StartFromSet { set: 0 });
    assert_eq!((heave(&session, 0)[0][0], heave(&session, 1)[0][0]), (1111.0, 1000.0));
    assert_eq!(session.modes[1].base_name(), Some("everyday"));
    assert!(session.modes[1].is_own_cell(MapName::Heave, 0, 0));
}

#[test]
fn edits_of_resting_modes_go_through_the_journal() {
    let steps = [
        Edit::RestOn { mode: 1, on: Some("everyday".to_owned()) },
        Edit::ToBase {
            mode: 1,
            parts: vec![
                OwnPart::Cell(MapName::Heave, 1, 0),
                OwnPart::Setting(Setting::CurrentMax),
                OwnPart::Map(MapName::Roll),
            ],
        },
        Edit::AddMode { at: 1, mode: Box::new(rested().modes[1].clone()) },
    ];
    for edit in steps {
        let text = serde_json::to_string(&edit).unwrap();
        assert_eq!(serde_json::from_str::<Edit>(&text).unwrap(), edit, "{text}");
        assert!(!edit.label(&rested()).is_empty());
    }
}

#[test]
fn the_schema_knows_both_forms_of_a_mode() {
    let schema = schema().to_string();
    assert!(schema.contains("RestingMode") && schema.contains("rests_on") && schema.contains("OwnScales"));
}
