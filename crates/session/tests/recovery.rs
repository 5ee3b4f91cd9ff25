//! Copies of unsaved work: kept over a crash, offered once, never written over, never offered while their program runs.

mod common;

use std::{fs, path::Path};

use common::{full, small};
use washboard_session::{
    Recovery,
    recovery::{default_folder, find},
};

#[test]
fn work_outlives_a_crash_and_is_offered_with_its_file_and_time() {
    let folder = tempfile::tempdir().unwrap();
    let mut recovery = Recovery::open(folder.path()).unwrap();
    let mut session = full();
    recovery.write(&session, Some(Path::new("/cars/a.ron")), "2026-11-03T10:00:00Z").unwrap();
    session.title = "later".into();
    recovery.write(&session, Some(Path::new("/cars/a.ron")), "2026-11-03T10:01:00Z").unwrap();
    assert_eq!(find(folder.path()).unwrap().len(), 0, "a running program's copy is not offered");

    drop(recovery); // the program ends without clearing: the system frees its lock
    let mut found = find(folder.path()).unwrap();
    assert_eq!(found.len(), 1);
    let leftover = found.pop().unwrap();
    assert_eq!(leftover.content, Ok((session, vec![])));
    assert_eq!(leftover.original.as_deref(), Some(Path::new("/cars/a.ron")));
    assert_eq!(leftover.time, "2026-11-03T10:01:00Z");
    assert_eq!(leftover.to_string(), "unsaved work on /cars/a.ron, 2026-11-03T10:01:00Z");

    // While it is held nobody else is offered it, and a new program takes another slot.
    assert_eq!(find(folder.path()).unwrap().len(), 0);
    let second = Recovery::open(folder.path()).unwrap();
    assert_ne!(second.path(), leftover.path);
    leftover.discard().unwrap();
    assert_eq!(find(folder.path()).unwrap().len(), 0);
}

#[test]
fn a_waiting_copy_is_never_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let mut first = Recovery::open(folder.path()).unwrap();
    first.write(&small(), None, "1").unwrap();
    drop(first);
    let mut second = Recovery::open(folder.path()).unwrap();
    second.write(&full(), None, "2").unwrap();
    drop(second);
    // Looked at and put back: still there.
    let times = || find(folder.path()).unwrap().iter().map(|leftover| leftover.time.clone()).collect::<Vec<_>>();
    assert_eq!(times(), ["1", "2"]);
    assert_eq!(times(), ["1", "2"]);
}

#[test]
fn a_program_that_ends_in_order_leaves_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let mut recovery = Recovery::open(&folder.path().join("made/on/the/way")).unwrap();
    recovery.clear().unwrap(); // nothing there yet
    recovery.write(&small(), None, "1").unwrap();
    assert!(recovery.path().exists());
    recovery.clear().unwrap();
    assert!(!recovery.path().exists());
}

#[test]
fn half_finished_and_unreadable_copies_are_offered_too() {
    let folder = tempfile::tempdir().unwrap();
    let mut recovery = Recovery::open(folder.path()).unwrap();
    let mut session = small();
    session.vehicle.body_mass_kg = f64::NAN;
    recovery.write(&session, None, "1").unwrap();
    drop(recovery);
    fs::write(folder.path().join("unsaved-7.ron"), "(time: \"2\", session: (").unwrap();
    fs::write(folder.path().join("unsaved-x.ron"), "not a slot").unwrap();
    let found = find(folder.path()).unwrap();
    assert_eq!(found.len(), 2);
    let (recovered, faults) = found[0].content.as_ref().unwrap();
    assert!(recovered.vehicle.body_mass_kg.is_nan());
    assert_eq!(faults[0].field, "body_mass_kg");
    assert_eq!(found[0].to_string(), "unsaved work on small, 1");
    assert!(found[1].content.is_err());
    assert!(found[1].to_string().contains("unsaved-7.ron that cannot be read: line 1, column"), "{}", found[1]);
}

#[test]
fn no_folder_means_nothing_left() {
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(find(&folder.path().join("missing")).unwrap().len(), 0);
    // Where the system names a home, the default folder is this program's own.
    if let Some(default) = default_folder() {
        assert!(default.ends_with("recovery"));
        assert!(default.components().any(|part| part.as_os_str() == "washboard"));
    }
}

/// The lock belongs to the open file, so that slots taken in one process stand for several programs.
#[test]
fn several_programs_have_slots_of_their_own() {
    let folder = tempfile::tempdir().unwrap();
    let mut running: Vec<_> = (0..20).map(|_| Recovery::open(folder.path()).unwrap()).collect();
    for (index, recovery) in running.iter_mut().enumerate() {
        recovery.write(&small(), None, &index.to_string()).unwrap();
    }
    let paths: std::collections::HashSet<_> = running.iter().map(|recovery| recovery.path().to_owned()).collect();
    assert_eq!(paths.len(), 20);
    drop(running);
    assert_eq!(find(folder.path()).unwrap().len(), 20);
}
