//! Locked cells stay as they are whatever edit comes, and move with their breakpoints.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use common::full;
use washboard_session::shape::MapAxis;
use washboard_session::{Edit, MapName, Session, apply, check};

/// The full session with two cells of the heave map of the first mode locked: 60 km/h, 0 and 120 km/h, 5 m/s².
fn locked() -> Session {
    let mut session = full();
    let edit = Edit::SetLocked { mode: 0, map: MapName::Heave, cells: vec![(2, 1), (1, 0)], locked: true };
    apply(&mut session, &edit).unwrap();
    assert_eq!(session.modes[0].locked.heave, [(1, 0), (2, 1)]);
    assert_eq!(check(&session), Ok(()));
    session
}

fn refused(session: &Session, edit: &Edit) -> String {
    let mut copy = session.clone();
    let fault = apply(&mut copy, edit).expect_err("the edit must be refused");
    assert_eq!(copy, *session);
    fault.to_string()
}

#[test]
fn a_locked_cell_is_changed_by_no_edit_until_it_is_unlocked() {
    let session = locked();
    let sentence =
        "modes[0] \"everyday\".heave: the cell at 60 km/h, 0 m/s^2 is to change, but it is locked; unlock it first.";
    assert_eq!(refused(&session, &Edit::cell(0, MapName::Heave, 1, 0, 1.0)), sentence);
    let mut table = session.modes[0].map(MapName::Heave).unwrap().to_table();
    table.values[1][0] += 1.0;
    assert_eq!(refused(&session, &Edit::SetMap { mode: 0, map: MapName::Heave, table }), sentence);
    let mut with = session.modes[0].clone();
    with.locked = Default::default();
    with.heave.values_n_s_per_m[1][0] = 7.0;
    with.name = "another".into();
    assert_eq!(refused(&session, &Edit::ReplaceMode { mode: 0, with: Box::new(with) }), sentence);
    // Others go on, and so does the same one once it is unlocked.
    let mut free = session.clone();
    apply(&mut free, &Edit::cell(0, MapName::Heave, 1, 1, 1.0)).unwrap();
    apply(&mut free, &Edit::cell(1, MapName::Heave, 1, 0, 1.0)).unwrap();
    apply(&mut free, &Edit::cell(0, MapName::Heave, 1, 0, 1200.0)).unwrap();
    apply(&mut free, &Edit::SetLocked { mode: 0, map: MapName::Heave, cells: vec![(1, 0)], locked: false }).unwrap();
    apply(&mut free, &Edit::cell(0, MapName::Heave, 1, 0, 1.0)).unwrap();
    apply(&mut free, &Edit::DuplicateMode { mode: 0, name: "copy".into() }).unwrap();
    assert!(free.modes[1].is_locked(MapName::Heave, 2, 1));
    apply(&mut free, &Edit::MoveMode { from: 2, to: 0 }).unwrap();
}

#[test]
fn locks_move_with_their_breakpoints() {
    let mut session = locked();
    let insert = |axis, at| Edit::InsertBreakpoint { mode: 0, map: MapName::Heave, axis, at };
    apply(&mut session, &insert(MapAxis::Speed, 30.0)).unwrap();
    apply(&mut session, &insert(MapAxis::Second, 2.5)).unwrap();
    let heave = &session.modes[0].heave;
    assert_eq!((&heave.rows[..], &heave.columns[..]), (&[0.0, 30.0, 60.0, 120.0][..], &[0.0, 2.5, 5.0][..]));
    assert_eq!(heave.values_n_s_per_m[1], [1100.0, 1025.0, 950.0]);
    assert_eq!(session.modes[0].locked.heave, [(2, 0), (3, 2)]);
    let remove = |axis, index| Edit::RemoveBreakpoint { mode: 0, map: MapName::Heave, axis, index };
    assert!(refused(&session, &remove(MapAxis::Speed, 2)).contains("it is locked"));
    apply(&mut session, &remove(MapAxis::Speed, 1)).unwrap();
    apply(&mut session, &remove(MapAxis::Second, 1)).unwrap();
    assert_eq!(session, locked());
    assert!(refused(&session, &insert(MapAxis::Speed, 60.0)).contains("the axis has it already"));
    let last = Edit::RemoveBreakpoint { mode: 0, map: MapName::Base, axis: MapAxis::Speed, index: 0 };
    assert!(refused(&session, &last).contains("keeps one breakpoint"));
}

#[test]
fn a_document_names_locked_cells_that_are_there() {
    let mut session = locked();
    session.modes[0].locked.heave.push((3, 0));
    session.modes[1].locked.floor.push((0, 0));
    session.modes[1].locked.roll.extend([(0, 0), (0, 0)]);
    let faults: Vec<String> = check(&session).unwrap_err().iter().map(ToString::to_string).collect();
    assert_eq!(
        faults,
        [
            "modes[0] \"everyday\".locked: heave[2] is row 3, column 0, but the heave map has 3 rows and 2 columns, counted from 0.",
            "modes[1] \"firm\".locked: roll[1] is row 0, column 0, but it stands here a second time.",
            "modes[1] \"firm\".locked: floor[0] is row 0, column 0, but the floor map has 0 rows and 0 columns, counted from 0.",
        ]
    );
}
