//! A program that edits and saves is killed at random instants, again and again; every edit it had acknowledged is there
//! afterwards, in the session's file or in the recovery folder.

#![allow(clippy::unwrap_used)] // a test fails by panicking
#![cfg(unix)]

mod common;

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;
use washboard_session::journal::Step;
use washboard_session::recovery::{self, Recovery};
use washboard_session::{Edit, End, History, Scale, load, save};

/// Set for the program that is to be killed: the folder it works in.
const FOLDER: &str = "WASHBOARD_TEST_VICTIM";

/// Edit number `n` writes `n` into the notes and, scaled, into a number, so that each edit leaves its trace.
fn edit(n: u64) -> Edit {
    if n.is_multiple_of(2) {
        Edit::SetNotes(n.to_string())
    } else {
        Edit::SetScale { mode: 0, end: End::Front, scale: Scale::Heave, value: n as f64 / 1e6 }
    }
}

/// The last edit whose trace a session bears.
fn last(session: &washboard_session::Session) -> u64 {
    let notes = session.notes.parse().unwrap_or(0);
    let scale = (session.modes[0].front.heave * 1e6).round() as u64;
    notes.max(if scale == 1_000_000 { 0 } else { scale })
}

/// Not a test of its own: the victim, which edits without end and says each number once it is safe.
#[test]
fn victim() {
    let Some(folder) = std::env::var_os(FOLDER) else { return };
    let folder = Path::new(&folder);
    let file = folder.join("session.ron");
    let mut history = History::opened(load(&file).unwrap());
    let mut place = Recovery::open(&folder.join("recovery")).unwrap();
    place.begin_from(history.session());
    let mut out = std::io::stdout().lock();
    for n in last(history.session()) + 1.. {
        // A pull that is let go, or a step that is taken back, each kept on the way, lies between the edits.
        let title = || Step::Edit(Box::new(Edit::SetTitle(format!("{n} and no more"))));
        let aside = match n % 5 {
            0 => vec![Step::BeginGesture("pull".to_owned()), title(), Step::CancelGesture],
            1 => vec![title(), Step::Undo],
            2 => vec![
                Step::BeginGesture("pull".to_owned()),
                title(),
                Step::EndGesture,
                Step::Undo,
                Step::Redo,
                Step::Undo,
            ],
            _ => vec![],
        };
        for step in aside.into_iter().chain([Step::Edit(Box::new(edit(n)))]) {
            step.apply(&mut history);
            place.record(&[step], history.session(), Some(&file), "now").unwrap();
        }
        writeln!(out, "edit {n}").unwrap();
        if n.is_multiple_of(7) {
            save(&file, history.session()).unwrap();
            place.clear().unwrap();
            writeln!(out, "saved {n}").unwrap();
        }
    }
}

#[test]
fn every_acknowledged_edit_outlives_a_kill_at_any_instant() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("session.ron");
    save(&file, &common::small()).unwrap();
    let mut seed = 0x9e37_79b9_7f4a_7c15_u64;
    let mut most = 0;
    for round in 0..25 {
        // Xorshift, so that every run of the test kills at other, but known, times.
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "victim", "--nocapture", "--test-threads=1"])
            .env(FOLDER, dir.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(Duration::from_micros(30_000 + seed % 120_000));
        child.kill().unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap()).lines().map_while(Result::ok);
        let said = lines.filter_map(|line| line.strip_prefix("edit ")?.parse::<u64>().ok()).last().unwrap_or(0);
        child.wait().unwrap();
        let saved = load(&file).expect("the session's file is whole");
        let mut found = last(&saved);
        for leftover in recovery::find(&dir.path().join("recovery")).unwrap() {
            let (session, faults) = leftover.content.as_ref().expect("the copy is whole");
            assert!(faults.is_empty());
            found = found.max(last(session));
            // Taken over as the program does it: saved, then given up.
            if last(session) > last(&saved) {
                save(&file, session).unwrap();
            }
            leftover.discard().unwrap();
        }
        assert!(found >= said, "round {round}: {said} was acknowledged, {found} is there");
        assert!(found >= most, "round {round}: {most} was there before, {found} is now");
        most = found;
    }
    assert!(most > 50, "only {most} edits were made: the test says little");
}
