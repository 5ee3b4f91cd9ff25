//! Copies of unsaved work: kept over a crash, offered once, never written over, never offered while their program runs.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use std::{fs, path::Path};

#[path = "common/mutate.rs"]
mod mutate;

use common::{full, small};
use washboard_session::{
    Edit, History, Recovery, Session,
    journal::Step,
    recovery::{default_folder, find},
};

/// What a crash at this moment would leave behind: the folder is copied, for the slot itself is held.
fn left_behind(folder: &Path) -> Option<Session> {
    let copy = tempfile::tempdir().unwrap();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        fs::copy(&path, copy.path().join(path.file_name().unwrap())).unwrap();
    }
    let mut found = find(copy.path()).unwrap();
    found.pop().map(|leftover| leftover.content.unwrap().0)
}

fn titled(title: &str) -> Step {
    Step::Edit(Box::new(Edit::SetTitle(title.to_owned())))
}

#[test]
fn a_pull_that_was_kept_half_way_is_taken_back_whole() {
    let folder = tempfile::tempdir().unwrap();
    let mut recovery = Recovery::open(folder.path()).unwrap();
    let mut history = History::opened(small());
    recovery.begin_from(history.session());
    let rounds = [
        vec![Step::BeginGesture("pull".into()), titled("half way")],
        vec![titled("all the way"), Step::EndGesture],
        vec![Step::Undo],
    ];
    for steps in rounds {
        for step in &steps {
            step.apply(&mut history);
        }
        recovery.record(&steps, history.session(), None, "1").unwrap();
        assert_eq!(left_behind(folder.path()).as_ref(), Some(&**history.session()));
    }
    assert_eq!(**history.session(), small());
    // No whole copy of the work was needed for that.
    assert!(!fs::read_to_string(recovery.path()).unwrap().contains("way"));
}

/// Whatever is done, in whatever portions it is kept, saved in between or not: what a crash leaves is the work.
#[test]
fn any_row_of_steps_reads_back_as_the_work_it_led_to() {
    for seed in 1..25 {
        let mut dice = mutate::Dice::new(seed);
        let folder = tempfile::tempdir().unwrap();
        let mut recovery = Recovery::open(folder.path()).unwrap();
        let mut history = History::opened(small());
        if dice.below(2) == 0 {
            recovery.begin_from(history.session());
        }
        for round in 0..40 {
            let mut steps = Vec::new();
            for part in 0..=dice.below(4) {
                let step = match dice.below(9) {
                    0 => Step::Undo,
                    1 => Step::Redo,
                    2 => Step::BeginGesture("pull".into()),
                    3 => Step::EndGesture,
                    4 => Step::CancelGesture,
                    // One that is refused, and does nothing.
                    5 => Step::Edit(Box::new(Edit::SetNumber { path: "vehicle.body_mass_kg".into(), value: -1.0 })),
                    _ => titled(&format!("{round}.{part}")),
                };
                step.apply(&mut history);
                steps.push(step);
            }
            recovery.record(&steps, history.session(), None, "1").unwrap();
            assert_eq!(left_behind(folder.path()).as_ref(), Some(&**history.session()), "seed {seed}, round {round}");
            if dice.below(6) == 0 {
                recovery.clear().unwrap();
                assert_eq!(left_behind(folder.path()), None);
            }
        }
    }
}

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
