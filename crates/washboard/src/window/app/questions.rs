//! What must be answered before anything is lost: unsaved changes, and work that a crash left behind.

use super::App;
use crate::window::work::Work;
use std::path::PathBuf;
use washboard_session::recovery::Leftover;
use washboard_ui::{Answer, Question, Severity};

/// What goes on once nothing unsaved is in the way.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Next {
    Quit,
    New,
    ChooseFile,
    Open(PathBuf),
    /// Back from a reopened copy.
    Back,
    /// Another set in place of the copy on screen.
    Reopen(usize),
}

impl Next {
    fn words(&self) -> &'static str {
        match self {
            Next::Quit => "quit",
            Next::New => "begin a new session",
            Next::ChooseFile | Next::Open(_) => "open another session",
            Next::Back => "go back to the session that waits",
            Next::Reopen(_) => "reopen another set",
        }
    }
}

/// A question on screen and what it is about.
pub(super) enum Pending {
    Unsaved { question: Question, next: Next },
    Recovery { question: Question, found: Box<Leftover> },
}

impl App {
    /// Goes on at once where nothing would be lost, asks first otherwise.
    pub(super) fn guard(&mut self, next: Next) {
        if self.work.is_saved() {
            self.go_on(next);
        } else {
            self.journal.note(&format!("question unsaved changes, {}", next.words()));
            let question = Question::UnsavedChanges { next: next.words().to_owned() };
            self.pending = Some(Pending::Unsaved { question, next });
        }
    }

    pub(super) fn go_on(&mut self, next: Next) {
        if self.waiting.is_some() && !matches!(next, Next::Back | Next::Reopen(_)) {
            // The session behind the copy is asked about as well.
            self.back_at_once();
            return self.guard(next);
        }
        match next {
            Next::Back => self.back_at_once(),
            Next::Reopen(set) => self.reopen_instead(set),
            Next::Quit => {
                self.keeper.forget();
                self.is_leaving = true;
                self.wake.send_viewport_cmd(egui::ViewportCommand::Close);
            }
            Next::New => {
                self.show_work(Work::new_session());
                self.view.begin_sitting();
            }
            Next::ChooseFile => self.ask_which_to_open(),
            Next::Open(path) => self.open_path(path),
        }
    }

    pub(super) fn offer_recovery(&mut self) {
        while let Some(found) = self.keeper.take_found() {
            match found {
                Ok(found) => {
                    let title = found.content.as_ref().map_or(String::new(), |(session, _)| session.title.clone());
                    self.journal.note(&format!("question recovery {title:?}"));
                    let question = Question::RecoveryFound { title, time: local_time(&found.time) };
                    self.pending = Some(Pending::Recovery { question, found: Box::new(found) });
                    return;
                }
                Err(sentence) => self.tell(Severity::Caution, sentence),
            }
        }
    }

    pub(super) fn answer(&mut self, answer: Answer) {
        let Some(pending) = self.pending.take() else { return };
        self.journal.note(&format!("answer {answer:?}"));
        match (pending, answer) {
            (Pending::Unsaved { next, .. }, Answer::Save) => self.save(Some(next)),
            (Pending::Unsaved { next, .. }, Answer::Discard) => self.go_on(next),
            (Pending::Unsaved { .. }, Answer::GoBack | Answer::Restore) => {}
            (Pending::Recovery { found, .. }, Answer::Restore) => {
                // Further copies are offered at the next start, when this one has found its file.
                if let Ok((session, _)) = &found.content {
                    self.show_work(Work::recovered(session.clone(), found.original.clone()));
                    self.keeper.adopt(*found);
                }
            }
            (Pending::Recovery { found, .. }, Answer::Discard) => {
                if let Err(fault) = found.discard() {
                    self.tell(Severity::Caution, format!("The recovered copy could not be deleted: {fault}."));
                }
                self.offer_recovery();
            }
            (pending @ Pending::Recovery { .. }, Answer::GoBack | Answer::Save) => self.pending = Some(pending),
        }
    }
}

/// A time as the program writes it, in local time as people read it.
fn local_time(time: &str) -> String {
    match time.parse::<jiff::Timestamp>() {
        Ok(at) => at.to_zoned_datetime(jiff::tz::TimeZone::system()).strftime("%Y-%m-%d %H:%M").to_string(),
        Err(_) => time.to_owned(),
    }
}
