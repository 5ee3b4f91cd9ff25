//! What the views ask the program to do; one handler there applies every command.

use crate::chart::PlotName;
use crate::theme::Theme;
use washboard_handover::{CNumbers, Wish};
use washboard_session::Edit;
use washboard_session::bench::Direction;
use washboard_study::Model;

/// One wish of the engineer. The views never change the session themselves.
#[derive(Clone, Debug, PartialEq)]
pub enum Command {
    /// A new session.
    New,
    /// Choose a session file and open it.
    Open,
    /// Open the session file at this path.
    OpenPath(String),
    /// Save to the session's file.
    Save,
    /// Choose a file and save to it.
    SaveAs,
    /// Choose the session file that this one rests on from now.
    ChooseBelow,
    /// Read the session below anew: what is not this session's own follows it.
    FollowBelow,
    /// Leave the program.
    Quit,
    /// Take the last step back.
    Undo,
    /// Do the step again that was taken back.
    Redo,
    /// The edits that follow, up to `EndGesture`, are one undo step of this name.
    BeginGesture(String),
    /// Change the session.
    Edit(Edit),
    /// The gesture is over.
    EndGesture,
    /// Change what is computed.
    Request(RequestChange),
    /// Open a copy of the session as it was at the set of a run, by index.
    ReopenRun(usize),
    /// Open a copy of the session as it was at a set handed over, by index.
    ReopenSet(usize),
    /// Come back from such a copy to the session that waits.
    GoBack,
    /// Choose the logger's file of a run, by index.
    AttachLog(usize),
    /// Choose the folder of a set that was handed over and read it back, to stand side by side with others.
    ReadSet,
    /// Choose the folder that the next set is written to.
    ChooseFolder,
    /// Choose the file of a measured profile.
    ChooseProfile {
        /// Index of the event that is to be driven over it; absent: a new one.
        event: Option<usize>,
    },
    /// Hand a set over to the car.
    HandOver {
        /// Indices of the modes that go out.
        modes: Vec<usize>,
        /// What the set is for.
        note: String,
        /// C files, where they are wanted.
        c: Option<CNumbers>,
        /// Status, who answers for it, waivers.
        wish: Wish,
    },
    /// Choose the document that says where each number lies in the control unit's memory.
    ChooseLayout,
    /// Write the layout that is proposed to a file, and take it from there.
    SaveLayout,
    /// No such document any more.
    LeaveLayout,
    /// Choose what was handed over, or a dump of the car's memory, and say cell by cell what differs.
    ReadBack {
        /// A whole folder; else one file.
        folder: bool,
        /// The set it is held against, by its index among those noted; absent: the modes on screen.
        against: Option<usize>,
    },
    /// Read the log file of a run, by index, wherever it lies.
    ReadLogOfRun(usize),
    /// Put away what was read back.
    LeaveReadBack,
    /// Answer to the question on screen.
    Answer(Answer),
    /// Take the notice of this index away.
    DismissNotice(usize),
    /// Change the look.
    SetTheme(Theme),
    /// Change the size of everything; 1 is as designed.
    SetTextScale(f32),
    /// Choose a file of damper bench data and show what it gives.
    ChooseBench,
    /// What a positive velocity in that file means.
    SetBenchDirection(Direction),
    /// Put the bench data away.
    LeaveBench,
    /// Put text on the clipboard.
    CopyText(String),
    /// Save text to a file that the engineer chooses.
    SaveText {
        /// Suggested file name.
        name: String,
        /// What goes into it.
        text: String,
    },
    /// Choose the folder of a set handed over elsewhere and take it among the known sets.
    TakeInSet,
    /// Say which of the sets handed over, by its index, is in the car now.
    SetInCar(usize),
    /// Find out which recent files are there.
    LookAtRecent,
    /// Take recent files that are not there out of the list.
    ForgetMissing,
    /// Choose a file and write a report of what is on screen to it.
    WriteReport,
    /// Stop the report that is being written.
    StopReport,
    /// Read the end of the log file.
    ReadLog,
    /// Show a folder in the desktop's own file window.
    ShowFolder(String),
    /// Save the picture of a plot to a file that the engineer chooses.
    SavePicture(PlotName),
}

/// One change of what the board is computed for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RequestChange {
    /// Another model.
    SetModel(Model),
    /// Another load case, 0 being the car as described.
    SetLoadCase(usize),
    /// Another event for the time histories.
    SetEvent(usize),
    /// Another operating point of the response curves.
    SetOperatingPoint {
        /// Speed, km/h.
        speed_km_h: f64,
        /// Road roughness level, m/s^2.
        roughness_m_per_s2: f64,
    },
}

/// Answers to the questions of [`crate::Question`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// Save first, then go on.
    Save,
    /// Go on without: unsaved changes or the recovered session are let go.
    Discard,
    /// Do nothing; stay here.
    GoBack,
    /// Take the recovered session.
    Restore,
}
