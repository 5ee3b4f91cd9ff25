//! The session under work: its history, its file, and a revision that never repeats while the window is open.

use anyhow::Result;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use washboard_session::journal::Step;
use washboard_session::lock::{self, Locking, SessionLock};
use washboard_session::stamp::Stamp;
use washboard_session::{Edit, HandedOver, History, Session};

/// The session shown when none is named, opened as a copy without a file.
pub(super) const DEMO: &str = include_str!("../../../../demo-sessions/estate.ron");

/// A session being worked on.
pub struct Work {
    history: History,
    path: Option<PathBuf>,
    /// Where the profiles of a copy without a file lie.
    home: Option<PathBuf>,
    /// Revisions begin here, behind all those of the session shown before.
    first_revision: u64,
    opening: u64,
    /// Steps made since they were asked for last.
    steps: Vec<Step>,
    /// Held while the file is ours.
    lock: Option<SessionLock>,
    /// Who else has the file open; then it is not written to.
    held_by: Option<String>,
    /// What the file held when it was read or saved last.
    stamp: Option<Stamp>,
}

impl Work {
    fn around(history: History, path: Option<PathBuf>) -> Self {
        let (home, steps, lock, held_by, stamp) = (None, Vec::new(), None, None, None);
        Work { history, path, home, first_revision: 0, opening: 0, steps, lock, held_by, stamp }
    }

    /// Reads a file; one whose numbers do not hold opens all the same, to be mended.
    pub fn from_file(path: &Path) -> Result<Self> {
        let (session, faults) = washboard_session::load_draft(path)?;
        for fault in &faults {
            tracing::warn!("{}: {fault}", path.display());
        }
        let path = std::path::absolute(path)?;
        let stamp = Stamp::of(&path)?;
        let mut work = Work::around(History::opened(session), Some(path));
        work.stamp = stamp;
        work.take_lock();
        Ok(work)
    }

    /// Holds the file, or learns who does.
    fn take_lock(&mut self) {
        (self.lock, self.held_by) = (None, None);
        let Some(path) = &self.path else { return };
        match lock::lock(path, &who()) {
            Locking::Held(lock) => self.lock = Some(lock),
            Locking::Elsewhere(note) if note.is_empty() => self.held_by = Some("another program".to_owned()),
            Locking::Elsewhere(note) => self.held_by = Some(note),
            // Such as in a folder that cannot be written to: then nobody else can save there either.
            Locking::Impossible(fault) => tracing::warn!("{}: no lock: {fault}", path.display()),
        }
    }

    /// Who else has the file open, if anybody.
    pub fn held_by(&self) -> Option<&str> {
        self.held_by.as_deref()
    }

    /// What the file held when it was read or saved last.
    pub fn stamp(&self) -> Option<Stamp> {
        self.stamp
    }

    /// The steps made since the last call.
    pub fn take_steps(&mut self) -> Vec<Step> {
        std::mem::take(&mut self.steps)
    }

    /// The demo, as a copy that belongs to no file: saving asks where to.
    pub fn demo() -> Result<Self> {
        Ok(Work::around(History::opened(washboard_session::parse_ron(DEMO)?), None))
    }

    /// A session to begin with: a whole car in which every value is only proposed.
    pub fn new_session() -> Self {
        Work::around(History::opened(washboard_session::proposal::new_session()), None)
    }

    /// Work that a crash left behind; it is not saved.
    pub fn recovered(session: Session, path: Option<PathBuf>) -> Self {
        let mut work = Work::around(History::unsaved(session), path);
        // The file may have changed since the crash; as it stands now it is what the work is saved over.
        work.stamp = work.path.as_deref().and_then(|path| Stamp::of(path).ok().flatten());
        work.take_lock();
        work
    }

    /// A copy that belongs to no file; its profiles lie in `home`.
    pub fn copy(session: Session, home: Option<PathBuf>) -> Self {
        Work { home, ..Work::around(History::opened(session), None) }
    }

    /// Takes the place of another session: revisions go on where those ended.
    pub fn follows(&mut self, before: &Work) {
        self.first_revision = before.revision() + 1;
        self.opening = before.opening + 1;
    }

    /// The session as it is now.
    pub fn session(&self) -> &Session {
        self.history.session()
    }

    /// The same, to be kept while work goes on.
    pub fn snapshot(&self) -> Arc<Session> {
        Arc::clone(self.history.session())
    }

    /// Counts the states of everything shown in this window.
    pub fn revision(&self) -> u64 {
        self.first_revision + self.history.revision()
    }

    /// Counts the sessions opened.
    pub fn opening(&self) -> u64 {
        self.opening
    }

    /// Its file.
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// Folder of its file, or where the profiles of a copy lie.
    pub fn folder(&self) -> Option<PathBuf> {
        self.path.as_ref().and_then(|p| p.parent()).map(Path::to_owned).or_else(|| self.home.clone())
    }

    /// Name of its file.
    pub fn file_name(&self) -> Option<String> {
        self.path.as_ref().and_then(|p| p.file_name()).map(|n| n.to_string_lossy().into_owned())
    }

    /// True while nothing would be lost by closing.
    pub fn is_saved(&self) -> bool {
        self.history.is_saved()
    }

    /// Notes that a snapshot now stands in a file.
    pub fn saved(&mut self, snapshot: &Arc<Session>, path: PathBuf, stamp: Stamp) {
        self.history.mark_saved_snapshot(snapshot);
        self.stamp = Some(stamp);
        if self.path.as_ref() != Some(&path) {
            self.path = Some(path);
            self.take_lock();
        }
    }

    /// Applies an edit and names it; one that is refused changes nothing and comes back as a sentence.
    pub fn edit(&mut self, edit: &Edit) -> Result<String, String> {
        let label = edit.label(self.history.session());
        self.history.edit(edit).map_err(|fault| fault.to_string())?;
        self.steps.push(Step::Edit(Box::new(edit.clone())));
        Ok(label)
    }

    /// The edits that follow are one step.
    pub fn begin_gesture(&mut self, name: String) {
        self.steps.push(Step::BeginGesture(name.clone()));
        self.history.begin_gesture(name);
    }

    /// The step is complete.
    pub fn end_gesture(&mut self) {
        self.steps.push(Step::EndGesture);
        self.history.end_gesture();
    }

    /// True between the beginning and the end of a gesture.
    pub fn is_in_gesture(&self) -> bool {
        self.history.in_gesture()
    }

    /// Takes the last step back and names it.
    pub fn undo(&mut self) -> Option<String> {
        let label = self.undo_label();
        self.steps.push(Step::Undo);
        if self.history.undo() { label } else { None }
    }

    /// Does the step again that was taken back, and names it.
    pub fn redo(&mut self) -> Option<String> {
        let label = self.redo_label();
        self.steps.push(Step::Redo);
        if self.history.redo() { label } else { None }
    }

    /// What undo would take back.
    pub fn undo_label(&self) -> Option<String> {
        self.history.undo_label().map(str::to_owned)
    }

    /// What redo would do again.
    pub fn redo_label(&self) -> Option<String> {
        self.history.redo_label().map(str::to_owned)
    }

    /// Notes a set that left for the car.
    pub fn record_hand_over(&mut self, record: HandedOver) -> Result<String, String> {
        self.edit(&Edit::AddHandedOver(Box::new(record)))
    }
}

/// Who works here, for others who open the same file.
fn who() -> String {
    let name = |keys: [&str; 2]| keys.iter().find_map(|key| std::env::var(key).ok()).filter(|name| !name.is_empty());
    let user = name(["USER", "USERNAME"]).unwrap_or_else(|| "somebody".to_owned());
    let host = name(["HOSTNAME", "COMPUTERNAME"])
        .or_else(|| std::fs::read_to_string("/etc/hostname").ok().map(|host| host.trim().to_owned()))
        .unwrap_or_else(|| "this machine".to_owned());
    let now = jiff::ZonedDateTime::now().strftime("%Y-%m-%d %H:%M").to_string();
    format!("{user} on {host}, process {}, since {now}", std::process::id())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_demo_opens_without_a_file_and_nothing_to_lose() {
        let demo = Work::demo().unwrap();
        assert!(demo.is_saved() && demo.path().is_none());
        assert!(washboard_session::check(demo.session()).is_ok());
        let new = Work::new_session();
        assert!(new.is_saved() && washboard_session::check(new.session()).is_ok());
        assert!(!new.session().proposed.is_empty());
    }

    #[test]
    fn revisions_go_on_when_another_session_is_opened() {
        let mut first = Work::demo().unwrap();
        first.edit(&Edit::SetTitle("a".to_owned())).unwrap();
        let mut second = Work::demo().unwrap();
        second.follows(&first);
        assert!(second.revision() > first.revision());
        assert_ne!(second.opening(), first.opening());
    }

    #[test]
    fn undoing_to_what_is_saved_leaves_nothing_to_lose() {
        let mut work = Work::demo().unwrap();
        work.begin_gesture("pull".to_owned());
        for title in ["a", "b", "c"] {
            work.edit(&Edit::SetTitle(title.to_owned())).unwrap();
        }
        work.end_gesture();
        assert!(!work.is_saved());
        assert_eq!(work.undo().as_deref(), Some("pull"));
        assert!(work.is_saved());
        assert_eq!(work.redo().as_deref(), Some("pull"));
        assert_eq!(work.session().title, "c");
    }

    #[test]
    fn a_refused_edit_changes_nothing_and_is_a_sentence() {
        let mut work = Work::demo().unwrap();
        let before = work.snapshot();
        let edit = Edit::SetNumber { path: "vehicle.body_mass_kg".to_owned(), value: -5.0 };
        let sentence = work.edit(&edit).unwrap_err();
        assert!(sentence.contains("body_mass_kg") && sentence.contains("-5"), "{sentence}");
        assert!(Arc::ptr_eq(&before, &work.snapshot()));
    }

    #[test]
    fn the_second_window_on_a_file_knows_who_holds_it() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("a.ron");
        std::fs::write(&path, DEMO).unwrap();
        let first = Work::from_file(&path).unwrap();
        assert!(first.held_by().is_none());
        let second = Work::from_file(&path).unwrap();
        let holder = second.held_by().unwrap();
        assert!(holder.contains(&format!("process {}", std::process::id())), "{holder}");
        drop(first);
        assert!(Work::from_file(&path).unwrap().held_by().is_none());
    }

    #[test]
    fn steps_lead_from_one_state_to_the_next() {
        let mut work = Work::demo().unwrap();
        let mut copy = History::opened(work.session().clone());
        work.begin_gesture("pull".to_owned());
        for title in ["a", "b"] {
            work.edit(&Edit::SetTitle(title.to_owned())).unwrap();
        }
        work.end_gesture();
        work.undo();
        work.redo();
        assert!(work.edit(&Edit::SetNumber { path: "vehicle.body_mass_kg".into(), value: -1.0 }).is_err());
        for step in work.take_steps() {
            step.apply(&mut copy);
        }
        assert_eq!(**copy.session(), *work.session());
        assert!(work.take_steps().is_empty());
    }
}
