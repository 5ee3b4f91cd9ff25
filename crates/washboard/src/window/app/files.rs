//! Opening, saving and every dialog for a place, none of which the window waits for.

use super::App;
use super::questions::Next;
use crate::window::dialogs::{Kind, Question};
use crate::window::errand::{Errand, Step};
use crate::window::pictures;
use crate::window::work::Work;
use crate::{profiles, sink};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use washboard_session::Session;
use washboard_ui::Severity;

/// Longest name made from a title, characters.
const LONGEST_STEM: usize = 60;
const SESSION_FILES: &[&str] = &["ron", "json"];

/// What a file dialog was opened for.
#[derive(Clone, Debug)]
pub(super) enum Purpose {
    Open,
    SaveAs { then: Option<Next> },
    HandOverFolder,
    Profile { event: Option<usize> },
    SaveText { text: String },
    SavePicture { svg: String },
}

/// Saving under way: what was written where, and what comes after.
pub(super) struct Saving {
    errand: Errand<Result<Option<String>, String>>,
    session: Arc<Session>,
    /// Which of the sessions opened it was.
    opening: u64,
    path: PathBuf,
    then: Option<Next>,
}

impl App {
    pub(super) fn collect_saving(&mut self) {
        let Some(saving) = self.saving.take() else { return };
        let Saving { errand, session, opening, path, then } = saving;
        match errand.step() {
            Step::Out(errand) => self.saving = Some(Saving { errand, session, opening, path, then }),
            Step::Back(Ok(caution)) => {
                self.journal.note(&format!("saved {}", path.display()));
                if let Some(caution) = caution {
                    self.tell(Severity::Caution, caution);
                }
                if self.work.opening() == opening {
                    self.work.saved(&session, path);
                    if self.work.is_saved() {
                        self.keeper.forget();
                    }
                }
                if let Some((path, then)) = self.save_next.take() {
                    self.save_to(path, then);
                } else if let Some(next) = then {
                    self.guard(next);
                }
            }
            Step::Back(Err(sentence)) => {
                self.save_next = None;
                self.tell(Severity::Fault, format!("Not saved: {sentence}"));
            }
            Step::Lost => self.tell(Severity::Fault, "Not saved: a fault inside the program, save again.".to_owned()),
        }
    }

    pub(super) fn collect_opening(&mut self) {
        let Some((revision, errand)) = self.opening.take() else { return };
        match errand.step() {
            Step::Out(errand) => self.opening = Some((revision, errand)),
            Step::Back(Ok(_)) if self.work.revision() != revision => {
                let text = "Not opened: the session on screen was changed meanwhile. Open it again.";
                self.tell(Severity::Caution, text.to_owned());
            }
            Step::Back(Ok(work)) => self.show_work(work),
            Step::Back(Err(sentence)) => self.tell(Severity::Fault, format!("Not opened: {sentence}")),
            Step::Lost => self.tell(Severity::Fault, "Not opened: a fault inside the program.".to_owned()),
        }
    }

    pub(super) fn collect_writing(&mut self) {
        match self.writing.take().map(Errand::step) {
            None => {}
            Some(Step::Out(errand)) => self.writing = Some(errand),
            Some(Step::Back(Ok(sentence))) => self.tell(Severity::Information, sentence),
            Some(Step::Back(Err(sentence))) => self.tell(Severity::Fault, sentence),
            Some(Step::Lost) => self.tell(Severity::Fault, "Not written: a fault inside the program.".to_owned()),
        }
    }

    pub(super) fn ask_file(&mut self, purpose: Purpose, title: &str, kind: Kind, folder: Option<PathBuf>) {
        self.journal.note(&format!("dialog {title}"));
        let question = Question { purpose, title: title.to_owned(), kind, folder };
        let waker = self.waker();
        self.dialogs.ask(question, waker);
    }

    pub(super) fn poll_dialogs(&mut self, ctx: &egui::Context) {
        let Some((purpose, place)) = self.dialogs.poll(ctx) else { return };
        let Some(path) = place else {
            self.journal.note("dialog cancelled");
            return;
        };
        self.journal.note(&format!("dialog chose {}", path.display()));
        match purpose {
            Purpose::Open => self.open_path(path),
            Purpose::SaveAs { then } => self.save_to(path, then),
            Purpose::HandOverFolder => self.handing_over.set_folder(path),
            Purpose::Profile { event } => self.adopt_profile(event, path),
            Purpose::SaveText { text } => self.write(path, move |_| Ok(text.into_bytes())),
            Purpose::SavePicture { svg } => self.write(path, move |path| pictures::bytes(svg, path)),
        }
    }

    /// Makes the bytes and writes them, both away from the window.
    fn write(&mut self, path: PathBuf, make: impl FnOnce(&Path) -> anyhow::Result<Vec<u8>> + Send + 'static) {
        let write = move || match make(&path).and_then(|bytes| sink::write_file(&path, &bytes)) {
            Ok(()) => Ok(format!("Written to {}.", path.display())),
            Err(fault) => Err(format!("{fault:#}.")),
        };
        match Errand::send("write", self.waker(), write) {
            Ok(errand) => self.writing = Some(errand),
            Err(fault) => self.tell(Severity::Fault, format!("Not written: {fault}.")),
        }
    }

    pub(super) fn save(&mut self, then: Option<Next>) {
        match self.work.path() {
            Some(path) => self.save_to(path.to_owned(), then),
            None => self.ask_where_to_save(then),
        }
    }

    pub(super) fn ask_where_to_save(&mut self, then: Option<Next>) {
        let name = format!("{}.ron", file_stem(&self.work.session().title));
        let kind = Kind::Save { name, extensions: SESSION_FILES };
        self.ask_file(Purpose::SaveAs { then }, "Save session", kind, self.work.folder());
    }

    pub(super) fn save_to(&mut self, path: PathBuf, then: Option<Next>) {
        if self.saving.is_some() {
            // Two writers of one file could finish in the wrong order.
            self.save_next = Some((path, then));
            return;
        }
        let session = self.work.snapshot();
        let write = {
            let (session, path, from) = (Arc::clone(&session), path.clone(), self.work.folder());
            move || save_whole(&session, &path, from.as_deref())
        };
        match Errand::send("save", self.waker(), write) {
            Ok(errand) => {
                let opening = self.work.opening();
                self.saving = Some(Saving { errand, session, opening, path, then });
            }
            Err(fault) => self.tell(Severity::Fault, format!("Not saved: {fault}.")),
        }
    }

    pub(super) fn ask_which_to_open(&mut self) {
        let kind = Kind::Open { extensions: SESSION_FILES };
        self.ask_file(Purpose::Open, "Open session", kind, self.work.folder());
    }

    pub(super) fn open_path(&mut self, path: PathBuf) {
        let read = move || Work::from_file(&path).map_err(|fault| format!("{fault:#}"));
        match Errand::send("open", self.waker(), read) {
            Ok(errand) => self.opening = Some((self.work.revision(), errand)),
            Err(fault) => self.tell(Severity::Fault, format!("Not opened: {fault}.")),
        }
    }
}

/// Writes a session, and beside it the profiles it names where they are not there yet; a profile that could not
/// follow is a caution.
fn save_whole(session: &Session, path: &Path, from: Option<&Path>) -> Result<Option<String>, String> {
    washboard_session::save(path, session).map_err(|fault| fault.to_string())?;
    let carried = path.parent().map_or(Ok(()), |folder| profiles::carry(session, from, folder));
    Ok(carried.err().map(|fault| format!("The session is saved, but a profile is not beside it: {fault:#}.")))
}

/// A file name made from a title: letters, digits and dashes.
fn file_stem(title: &str) -> String {
    let words: Vec<String> =
        title.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_lowercase).collect();
    let stem: String = words.join("-").chars().take(LONGEST_STEM).collect();
    if stem.is_empty() { "session".to_owned() } else { stem }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_makes_a_file_name() {
        assert_eq!(file_stem("Estate, proto 3: Thursday/evening"), "estate-proto-3-thursday-evening");
        assert_eq!(file_stem("../.."), "session");
        assert_eq!(file_stem(&"long ".repeat(100)).chars().count(), LONGEST_STEM);
    }
}
