//! Sessions that rest on another one: their file holds what deviates, and all else follows the session below.
//!
//! In memory every session is whole, so that whatever reads sessions needs to know nothing of this; [`Below`] keeps the
//! session below as it was read. What equals it when the session is saved is not written and follows it from then on.
//! Title, notes, runs, sets handed over, release and what is only proposed are each session's own.

mod form;
mod modes;
mod own;
mod part;

use std::{
    path::{Component, Path, PathBuf},
    sync::Arc,
};

use serde::{Deserialize, Serialize};

use crate::{EventKind, Fault, Session, fault::quoted, write::ron_text};

pub(crate) use form::Form;
pub use own::OwnOfSession;

/// Most sessions below one another.
pub(crate) const MOST_BELOW: usize = 8;

/// The session that another one rests on.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Below {
    /// Its file: a path from the folder of the session that rests on it, with `/` between parts.
    pub file: String,
    /// The session as it was read, with the ways to its road profiles from the folder of the session above.
    pub session: Arc<Session>,
    /// True where it is not what it was when the session above was saved.
    #[serde(default)]
    pub has_changed: bool,
}

impl PartialEq for Below {
    fn eq(&self, other: &Below) -> bool {
        self.file == other.file && (Arc::ptr_eq(&self.session, &other.session) || self.session == other.session)
    }
}

impl Below {
    /// A session read from the file of this name, for one that lies in the folder the name counts from.
    pub fn new(file: impl Into<String>, mut session: Session) -> Below {
        let file = file.into();
        if let Some((folder, _)) = file.rsplit_once('/') {
            for event in &mut session.events {
                if let EventKind::Profile { file } = &mut event.kind {
                    *file = format!("{folder}/{file}");
                }
            }
        }
        // What it rests on itself has been put together already.
        session.below = None;
        Below { file, session: Arc::new(session), has_changed: false }
    }

    /// True where it gives what the other gives: words, runs and sets are not given.
    pub fn gives_what(&self, other: &Below) -> bool {
        mark_of(&self.session) == mark_of(&other.session)
    }

    /// The same under another name, counted from another folder; the ways to road profiles stay with those of the session
    /// above, which moves as well.
    #[must_use]
    pub fn renamed(&self, file: impl Into<String>) -> Below {
        Below { file: file.into(), ..self.clone() }
    }
}

impl Session {
    /// The session this one rests on.
    pub fn rests_on(&self) -> Option<&Below> {
        self.below.as_deref()
    }

    /// The same session standing alone.
    #[must_use]
    pub fn standing_alone(mut self) -> Session {
        self.below = None;
        self
    }

    /// The session with what is its own on top of another state of the session below.
    pub fn followed(&self, below: Below) -> Result<Session, Fault> {
        let Some(before) = self.rests_on() else {
            return Err(Fault::new("", "rests_on", "absent", "only a session that rests on another can follow it"));
        };
        let fault = |said: String| Fault::new("", "rests_on", quoted(&below.file), said);
        let form = Form::of(self, before).ok_or_else(|| fault(NOT_TOLD_APART.to_owned()))?;
        form.on_top(&below).map_err(|said| fault(format!("what is this session's own must fit on it: {said}")))
    }
}

/// Why a session cannot be written as differences.
pub(crate) const NOT_TOLD_APART: &str =
    "only a session whose modes, dampers and events have names of their own can hold its differences alone";

/// A number for what a session gives to one that rests on it: the same for the same content, on every machine.
pub(crate) fn mark_of(session: &Session) -> String {
    let mut given = session.without_history();
    (given.title, given.notes) = (String::new(), String::new());
    (given.release, given.proposed) = (None, Vec::new());
    let text = ron_text(&given).unwrap_or_default();
    // FNV-1a (Fowler, Noll, Vo): not against a forger, only against not noticing.
    let hash = text.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3));
    format!("{hash:016x}")
}

/// The path of a session named by another one: relative, and inside that one's folder even behind links.
pub fn locate(folder: &Path, file: &str) -> Result<PathBuf, String> {
    const BOUND: &str = "its path must be relative and stay inside the folder of the session that rests on it";
    let mut parts = Path::new(file).components();
    if file.is_empty() || file.contains('\\') || !parts.all(|c| matches!(c, Component::Normal(_) | Component::CurDir)) {
        return Err(BOUND.to_owned());
    }
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let unread = |error: std::io::Error| format!("the file cannot be read: {error}");
    let path = folder.join(file);
    let (real_folder, real_path) = (folder.canonicalize().map_err(unread)?, path.canonicalize().map_err(unread)?);
    if real_path.starts_with(real_folder) { Ok(path) } else { Err(BOUND.to_owned()) }
}
