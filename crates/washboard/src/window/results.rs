//! The boards that are there: which one is shown, whether it is what was asked for, and a few to come back to.

use super::worker::Job;
use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::Arc;
use washboard_session::Session;
use washboard_study::BoardRequest;

/// Boards kept, so that undo, redo and a look at another event and back need no computation. One takes some megabytes.
const KEPT: usize = 4;

/// What is asked for: everything that figures depend on.
#[derive(Clone)]
struct Wish {
    session: Arc<Session>,
    folder: Option<PathBuf>,
    opening: u64,
    request: BoardRequest,
}

impl Wish {
    fn of(job: &Job) -> Self {
        let Job { session, folder, opening, request, .. } = job.clone();
        Wish { session, folder, opening, request }
    }

    fn is_same(&self, other: &Wish) -> bool {
        self.request == other.request
            && self.opening == other.opening
            && self.folder == other.folder
            && have_same_figures(&self.session, &other.session)
    }
}

/// What a wish leads to.
pub enum Asked<B> {
    /// Nothing: it was asked for already.
    Nothing,
    /// This board, known from before, is shown now.
    Known(Arc<B>),
    /// This work.
    Work(Job),
}

/// The boards of one session; what a board holds does not matter here.
pub struct Results<B> {
    asked: Option<(u64, Wish)>,
    shown: Option<(u64, Arc<B>)>,
    fault: Option<String>,
    kept: VecDeque<(Wish, Arc<B>)>,
    last_ticket: u64,
}

impl<B> Default for Results<B> {
    fn default() -> Self {
        Results { asked: None, shown: None, fault: None, kept: VecDeque::new(), last_ticket: 0 }
    }
}

impl<B> Results<B> {
    /// Asks for a board; the job's ticket is given here.
    pub fn ask(&mut self, mut job: Job) -> Asked<B> {
        let wish = Wish::of(&job);
        if let Some((_, asked)) = &mut self.asked
            && asked.is_same(&wish)
        {
            // The same figures, perhaps of another snapshot: comparing with that one is quicker the next time.
            asked.session = wish.session;
            return Asked::Nothing;
        }
        self.last_ticket += 1;
        job.ticket = self.last_ticket;
        let known = self.kept.iter().find(|(kept, _)| kept.is_same(&wish)).map(|(_, board)| Arc::clone(board));
        self.asked = Some((job.ticket, wish));
        match known {
            Some(board) => {
                self.shown = Some((job.ticket, Arc::clone(&board)));
                self.fault = None;
                Asked::Known(board)
            }
            None => Asked::Work(job),
        }
    }

    /// Takes a board in, whole or as far as it goes; true if it is shown, which one behind a newer one is not. Whole ones are
    /// kept to come back to.
    pub fn take(&mut self, job: Job, board: &Arc<B>, is_whole: bool) -> bool {
        if is_whole {
            self.kept.push_front((Wish::of(&job), Arc::clone(board)));
            self.kept.truncate(KEPT);
        }
        // The whole one follows with the ticket of the first.
        let is_newer = self.shown.as_ref().is_none_or(|(shown, _)| *shown <= job.ticket);
        if is_newer {
            self.shown = Some((job.ticket, Arc::clone(board)));
            self.fault = None;
        }
        is_newer
    }

    /// Takes in why there is no board; a fault of something no longer asked for does not count.
    pub fn take_fault(&mut self, ticket: u64, sentence: String) {
        if self.asked.as_ref().is_some_and(|(asked, _)| *asked == ticket) {
            self.fault = Some(sentence);
        }
    }

    /// The board shown.
    pub fn board(&self) -> Option<&Arc<B>> {
        self.shown.as_ref().map(|(_, board)| board)
    }

    /// True where the board shown is the one asked for.
    pub fn are_fresh(&self) -> bool {
        let asked = self.asked.as_ref().map(|(ticket, _)| ticket);
        self.fault.is_none() && asked.is_some() && asked == self.shown.as_ref().map(|(ticket, _)| ticket)
    }

    /// Why there is no board of the session as it is.
    pub fn fault(&self) -> Option<&str> {
        self.fault.as_deref()
    }
}

/// True where two sessions differ in words and history at most, on which no figure depends.
fn have_same_figures(one: &Arc<Session>, other: &Arc<Session>) -> bool {
    let is_quickly_told = Arc::ptr_eq(one, other);
    is_quickly_told || {
        // Destructured, so that a new field has to be thought about here.
        let Session {
            format: _,
            title: _,
            notes: _,
            vehicle,
            dampers,
            conditions,
            controller,
            modes,
            events,
            reference_mode,
            fences,
            verdict_attributes: _,
            logbook: _,
            handed_over: _,
            in_car: _,
            began_from: _,
            release: _,
            proposed: _,
            below: _,
        } = &**one;
        *modes == other.modes
            && *events == other.events
            && *vehicle == other.vehicle
            && *dampers == other.dampers
            && *conditions == other.conditions
            && *controller == other.controller
            && *reference_mode == other.reference_mode
            && *fences == other.fences
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::window::work::Work;
    use washboard_session::Edit;
    use washboard_study::Model;

    fn job(work: &Work, event: usize) -> Job {
        let request = BoardRequest {
            model: Model::Full,
            load_case: 0,
            event,
            speed_km_h: 80.0,
            roughness_m_per_s2: 1.0,
            reference: 0,
        };
        Job { ticket: 0, revision: work.revision(), session: work.snapshot(), folder: None, opening: 0, request }
    }

    /// Stands for a board; only which one it is matters.
    fn board(job: &Job) -> Arc<u64> {
        Arc::new(job.revision)
    }

    fn asked(results: &mut Results<u64>, work: &Work, event: usize) -> Job {
        match results.ask(job(work, event)) {
            Asked::Work(job) => job,
            Asked::Known(_) | Asked::Nothing => panic!("no work was asked for"),
        }
    }

    #[test]
    fn results_are_fresh_until_the_next_edit_and_again_after_undo() {
        let (mut work, mut results) = (Work::demo().unwrap(), Results::default());
        let first = asked(&mut results, &work, 0);
        assert!(!results.are_fresh() && results.board().is_none());
        let of_first = board(&first);
        assert!(results.take(first, &of_first, true) && results.are_fresh());
        assert!(matches!(results.ask(job(&work, 0)), Asked::Nothing));

        work.edit(&Edit::event_weight(0, 7.0)).unwrap();
        let second = asked(&mut results, &work, 0);
        assert!(!results.are_fresh() && results.board().is_some(), "the older board stays on screen, greyed");
        let of_second = board(&second);
        results.take(second, &of_second, true);
        assert!(results.are_fresh());

        work.undo().unwrap();
        assert!(matches!(results.ask(job(&work, 0)), Asked::Known(board) if Arc::ptr_eq(&board, &of_first)));
        assert!(results.are_fresh());
    }

    #[test]
    fn words_and_history_need_no_computation() {
        let (mut work, mut results) = (Work::demo().unwrap(), Results::default());
        let first = asked(&mut results, &work, 0);
        let of_first = board(&first);
        results.take(first, &of_first, true);
        work.edit(&Edit::SetNotes("a note".to_owned())).unwrap();
        assert!(matches!(results.ask(job(&work, 0)), Asked::Nothing));
        assert!(results.are_fresh());
        work.edit(&Edit::SetFences(vec![])).unwrap();
        assert!(matches!(results.ask(job(&work, 0)), Asked::Work(_)), "fences are part of a board");
    }

    #[test]
    fn a_late_answer_never_takes_the_place_of_a_newer_one() {
        let (work, mut results) = (Work::demo().unwrap(), Results::default());
        let first = asked(&mut results, &work, 0);
        let second = asked(&mut results, &work, 1);
        let (of_first, of_second) = (board(&first), board(&second));
        let late = first.ticket;
        assert!(results.take(second, &of_second, true));
        assert!(!results.take(first, &of_first, true));
        results.take_fault(late, "late".to_owned());
        assert!(results.are_fresh() && results.fault().is_none());
        assert!(Arc::ptr_eq(results.board().unwrap(), &of_second));
    }

    #[test]
    fn a_fault_is_shown_until_there_is_a_board() {
        let (work, mut results) = (Work::demo().unwrap(), Results::default());
        let first = asked(&mut results, &work, 0);
        results.take_fault(first.ticket, "no profile".to_owned());
        assert_eq!(results.fault(), Some("no profile"));
        assert!(!results.are_fresh());
        let second = asked(&mut results, &work, 1);
        let of_second = board(&second);
        results.take(second, &of_second, true);
        assert!(results.are_fresh() && results.fault().is_none());
    }
}
