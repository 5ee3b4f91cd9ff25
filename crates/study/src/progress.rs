//! Progress and cancel of long work, shared between the worker and whoever waits for it.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

/// Counts finished pieces and carries the wish to stop.
#[derive(Debug, Default)]
pub struct Progress {
    done: AtomicUsize,
    total: AtomicUsize,
    stop: AtomicBool,
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
    /// Pieces finished and pieces in all.
    pub fn state(&self) -> (usize, usize) {
        (self.done.load(Ordering::Relaxed), self.total.load(Ordering::Relaxed))
    }
    /// Asks the work to stop soon.
    pub fn cancel(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }
    /// True once somebody asked to stop.
    pub fn is_cancelled(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
    /// `Err` once somebody asked to stop.
    pub fn check(&self) -> Result<(), Cancelled> {
        if self.is_cancelled() { Err(Cancelled) } else { Ok(()) }
    }
    pub(crate) fn expect(&self, pieces: usize) {
        self.total.fetch_add(pieces, Ordering::Relaxed);
    }
    pub(crate) fn finish_one(&self) {
        self.done.fetch_add(1, Ordering::Relaxed);
    }
}
