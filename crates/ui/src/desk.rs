//! What every view works with in one frame: what to show, how it looks, and the commands collected so far.

use crate::chart::PlotName;
use crate::command::{Command, RequestChange};
use crate::context::Context;
use crate::theme::Look;
use crate::words;
use washboard_session::{Mode, Session};
use washboard_study::Board;

/// One frame's work.
pub(crate) struct Desk<'a> {
    pub cx: &'a Context<'a>,
    pub look: &'static Look,
    pub out: Vec<Command>,
    /// The plot shown large; kept in the view between frames.
    pub enlarged: Option<PlotName>,
    /// Only a plot is drawn, for a picture: no buttons, nothing that answers the pointer.
    pub is_picture: bool,
}

impl<'a> Desk<'a> {
    /// Collects a command.
    pub fn ask(&mut self, command: Command) {
        self.out.push(command);
    }

    /// Collects a change of the request.
    pub fn request(&mut self, change: RequestChange) {
        self.out.push(Command::Request(change));
    }

    /// The session.
    pub fn session(&self) -> &'a Session {
        self.cx.session
    }

    /// The board, if it belongs to a session of the same number of modes; results of removed modes cannot be shown.
    pub fn board(&self) -> Option<&'a Board> {
        self.cx.board.filter(|b| b.responses.len() == self.cx.session.modes.len())
    }

    /// The board before the edit, likewise.
    pub fn ghost(&self) -> Option<&'a Board> {
        self.cx.ghost.filter(|b| b.responses.len() == self.cx.session.modes.len())
    }

    /// How strong results are drawn: greyed while they are older than the edit.
    pub fn strength(&self) -> f32 {
        if self.cx.board_is_fresh && self.cx.fault.is_none() { 1.0 } else { 0.55 }
    }

    /// A time as people here say it: by the clock of this place, only the clock where the date is today's.
    pub fn when(&self, time: &str) -> String {
        words::when(&(self.cx.local_time)(time), &self.cx.now)
    }

    /// Index of the reference mode.
    pub fn reference(&self) -> usize {
        let session = self.cx.session;
        let by_name = session.reference_mode.as_ref().and_then(|n| session.modes.iter().position(|m| m.name == *n));
        by_name.unwrap_or(0)
    }

    /// A mode, if there is one of that index.
    pub fn mode(&self, index: usize) -> Option<&'a Mode> {
        self.cx.session.modes.get(index)
    }
}
