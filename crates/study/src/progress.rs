//! Progress and cancel of long work, shared between the worker and whoever waits for it; and who goes first.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Condvar, Mutex, MutexGuard, OnceLock, PoisonError};
use std::time::Duration;

/// Counts finished pieces and carries the wish to stop.
#[derive(Debug, Default)]
pub struct Progress {
    done: AtomicUsize,
    total: AtomicUsize,
    stop: AtomicBool,
    gives_way: bool,
}

/// The work was stopped because a newer request came.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the computation was stopped")]
pub struct Cancelled;

impl Progress {
    /// Nothing done yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Of work that rests while a board is computed, so that an edit is answered as quickly as without it. It has threads
    /// of its own.
    pub fn giving_way() -> Self {
        Progress { gives_way: true, ..Self::default() }
    }

    /// Pieces finished and pieces in all.
    pub fn state(&self) -> (usize, usize) {
        (self.done.load(Ordering::Relaxed), self.total.load(Ordering::Relaxed))
    }
    /// Asks the work to stop soon.
    pub fn cancel(&self) {
        self.stop.store(true, Ordering::Relaxed);
        if self.gives_way {
            URGENT.over.notify_all();
        }
    }
    /// True once somebody asked to stop.
    pub fn is_cancelled(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
    /// `Err` once somebody asked to stop. Work that gives way rests here while a board is computed.
    pub fn check(&self) -> Result<(), Cancelled> {
        if self.gives_way && URGENT.count.load(Ordering::Relaxed) > 0 {
            self.rest();
        }
        if self.is_cancelled() { Err(Cancelled) } else { Ok(()) }
    }
    pub(crate) fn expect(&self, pieces: usize) {
        self.total.fetch_add(pieces, Ordering::Relaxed);
    }
    pub(crate) fn finish_one(&self) {
        self.done.fetch_add(1, Ordering::Relaxed);
    }

    /// Does work on the threads it belongs to: one that gives way must not hold those that a board needs.
    pub(crate) fn run<R: Send>(&self, work: impl FnOnce() -> R + Send) -> R {
        static OWN: OnceLock<Option<rayon::ThreadPool>> = OnceLock::new();
        let start = || rayon::ThreadPoolBuilder::new().thread_name(|i| format!("patient {i}")).build().ok();
        match OWN.get_or_init(start) {
            Some(own) if self.gives_way => own.install(work),
            _ => work(),
        }
    }

    #[cold]
    fn rest(&self) {
        let mut waiting = URGENT.lock();
        while URGENT.count.load(Ordering::Relaxed) > 0 && !self.is_cancelled() {
            // A wish to stop may come between the look and the wait: it is seen at the latest when the time is up.
            let woken = URGENT.over.wait_timeout(waiting, Duration::from_millis(5));
            waiting = woken.unwrap_or_else(PoisonError::into_inner).0;
        }
    }
}

/// Boards that are being computed, and the bell that rings when one is done.
struct UrgentWork {
    count: AtomicUsize,
    bell: Mutex<()>,
    over: Condvar,
}

static URGENT: UrgentWork = UrgentWork { count: AtomicUsize::new(0), bell: Mutex::new(()), over: Condvar::new() };

impl UrgentWork {
    fn lock(&self) -> MutexGuard<'_, ()> {
        self.bell.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// While it lives, work that gives way rests.
pub(crate) struct Urgent(());

impl Urgent {
    pub fn begin() -> Self {
        URGENT.count.fetch_add(1, Ordering::Relaxed);
        Urgent(())
    }
}

impl Drop for Urgent {
    fn drop(&mut self) {
        URGENT.count.fetch_sub(1, Ordering::Relaxed);
        URGENT.over.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_that_gives_way_goes_on_when_the_board_is_done() {
        let urgent = Urgent::begin();
        let patient = Progress::giving_way();
        let passed = AtomicBool::new(false);
        std::thread::scope(|scope| {
            let waiting = scope.spawn(|| {
                let looked = patient.check();
                passed.store(true, Ordering::SeqCst);
                looked
            });
            assert_eq!(Progress::new().check(), Ok(()), "the board itself goes on");
            std::thread::sleep(Duration::from_millis(40));
            assert!(!passed.load(Ordering::SeqCst), "it rests");
            drop(urgent);
            assert_eq!(waiting.join().ok(), Some(Ok(())));
        });
        let urgent = Urgent::begin();
        patient.cancel();
        assert_eq!(patient.check(), Err(Cancelled), "a wish to stop is heard at rest");
        drop(urgent);
    }
}
