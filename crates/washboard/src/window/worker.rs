//! Background work of the window: one thread, the newest request wins, results come back with their revision.
//!
//! A board comes twice where the intervals of its differences take longer than all the rest: first without them. Once that
//! is there, a newer request need not wait.

use crate::{crash, profiles};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};
use washboard_session::Session;
use washboard_study::{Board, BoardRequest, Cancelled, Memory, Profiles, Progress, Study};

/// Work shorter than this is let finish even when a newer request waits, so that a drag shows results all along.
const WORTH_CANCELLING: Duration = Duration::from_millis(150);

/// One wish: this state of the session, shown like that.
#[derive(Clone)]
pub struct Job {
    /// Which wish this is, handed back with the answer.
    pub ticket: u64,
    /// Revision of the session.
    pub revision: u64,
    /// The session as it was.
    pub session: Arc<Session>,
    /// Folder of its file, where its profiles lie; absent while it was never saved.
    pub folder: Option<PathBuf>,
    /// Counts the files opened, so that opening one again reads its profiles again.
    pub opening: u64,
    /// What to show of it.
    pub request: BoardRequest,
}

/// What came of a job.
pub struct Answer {
    /// The job.
    pub job: Job,
    /// The board, or one sentence why there is none.
    pub outcome: Outcome,
}

#[derive(Default)]
struct Slot {
    next: Option<Job>,
    running: Option<Running>,
    last_was_cancelled: bool,
    quit: bool,
}

struct Running {
    request: BoardRequest,
    since: Instant,
    progress: Arc<Progress>,
    /// A first answer was given.
    has_answered: bool,
}

#[derive(Default)]
struct Shared {
    slot: Mutex<Slot>,
    wake: Condvar,
}

impl Shared {
    /// The slot holds no half-done state between statements, so a poisoned lock is as good as any.
    fn slot(&self) -> MutexGuard<'_, Slot> {
        self.slot.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The thread and the way to it. Dropping it stops the work.
pub struct Worker {
    shared: Arc<Shared>,
    answers: Receiver<Answer>,
    thread: Option<JoinHandle<()>>,
}

impl Worker {
    /// Starts the thread; `wake_window` is called whenever an answer waits.
    pub fn start(wake_window: impl Fn() + Send + 'static) -> std::io::Result<Self> {
        Self::start_with(wake_window, Box::new(Bench::default()))
    }

    fn start_with(wake_window: impl Fn() + Send + 'static, bench: Box<dyn Compute>) -> std::io::Result<Self> {
        let shared = Arc::new(Shared::default());
        let (sender, answers) = channel();
        let thread = {
            let shared = Arc::clone(&shared);
            std::thread::Builder::new()
                .name("board".to_owned())
                .spawn(move || work(&shared, &sender, &wake_window, bench))?
        };
        Ok(Worker { shared, answers, thread: Some(thread) })
    }

    /// Puts a job in, in place of one that has not begun; work whose result nobody wants any more is stopped.
    pub fn submit(&self, job: Job) {
        let mut slot = self.shared.slot();
        if let Some(running) = &slot.running {
            let is_useless = running.request != job.request;
            let is_slow = running.since.elapsed() > WORTH_CANCELLING && !slot.last_was_cancelled;
            if is_useless || is_slow || running.has_answered {
                running.progress.cancel();
            }
        }
        slot.next = Some(job);
        self.shared.wake.notify_one();
    }

    /// The next answer that is there.
    pub fn poll(&self) -> Option<Answer> {
        self.answers.try_recv().ok()
    }

    /// Pieces done and pieces in all of the work that runs, absent while idle.
    pub fn progress(&self) -> Option<(usize, usize)> {
        self.shared.slot().running.as_ref().map(|r| r.progress.state())
    }
}

impl Drop for Worker {
    fn drop(&mut self) {
        {
            let mut slot = self.shared.slot();
            slot.quit = true;
            if let Some(running) = &slot.running {
                running.progress.cancel();
            }
        }
        self.shared.wake.notify_one();
        if let Some(thread) = self.thread.take() {
            // Nothing is left to do for a thread that ended in a fault: its report is written.
            let _ = thread.join();
        }
    }
}

/// The board, or one sentence why there is none.
type Outcome = Result<Arc<Board>, String>;

/// Takes a first answer, before the whole one.
type First<'f> = &'f dyn Fn(Arc<Board>);

/// Turns a job into a board; a trait so that the queue can be tested without a car.
trait Compute: Send {
    fn compute(&mut self, job: &Job, progress: &Progress, first: First<'_>) -> Result<Outcome, Cancelled>;
    /// Forgets everything kept between jobs.
    fn reset(&mut self);
}

/// The real thing: keeps profiles, compiled study, roads and results between jobs.
#[derive(Default)]
struct Bench {
    profiles: Option<(ProfileKey, Profiles)>,
    memory: Memory,
    study: Option<(StudyKey, Study)>,
    previous: Option<Arc<Board>>,
}

/// Which profiles were read: opening, folder, files named.
type ProfileKey = (u64, Option<PathBuf>, Vec<String>);
/// Which study was compiled: revision and profiles.
type StudyKey = (u64, ProfileKey);

impl Bench {
    fn study(&mut self, job: &Job) -> anyhow::Result<&Study> {
        let files = profiles::named(&job.session);
        let key = (job.revision, (job.opening, job.folder.clone(), files));
        if self.study.as_ref().is_none_or(|(known, _)| *known != key) {
            let profiles = match self.profiles.take() {
                Some((known, profiles)) if known == key.1 => profiles,
                _ => profiles::read_all(&job.session, job.folder.as_deref())?,
            };
            let study = Study::new(&job.session, &profiles);
            self.profiles = Some((key.1.clone(), profiles));
            self.study = Some((key, study?.sharing(&self.memory)));
        }
        self.study.as_ref().map(|(_, study)| study).ok_or_else(|| anyhow::anyhow!("the session was not compiled"))
    }
}

impl Compute for Bench {
    fn compute(&mut self, job: &Job, progress: &Progress, first: First<'_>) -> Result<Outcome, Cancelled> {
        let previous = self.previous.clone();
        let at_once = match self.study(job) {
            Ok(study) => Arc::new(study.board_at_once(&job.request, previous.as_deref(), progress)?),
            Err(fault) => return Ok(Err(format!("{fault:#}"))),
        };
        self.previous = Some(Arc::clone(&at_once));
        if !at_once.more_follows {
            return Ok(Ok(at_once));
        }
        first(Arc::clone(&at_once));
        match self.study(job) {
            Ok(study) => Ok(Ok(Arc::new(study.board(&job.request, Some(&at_once), progress)?))),
            Err(fault) => Ok(Err(format!("{fault:#}"))),
        }
    }

    fn reset(&mut self) {
        *self = Bench::default();
    }
}

fn work(shared: &Shared, answers: &Sender<Answer>, wake_window: &dyn Fn(), mut bench: Box<dyn Compute>) {
    while let Some((job, progress)) = take(shared) {
        let first = |board: Arc<Board>| {
            {
                let mut slot = shared.slot();
                if let Some(running) = &mut slot.running {
                    running.has_answered = true;
                }
                if slot.next.is_some() {
                    progress.cancel();
                }
            }
            // Where the window has gone, the work is stopped as well.
            let _ = answers.send(Answer { job: job.clone(), outcome: Ok(board) });
            wake_window();
        };
        let result = catch_unwind(AssertUnwindSafe(|| bench.compute(&job, &progress, &first)));
        let outcome = match result {
            Ok(Ok(outcome)) => Some(outcome),
            Ok(Err(Cancelled)) => None,
            Err(panic) => {
                bench.reset();
                Some(Err(format!("a fault inside the computation: {}", crash::reason(&*panic))))
            }
        };
        {
            let mut slot = shared.slot();
            let has_answered = slot.running.take().is_some_and(|running| running.has_answered);
            slot.last_was_cancelled = outcome.is_none() && !has_answered;
        }
        if let Some(outcome) = outcome {
            if answers.send(Answer { job, outcome }).is_err() {
                return;
            }
            wake_window();
        }
    }
}

/// Waits for a job and marks it as running; absent when the window has gone.
fn take(shared: &Shared) -> Option<(Job, Arc<Progress>)> {
    let mut slot = shared.slot();
    loop {
        if slot.quit {
            return None;
        }
        if let Some(job) = slot.next.take() {
            let progress = Arc::new(Progress::new());
            slot.running = Some(Running {
                request: job.request.clone(),
                since: Instant::now(),
                progress: Arc::clone(&progress),
                has_answered: false,
            });
            return Some((job, progress));
        }
        slot = shared.wake.wait(slot).unwrap_or_else(PoisonError::into_inner);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
    use washboard_study::Model;

    /// Takes its time, stops when told to, and answers with the revision.
    struct Slow {
        takes: Duration,
        begun: Arc<AtomicUsize>,
    }

    impl Compute for Slow {
        fn compute(&mut self, job: &Job, progress: &Progress, _: First<'_>) -> Result<Outcome, Cancelled> {
            self.begun.fetch_add(1, Ordering::SeqCst);
            let until = Instant::now() + self.takes;
            while Instant::now() < until {
                progress.check()?;
                std::thread::sleep(Duration::from_millis(1));
            }
            assert_ne!(job.request.event, 99, "an event that breaks the computation");
            Ok(Err(format!("revision {}", job.revision)))
        }
        fn reset(&mut self) {}
    }

    /// Waits until it may answer, whoever asks it to stop.
    struct Gated {
        begun: Arc<AtomicUsize>,
        open: Arc<AtomicBool>,
    }

    impl Compute for Gated {
        fn compute(&mut self, job: &Job, _: &Progress, _: First<'_>) -> Result<Outcome, Cancelled> {
            self.begun.fetch_add(1, Ordering::SeqCst);
            while !self.open.load(Ordering::SeqCst) {
                std::thread::sleep(Duration::from_millis(1));
            }
            Ok(Err(format!("revision {}", job.revision)))
        }
        fn reset(&mut self) {}
    }

    /// Gives a first answer at once, and takes long over the whole one.
    struct Twice;

    impl Compute for Twice {
        fn compute(&mut self, job: &Job, progress: &Progress, first: First<'_>) -> Result<Outcome, Cancelled> {
            let session = &*job.session;
            let study = Study::new(session, &Profiles::default()).unwrap();
            let request = BoardRequest { model: Model::QuarterFront, ..job.request.clone() };
            first(Arc::new(study.board_at_once(&request, None, &Progress::new())?));
            let until = Instant::now() + Duration::from_secs(if job.revision < 9 { 60 } else { 0 });
            while Instant::now() < until {
                progress.check()?;
                std::thread::sleep(Duration::from_millis(1));
            }
            Ok(Err(format!("revision {}", job.revision)))
        }
        fn reset(&mut self) {}
    }

    #[test]
    fn once_there_is_a_first_answer_a_newer_request_need_not_wait() {
        let worker = Worker::start_with(|| {}, Box::new(Twice)).unwrap();
        let short = |revision: u64| {
            let mut job = job(revision, 0);
            let session = Arc::make_mut(&mut job.session);
            session.events.truncate(1);
            session.fences.clear();
            session.events[0].duration_s = 1.0;
            session.events[0].settle_s = 0.0;
            job
        };
        worker.submit(short(0));
        assert_eq!(answers_until(&worker, 0), [0], "the first answer");
        // Neither waits a minute for the whole one before it.
        worker.submit(short(1));
        assert_eq!(answers_until(&worker, 1), [1]);
        worker.submit(short(9));
        let mut seen = answers_until(&worker, 9);
        while seen.len() < 2 {
            seen.extend(worker.poll().map(|a| a.job.revision));
        }
        assert_eq!(seen, [9, 9], "the first and the whole one");
    }

    fn slow(takes_ms: u64) -> (Worker, Arc<AtomicUsize>) {
        let begun = Arc::new(AtomicUsize::new(0));
        let bench = Slow { takes: Duration::from_millis(takes_ms), begun: Arc::clone(&begun) };
        (Worker::start_with(|| {}, Box::new(bench)).unwrap(), begun)
    }

    fn job(revision: u64, event: usize) -> Job {
        let session = washboard_session::parse_ron(crate::window::work::DEMO).unwrap();
        let request = BoardRequest {
            model: Model::Full,
            load_case: 0,
            event,
            speed_km_h: 80.0,
            roughness_m_per_s2: 1.0,
            reference: 0,
        };
        Job { ticket: revision, revision, session: Arc::new(session), folder: None, opening: 0, request }
    }

    fn answers_until(worker: &Worker, last: u64) -> Vec<u64> {
        let until = Instant::now() + Duration::from_secs(20);
        let mut seen = Vec::new();
        while seen.last() != Some(&last) {
            assert!(Instant::now() < until, "no answer to revision {last}, only {seen:?}");
            seen.extend(std::iter::from_fn(|| worker.poll()).map(|a| a.job.revision));
            std::thread::sleep(Duration::from_millis(1));
        }
        seen
    }

    #[test]
    fn the_newest_request_wins_and_those_between_are_never_begun() {
        let (begun, open) = (Arc::new(AtomicUsize::new(0)), Arc::new(AtomicBool::new(false)));
        let bench = Gated { begun: Arc::clone(&begun), open: Arc::clone(&open) };
        let worker = Worker::start_with(|| {}, Box::new(bench)).unwrap();
        worker.submit(job(0, 0));
        while begun.load(Ordering::SeqCst) == 0 {
            std::thread::sleep(Duration::from_millis(1));
        }
        for revision in 1..50 {
            worker.submit(job(revision, 0));
        }
        open.store(true, Ordering::SeqCst);
        assert_eq!(answers_until(&worker, 49), [0, 49]);
        assert_eq!(begun.load(Ordering::SeqCst), 2);
    }

    #[test]
    fn a_steady_stream_of_edits_is_answered_all_along() {
        let (worker, _) = slow(40);
        for revision in 0..60 {
            worker.submit(job(revision, 0));
            std::thread::sleep(Duration::from_millis(10));
        }
        let seen = answers_until(&worker, 59);
        assert!(seen.len() >= 6, "only {seen:?} were shown during 0.6 s of edits");
    }

    #[test]
    fn slow_work_is_cut_short_for_a_newer_request_but_not_for_ever() {
        let (worker, _) = slow(400);
        let since = Instant::now();
        let mut revision = 0;
        while since.elapsed() < Duration::from_millis(2500) {
            worker.submit(job(revision, 0));
            revision += 1;
            std::thread::sleep(Duration::from_millis(20));
        }
        let last = revision - 1;
        let seen = answers_until(&worker, last);
        assert!(seen.len() >= 3, "only {seen:?} came through");
    }

    #[test]
    fn a_result_nobody_wants_any_more_is_cut_short() {
        let (worker, begun) = slow(10_000);
        worker.submit(job(0, 0));
        while begun.load(Ordering::SeqCst) == 0 {
            std::thread::sleep(Duration::from_millis(1));
        }
        let since = Instant::now();
        // Another event asked for: the slow work is stopped at once, and dropping the worker stops the next.
        worker.submit(job(0, 1));
        while begun.load(Ordering::SeqCst) == 1 {
            assert!(since.elapsed() < Duration::from_secs(5), "the first job was not stopped");
            std::thread::sleep(Duration::from_millis(1));
        }
        drop(worker);
        assert!(since.elapsed() < Duration::from_secs(5), "dropping waited for the work");
    }

    #[test]
    fn a_fault_in_the_computation_is_a_sentence_and_the_thread_lives_on() {
        let (worker, _) = slow(1);
        worker.submit(job(7, 99));
        let until = Instant::now() + Duration::from_secs(20);
        let answer = loop {
            assert!(Instant::now() < until);
            if let Some(answer) = worker.poll() {
                break answer;
            }
        };
        assert!(answer.outcome.is_err_and(|sentence| sentence.contains("breaks the computation")));
        worker.submit(job(8, 0));
        answers_until(&worker, 8);
    }
}
