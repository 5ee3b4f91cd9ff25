//! What the views are given to show; they hold no state of the program themselves.

use crate::side::ColumnKey;
use washboard_handover::{Layout, PreCheck, TableError, Verdict};
use washboard_metrics::MetricId;
use washboard_session::bench::{Direction, Reduced};
use washboard_session::{Complaints, HandedOver, Mode, Session, SetStatus};
use washboard_study::{Board, BoardRequest, Levers, SideBoard};

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
    /// Long work in the background that can be stopped.
    pub under_way: Option<UnderWay>,
    /// Sentences to be read.
    pub notices: &'a [Notice],
    /// The set in the car now.
    pub in_car: Option<&'a HandedOver>,
    /// Since when it is there, RFC 3339; empty without one.
    pub in_car_since: &'a str,
    /// Files opened and saved lately, newest first.
    pub recent: &'a [Recent],
    /// The program and its parts.
    pub about: &'a About,
    /// The end of the log file, once it was asked for.
    pub log: Option<&'a LogText>,
    /// Local time, as text.
    pub now: String,
    /// An RFC 3339 time by the clock of this place; any other text as it is.
    pub local_time: &'a dyn Fn(&str) -> String,
    /// What would be handed over.
    pub hand_over: &'a HandOverView,
    /// What loggers' files say, one entry a run in the order of the logbook; absent: nothing known (yet).
    pub measured: &'a [Option<Result<MeasuredView, String>>],
    /// The run whose log file is being read, and how much of it is, in hundredths.
    pub reading_log: Option<(usize, u32)>,
    /// What was read back last.
    pub read_back: Option<&'a ReadBackView>,
    /// A question that must be answered first.
    pub question: Option<&'a Question>,
    /// Results before the running or the last edit.
    pub ghost: Option<&'a Board>,
    /// Damper bench data that wait to be taken.
    pub bench: Option<&'a BenchView>,
    /// How long the last frame took, ms.
    pub frame_ms: Option<f32>,
    /// How long the last edits took to the screen.
    pub pace: Option<Pace>,
    /// The columns of Side by side as they were computed last.
    pub side: SideView<'a>,
    /// The session on screen is a copy of an earlier state: of which, and what waits behind it.
    pub reopened: Option<&'a Reopened>,
    /// What drivers say, and where to look then.
    pub complaints: &'a Complaints,
    /// Where that table comes from.
    pub complaints_from: &'a str,
    /// What cells do to the metric that is looked at.
    pub lever: LeverView<'a>,
    /// Sets read back from folders, beside those that the session has noted.
    pub opened_sets: &'a [OpenedSet],
}

/// How long an edit takes to the screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pace {
    /// Applying the edit and asking for its results.
    pub edit: Spell,
    /// From there until the results are there.
    pub compute: Spell,
    /// Laying them out to be painted.
    pub draw: Spell,
    /// All of it.
    pub whole: Spell,
    /// Edits that the worst is taken of.
    pub edits: usize,
}

/// Time of the last edit and of the slowest of the last ones, ms.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spell {
    /// The last one.
    pub last_ms: f64,
    /// The slowest.
    pub worst_ms: f64,
}

/// Long work in the background.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnderWay {
    /// What is being done.
    pub what: String,
    /// Pieces finished, and in all; none in all: not known yet.
    pub progress: (usize, usize),
}

/// A copy of the session as it was at a set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reopened {
    /// Title of the session that waits behind it.
    pub behind: String,
    /// Identity of the set, hexadecimal.
    pub identity: String,
    /// When the set was handed over.
    pub time: String,
    /// False where only the modes of that time are known.
    pub is_whole: bool,
}

/// The columns of Side by side as they were computed last.
#[derive(Clone, Copy, Debug, Default)]
pub struct SideView<'a> {
    /// The results.
    pub board: Option<&'a SideBoard>,
    /// The columns that `board` is of, in its order.
    pub keys: &'a [ColumnKey],
    /// True while `board` is what is asked for now.
    pub is_fresh: bool,
    /// Pieces of the running computation finished, and in all.
    pub progress: Option<(usize, usize)>,
    /// Why the columns cannot be computed, one sentence.
    pub fault: Option<&'a str>,
}

/// What cells do, as it is computed.
#[derive(Clone, Copy, Debug, Default)]
pub struct LeverView<'a> {
    /// What is known so far.
    pub levers: Option<&'a Levers>,
    /// True while it belongs to the session and the wish on screen.
    pub is_fresh: bool,
    /// Why it cannot be computed, one sentence.
    pub fault: Option<&'a str>,
}

/// A set read back from its folder.
#[derive(Clone, Debug, PartialEq)]
pub struct OpenedSet {
    /// Identity, hexadecimal.
    pub identity: String,
    /// What it was for.
    pub note: String,
    /// Its modes.
    pub modes: Vec<Mode>,
}

/// A file opened or saved lately.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recent {
    /// Its whole path.
    pub path: String,
    /// Its name, without folder.
    pub name: String,
    /// True where it was not there when last looked for.
    pub is_missing: bool,
}

/// What the program is and what it is made of.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct About {
    /// Version of the program.
    pub version: String,
    /// Where it keeps its own files; empty where there is no such folder.
    pub data_folder: String,
    /// Its parts by others, fonts among them.
    pub parts: Vec<Part>,
}

/// A part of the program made by others.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// What it is called.
    pub name: String,
    /// Its version; empty where it has none.
    pub version: String,
    /// Its licence, as an SPDX expression.
    pub licence: String,
}

/// The log file for a bug report.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LogText {
    /// Where it is; empty where none is written.
    pub path: String,
    /// Its last lines, or why it cannot be read.
    pub text: String,
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

/// What would be handed over, and how the last hand-over went.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct HandOverView {
    /// Checks in the order they are shown.
    pub checks: Vec<PreCheck>,
    /// Why the set may not go out with the status asked for; empty: it may.
    pub obstacles: Vec<String>,
    /// True while checks and obstacles belong to what is on screen.
    pub is_fresh: bool,
    /// Pieces of the computation for the checks that are finished, and in all; absent: nothing is computed.
    pub computing: Option<(usize, usize)>,
    /// Why fences, cells in use and the lost supply could not be computed.
    pub fault: Option<String>,
    /// Folder that the set is written to; empty: none chosen yet.
    pub folder: String,
    /// Identity of the set on screen, hexadecimal; empty: not known yet.
    pub identity: String,
    /// The layout document that was chosen, and what the control unit will hold.
    pub layout: Option<LayoutView>,
    /// What the form of the view proposes for the set on screen, or why it cannot; absent: not asked for, or not known
    /// yet.
    pub proposed: Option<Result<ProposedLayout, String>>,
    /// True while that belongs to what is on screen.
    pub proposed_is_fresh: bool,
    /// How the last hand-over of this run of the program went.
    pub last_result: Option<HandOverResult>,
}

/// A layout that was proposed and nobody has saved.
#[derive(Clone, Debug, PartialEq)]
pub struct ProposedLayout {
    /// Where everything would lie.
    pub layout: Layout,
    /// What a control unit of it would hold.
    pub held: Held,
}

/// A layout document, with what a control unit of that layout will hold of the set.
#[derive(Clone, Debug, PartialEq)]
pub struct LayoutView {
    /// Name of its file, without folder.
    pub file: String,
    /// Name of the control unit.
    pub name: String,
    /// What it will hold, or why it cannot; absent: not known yet.
    pub held: Option<Result<Held, String>>,
    /// Figures of the exact modes and of those in the car; absent: not computed yet.
    pub figures: Option<Result<Vec<HeldFigure>, String>>,
    /// True while the figures belong to what is on screen.
    pub figures_are_fresh: bool,
}

/// What a control unit holds of a set.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Held {
    /// The largest error of each table.
    pub errors: Vec<TableError>,
    /// What the layout has no place for.
    pub left_out: Vec<String>,
}

/// One figure of a mode over all events, with the exact maps and with what the control unit holds.
#[derive(Clone, Debug, PartialEq)]
pub struct HeldFigure {
    /// Name of the mode.
    pub mode: String,
    /// The metric.
    pub metric: MetricId,
    /// With the exact maps, SI.
    pub exact: f64,
    /// With the quantised maps and the finite inverse tables, SI.
    pub held: f64,
}

/// What a logger's file says of a run, beside what was predicted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MeasuredView {
    /// Figures that both have.
    pub figures: Vec<MeasuredFigure>,
    /// Why there is no prediction; empty where there is one.
    pub note: String,
}

/// One figure, measured and predicted.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredFigure {
    /// The metric.
    pub metric: MetricId,
    /// The channel of the file.
    pub channel: String,
    /// As measured, SI.
    pub measured: f64,
    /// As predicted for the run's set, mode, event and load case, SI.
    pub predicted: Option<f64>,
}

/// Something handed over that was read back.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadBackView {
    /// The folder or file.
    pub place: String,
    /// What it was held against, in words.
    pub against: String,
    /// What was found, or why it cannot be read.
    pub outcome: Result<Verdict, String>,
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
        /// What it may be used for.
        status: SetStatus,
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
