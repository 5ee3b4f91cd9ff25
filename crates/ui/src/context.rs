//! What the views are given to show; they hold no state of the program themselves.

use washboard_session::bench::{Direction, Reduced};
use washboard_session::{HandedOver, Session};
use washboard_study::{Board, BoardRequest};

/// Everything that the window shows for one frame.
pub struct Context<'a> {
    /// The session under work.
    pub session: &'a Session,
    /// Name of its file, without folder; absent: never saved.
    pub file_name: Option<String>,
    /// True while the file holds what is on screen.
    pub is_saved: bool,
    /// Counts the states of the session.
    pub revision: u64,
    /// What the board is asked for now: the selectors show it.
    pub request: BoardRequest,
    /// The newest results.
    pub board: Option<&'a Board>,
    /// True while `board` belongs to the session on screen.
    pub board_is_fresh: bool,
    /// Pieces of the running computation finished, and in all.
    pub progress: Option<(usize, usize)>,
    /// Why the session cannot be computed, one sentence.
    pub fault: Option<String>,
    /// What undo would take back.
    pub undo_label: Option<String>,
    /// What redo would do again.
    pub redo_label: Option<String>,
    /// Sentences to be read.
    pub notices: &'a [Notice],
    /// The set in the car now.
    pub in_car: Option<&'a HandedOver>,
    /// Local time, as text.
    pub now: String,
    /// What would be handed over.
    pub hand_over: &'a HandOverView,
    /// A question that must be answered first.
    pub question: Option<&'a Question>,
    /// Results before the running or the last edit.
    pub ghost: Option<&'a Board>,
    /// Damper bench data that wait to be taken.
    pub bench: Option<&'a BenchView>,
    /// How long the last frame took, ms.
    pub frame_ms: Option<f32>,
}

/// A file of damper bench data, read and made into a table.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchView {
    /// Name of the file, without folder.
    pub file: String,
    /// How the file was understood, one sentence each.
    pub read: Vec<String>,
    /// What a positive velocity in it was taken for.
    pub direction: Direction,
    /// The table, or why there is none.
    pub outcome: Result<Reduced, String>,
}

/// How much a notice matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Severity {
    /// Good to know.
    Information,
    /// Needs care.
    Caution,
    /// Something did not work.
    Fault,
}

/// A sentence to be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// How much it matters.
    pub severity: Severity,
    /// What happened, where, and how to mend it.
    pub text: String,
}

/// One check before a hand-over.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Check {
    /// What is checked.
    pub name: String,
    /// True where it holds.
    pub passed: bool,
    /// Why, one sentence.
    pub reason: String,
}

/// What would be handed over, and how the last hand-over went.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct HandOverView {
    /// Checks in the order they are shown.
    pub checks: Vec<Check>,
    /// Folder that the set is written to; empty: none chosen yet.
    pub folder: String,
    /// Identity of the set on screen, hexadecimal; empty: not known yet.
    pub identity: String,
    /// How the last hand-over of this run of the program went.
    pub last_result: Option<HandOverResult>,
}

/// How a hand-over went.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum HandOverResult {
    /// Written, read back and proven equal.
    Done {
        /// Identity, hexadecimal.
        identity: String,
        /// Where it lies.
        folder: String,
    },
    /// Not handed over; the sentence says why and what to do.
    Failed(String),
}

/// A question that must be answered before anything else.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Question {
    /// Something is about to replace or close a session with unsaved changes.
    UnsavedChanges {
        /// What is about to happen, as in "quit" or "open another session".
        next: String,
    },
    /// A session that was never saved was found from an earlier run.
    RecoveryFound {
        /// Its title.
        title: String,
        /// When it was kept, as local time text.
        time: String,
    },
}
