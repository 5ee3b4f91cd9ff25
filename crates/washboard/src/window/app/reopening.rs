//! The session as it was at a set, opened as a copy beside the one on screen, which waits and comes back as it was.

use super::App;
use super::questions::Next;
use crate::window::keeper::Keeper;
use crate::window::work::Work;
use washboard_session::{HandedOver, Past, Session};
use washboard_ui::{Reopened, Severity, View};

/// The session that waits behind a reopened copy.
pub(super) struct Waiting {
    work: Work,
    view: View,
    keeper: Keeper,
    shown: Reopened,
}

impl Waiting {
    /// What the window says of it.
    pub(super) fn shown(&self) -> &Reopened {
        &self.shown
    }
}

impl App {
    /// Opens the session as it was when the set of a run had left.
    pub(super) fn reopen_run(&mut self, run: usize) {
        let session = self.work.snapshot();
        let Some(run) = session.logbook.get(run) else { return };
        match session.set_of(&run.set_identity) {
            Some(set) => self.reopen_set(set),
            None => {
                let text = "Not reopened: the run names no set that was handed over from this session.";
                self.tell(Severity::Caution, text.to_owned());
            }
        }
    }

    /// Opens the session as it was when a set had left. A copy with changes of its own is asked about first.
    pub(super) fn reopen_set(&mut self, set: usize) {
        let session = self.work.snapshot();
        let Some(past) = session.as_it_was(set) else { return };
        let record = &session.handed_over[set];
        let (identity, time) = (record.identity.clone(), record.time.clone());
        if self.waiting.is_some() {
            // One copy at a time: the session behind it stays where it is.
            return self.guard(Next::Reopen(set));
        }
        let keeper = match Keeper::beside() {
            Ok(keeper) => keeper,
            Err(fault) => return self.tell(Severity::Fault, format!("Not reopened: {fault}.")),
        };
        let shown = Reopened { behind: session.title.clone(), identity, time, is_whole: past.is_whole };
        let copy = Work::copy(title_of(past, &shown), self.work.folder());
        let (work, view) = self.exchange(copy);
        let keeper = std::mem::replace(&mut self.keeper, keeper);
        self.waiting = Some(Waiting { work, view, keeper, shown });
    }

    /// Shows another set in place of the copy on screen.
    pub(super) fn reopen_instead(&mut self, set: usize) {
        self.back_at_once();
        self.reopen_set(set);
    }

    /// A set that leaves from a copy is in the car all the same: the session behind must know.
    pub(super) fn note_in_waiting(&mut self, record: &HandedOver) {
        if let Some(waiting) = &mut self.waiting
            && let Err(sentence) = waiting.work.record_hand_over(record.clone())
        {
            self.tell(Severity::Fault, format!("The set is not noted in the session that waits: {sentence}"));
        }
    }

    /// Comes back to the session that waits, and lets the copy go.
    pub(super) fn back_at_once(&mut self) {
        let Some(Waiting { work, view, keeper, .. }) = self.waiting.take() else { return };
        self.keeper.forget();
        let _copy = self.exchange(work);
        let (theme, text_scale) = (self.view.theme, self.view.text_scale);
        self.view = view;
        (self.view.theme, self.view.text_scale) = (theme, text_scale);
        self.keeper = keeper;
        self.journal.note("back from the copy");
    }
}

/// The copy with a title that says what it is.
fn title_of(past: Past, shown: &Reopened) -> Session {
    let short: String = shown.identity.chars().take(8).collect();
    let title = format!("{}, as it was at set {short}", past.session.title);
    Session { title, ..past.session }
}
