//! Undo and redo over snapshots: a whole drag is one step, and going back gives the very same session.

use std::{collections::VecDeque, sync::Arc};

use crate::{
    Fault, Session,
    edit::{Edit, applied},
};

/// Steps that can be taken back; older ones are forgotten so that a long day does not fill the memory.
pub const MOST_STEPS: usize = 1000;

/// A step: what it did, and the session on the other side of it.
#[derive(Clone, Debug)]
struct Step {
    label: String,
    other_side: Arc<Session>,
}

/// The session under work with all that can be undone and redone.
#[derive(Clone, Debug)]
pub struct History {
    now: Arc<Session>,
    past: VecDeque<Step>,
    future: Vec<Step>,
    /// What a gesture under way began from.
    gesture: Option<Step>,
    saved: Option<Arc<Session>>,
    revision: u64,
}

impl History {
    /// Begins with a session that stands in a file.
    pub fn opened(session: Session) -> History {
        let mut history = History::unsaved(session);
        history.mark_saved();
        history
    }

    /// Begins with a session that stands in no file: a new one, or one recovered after a crash.
    pub fn unsaved(session: Session) -> History {
        let now = Arc::new(session);
        History { now, past: VecDeque::new(), future: Vec::new(), gesture: None, saved: None, revision: 0 }
    }

    /// The session as it is now; cheap to keep as a snapshot for work in the background.
    pub fn session(&self) -> &Arc<Session> {
        &self.now
    }

    /// A number that grows with every change, undo and redo among them.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// Begins a gesture: all edits until its end are one step. One that is still under way ends first.
    pub fn begin_gesture(&mut self, label: impl Into<String>) {
        self.end_gesture();
        self.gesture = Some(Step { label: label.into(), other_side: Arc::clone(&self.now) });
    }

    /// True while a gesture is under way.
    pub fn in_gesture(&self) -> bool {
        self.gesture.is_some()
    }

    /// The session before the gesture under way, for a ghost curve.
    pub fn before_gesture(&self) -> Option<&Arc<Session>> {
        self.gesture.as_ref().map(|step| &step.other_side)
    }

    /// Ends the gesture; one that changed nothing leaves no step.
    pub fn end_gesture(&mut self) {
        if let Some(step) = self.gesture.take() {
            self.record(step);
        }
    }

    /// Ends the gesture and takes back all that was done in it.
    pub fn cancel_gesture(&mut self) {
        if let Some(step) = self.gesture.take() {
            self.go_to(step.other_side);
        }
    }

    /// Applies an edit: part of the gesture under way, else a step of its own. A refused edit changes nothing.
    pub fn edit(&mut self, edit: &Edit) -> Result<(), Fault> {
        let before = Arc::clone(&self.now);
        let changed = Arc::new(applied(&before, edit)?);
        if same(&changed, &before) {
            return Ok(());
        }
        self.now = changed;
        self.revision += 1;
        self.future.clear();
        if self.gesture.is_none() {
            let label = edit.label(&before);
            self.record(Step { label, other_side: before });
        }
        Ok(())
    }

    /// Takes the last step back; false where there is none. A gesture under way ends first and is that step.
    pub fn undo(&mut self) -> bool {
        self.end_gesture();
        let Some(step) = self.past.pop_back() else { return false };
        self.future.push(Step { label: step.label, other_side: Arc::clone(&self.now) });
        self.go_to(step.other_side);
        true
    }

    /// Does the step that was taken back last again; false where there is none.
    pub fn redo(&mut self) -> bool {
        self.end_gesture();
        let Some(step) = self.future.pop() else { return false };
        self.past.push_back(Step { label: step.label, other_side: Arc::clone(&self.now) });
        self.go_to(step.other_side);
        true
    }

    /// What undo would take back.
    pub fn undo_label(&self) -> Option<&str> {
        self.gesture.as_ref().or(self.past.back()).map(|step| step.label.as_str())
    }

    /// What redo would do again.
    pub fn redo_label(&self) -> Option<&str> {
        self.future.last().map(|step| step.label.as_str())
    }

    /// True while the session is the one that was saved last, also after going back to it.
    pub fn is_saved(&self) -> bool {
        self.saved.as_ref().is_some_and(|saved| same(saved, &self.now))
    }

    /// Notes that the session now stands in a file.
    pub fn mark_saved(&mut self) {
        self.saved = Some(Arc::clone(&self.now));
    }

    /// Notes that a snapshot stands in a file; edits made while it was written stay unsaved.
    pub fn mark_saved_snapshot(&mut self, snapshot: &Arc<Session>) {
        self.saved = Some(Arc::clone(snapshot));
    }

    fn record(&mut self, step: Step) {
        if same(&step.other_side, &self.now) {
            return;
        }
        self.past.push_back(step);
        if self.past.len() > MOST_STEPS {
            self.past.pop_front();
        }
    }

    fn go_to(&mut self, session: Arc<Session>) {
        if !Arc::ptr_eq(&session, &self.now) {
            self.now = session;
            self.revision += 1;
        }
    }
}

/// Equal sessions. Plus and minus zero count as equal, for no figure differs between them.
fn same(one: &Arc<Session>, other: &Arc<Session>) -> bool {
    Arc::ptr_eq(one, other) || one == other
}
