//! The edit journal: every step since the last whole copy, appended as it is made, so that a crash loses none of them.
//!
//! A journal belongs to one copy and bears its number. One line a step; what was cut off in the middle of a line is left
//! out, and so is all behind a line that cannot be read or applied.

use std::{
    fs::{File, OpenOptions},
    io::{self, Write},
    path::{Path, PathBuf},
};

use serde::{Deserialize, Serialize};

use crate::{Edit, History, Session, read::read_text};

/// Most steps before a whole copy is due again.
const MOST_STEPS: usize = 5000;
/// Most bytes before a whole copy is due again.
const MOST_BYTES: u64 = 8 << 20;

/// One step of the work.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Step {
    /// A change.
    Edit(Box<Edit>),
    /// The steps that follow are one.
    BeginGesture(String),
    /// That one is complete.
    EndGesture,
    /// That one is taken back.
    CancelGesture,
    /// The last step is taken back.
    Undo,
    /// The step taken back last is made again.
    Redo,
}

impl Step {
    /// Makes the step; false where it does nothing or is refused.
    pub fn apply(&self, history: &mut History) -> bool {
        match self {
            Step::Edit(edit) => return history.edit(edit).is_ok(),
            Step::BeginGesture(label) => history.begin_gesture(label.clone()),
            Step::EndGesture => history.end_gesture(),
            Step::CancelGesture => history.cancel_gesture(),
            Step::Undo => return history.undo(),
            Step::Redo => return history.redo(),
        }
        true
    }
}

/// The first line of a journal.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Head {
    /// Number of the copy it belongs to.
    copy: u64,
}

/// A journal being written.
#[derive(Debug)]
pub struct Journal {
    file: File,
    steps: usize,
    bytes: u64,
    is_synced: bool,
}

impl Journal {
    /// Begins anew behind the copy of this number.
    pub fn begin(path: &Path, copy: u64) -> io::Result<Journal> {
        let file = OpenOptions::new().create(true).write(true).truncate(true).open(path)?;
        let mut journal = Journal { file, steps: 0, bytes: 0, is_synced: false };
        journal.line(&Head { copy })?;
        journal.sync()?;
        Ok(journal)
    }

    /// Appends one step. When this returns, the end of the program cannot take the step away any more; the end of the
    /// whole machine cannot after [`Journal::sync`].
    pub fn append(&mut self, step: &Step) -> io::Result<()> {
        self.line(step)?;
        self.steps += 1;
        Ok(())
    }

    fn line<T: Serialize>(&mut self, value: &T) -> io::Result<()> {
        let mut line = serde_json::to_vec(value).map_err(io::Error::other)?;
        line.push(b'\n');
        self.file.write_all(&line)?;
        self.bytes += line.len() as u64;
        self.is_synced = false;
        Ok(())
    }

    /// Brings what was appended to the disk itself.
    pub fn sync(&mut self) -> io::Result<()> {
        if !self.is_synced {
            self.file.sync_data()?;
            self.is_synced = true;
        }
        Ok(())
    }

    /// True where it has grown so long that a whole copy is due.
    pub fn is_long(&self) -> bool {
        self.steps >= MOST_STEPS || self.bytes >= MOST_BYTES
    }
}

/// Where the journal of a copy stands.
pub(crate) fn path_of(copy: &Path) -> PathBuf {
    copy.with_extension("journal")
}

/// The work as it was after the last step of a journal, and how many steps that were. A journal of another copy, or
/// none, has no steps.
pub(crate) fn replay(session: Session, copy: u64, path: &Path) -> (History, usize) {
    let mut history = History::unsaved(session);
    let Ok(text) = read_text(path) else { return (history, 0) };
    let mut lines = text.split_inclusive('\n').filter(|line| line.ends_with('\n'));
    let head = lines.next().and_then(|line| serde_json::from_str::<Head>(line).ok());
    if head.is_none_or(|head| head.copy != copy) {
        return (history, 0);
    }
    let mut steps = 0;
    for line in lines {
        let Ok(step) = serde_json::from_str::<Step>(line) else { break };
        step.apply(&mut history);
        steps += 1;
    }
    // A gesture that the crash interrupted stays, as a step that can be undone.
    history.end_gesture();
    (history, steps)
}
