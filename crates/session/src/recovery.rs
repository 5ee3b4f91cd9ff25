//! Copies of unsaved work that outlive a crash.
//!
//! Each running program holds a lock on a slot of the recovery folder and keeps its copy beside it. The system frees the
//! lock when the program ends, however it ends, so that a copy without a lock is one that a crash left behind.

use std::{
    fmt,
    fs::{self, File, TryLockError},
    io,
    path::{Path, PathBuf},
};

use serde::{Deserialize, Serialize};

use crate::{
    Below, Fault, History, Session, check,
    journal::{Journal, Step, path_of, replay},
    read::{Refusal, read_text, ron_value},
    write::{WriteFault, ron_text, write_whole},
};

/// Most slots: programs running at once plus copies waiting.
const MOST_SLOTS: usize = 1000;

/// Where copies are kept unless told otherwise; `None` where the system names no home.
pub fn default_folder() -> Option<PathBuf> {
    directories::ProjectDirs::from("", "", "washboard").map(|dirs| dirs.data_local_dir().join("recovery"))
}

/// What a copy holds.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Copy<S> {
    /// When it was written.
    time: String,
    /// The file the session was opened from or saved to last.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    original: Option<String>,
    /// Number that its journal bears.
    #[serde(default)]
    number: u64,
    session: S,
    /// The session below, whole: a copy needs no other file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    below: Option<Below>,
}

/// The place of one running program in the recovery folder.
#[derive(Debug)]
pub struct Recovery {
    copy: PathBuf,
    /// Steps since the copy; none while nothing unsaved stands here.
    journal: Option<Journal>,
    /// The file that the copy names.
    original: Option<PathBuf>,
    /// Number of the last copy.
    number: u64,
    /// The work as a reader would make it of copy and journal; where nothing stands on the disk, as it was when the work
    /// was opened or saved last.
    known: Option<History>,
    /// Held, never read: the lock on it says that the program runs.
    _lock: File,
}

impl Recovery {
    /// Takes a free slot in a folder, which is made where it is missing.
    pub fn open(folder: &Path) -> io::Result<Recovery> {
        fs::create_dir_all(folder)?;
        for slot in 0..MOST_SLOTS {
            let Some(lock) = lock_slot(folder, slot)? else { continue };
            let copy = copy_path(folder, slot);
            // A copy without a lock waits for its owner; it must not be written over.
            if !copy.try_exists()? {
                // A journal without its copy is of work that was saved.
                remove(&path_of(&copy))?;
                return Ok(Recovery { copy, journal: None, original: None, number: 0, known: None, _lock: lock });
            }
        }
        Err(io::Error::other(format!("all {MOST_SLOTS} slots in {} are in use", folder.display())))
    }

    /// Says what the next steps begin from: the work as it was opened.
    pub fn begin_from(&mut self, session: &Session) {
        if self.journal.is_none() {
            self.known = Some(History::unsaved(session.clone()));
        }
    }

    /// Writes the copy anew, whole or not at all. `original` is the file the work belongs to; one whose name is not
    /// Unicode is left out.
    pub fn write(&mut self, session: &Session, original: Option<&Path>, time: &str) -> Result<(), WriteFault> {
        let disk = |path: &Path, error| WriteFault::Disk(path.to_owned(), error);
        // A new number first: where the program ends between copy and journal, the old journal is not the new copy's.
        self.number += 1;
        self.journal = None;
        let name = original.and_then(Path::to_str).map(str::to_owned);
        let below = session.rests_on().cloned();
        let text = ron_text(&Copy { time: time.to_owned(), original: name, number: self.number, session, below })?;
        write_whole(&self.copy, text.as_bytes()).map_err(|error| disk(&self.copy, error))?;
        self.original = original.map(Path::to_owned);
        let path = path_of(&self.copy);
        self.journal = Some(Journal::begin(&path, self.number).map_err(|error| disk(&path, error))?);
        self.known = Some(History::unsaved(session.clone()));
        Ok(())
    }

    /// Keeps steps just made, with the session after them: in the journal, or in a whole copy where one is due.
    ///
    /// A new copy holds the work from before the steps, which then stand in its journal: a step back takes away what it
    /// took away at the desk. The steps are made here once more, as a reader would; where that leads elsewhere, as a step
    /// back beyond the copy does, a whole copy of the work stands instead.
    ///
    /// When this returns the end of the program cannot take them away; the end of the machine after [`Recovery::sync`].
    pub fn record(
        &mut self,
        steps: &[Step],
        after: &Session,
        original: Option<&Path>,
        time: &str,
    ) -> Result<(), WriteFault> {
        let is_due = self.original.as_deref() != original || self.journal.as_ref().is_none_or(Journal::is_long);
        let Some(before) = self.known.take() else {
            return self.write(after, original, time);
        };
        let mut made = if is_due { History::unsaved(Session::clone(before.session())) } else { before.clone() };
        for step in steps {
            step.apply(&mut made);
        }
        if steps.is_empty() || **made.session() != *after {
            return self.write(after, original, time);
        }
        if is_due {
            self.write(before.session(), original, time)?;
        }
        let is_kept =
            self.journal.as_mut().is_some_and(|journal| steps.iter().all(|step| journal.append(step).is_ok()));
        if !is_kept {
            // A whole copy says more than half a journal.
            return self.write(after, original, time);
        }
        self.known = Some(made);
        Ok(())
    }

    /// Brings the journal to the disk itself.
    pub fn sync(&mut self) -> io::Result<()> {
        self.journal.as_mut().map_or(Ok(()), Journal::sync)
    }

    /// Takes the copy away: the work is saved or given up.
    pub fn clear(&mut self) -> io::Result<()> {
        self.journal = None;
        self.known = self.known.take().map(|known| History::unsaved(Session::clone(known.session())));
        remove(&self.copy)?;
        remove(&path_of(&self.copy))
    }

    /// Where the copy stands.
    pub fn path(&self) -> &Path {
        &self.copy
    }
}

/// A copy that a crashed program left behind. While it is held, no other program is offered it.
#[derive(Debug)]
pub struct Leftover {
    /// Where the copy stands.
    pub path: PathBuf,
    /// When it was written, as the program wrote it; empty where it cannot be read.
    pub time: String,
    /// The file the work belongs to.
    pub original: Option<PathBuf>,
    /// The work with what does not hold in it, or why it cannot be read.
    pub content: Result<(Session, Vec<Fault>), Refusal>,
    _lock: File,
}

impl Leftover {
    /// Deletes the copy: its work is taken over or given up.
    pub fn discard(self) -> io::Result<()> {
        remove(&self.path)?;
        remove(&path_of(&self.path))
    }
}

impl fmt::Display for Leftover {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = match (&self.original, &self.content) {
            (Some(file), _) => file.display().to_string(),
            (None, Ok((session, _))) if !session.title.is_empty() => session.title.clone(),
            _ => self.path.display().to_string(),
        };
        let when = if self.time.is_empty() { String::new() } else { format!(", {}", self.time) };
        match &self.content {
            Ok(_) => write!(out, "unsaved work on {name}{when}"),
            Err(refusal) => write!(out, "unsaved work on {name}{when} that cannot be read: {refusal}"),
        }
    }
}

/// Copies that crashed programs left in a folder, in the order of their slots; none where there is no folder.
pub fn find(folder: &Path) -> io::Result<Vec<Leftover>> {
    if !folder.try_exists()? {
        return Ok(Vec::new());
    }
    let mut slots = Vec::new();
    for entry in fs::read_dir(folder)? {
        slots.extend(slot_of(&entry?.path()));
    }
    slots.sort_unstable();
    let mut found = Vec::new();
    for slot in slots {
        let path = copy_path(folder, slot);
        let Some(lock) = lock_slot(folder, slot)? else { continue };
        // Another program may have taken it over before the lock was free.
        if !path.try_exists()? {
            continue;
        }
        let read = read_text(&path).and_then(|text| ron_value::<Copy<Session>>(&text));
        found.push(match read {
            Ok(Copy { time, original, number, mut session, below }) => {
                session.below = below.map(Box::new);
                let (history, _) = replay(session, number, &path_of(&path));
                let session = Session::clone(history.session());
                let faults = check(&session).err().unwrap_or_default();
                let original = original.map(PathBuf::from);
                Leftover { path, time, original, content: Ok((session, faults)), _lock: lock }
            }
            Err(refusal) => Leftover { path, time: String::new(), original: None, content: Err(refusal), _lock: lock },
        });
    }
    Ok(found)
}

fn copy_path(folder: &Path, slot: usize) -> PathBuf {
    folder.join(format!("unsaved-{slot}.ron"))
}

fn slot_of(path: &Path) -> Option<usize> {
    path.file_name()?.to_str()?.strip_prefix("unsaved-")?.strip_suffix(".ron")?.parse().ok()
}

/// The lock of a slot, or `None` while a program holds it. Lock files stay: one that is deleted while another program
/// opens it would be locked by both.
fn lock_slot(folder: &Path, slot: usize) -> io::Result<Option<File>> {
    let path = folder.join(format!("unsaved-{slot}.lock"));
    let file = File::options().create(true).truncate(false).write(true).open(path)?;
    match file.try_lock() {
        Ok(()) => Ok(Some(file)),
        Err(TryLockError::WouldBlock) => Ok(None),
        Err(TryLockError::Error(error)) => Err(error),
    }
}

fn remove(path: &Path) -> io::Result<()> {
    match fs::remove_file(path) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}
