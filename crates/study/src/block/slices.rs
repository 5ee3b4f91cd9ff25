//! Work that can be put aside and taken up by another thread, so that all threads are done at the same time.
//!
//! Three blocks of equal length on two threads take two block lengths if each is made at one go, and one and a half if they
//! are made in slices, always of the block that has most left.

use crate::{Cancelled, Progress};
use rayon::prelude::*;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Work under way.
pub(super) trait Begun<R>: Send {
    /// How much is left, in steps.
    fn left(&self) -> usize;
    /// Goes on by so many steps, or to the end.
    fn go_on(&mut self, steps: usize) -> Result<(), Cancelled>;
    /// What came of it; nothing is left.
    fn finish(self: Box<Self>) -> R;
}

/// Steps of a slice at least: some hundred microseconds, against a few that another thread takes to fetch the state.
const LEAST_SLICE: usize = 2000;
/// Slices that a piece of work is cut into at most.
const MOST_SLICES: usize = 8;

/// A piece of work by its number: not begun yet, or put aside.
enum Waiting<'w, R> {
    Whole(usize),
    PutAside(usize, Box<dyn Begun<R> + 'w>),
}

/// What the threads share.
struct Shared<'w, R> {
    /// Pieces that no thread is at.
    waiting: Vec<Waiting<'w, R>>,
    stopped: bool,
}

/// Makes so many pieces of work on all threads; `begin` begins the one of a number; `alike` where all take about as long, else the
/// longest come first. Results in the order of the numbers.
///
/// Pieces are made at one go while there are enough for all threads, so that few are under way at a time. A thread that finds
/// none waiting leaves: there are as many threads at work as pieces then.
pub(super) fn in_slices<'w, R: Send>(
    pieces: usize,
    alike: bool,
    progress: &Progress,
    begin: impl Fn(usize) -> Box<dyn Begun<R> + 'w> + Sync,
) -> Result<Vec<R>, Cancelled> {
    progress.expect(pieces);
    let threads = rayon::current_num_threads().min(pieces);
    // As many as come out even are made at one go; one round less, so that the rest has others to be cut with. A single round
    // is cut too: a thread may come to it late, from other work.
    let rest = pieces % threads.max(1);
    let comes_out_even = alike && rest == 0 && pieces > threads;
    let whole = if comes_out_even { pieces } else { (pieces - rest).saturating_sub(threads) };
    let shared = Mutex::new(Shared { waiting: (0..pieces).rev().map(Waiting::Whole).collect(), stopped: false });
    let take = |_: usize| {
        let mut done = Vec::new();
        while let Some(piece) = next(&shared) {
            let (number, mut begun) = match piece {
                Waiting::Whole(number) => (number, begin(number)),
                Waiting::PutAside(number, begun) => (number, begun),
            };
            let steps = if number < whole { usize::MAX } else { LEAST_SLICE.max(begun.left().div_ceil(MOST_SLICES)) };
            begun.go_on(steps).inspect_err(|_| lock(&shared).stopped = true)?;
            if begun.left() > 0 {
                lock(&shared).waiting.push(Waiting::PutAside(number, begun));
            } else {
                done.push((number, begun.finish()));
                progress.finish_one();
            }
        }
        Ok(done)
    };
    let done: Vec<Vec<(usize, R)>> =
        (0..threads).into_par_iter().with_max_len(1).map(take).collect::<Result<_, Cancelled>>()?;
    if lock(&shared).stopped {
        return Err(Cancelled);
    }
    let mut done: Vec<(usize, R)> = done.into_iter().flatten().collect();
    done.sort_by_key(|d| d.0);
    Ok(done.into_iter().map(|d| d.1).collect())
}

fn lock<'s, 'w, R>(shared: &'s Mutex<Shared<'w, R>>) -> MutexGuard<'s, Shared<'w, R>> {
    shared.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The piece that a free thread takes: one not begun yet, else the one with most left.
fn next<'w, R>(shared: &Mutex<Shared<'w, R>>) -> Option<Waiting<'w, R>> {
    let mut now = lock(shared);
    if now.stopped {
        return None;
    }
    let left = |piece: &Waiting<'_, R>| match piece {
        Waiting::Whole(number) => (1, usize::MAX - number),
        Waiting::PutAside(_, begun) => (0, begun.left()),
    };
    let most = (0..now.waiting.len()).max_by_key(|&i| left(&now.waiting[i]))?;
    Some(now.waiting.swap_remove(most))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

    /// Counts down, and counts those under way.
    struct Countdown<'c> {
        number: usize,
        left: usize,
        under_way: &'c AtomicUsize,
        most: &'c AtomicUsize,
        fails_at: usize,
    }

    impl<'c> Countdown<'c> {
        fn begin(number: usize, under_way: &'c AtomicUsize, most: &'c AtomicUsize, fails_at: usize) -> Self {
            most.fetch_max(1 + under_way.fetch_add(1, Ordering::SeqCst), Ordering::SeqCst);
            Countdown { number, left: 20_000 + number % 3, under_way, most, fails_at }
        }
    }

    impl Begun<(usize, usize)> for Countdown<'_> {
        fn left(&self) -> usize {
            self.left
        }
        fn go_on(&mut self, steps: usize) -> Result<(), Cancelled> {
            let steps = steps.min(self.left);
            self.left -= steps;
            std::thread::sleep(std::time::Duration::from_nanos(100 * steps as u64));
            if self.number == self.fails_at { Err(Cancelled) } else { Ok(()) }
        }
        fn finish(self: Box<Self>) -> (usize, usize) {
            assert_eq!(self.left, 0, "nothing is left");
            self.under_way.fetch_sub(1, Ordering::SeqCst);
            (self.number, self.most.load(Ordering::SeqCst))
        }
    }

    fn run(
        pieces: usize,
        alike: bool,
        threads: usize,
        fails_at: usize,
    ) -> (Result<Vec<(usize, usize)>, Cancelled>, Progress) {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let (progress, under_way, most) = (Progress::new(), AtomicUsize::new(0), AtomicUsize::new(0));
        let done = pool.install(|| {
            in_slices(pieces, alike, &progress, |number| {
                Box::new(Countdown::begin(number, &under_way, &most, fails_at))
            })
        });
        (done, progress)
    }

    #[test]
    fn every_piece_is_made_to_its_end_and_few_are_under_way_at_a_time() {
        for threads in 1..4 {
            for pieces in [0, 1, 2, 3, 4, 5, 7, 16] {
                for alike in [true, false] {
                    let (done, progress) = run(pieces, alike, threads, usize::MAX);
                    let done = done.unwrap();
                    assert_eq!(done.iter().map(|d| d.0).collect::<Vec<_>>(), (0..pieces).collect::<Vec<_>>());
                    assert_eq!(progress.state(), (pieces, pieces));
                    let most = done.iter().map(|d| d.1).max().unwrap_or(0);
                    assert!(most < 2 * threads.max(1) + 1, "{most} of {pieces} at a time on {threads} threads");
                }
            }
        }
    }

    #[test]
    fn a_stop_or_a_fault_in_one_piece_ends_all() {
        for threads in 1..4 {
            assert_eq!(run(5, true, threads, 3).0, Err(Cancelled));
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            let faulty = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
                pool.install(|| in_slices::<()>(5, false, &Progress::new(), |_| panic!("a fault")))
            }));
            assert!(faulty.is_err(), "the fault is passed on, and nobody waits for ever");
        }
    }
}
