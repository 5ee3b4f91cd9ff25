//! Differences between modes and sets: every cell that differs, no other, and settings in words.

mod common;

use common::full;
use proptest::prelude::*;
use washboard_session::{
    CellDifference, Edit, End, Law, MapName, ModeDifference, Scale, SetDifference, apply, difference::sentence,
    map_differences, setting_differences,
};

#[test]
fn equal_modes_do_not_differ() {
    let session = full();
    let difference = SetDifference::between(&session.modes, &session.modes);
    assert!(difference.is_empty());
    assert_eq!(difference.to_string(), "no difference");
    // A name and a purpose are not seen by the car.
    let mut renamed = session.modes[0].clone();
    (renamed.name, renamed.purpose) = ("other".into(), "other".into());
    assert!(ModeDifference::between(&session.modes[0], &renamed).is_empty());
}

#[test]
fn cells_are_told_with_their_breakpoints() {
    let before = full().modes[0].clone();
    let mut after = before.clone();
    after.heave.values_n_s_per_m[1][1] = 1100.0;
    let expected = CellDifference {
        map: MapName::Heave,
        row: 1,
        column: 1,
        row_value: 60.0,
        column_value: 5.0,
        before: Some(1000.0),
        after: Some(1100.0),
    };
    assert_eq!(map_differences(&before, &after), [expected]);
    assert_eq!(expected.to_string(), "heave gain at 60 km/h, 5 m/s^2: 1000 N s/m → 1100 N s/m");
}

#[test]
fn a_row_put_in_between_leaves_the_others_as_they_were() {
    let before = full().modes[0].clone();
    let mut after = before.clone();
    after.heave.rows.insert(1, 30.0);
    after.heave.values_n_s_per_m.insert(1, vec![1100.0, 950.0]);
    let there = map_differences(&before, &after);
    assert_eq!(
        there.iter().map(|cell| (cell.row, cell.before, cell.after)).collect::<Vec<_>>(),
        [(1, None, Some(1100.0)), (1, None, Some(950.0)),]
    );
    let back = map_differences(&after, &before);
    assert_eq!(
        back.iter().map(|cell| (cell.row, cell.before, cell.after)).collect::<Vec<_>>(),
        [(1, Some(1100.0), None), (1, Some(950.0), None),]
    );
    assert_eq!(back[0].to_string(), "heave gain at 30 km/h, 0 m/s^2: 1100 N s/m → no cell");
}

#[test]
fn settings_differ_in_words() {
    let session = full();
    let (before, mut after) = (&session.modes[0], session.modes[0].clone());
    after.law = Law::OnOff;
    after.front.heave = 1.2;
    after.current_max_a = 1.4;
    after.slew_a_per_s = None;
    after.end_stop = None;
    let words: Vec<_> = setting_differences(before, &after).iter().map(ToString::to_string).collect();
    assert_eq!(
        words,
        [
            "law: continuous → on/off",
            "heave scale at the front axle: 1.1 → 1.2",
            "most current: 1.5 A → 1.4 A",
            "fastest change of current: 200 A/s → unlimited",
            "firm up near the stops: 0.02 m before a stop at 0.4 m/s → none",
        ]
    );
    assert_eq!(sentence("everyday", &ModeDifference::between(before, &after)), "\"everyday\": 5 settings differ");
}

#[test]
fn sets_are_told_apart_by_name() {
    let before = full();
    let mut after = full();
    for edit in [
        Edit::cell(1, MapName::Roll, 0, 0, 1.0),
        Edit::SetScale { mode: 1, end: End::Front, scale: Scale::Roll, value: 2.0 },
        Edit::DuplicateMode { mode: 1, name: "wet".into() },
        Edit::RenameMode { mode: 0, name: "comfort".into() },
    ] {
        apply(&mut after, &edit).unwrap();
    }
    let difference = SetDifference::between(&before.modes, &after.modes);
    assert_eq!(difference.added, ["comfort", "wet"]);
    assert_eq!(difference.removed, ["everyday"]);
    assert_eq!((difference.cells(), difference.settings()), (1, 1));
    assert_eq!(difference.to_string(), "1 cell, 1 setting, 2 modes added, 1 mode removed");
    assert_eq!(sentence("firm", &difference.changed[0].1), "\"firm\": 1 cell and 1 setting differ");
}

proptest! {
    /// As many differences as cells that were given another value, each with what was and what is.
    #[test]
    fn as_many_as_were_changed(cells in proptest::collection::btree_map((0usize..3, 0usize..2), 1.0..1e4f64, 0..6)) {
        let mut after = full();
        let list = cells.iter().map(|(&(row, column), &value)| (row, column, value)).collect();
        apply(&mut after, &Edit::SetCells { mode: 0, map: MapName::Heave, cells: list }).unwrap();
        let found = map_differences(&full().modes[0], &after.modes[0]);
        let before = full().modes[0].heave.values_n_s_per_m.clone();
        let changed: Vec<_> = cells.iter().filter(|((row, column), value)| before[*row][*column] != **value).collect();
        prop_assert_eq!(found.len(), changed.len());
        for (difference, ((row, column), value)) in found.iter().zip(changed) {
            prop_assert_eq!((difference.row, difference.column), (*row, *column));
            prop_assert_eq!((difference.before, difference.after), (Some(before[*row][*column]), Some(*value)));
        }
    }
}
