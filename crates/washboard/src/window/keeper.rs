//! Keeps a copy of unsaved work on disk from a thread of its own, and finds what a crash left behind.

use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};
use washboard_session::Session;
use washboard_session::journal::Step;
use washboard_session::recovery::{self, Leftover, Recovery};

/// Longest time until what was kept is on the disk itself, so that even a machine that dies loses less than a second.
const EVERY: Duration = Duration::from_millis(300);

/// Time until what the disk did not take is tried again.
const RETRY: Duration = Duration::from_secs(2);

enum Message {
    /// What the next steps begin from.
    From(Arc<Session>),
    /// Steps just made, with the session after them and its file.
    Keep(Vec<Step>, Arc<Session>, Option<PathBuf>),
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
            Some(mut place) => Some(
                std::thread::Builder::new()
                    .name("keeper".to_owned())
                    .spawn(move || keep(&mut place, &received, &complain))?,
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

    /// Says what the next steps begin from: the work as it was opened.
    pub fn begin_from(&self, session: &Arc<Session>) {
        self.send(Message::From(Arc::clone(session)));
    }

    /// Hands in unsaved work with the steps made since the last call; the same revision again, without steps, does nothing.
    pub fn keep(&mut self, revision: u64, steps: Vec<Step>, session: &Arc<Session>, path: Option<&Path>) {
        if self.last != Some(revision) || !steps.is_empty() {
            self.last = Some(revision);
            self.send(Message::Keep(steps, Arc::clone(session), path.map(Path::to_owned)));
        }
    }

    /// True while a copy stands on the disk, or is on its way there.
    pub fn has_kept(&self) -> bool {
        self.last.is_some()
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

fn keep(place: &mut Recovery, messages: &Receiver<Message>, complain: &Sender<String>) {
    // Work that the disk did not take yet.
    let mut waiting: Option<(Arc<Session>, Option<PathBuf>)> = None;
    let mut adopted: Vec<Leftover> = Vec::new();
    // When the first step came that is not on the disk itself.
    let mut unsynced: Option<Instant> = None;
    let mut said = String::new();
    let mut report = |fault: String| {
        if fault != said {
            said.clone_from(&fault);
            // The window may have gone; then nobody reads it.
            let _ = complain.send(format!("Unsaved work is not kept safe against a crash: {fault} Save soon."));
        }
    };
    loop {
        let due = unsynced.map(|at| EVERY.saturating_sub(at.elapsed()));
        let again = waiting.is_some().then_some(RETRY);
        let timeout = due.or(again).unwrap_or(Duration::from_secs(3600));
        let message = messages.recv_timeout(timeout);
        let is_over = matches!(message, Err(RecvTimeoutError::Disconnected));
        match message {
            Ok(Message::Keep(steps, session, path)) => {
                let time = jiff::Timestamp::now().to_string();
                // After a fault only a whole copy says where the work is.
                let kept = if waiting.is_some() {
                    place.write(&session, path.as_deref(), &time)
                } else {
                    place.record(&steps, &session, path.as_deref(), &time)
                };
                waiting = match kept {
                    Ok(()) => {
                        discard(&mut adopted);
                        unsynced.get_or_insert_with(Instant::now);
                        None
                    }
                    Err(fault) => {
                        report(fault.to_string());
                        Some((session, path))
                    }
                };
            }
            Ok(Message::From(session)) => place.begin_from(&session),
            Ok(Message::Adopt(leftover)) => adopted.push(*leftover),
            Ok(Message::Forget) => {
                (waiting, unsynced) = (None, None);
                if let Err(fault) = place.clear() {
                    report(format!("{}: {fault}.", place.path().display()));
                }
                discard(&mut adopted);
            }
            Err(_) => {
                if let Some((session, path)) = &waiting
                    && place.write(session, path.as_deref(), &jiff::Timestamp::now().to_string()).is_ok()
                {
                    waiting = None;
                    discard(&mut adopted);
                }
            }
        }
        if is_over || unsynced.is_some_and(|at| at.elapsed() >= EVERY) {
            unsynced = None;
            if let Err(fault) = place.sync() {
                report(format!("{}: {fault}.", place.path().display()));
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
        keeper.keep(1, vec![], &titled("first"), None);
        keeper.keep(2, vec![], &titled("second"), Some(Path::new("/somewhere/a.ron")));
        drop(keeper);
        assert_eq!(content(dir.path()), ["second"]);
        let mut next = Keeper::start_in(dir.path()).unwrap();
        let found = next.take_found().unwrap().unwrap();
        assert_eq!(found.original.as_deref(), Some(Path::new("/somewhere/a.ron")));
    }

    #[test]
    fn a_pull_is_taken_back_after_a_crash_as_it_was_at_the_desk() {
        let dir = tempfile::tempdir().unwrap();
        let mut keeper = Keeper::start_in(dir.path()).unwrap();
        let mut work = Work::demo().unwrap();
        keeper.begin_from(&work.snapshot());
        let keep = |keeper: &mut Keeper, work: &mut Work| {
            let steps = work.take_steps();
            keeper.keep(work.revision(), steps, &work.snapshot(), None);
        };
        let title = |title: &str| washboard_session::Edit::SetTitle(title.to_owned());
        work.edit(&title("first")).unwrap();
        work.begin_gesture("pull".to_owned());
        work.edit(&title("half way")).unwrap();
        keep(&mut keeper, &mut work);
        work.edit(&title("all the way")).unwrap();
        work.end_gesture();
        keep(&mut keeper, &mut work);
        work.undo();
        keep(&mut keeper, &mut work);
        drop(keeper);
        assert_eq!(content(dir.path()), ["first"]);
        // Steps were enough: the copy is of the time before the first of them.
        let copy = std::fs::read_to_string(dir.path().join("unsaved-0.ron")).unwrap();
        assert!(!copy.contains("half way") && !copy.contains("first"));
    }

    #[test]
    fn saved_work_leaves_nothing_behind() {
        let dir = tempfile::tempdir().unwrap();
        let mut keeper = Keeper::start_in(dir.path()).unwrap();
        keeper.keep(1, vec![], &titled("first"), None);
        keeper.forget();
        drop(keeper);
        assert!(content(dir.path()).is_empty());
    }

    #[test]
    fn recovered_work_is_never_without_a_copy() {
        let dir = tempfile::tempdir().unwrap();
        let mut keeper = Keeper::start_in(dir.path()).unwrap();
        keeper.keep(1, vec![], &titled("lost"), None);
        drop(keeper);
        // Taken over, and the program dies again before anything is saved.
        let mut keeper = Keeper::start_in(dir.path()).unwrap();
        let found = keeper.take_found().unwrap().unwrap();
        keeper.adopt(found);
        keeper.keep(1, vec![], &titled("lost"), None);
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
        keeper.keep(1, vec![], &titled("first"), None);
        assert!(keeper.faults().iter().any(|f| f.contains("not kept safe")));
    }
}
