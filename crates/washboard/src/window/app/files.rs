//! Opening, saving and every dialog for a place, none of which the window waits for.

use super::App;
use super::questions::Next;
use crate::window::dialogs::{Kind, Question};
use crate::window::errand::{Errand, Step};
use crate::window::pictures;
use crate::window::work::Work;
use crate::{profiles, sink};
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;
use washboard_session::stamp::Stamp;
use washboard_session::{Edit, Run, Session};
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
    ReadSet,
    AttachLog { run: usize, revision: u64 },
    Bench,
    Profile { event: Option<usize> },
    Below,
    SaveText { text: String },
    SavePicture { svg: String },
    TakeInSet,
    Layout,
    SaveLayout,
    ReadBack { against: Option<String> },
    Report,
}

/// Saving under way: what was written where, and what comes after.
pub(super) struct Saving {
    errand: Errand<Result<(Option<String>, Stamp), String>>,
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
            Step::Back(Ok((caution, stamp))) => {
                self.journal.note(&format!("saved {}", path.display()));
                self.recent.add(&path);
                if let Some(caution) = caution {
                    self.tell(Severity::Caution, caution);
                }
                if self.work.opening() == opening {
                    self.work.saved(&session, path, stamp);
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
                self.tell(Severity::Fault, format!("Not saved: {sentence} The work is still here."));
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
            Step::Back(Err(sentence)) => {
                self.tell(Severity::Fault, format!("Not opened: {sentence}"));
                // Perhaps it is in the list and gone.
                self.recent.look();
            }
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
            Purpose::AttachLog { run, revision } => self.attach_log(run, revision, &path),
            Purpose::ReadSet => {
                let waker = self.waker();
                if let Err(fault) = self.siding.read(path, waker) {
                    self.tell(Severity::Fault, format!("The set was not read: {fault}."));
                }
            }
            Purpose::Bench => self.read_bench(path),
            Purpose::HandOverFolder => self.handing_over.set_folder(path),
            Purpose::TakeInSet => self.take_in_set(path),
            Purpose::Layout => {
                let waker = self.waker();
                self.handing_over.choose_layout(path, waker);
            }
            Purpose::SaveLayout => {
                let waker = self.waker();
                self.handing_over.save_proposed(path, waker);
            }
            Purpose::ReadBack { against } => self.read_back(path, against),
            Purpose::Report => self.report_to(path),
            Purpose::Profile { event } => self.adopt_profile(event, path),
            Purpose::Below => self.rest_on(&path),
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
            Some(path) if let Some(holder) = self.work.held_by() => {
                let text = format!(
                    "Not saved: {} is open elsewhere ({holder}). Choose another name for this copy.",
                    path.display()
                );
                self.tell(Severity::Caution, text);
                self.ask_where_to_save(then);
            }
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
        self.keep_ways_to_logs(&path);
        self.keep_way_below(&path);
        let session = self.work.snapshot();
        let write = {
            let (session, path, from) = (Arc::clone(&session), path.clone(), self.work.folder());
            // A file chosen by name was agreed to be written over; our own must still be what it was.
            let stamp = (self.work.path() == Some(&*path)).then(|| self.work.stamp());
            move || save_whole(&session, &path, from.as_deref(), stamp)
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

impl App {
    /// Notes a logger's file with its run, by its way from the session's folder where there is one.
    pub(super) fn attach_log(&mut self, run: usize, revision: u64, path: &Path) {
        let session = self.work.snapshot();
        let Some(before) = session.logbook.get(run).filter(|_| self.work.revision() == revision) else {
            let text = "No log file was attached: the session was changed meanwhile. Attach it again.";
            return self.tell(Severity::Caution, text.to_owned());
        };
        self.measuring.allow(path);
        let log_file = way_to(path, self.work.folder().as_deref());
        let with = Box::new(Run { log_file, ..before.clone() });
        self.edit(Edit::ReplaceRun { run, with });
    }
}

impl App {
    /// Log files are noted by their way from the session's folder: another folder needs other ways.
    fn keep_ways_to_logs(&mut self, path: &Path) {
        let (from, Some(to)) = (self.work.folder(), path.parent()) else { return };
        if from.as_deref() == Some(to) {
            return;
        }
        let session = self.work.snapshot();
        let ways: Vec<(usize, Run)> = session
            .logbook
            .iter()
            .enumerate()
            .filter(|(_, run)| !run.log_file.is_empty())
            .filter_map(|(index, run)| {
                let file = Path::new(&run.log_file);
                // One that was never saved has whole paths only.
                let whole = if file.is_absolute() { file.to_owned() } else { from.as_ref()?.join(file) };
                let log_file = way_to(&whole, Some(to));
                (log_file != run.log_file).then(|| (index, Run { log_file, ..run.clone() }))
            })
            .collect();
        if ways.is_empty() {
            return;
        }
        self.work.begin_gesture("keep the ways to log files".to_owned());
        for (run, with) in ways {
            self.edit(Edit::ReplaceRun { run, with: Box::new(with) });
        }
        self.work.end_gesture();
    }
}

/// A path without `.` and `..` in it, as far as names alone can tell.
pub(super) fn plain_path(path: &Path) -> PathBuf {
    let mut plain = PathBuf::new();
    for part in path.components() {
        match part {
            Component::ParentDir => drop(plain.pop()),
            Component::CurDir => {}
            part => plain.push(part),
        }
    }
    plain
}

/// A path as it is noted in a session: from its folder, with slashes whatever the system; whole where there is no way.
pub(super) fn way_to(path: &Path, folder: Option<&Path>) -> String {
    let whole = plain_path(&std::path::absolute(path).unwrap_or_else(|_| path.to_owned()));
    let slashed = |parts: Vec<String>| parts.join("/");
    let Some(folder) = folder.and_then(|f| std::path::absolute(f).ok()) else {
        return whole.display().to_string();
    };
    let folder = plain_path(&folder);
    let (to, from): (Vec<_>, Vec<_>) = (whole.components().collect(), folder.components().collect());
    let common = to.iter().zip(&from).take_while(|(a, b)| a == b).count();
    // Another drive, or nothing shared but the root: a way through it would help nobody.
    if common < 2 {
        return whole.display().to_string();
    }
    let up = from[common..].iter().map(|_| "..".to_owned());
    slashed(up.chain(to[common..].iter().map(|c| c.as_os_str().to_string_lossy().into_owned())).collect())
}

/// Writes a session, and beside it the profiles it names where they are not there yet; a profile that could not
/// follow is a caution.
///
/// `stamp`: what the file must still be; absent where it may be written over whatever it is.
fn save_whole(
    session: &Session,
    path: &Path,
    from: Option<&Path>,
    stamp: Option<Option<Stamp>>,
) -> Result<(Option<String>, Stamp), String> {
    let was = match stamp {
        Some(was) => was,
        None => Stamp::of(path).map_err(|fault| format!("{}: {fault}.", path.display()))?,
    };
    let (faults, stamp) =
        washboard_session::save_unless_changed(path, session, was).map_err(|fault| fault.to_string())?;
    // What it rests on may have gone or changed since it was opened.
    let below = session.rests_on().and_then(|known| {
        if let Some(alone) = faults.iter().find(|fault| fault.field == "rests_on") {
            return Some(format!("Saved, but {alone}"));
        }
        let now = washboard_session::load_below(path, &known.file);
        (!now.is_ok_and(|now| now.gives_what(known))).then(|| {
            format!(
                "Saved. {} has changed since this session was opened: “Follow the session below” takes that in.",
                known.file
            )
        })
    });
    let carried = path.parent().map_or(Ok(()), |folder| profiles::carry(session, from, folder));
    let caution =
        carried.err().map(|fault| format!("The session is saved, but a profile is not beside it: {fault:#}."));
    Ok((caution.or(below), stamp))
}

/// A file name made from a title: letters, digits and dashes.
pub(super) fn file_stem(title: &str) -> String {
    let words: Vec<String> =
        title.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_lowercase).collect();
    let stem: String = words.join("-").chars().take(LONGEST_STEM).collect();
    if stem.is_empty() { "session".to_owned() } else { stem }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_log_file_is_noted_by_its_way_from_the_session() {
        let way = |path: &str, folder: Option<&str>| way_to(Path::new(path), folder.map(Path::new));
        assert_eq!(way("/a/week/logs/run 1.csv", Some("/a/week")), "logs/run 1.csv");
        assert_eq!(way("/a/logs/run.mf4", Some("/a/week/thursday")), "../../logs/run.mf4");
        assert_eq!(way("/media/stick/run.csv", Some("/a/week")), "/media/stick/run.csv");
        assert_eq!(way("/a/week/../logs/./run.csv", Some("/a/week")), "../logs/run.csv");
        assert_eq!(way("/a/run.csv", None), "/a/run.csv");
    }

    #[test]
    fn a_title_makes_a_file_name() {
        assert_eq!(file_stem("Estate, proto 3: Thursday/evening"), "estate-proto-3-thursday-evening");
        assert_eq!(file_stem("../.."), "session");
        assert_eq!(file_stem(&"long ".repeat(100)).chars().count(), LONGEST_STEM);
    }
}
