//! Nothing is lost: locks, files that others change, full disks, folders that go away, old formats, absurd sizes.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use std::fs;
use std::path::Path;
use washboard_session::journal::Step;
use washboard_session::lock::{Locking, lock};
use washboard_session::recovery::{self, Recovery};
use washboard_session::stamp::Stamp;
use washboard_session::{Edit, History, load, parse_json, parse_ron, save, save_unless_changed, to_json, to_ron};

#[test]
fn the_second_window_learns_who_holds_the_session() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("a.ron");
    save(&file, &common::small()).unwrap();
    let first = lock(&file, "ann on laptop,\nprocess 7");
    assert!(matches!(first, Locking::Held(_)), "{first:?}");
    // Another way to the same file.
    let other_way = dir.path().join(".").join("a.ron");
    assert!(matches!(lock(&other_way, "bob"), Locking::Elsewhere(note) if note == "ann on laptop,process 7"));
    // Saving puts a new file in the place of the old one; the lock stays.
    save(&file, &common::small()).unwrap();
    assert!(matches!(lock(&file, "bob"), Locking::Elsewhere(_)));
    drop(first);
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1, "nothing stays behind");
    assert!(matches!(lock(&file, "bob"), Locking::Held(_)));
    assert!(matches!(lock(&dir.path().join("none.ron"), "bob"), Locking::Impossible(_)));
}

#[test]
fn a_file_that_another_program_changed_is_not_written_over() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("a.json");
    save(&file, &common::small()).unwrap();
    let stamp = Stamp::of(&file).unwrap();
    let (faults, stamp) = save_unless_changed(&file, &common::full(), stamp).unwrap();
    assert_eq!((faults.len(), load(&file).unwrap()), (0, common::full()));
    // Saved again from what was saved.
    let (_, stamp) = save_unless_changed(&file, &common::small(), Some(stamp)).unwrap();
    fs::write(&file, "another program's").unwrap();
    let fault = save_unless_changed(&file, &common::small(), Some(stamp)).unwrap_err().to_string();
    assert!(fault.contains("another program") && fault.contains("a.json"), "{fault}");
    assert_eq!(fs::read_to_string(&file).unwrap(), "another program's");
    // A file that is gone can be made anew.
    fs::remove_file(&file).unwrap();
    save_unless_changed(&file, &common::small(), Some(stamp)).unwrap();
    assert_eq!(load(&file).unwrap(), common::small());
    // One that was not there when the work began, but is now.
    assert!(save_unless_changed(&file, &common::full(), None).is_err());
}

#[test]
fn a_folder_that_is_gone_is_a_sentence() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("drive").join("a.ron");
    let fault = save(&file, &common::small()).unwrap_err().to_string();
    assert!(fault.contains("a.ron") && fault.contains("cannot be written"), "{fault}");
    assert!(save(dir.path(), &common::small()).is_err(), "a folder is no file");
}

/// Nobody can write into the system's own folder of processes, whoever runs the test.
#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_cannot_be_written_to_is_a_sentence_and_opens_without_a_lock() {
    let fault = save(Path::new("/proc/a.ron"), &common::small()).unwrap_err().to_string();
    assert!(fault.contains("/proc/a.ron") && fault.contains("cannot be written"), "{fault}");
    assert!(matches!(lock(Path::new("/proc/version"), "ann"), Locking::Impossible(_)));
    assert!(Recovery::open(Path::new("/proc/recovery")).is_err());
}

/// The limit on the size of a file that the system sets stands for a full disk: writing fails in the middle.
#[cfg(unix)]
#[test]
fn a_full_disk_is_a_sentence_and_the_old_file_stays() {
    const FOLDER: &str = "WASHBOARD_TEST_FULL_DISK";
    if let Some(folder) = std::env::var_os(FOLDER) {
        let file = Path::new(&folder).join("a.ron");
        let fault = save(&file, &common::full()).unwrap_err().to_string();
        assert!(fault.contains("a.ron") && fault.contains("cannot be written"), "{fault}");
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("a.ron");
    save(&file, &common::small()).unwrap();
    let before = fs::read(&file).unwrap();
    let name = "a_full_disk_is_a_sentence_and_the_old_file_stays";
    let script = format!("trap '' XFSZ; ulimit -f 1; exec \"$0\" --exact {name} --test-threads=1 >/dev/null 2>&1");
    let ran = std::process::Command::new("bash")
        .args(["-c", &script])
        .arg(std::env::current_exe().unwrap())
        .env(FOLDER, dir.path())
        .status()
        .unwrap();
    assert!(ran.success(), "the limited program did not meet the fault it should");
    assert_eq!(fs::read(&file).unwrap(), before);
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1, "half a file stays behind");
}

#[test]
fn a_journal_brings_back_every_step_with_undo_and_gestures() {
    let dir = tempfile::tempdir().unwrap();
    let mut history = History::opened(common::full());
    let mut place = Recovery::open(dir.path()).unwrap();
    let title = |text: &str| Step::Edit(Box::new(Edit::SetTitle(text.to_owned())));
    let steps = [
        title("one"),
        Step::BeginGesture("pull".into()),
        Step::Edit(Box::new(Edit::cell(0, washboard_session::MapName::Heave, 0, 0, 1234.5))),
        title("two"),
        Step::EndGesture,
        Step::Undo,
        Step::Redo,
        title("three"),
        Step::Undo,
    ];
    for step in steps {
        step.apply(&mut history);
        place.record(&[step], history.session(), None, "now").unwrap();
    }
    let copy = place.path().to_owned();
    drop(place);
    let found = recovery::find(dir.path()).unwrap();
    let (session, _) = found[0].content.as_ref().unwrap();
    assert_eq!(*session, **history.session());
    assert_eq!((session.title.as_str(), session.modes[0].heave.values_n_s_per_m[0][0]), ("two", 1234.5));
    drop(found);
    // Cut off in the middle of a line, and damaged: what stands before is kept.
    let journal = copy.with_extension("journal");
    let whole = fs::read(&journal).unwrap();
    for end in 0..whole.len() {
        fs::write(&journal, &whole[..end]).unwrap();
        let found = recovery::find(dir.path()).unwrap();
        assert!(found[0].content.is_ok(), "cut at {end}");
    }
    fs::write(&journal, whole.iter().map(|b| b ^ 1).collect::<Vec<u8>>()).unwrap();
    let found = recovery::find(dir.path()).unwrap();
    let (session, _) = found[0].content.as_ref().unwrap();
    assert_eq!(session.title, "one", "the whole copy is there without its journal");
}

#[test]
fn a_journal_of_another_copy_is_left_out() {
    let dir = tempfile::tempdir().unwrap();
    let mut place = Recovery::open(dir.path()).unwrap();
    let title = |text: &str| Step::Edit(Box::new(Edit::SetTitle(text.to_owned())));
    let mut history = History::opened(common::small());
    for text in ["one", "two"] {
        title(text).apply(&mut history);
        place.record(&[title(text)], history.session(), None, "now").unwrap();
    }
    let journal = fs::read(place.path().with_extension("journal")).unwrap();
    // A whole copy that was written while the old journal stayed: killed in between.
    place.write(&common::small(), None, "later").unwrap();
    fs::write(place.path().with_extension("journal"), journal).unwrap();
    drop(place);
    let found = recovery::find(dir.path()).unwrap();
    assert_eq!(found[0].content.as_ref().unwrap().0.title, "small");
}

#[test]
fn sessions_of_every_older_format_open() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/old-sessions");
    let mut count = 0;
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if !path.extension().is_some_and(|end| end == "ron" || end == "json") {
            continue;
        }
        let session = load(&path).unwrap_or_else(|fault| panic!("{fault}"));
        assert_eq!(session.format, washboard_session::FORMAT, "{}", path.display());
        assert_eq!(parse_ron(&to_ron(&session).unwrap()).unwrap(), session, "{}", path.display());
        assert_eq!(parse_json(&to_json(&session).unwrap()).unwrap(), session, "{}", path.display());
        count += 1;
    }
    assert!(count >= 4, "only {count} old sessions");
}

#[test]
fn a_file_of_a_gigabyte_is_refused_before_it_is_read() {
    let dir = tempfile::tempdir().unwrap();
    for name in ["huge.ron", "huge.json"] {
        let path = dir.path().join(name);
        fs::File::create(&path).unwrap().set_len(1 << 30).unwrap();
        let began = std::time::Instant::now();
        let fault = load(&path).unwrap_err().to_string();
        assert!(fault.contains("1073741824 bytes"), "{fault}");
        assert!(began.elapsed().as_millis() < 500, "it was read first");
    }
}
