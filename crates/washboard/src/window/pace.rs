//! How long an edit takes to the screen: the edit itself, the computation, the drawing.

use std::collections::VecDeque;
use std::time::{Duration, Instant};
use washboard_ui::{Pace, Spell};

/// Edits that the worst is taken of.
const KEPT: usize = 100;

/// An edit on its way: begun, asked for under a ticket, answered.
struct Trip {
    begun: Instant,
    ticket: u64,
    asked: Instant,
    answered: Option<Instant>,
}

/// Times of the last edits.
#[derive(Default)]
pub struct Stopwatch {
    /// When the first edit was made whose board is not asked for yet.
    edited: Option<Instant>,
    trip: Option<Trip>,
    /// Edit, computation, drawing and all of it.
    done: VecDeque<[Duration; 4]>,
}

impl Stopwatch {
    /// An edit begins to be applied.
    pub fn edit(&mut self) {
        self.edited.get_or_insert_with(Instant::now);
    }

    /// A board is asked for. Boards asked for without an edit are not timed.
    pub fn asked(&mut self, ticket: u64) {
        if let Some(begun) = self.edited.take() {
            self.trip = Some(Trip { begun, ticket, asked: Instant::now(), answered: None });
        }
    }

    /// There is nothing to compute.
    pub fn known(&mut self) {
        self.edited = None;
    }

    /// A board has come and is shown from now on.
    pub fn answered(&mut self, ticket: u64) {
        if let Some(trip) = self.trip.as_mut().filter(|trip| trip.ticket == ticket) {
            trip.answered = Some(Instant::now());
        }
    }

    /// The views have drawn what was there; true where that was the board of an edit.
    pub fn drawn(&mut self) -> bool {
        let Some(trip) = self.trip.take_if(|trip| trip.answered.is_some()) else { return false };
        let (now, answered) = (Instant::now(), trip.answered.unwrap_or(trip.asked));
        if self.done.len() >= KEPT {
            self.done.pop_front();
        }
        self.done.push_back([trip.asked - trip.begun, answered - trip.asked, now - answered, now - trip.begun]);
        true
    }

    /// The last and the worst times; absent before the first edit.
    pub fn pace(&self) -> Option<Pace> {
        let last = self.done.back()?;
        let spell = |k: usize| Spell {
            last_ms: last[k].as_secs_f64() * 1e3,
            worst_ms: self.done.iter().map(|times| times[k].as_secs_f64() * 1e3).fold(0.0, f64::max),
        };
        Some(Pace { edit: spell(0), compute: spell(1), draw: spell(2), whole: spell(3), edits: self.done.len() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_edit_is_timed_from_the_hand_to_the_screen() {
        let mut watch = Stopwatch::default();
        watch.asked(1);
        watch.answered(1);
        assert!(!watch.drawn() && watch.pace().is_none(), "looking at another event is no edit");
        watch.edit();
        watch.asked(2);
        assert!(!watch.drawn(), "nothing has come yet");
        std::thread::sleep(Duration::from_millis(12));
        watch.answered(1);
        assert!(!watch.drawn(), "an older board is not that of the edit");
        watch.answered(2);
        assert!(watch.drawn() && !watch.drawn());
        let pace = watch.pace().unwrap_or_else(|| panic!("an edit was timed"));
        assert!(pace.compute.last_ms >= 12.0 && pace.whole.last_ms >= pace.compute.last_ms);
        assert_eq!(pace.edits, 1);
    }

    #[test]
    fn the_worst_is_that_of_the_last_hundred() {
        let mut watch = Stopwatch::default();
        for ticket in 0..=KEPT as u64 {
            watch.edit();
            watch.asked(ticket);
            if ticket == 0 {
                std::thread::sleep(Duration::from_millis(30));
            }
            watch.answered(ticket);
            watch.drawn();
            let worst = watch.pace().map_or(0.0, |pace| pace.whole.worst_ms);
            assert!(ticket == KEPT as u64 || worst >= 30.0);
        }
        assert_eq!(watch.pace().map(|pace| pace.edits), Some(KEPT));
        assert!(watch.pace().is_some_and(|pace| pace.compute.worst_ms < 30.0), "the slow one is forgotten");
    }
}
