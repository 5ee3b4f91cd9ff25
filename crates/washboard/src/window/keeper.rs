//! Keeps a copy of unsaved work on disk from a thread of its own, and finds what a crash left behind.

use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};
use washboard_session::Session;
use washboard_session::recovery::{self, Leftover, Recovery};

/// Time between two copies while there are edits.
const EVERY: Duration = Duration::from_secs(2);

enum Message {
    /// Unsaved work, to be copied soon.
    Keep(Arc<Session>, Option<PathBuf>),
    /// Nothing unsaved is left.
    Forget,
    /// Left-behind work that was taken over: deleted once it stands in a copy of our own.
    Adopt(Box<Leftover>),
}

/// The thread and the way to it. Dropping it writes what is still to be kept.
pub struct Keeper {
    messages: Option<Sender<Message>>,
    faults: Receiver<String>,
    thread: Option<JoinHandle<()>>,
    found: VecDeque<Leftover>,
    last: Option<u64>,
}

impl Keeper {
    /// Looks for left-behind work in the recovery folder and begins to keep copies there. Where the system names no
    /// folder, or none can be made, the reason comes back among the faults and nothing is kept.
    pub fn start() -> std::io::Result<Self> {
        match recovery::default_folder() {
            Some(folder) => Self::start_in(&folder),
            None => Self::start_with(None, VecDeque::new(), Some("the system names no data folder".to_owned())),
        }
    }

    /// Keeps copies of a second session that is shown while another waits.
    pub fn beside() -> std::io::Result<Self> {
        let (place, fault) = match recovery::default_folder().map(|folder| Recovery::open(&folder)) {
            Some(Ok(place)) => (Some(place), None),
            Some(Err(fault)) => (None, Some(fault.to_string())),
            None => (None, Some("the system names no data folder".to_owned())),
        };
        Self::start_with(place, VecDeque::new(), fault)
    }

    fn start_in(folder: &Path) -> std::io::Result<Self> {
        let (found, no_search) = match recovery::find(folder) {
            Ok(found) => (VecDeque::from(found), None),
            Err(fault) => (VecDeque::new(), Some(fault.to_string())),
        };
        match Recovery::open(folder) {
            Ok(place) => Self::start_with(Some(place), found, no_search),
            Err(fault) => Self::start_with(None, found, Some(fault.to_string())),
        }
    }

    fn start_with(place: Option<Recovery>, found: VecDeque<Leftover>, fault: Option<String>) -> std::io::Result<Self> {
        let (messages, received) = channel();
        let (complain, faults) = channel();
        if let Some(fault) = fault {
            // The receiver is right here.
            let _ = complain.send(format!("Unsaved work is not kept safe against a crash: {fault}. Save often."));
        }
        let thread = match place {
            Some(place) => Some(
                std::thread::Builder::new()
                    .name("keeper".to_owned())
                    .spawn(move || keep(&place, &received, &complain))?,
            ),
            None => None,
        };
        Ok(Keeper { messages: Some(messages), faults, thread, found, last: None })
    }

    fn send(&self, message: Message) {
        if let Some(messages) = &self.messages {
            // Without a folder there is no thread, and that was said.
            let _ = messages.send(message);
        }
    }

    /// Hands in unsaved work; the same revision again does nothing.
    pub fn keep(&mut self, revision: u64, session: &Arc<Session>, path: Option<&Path>) {
        if self.last != Some(revision) {
            self.last = Some(revision);
            self.send(Message::Keep(Arc::clone(session), path.map(Path::to_owned)));
        }
    }

    /// Takes the copy away: everything is saved or given up.
    pub fn forget(&mut self) {
        self.last = None;
        self.send(Message::Forget);
    }

    /// Work that a crash left behind, one at a time; copies that cannot be read come back as a sentence.
    pub fn take_found(&mut self) -> Option<Result<Leftover, String>> {
        let leftover = self.found.pop_front()?;
        Some(match &leftover.content {
            Ok(_) => Ok(leftover),
            Err(_) => Err(format!("There is {leftover} It stays at {}.", leftover.path.display())),
        })
    }

    /// Keeps a left-behind copy until the work taken over from it stands in a copy of its own.
    pub fn adopt(&self, leftover: Leftover) {
        self.send(Message::Adopt(Box::new(leftover)));
    }

    /// What went wrong since the last call.
    pub fn faults(&self) -> Vec<String> {
        self.faults.try_iter().collect()
    }
}

impl Drop for Keeper {
    fn drop(&mut self) {
        self.messages = None;
        if let Some(thread) = self.thread.take() {
            // A thread that ended in a fault has written its report.
            let _ = thread.join();
        }
    }
}

fn keep(place: &Recovery, messages: &Receiver<Message>, complain: &Sender<String>) {
    let mut waiting: Option<(Arc<Session>, Option<PathBuf>)> = None;
    let mut adopted: Vec<Leftover> = Vec::new();
    let mut written = Instant::now().checked_sub(EVERY);
    let mut said = String::new();
    let mut report = |fault: String| {
        if fault != said {
            said.clone_from(&fault);
            // The window may have gone; then nobody reads it.
            let _ = complain.send(format!("Unsaved work is not kept safe against a crash: {fault} Save soon."));
        }
    };
    loop {
        let due = written.map_or(Duration::ZERO, |at| EVERY.saturating_sub(at.elapsed()));
        let timeout = if waiting.is_some() { due } else { Duration::from_secs(3600) };
        let message = messages.recv_timeout(timeout);
        let is_over = matches!(message, Err(RecvTimeoutError::Disconnected));
        match message {
            Ok(Message::Keep(session, path)) => waiting = Some((session, path)),
            Ok(Message::Adopt(leftover)) => adopted.push(*leftover),
            Ok(Message::Forget) => {
                waiting = None;
                if let Err(fault) = place.clear() {
                    report(format!("{}: {fault}.", place.path().display()));
                }
                discard(&mut adopted);
            }
            Err(_) => {}
        }
        let is_due = is_over || written.is_none_or(|at| at.elapsed() >= EVERY);
        if let Some((session, path)) = waiting.take_if(|_| is_due) {
            written = Some(Instant::now());
            match place.write(&session, path.as_deref(), &jiff::Timestamp::now().to_string()) {
                Ok(()) => discard(&mut adopted),
                Err(fault) => {
                    report(fault.to_string());
                    waiting = if is_over { None } else { Some((session, path)) };
                }
            }
        }
        if is_over {
            return;
        }
    }
}

fn discard(adopted: &mut Vec<Leftover>) {
    for leftover in adopted.drain(..) {
        if let Err(fault) = leftover.discard() {
            tracing::warn!("a recovery copy could not be deleted: {fault}");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::window::work::Work;

    fn content(folder: &Path) -> Vec<String> {
        let found = recovery::find(folder).unwrap();
        found.iter().map(|l| l.content.as_ref().map(|(s, _)| s.title.clone()).unwrap()).collect()
    }

    fn titled(title: &str) -> Arc<Session> {
        let mut session = (*Work::demo().unwrap().snapshot()).clone();
        session.title = title.to_owned();
        Arc::new(session)
    }

    #[test]
    fn the_newest_unsaved_work_outlives_the_program() {
        let dir = tempfile::tempdir().unwrap();
        let mut keeper = Keeper::start_in(dir.path()).unwrap();
        assert!(keeper.take_found().is_none());
        keeper.keep(1, &titled("first"), None);
        keeper.keep(2, &titled("second"), Some(Path::new("/somewhere/a.ron")));
        drop(keeper);
        assert_eq!(content(dir.path()), ["second"]);
        let mut next = Keeper::start_in(dir.path()).unwrap();
        let found = next.take_found().unwrap().unwrap();
        assert_eq!(found.original.as_deref(), Some(Path::new("/somewhere/a.ron")));
    }

    #[test]
    fn saved_work_leaves_nothing_behind() {
        let dir = tempfile::tempdir().unwrap();
        let mut keeper = Keeper::start_in(dir.path()).unwrap();
        keeper.keep(1, &titled("first"), None);
        keeper.forget();
        drop(keeper);
        assert!(content(dir.path()).is_empty());
    }

    #[test]
    fn recovered_work_is_never_without_a_copy() {
        let dir = tempfile::tempdir().unwrap();
        let mut keeper = Keeper::start_in(dir.path()).unwrap();
        keeper.keep(1, &titled("lost"), None);
        drop(keeper);
        // Taken over, and the program dies again before anything is saved.
        let mut keeper = Keeper::start_in(dir.path()).unwrap();
        let found = keeper.take_found().unwrap().unwrap();
        keeper.adopt(found);
        keeper.keep(1, &titled("lost"), None);
        drop(keeper);
        assert_eq!(content(dir.path()), ["lost"]);
    }

    #[test]
    fn a_copy_that_cannot_be_read_is_said_and_left_alone() {
        let dir = tempfile::tempdir().unwrap();
        let copy = dir.path().join("unsaved-0.ron");
        std::fs::write(&copy, "nonsense").unwrap();
        let mut keeper = Keeper::start_in(dir.path()).unwrap();
        let sentence = keeper.take_found().unwrap().unwrap_err();
        assert!(sentence.contains("unsaved-0.ron"), "{sentence}");
        keeper.forget();
        drop(keeper);
        assert_eq!(std::fs::read(&copy).unwrap(), b"nonsense");
    }

    #[test]
    fn a_folder_that_cannot_be_made_is_said() {
        let dir = tempfile::tempdir().unwrap();
        std::fs::write(dir.path().join("file"), "").unwrap();
        let mut keeper = Keeper::start_in(&dir.path().join("file").join("recovery")).unwrap();
        keeper.keep(1, &titled("first"), None);
        assert!(keeper.faults().iter().any(|f| f.contains("not kept safe")));
    }
}
