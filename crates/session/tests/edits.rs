//! Edits change what they say and nothing else, refuse what would not pass the check, and undo gives the same bits back.

mod common;

use std::sync::Arc;

use common::full;
use proptest::prelude::*;
use washboard_session::{
    Edit, End, History, Law, MapName, Mixed, Run, Scale, Session, Table, apply, check, map_differences, number, numbers,
};

fn edited(edit: &Edit) -> Session {
    let mut session = full();
    apply(&mut session, edit).unwrap_or_else(|fault| panic!("{edit:?}: {fault}"));
    assert_eq!(check(&session), Ok(()));
    session
}

fn refused(edit: &Edit) -> String {
    let mut session = full();
    let fault = apply(&mut session, edit).expect_err("the edit must be refused");
    assert_eq!(session, full(), "a refused edit changes nothing");
    fault.to_string()
}

#[test]
fn cells_are_set_in_every_map() {
    for (map, value) in MapName::ALL.into_iter().zip([-50.0, 60.0, 70.0, 80.0, 90.0, 0.4]) {
        let session = edited(&Edit::cell(0, map, 0, 0, value));
        assert_eq!(session.modes[0].map(map).unwrap().cell(0, 0), Some(value));
        let differences = map_differences(&full().modes[0], &session.modes[0]);
        assert_eq!(differences.len(), 1, "{map:?}");
        assert_eq!((differences[0].map, differences[0].row, differences[0].column), (map, 0, 0));
    }
    let cells = vec![(0, 0, 1.0), (2, 1, 2.0)];
    let session = edited(&Edit::SetCells { mode: 0, map: MapName::Heave, cells });
    assert_eq!(session.modes[0].heave.values_n_s_per_m, [[1.0, 900.0], [1200.0, 1000.0], [1500.0, 2.0]]);
}

#[test]
fn cells_out_of_bounds_are_refused_with_the_sentence() {
    assert_eq!(
        refused(&Edit::cell(0, MapName::Heave, 1, 1, 1e6)),
        "modes[0] \"everyday\".heave: values_n_s_per_m[1][1] is 1000000 N s/m, but it must be -100000 to 100000 N s/m."
    );
    assert!(refused(&Edit::cell(0, MapName::Heave, 1, 1, f64::NAN)).contains("is NaN N s/m"));
    assert!(refused(&Edit::cell(0, MapName::Heave, 3, 0, 1.0)).contains("the table has 3 rows and 2 columns"));
    assert!(refused(&Edit::cell(0, MapName::Heave, 0, 2, 1.0)).contains("at row 0, column 2"));
    assert!(refused(&Edit::cell(9, MapName::Heave, 0, 0, 1.0)).contains("modes is asked for entry 9"));
    assert!(refused(&Edit::cell(1, MapName::Floor, 0, 0, 1.0)).contains("this mode has no such map"));
    // One bad cell among good ones: none is written.
    refused(&Edit::SetCells { mode: 0, map: MapName::Base, cells: vec![(0, 0, 5.0), (0, 0, -5.0)] });
}

#[test]
fn whole_maps_get_new_axes() {
    let table = Table { rows: vec![0.0, 50.0], columns: vec![1.0], values: vec![vec![0.1], vec![0.2]] };
    let session = edited(&Edit::SetMap { mode: 1, map: MapName::Floor, table: table.clone() });
    assert_eq!(session.modes[1].map(MapName::Floor).unwrap().to_table(), table);
    let falling = Table { rows: vec![50.0, 0.0], ..table };
    assert!(refused(&Edit::SetMap { mode: 1, map: MapName::Roll, table: falling }).contains("rows must rise strictly"));
    assert_eq!(edited(&Edit::SetFloor { mode: 0, floor: None }).modes[0].floor, None);
}

#[test]
fn settings_of_a_mode() {
    let scale = Edit::SetScale { mode: 1, end: End::Rear, scale: Scale::Rebound, value: 1.5 };
    assert_eq!(edited(&scale).modes[1].rear.rebound, 1.5);
    let scale = Edit::SetScale { mode: 1, end: End::Rear, scale: Scale::Rebound, value: -1.5 };
    assert!(refused(&scale).contains("rebound is -1.5, but it must be 0 to 100"));
    let limits = |least_a, most_a| Edit::SetCurrentLimits { mode: 1, least_a, most_a };
    assert_eq!(edited(&limits(0.5, 0.5)).modes[1].current_max_a, 0.5);
    assert!(refused(&limits(0.6, 0.5)).contains("must not be above current_max_a (0.5 A)"));
    assert!(refused(&limits(0.0, 1.61)).contains("inside the currents of damper \"front damper\""));
    assert_eq!(edited(&Edit::SetSlew { mode: 0, slew_a_per_s: None }).modes[0].slew_a_per_s, None);
    refused(&Edit::SetSlew { mode: 0, slew_a_per_s: Some(0.0) });
    let law = Law::Mixed(Mixed { crossover_hz: 2.5 });
    assert_eq!(edited(&Edit::SetLaw { mode: 0, law: law.clone() }).modes[0].law, law);
    assert_eq!(edited(&Edit::SetPurpose { mode: 0, purpose: "rain".into() }).modes[0].purpose, "rain");
}

#[test]
fn every_number_of_the_data_sheet_can_be_set_by_its_path() {
    for found in numbers(&full()) {
        let Some(value) = found.value else { continue };
        // The smallest step either way that is no rounding; one of the two stays inside whatever binds it to others.
        let step = if found.limit.whole { 1.0 } else { (value.abs() * 1e-6).max(1e-6) };
        let taken = [value + step, value - step].into_iter().find(|&value| {
            let mut session = full();
            let edit = Edit::SetNumber { path: found.path.clone(), value };
            apply(&mut session, &edit).is_ok() && number(&session, &found.path).unwrap().value == Some(value)
        });
        assert!(taken.is_some(), "{}", found.path);
        let beyond = Edit::SetNumber { path: found.path.clone(), value: found.limit.upper * 2.0 + 1.0 };
        assert!(refused(&beyond).contains(&found.limit.bound()), "{}", found.path);
    }
    let set = |path: &str, value| Edit::SetNumber { path: path.into(), value };
    assert_eq!(edited(&set("vehicle.front.spring_rate_n_per_m", 3e4)).vehicle.front.spring_rate_n_per_m, 3e4);
    assert_eq!(edited(&set("vehicle.load_cases[1].items[0].x_m", -0.4)).vehicle.load_cases[1].items[0].x_m, -0.4);
    assert_eq!(edited(&set("modes[1].slew_a_per_s", 90.0)).modes[1].slew_a_per_s, Some(90.0));
    assert_eq!(edited(&set("controller.inverse_table.forces", 9.0)).controller.inverse_table.forces, 9);
    assert!(refused(&set("controller.inverse_table.forces", 9.5)).contains("a whole number"));
    assert_eq!(edited(&Edit::event_weight(2, 4.0)).events[2].weight, 4.0);
    assert_eq!(edited(&Edit::event_speed(2, 44.0)).events[2].speed_km_h, 44.0);
    assert_eq!(edited(&Edit::event_duration(2, 44.0)).events[2].duration_s, 44.0);
    for path in ["", ".", "vehicle", "vehicle.name", "vehicle.rear.bump_stop.gap_m", "modes[7].front.heave", "x.y"] {
        assert!(refused(&set(path, 1.0)).contains("there is no number of this path"), "{path}");
    }
}

#[test]
fn names_that_refer_follow_a_rename() {
    let session = edited(&Edit::RenameMode { mode: 0, name: "comfort".into() });
    assert_eq!(session.reference_mode.as_deref(), Some("comfort"));
    assert_eq!(session.fences[0].relative_to.as_deref(), Some("comfort"));
    let session = edited(&Edit::RenameMode { mode: 1, name: "track".into() });
    assert_eq!(session.fences[0].modes, ["track"]);
    assert_eq!(session.logbook[0].mode, "firm", "what was driven keeps the name it had");
    assert!(refused(&Edit::RenameMode { mode: 1, name: "everyday".into() }).contains("has that name already"));
    assert!(refused(&Edit::RenameMode { mode: 1, name: "".into() }).contains("must not be empty"));
    let mut event = full().events[0].clone();
    event.name = "rough road".into();
    let session = edited(&Edit::ReplaceEvent { event: 0, with: Box::new(event) });
    assert_eq!(session.fences[0].event.as_deref(), Some("rough road"));
    let mut damper = full().dampers[0].clone();
    damper.name = "front damper, new".into();
    let session = edited(&Edit::ReplaceDamper { damper: 0, with: Box::new(damper) });
    assert_eq!(session.vehicle.front.damper, "front damper, new");
}

#[test]
fn modes_are_added_copied_moved_and_deleted() {
    let session = edited(&Edit::DuplicateMode { mode: 0, name: "everyday".into() });
    let names = |session: &Session| session.modes.iter().map(|mode| mode.name.clone()).collect::<Vec<_>>();
    assert_eq!(names(&session), ["everyday", "everyday 2", "firm"]);
    assert!(map_differences(&session.modes[0], &session.modes[1]).is_empty());
    assert_eq!(names(&edited(&Edit::MoveMode { from: 0, to: 1 })), ["firm", "everyday"]);
    let mut mode = full().modes[0].clone();
    mode.name = "wet".into();
    assert_eq!(names(&edited(&Edit::AddMode { at: 2, mode: Box::new(mode.clone()) })), ["everyday", "firm", "wet"]);
    assert!(refused(&Edit::AddMode { at: 3, mode: Box::new(mode.clone()) }).contains("entry 3"));
    assert_eq!(names(&edited(&Edit::ReplaceMode { mode: 1, with: Box::new(mode) })), ["everyday", "wet"]);
    assert!(refused(&Edit::DeleteMode { mode: 1 }).contains("fences[0]"), "a fence names it");
    let mut session = edited(&Edit::SetFences(vec![]));
    apply(&mut session, &Edit::DeleteMode { mode: 0 }).unwrap();
    assert_eq!((names(&session), session.reference_mode.clone()), (vec!["firm".to_owned()], None));
    assert!(apply(&mut session, &Edit::DeleteMode { mode: 0 }).is_err(), "the last mode stays");
    assert!(refused(&Edit::SetReferenceMode(Some("none".into()))).contains("there is no mode of that name"));
    assert_eq!(edited(&Edit::SetReferenceMode(None)).reference_mode, None);
}

#[test]
fn car_dampers_events_and_lists() {
    let mut vehicle = full().vehicle;
    vehicle.wheelbase_m = 2.8;
    assert_eq!(edited(&Edit::SetVehicle(Box::new(vehicle.clone()))).vehicle, vehicle);
    vehicle.cg_to_front_axle_m = 3.0;
    assert!(refused(&Edit::SetVehicle(Box::new(vehicle))).contains("cg_to_front_axle_m is 3 m"));
    assert!(edited(&Edit::SetLoadCases(vec![])).vehicle.load_cases.is_empty());
    let cells = vec![(4, 2, 4000.0)];
    assert_eq!(edited(&Edit::SetDamperCells { damper: 0, cells }).dampers[0].force_n[4][2], 4000.0);
    let cells = vec![(4, 2, 100.0)];
    assert!(refused(&Edit::SetDamperCells { damper: 0, cells }).contains("must not fall as velocity rises"));
    assert!(refused(&Edit::DeleteDamper { damper: 0 }).contains("there is no damper of that name"));
    let mut spare = full().dampers[0].clone();
    spare.name = "spare".into();
    let mut session = edited(&Edit::AddDamper(Box::new(spare)));
    apply(&mut session, &Edit::DeleteDamper { damper: 2 }).unwrap();
    assert_eq!(session, full());
    assert!(refused(&Edit::DeleteEvent { event: 0 }).contains("there is no event of that name"));
    assert_eq!(edited(&Edit::DeleteEvent { event: 1 }).events.len(), 19);
    let names = |session: &Session| session.events.iter().map(|e| e.name.clone()).collect::<Vec<_>>();
    let moved = names(&edited(&Edit::MoveEvent { from: 0, to: 2 }));
    assert_eq!(&moved[..4], ["bump", "hole", "road", "sweep"]);
    assert!(refused(&Edit::MoveEvent { from: 0, to: 20 }).contains("it has 20"));
    let mut event = full().events[1].clone();
    event.name = "second bump".into();
    assert_eq!(edited(&Edit::AddEvent { at: 0, event: Box::new(event) }).events[0].name, "second bump");
    let mut controller = full().controller;
    controller.sample_rate_hz = 25.0;
    assert!(refused(&Edit::SetController(Box::new(controller))).contains("sample_rate_hz is 25 Hz"));
    let conditions = |damper_temperature_c| washboard_session::Conditions { damper_temperature_c, supply_lost: false };
    assert_eq!(edited(&Edit::SetConditions(conditions(Some(80.0)))).conditions, conditions(Some(80.0)));
    assert!(refused(&Edit::SetConditions(conditions(Some(800.0)))).contains("damper_temperature_c is 800 °C"));
    assert_eq!(edited(&Edit::SetTitle("t".into())).title, "t");
    assert_eq!(edited(&Edit::SetNotes("n".into())).notes, "n");
    let session = edited(&Edit::AddHandedOver(Box::new(full().handed_over[0].clone())));
    assert_eq!((session.handed_over.len(), session.in_car), (2, None));
    let other = washboard_session::InCar { identity: "ffff".into(), since: "2026-11-04T08:00:00Z".into() };
    assert!(refused(&Edit::SetInCar(Some(other))).contains("among handed_over"));
    assert_eq!(edited(&Edit::SetInCar(None)).in_car, None);
    let run = Run { remark: "calm".into(), ..Run::default() };
    assert_eq!(edited(&Edit::AddRun(Box::new(run.clone()))).logbook[1], run);
    assert_eq!(edited(&Edit::ReplaceRun { run: 0, with: Box::new(run) }).logbook[0].remark, "calm");
    assert!(edited(&Edit::DeleteRun { run: 0 }).logbook.is_empty());
    let renamed = edited(&Edit::RenameVerdictAttribute { attribute: 0, name: "heave".into() });
    assert_eq!(renamed.verdict_attributes, ["heave", "impacts"]);
    assert_eq!(renamed.logbook[0].verdicts[0].attribute, "heave");
    let fewer = edited(&Edit::SetVerdictAttributes(vec!["impacts".into()]));
    assert_eq!(fewer.logbook[0].verdicts[0].attribute, "float", "what was judged stays judged");
    assert!(refused(&Edit::RenameVerdictAttribute { attribute: 0, name: "impacts".into() }).contains("already"));
    assert!(refused(&Edit::RenameVerdictAttribute { attribute: 9, name: "a".into() }).contains("entry 9"));
    let run = Run { log_file: "a.csv".into(), air_temperature_c: Some(-99.0), ..Run::default() };
    assert!(refused(&Edit::AddRun(Box::new(run))).contains("air_temperature_c is -99 °C"));
    let run = Run { set_identity: "xyz".into(), ..Run::default() };
    assert!(refused(&Edit::AddRun(Box::new(run))).contains("hexadecimal"));
}

#[test]
fn work_opened_with_faults_can_be_mended_step_by_step() {
    let mut session = full();
    session.vehicle.wheelbase_m = -1.0;
    session.modes[1].current_max_a = 9.0;
    apply(&mut session, &Edit::cell(0, MapName::Heave, 0, 0, 1.0)).unwrap();
    assert!(apply(&mut session, &Edit::cell(0, MapName::Heave, 0, 0, 1e9)).is_err());
    apply(&mut session, &Edit::SetNumber { path: "vehicle.wheelbase_m".into(), value: 2.7 }).unwrap();
    apply(&mut session, &Edit::SetNumber { path: "modes[1].current_max_a".into(), value: 1.5 }).unwrap();
    assert_eq!(check(&session), Ok(()));
}

#[test]
fn a_drag_is_one_step() {
    let mut history = History::opened(full());
    history.begin_gesture("pull a handle");
    for step in 1..=50 {
        history.edit(&Edit::cell(0, MapName::Heave, 0, 0, 1000.0 + f64::from(step))).unwrap();
    }
    assert!(history.edit(&Edit::cell(0, MapName::Heave, 0, 0, 1e9)).is_err());
    assert!(history.in_gesture());
    assert_eq!(**history.before_gesture().unwrap(), full());
    history.end_gesture();
    assert_eq!((history.revision(), history.undo_label()), (50, Some("pull a handle")));
    assert!(!history.is_saved());
    assert!(history.undo());
    assert_eq!(**history.session(), full());
    assert!(history.is_saved(), "back at what is in the file");
    assert_eq!((history.undo(), history.undo_label(), history.redo_label()), (false, None, Some("pull a handle")));
    assert!(history.redo());
    assert_eq!(history.session().modes[0].heave.values_n_s_per_m[0][0], 1050.0);
    assert_eq!(history.revision(), 52);
    assert!(!history.redo());
}

#[test]
fn gestures_that_change_nothing_or_are_cancelled_leave_no_step() {
    let mut history = History::opened(full());
    history.begin_gesture("nothing");
    history.end_gesture();
    history.begin_gesture("there and back");
    history.edit(&Edit::cell(0, MapName::Heave, 0, 0, 1.0)).unwrap();
    history.edit(&Edit::cell(0, MapName::Heave, 0, 0, 1000.0)).unwrap();
    history.end_gesture();
    assert_eq!(history.undo_label(), None);
    history.begin_gesture("given up");
    history.edit(&Edit::cell(0, MapName::Heave, 0, 0, 2.0)).unwrap();
    history.cancel_gesture();
    assert_eq!((history.undo_label(), history.in_gesture()), (None, false));
    assert_eq!(**history.session(), full());
    let revision = history.revision();
    history.edit(&Edit::SetTitle("full".into())).unwrap();
    assert_eq!((history.revision(), history.undo_label()), (revision, None), "the same title is no change");
}

#[test]
fn saving_and_labels() {
    let mut history = History::unsaved(full());
    assert!(!history.is_saved());
    history.mark_saved();
    history.edit(&Edit::cell(0, MapName::Roll, 0, 0, 1.0)).unwrap();
    assert_eq!(history.undo_label(), Some("change a cell of roll gain in everyday"));
    let snapshot = Arc::clone(history.session());
    history.edit(&Edit::event_weight(0, 2.0)).unwrap();
    assert_eq!(history.undo_label(), Some("change weight in the overall figures"));
    history.mark_saved_snapshot(&snapshot);
    assert!(!history.is_saved(), "edited while the file was written");
    history.undo();
    assert!(history.is_saved());
    history.edit(&Edit::SetTitle("x".into())).unwrap();
    assert_eq!(history.redo_label(), None, "a new edit ends what could be redone");
}

#[test]
fn old_steps_are_forgotten_at_the_end_of_a_long_day() {
    let mut history = History::opened(full());
    let steps = washboard_session::history::MOST_STEPS + 5;
    for step in 0..steps {
        history.edit(&Edit::SetTitle(step.to_string())).unwrap();
    }
    assert_eq!((0..).take_while(|_| history.undo()).count(), washboard_session::history::MOST_STEPS);
    assert_eq!(history.session().title, "4");
}

/// What a hand can do in the window, sensible or not.
#[derive(Clone, Debug)]
enum Deed {
    Edit(Edit),
    Begin,
    End,
    Undo,
    Redo,
}

fn deed() -> impl Strategy<Value = Deed> {
    let map = proptest::sample::select(MapName::ALL.to_vec());
    let cell = (0usize..3, map, 0usize..3, 0usize..3, -1e3..1.2e5f64)
        .prop_map(|(mode, map, row, column, value)| Edit::cell(mode, map, row, column, value));
    let paths: Vec<String> = numbers(&full()).into_iter().map(|number| number.path).collect();
    let set = (proptest::sample::select(paths), prop_oneof![-0.5..2.0, Just(-0.0), -1e5..1e5])
        .prop_map(|(path, value)| Edit::SetNumber { path, value });
    let names = proptest::sample::select(vec!["firm", "everyday", "new", ""]);
    let named = (0usize..4, names, 0u8..4).prop_map(|(mode, name, which)| match which {
        0 => Edit::RenameMode { mode, name: name.into() },
        1 => Edit::DuplicateMode { mode, name: name.into() },
        2 => Edit::SetReferenceMode((!name.is_empty()).then(|| name.into())),
        _ => Edit::SetTitle(name.into()),
    });
    let moved = (0usize..4, 0usize..4, 0u8..5).prop_map(|(from, to, which)| match which {
        0 => Edit::MoveMode { from, to },
        1 => Edit::DeleteMode { mode: from },
        2 => Edit::DeleteEvent { event: to },
        3 => Edit::MoveEvent { from, to },
        _ => Edit::SetFences(vec![]),
    });
    prop_oneof![
        6 => prop_oneof![cell, set, named, moved].prop_map(Deed::Edit),
        1 => Just(Deed::Begin),
        1 => Just(Deed::End),
        2 => Just(Deed::Undo),
        1 => Just(Deed::Redo),
    ]
}

proptest! {
    #[test]
    fn undoing_everything_gives_the_same_bits(deeds in proptest::collection::vec(deed(), 0..60)) {
        let mut history = History::opened(full());
        let first = format!("{:?}", history.session());
        for deed in deeds {
            let (before, revision) = (Arc::clone(history.session()), history.revision());
            match deed {
                Deed::Edit(edit) => {
                    if history.edit(&edit).is_err() {
                        prop_assert!(Arc::ptr_eq(&before, history.session()));
                    }
                }
                Deed::Begin => history.begin_gesture("gesture"),
                Deed::End => history.end_gesture(),
                Deed::Undo => {
                    if history.undo() {
                        let undone = Arc::clone(history.session());
                        prop_assert!(history.redo());
                        prop_assert_eq!(format!("{:?}", history.session()), format!("{:?}", before));
                        prop_assert!(history.undo());
                        prop_assert!(Arc::ptr_eq(&undone, history.session()));
                    }
                }
                Deed::Redo => { history.redo(); }
            }
            prop_assert_eq!(check(history.session()), Ok(()), "a session that held still holds");
            prop_assert_eq!(history.revision() == revision, Arc::ptr_eq(&before, history.session()));
        }
        let last = format!("{:?}", history.session());
        let steps = (0..).take_while(|_| history.undo()).count();
        prop_assert_eq!(format!("{:?}", history.session()), first);
        prop_assert!(history.is_saved());
        for _ in 0..steps {
            prop_assert!(history.redo());
        }
        prop_assert_eq!(format!("{:?}", history.session()), last);
    }
}
