//! The session under work: its history, its file, and a revision that never repeats while the window is open.

use anyhow::Result;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use washboard_session::{Edit, HandedOver, History, Session};

/// The session shown when none is named, opened as a copy without a file.
pub(super) const DEMO: &str = include_str!("../../../../demo-sessions/estate.ron");

/// A session being worked on.
pub struct Work {
    history: History,
    path: Option<PathBuf>,
    /// Revisions begin here, behind all those of the session shown before.
    first_revision: u64,
    opening: u64,
}

impl Work {
    fn around(history: History, path: Option<PathBuf>) -> Self {
        Work { history, path, first_revision: 0, opening: 0 }
    }

    /// Reads a file; one whose numbers do not hold opens all the same, to be mended.
    pub fn from_file(path: &Path) -> Result<Self> {
        let (session, faults) = washboard_session::load_draft(path)?;
        for fault in &faults {
            tracing::warn!("{}: {fault}", path.display());
        }
        let path = std::path::absolute(path)?;
        Ok(Work::around(History::opened(session), Some(path)))
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
        Work::around(History::unsaved(session), path)
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

    /// Folder of its file.
    pub fn folder(&self) -> Option<PathBuf> {
        self.path.as_ref().and_then(|p| p.parent()).map(Path::to_owned)
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
    pub fn saved(&mut self, snapshot: &Arc<Session>, path: PathBuf) {
        self.history.mark_saved_snapshot(snapshot);
        self.path = Some(path);
    }

    /// Applies an edit and names it; one that is refused changes nothing and comes back as a sentence.
    pub fn edit(&mut self, edit: &Edit) -> Result<String, String> {
        let label = edit.label(self.history.session());
        self.history.edit(edit).map(|()| label).map_err(|fault| fault.to_string())
    }

    /// The edits that follow are one step.
    pub fn begin_gesture(&mut self, name: String) {
        self.history.begin_gesture(name);
    }

    /// The step is complete.
    pub fn end_gesture(&mut self) {
        self.history.end_gesture();
    }

    /// True between the beginning and the end of a gesture.
    pub fn is_in_gesture(&self) -> bool {
        self.history.in_gesture()
    }

    /// Takes the last step back and names it.
    pub fn undo(&mut self) -> Option<String> {
        let label = self.undo_label();
        if self.history.undo() { label } else { None }
    }

    /// Does the step again that was taken back, and names it.
    pub fn redo(&mut self) -> Option<String> {
        let label = self.redo_label();
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
}
