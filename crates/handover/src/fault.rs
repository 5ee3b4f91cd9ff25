//! What can go wrong with a hand-over, each as one sentence for the engineer.

use std::path::{Path, PathBuf};

/// Why a set was not written or could not be read. Nothing here says that a set *differs*: that is a verdict.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum HandoverFault {
    /// The session breaks a rule, so no set is made of it.
    #[error("The session makes no set. {}", .0.join(" "))]
    Session(Vec<String>),
    /// No mode was chosen.
    #[error("No mode is chosen: a set needs at least one.")]
    NoMode,
    /// A mode was asked for that the session does not have.
    #[error("The session has {count} modes, so there is no mode number {}.", .index + 1)]
    NoSuchMode {
        /// Index asked for, from 0.
        index: usize,
        /// Modes in the session.
        count: usize,
    },
    /// An axle names a damper that is not there.
    #[error("The {axle} axle names the damper \"{damper}\", which the session does not hold.")]
    NoSuchDamper {
        /// Axle.
        axle: &'static str,
        /// Name looked for.
        damper: String,
    },
    /// The target folder cannot take a set.
    #[error("{} cannot take the set: {why}", .folder.display())]
    Target {
        /// The folder.
        folder: PathBuf,
        /// Why not, as a sentence.
        why: String,
    },
    /// The operating system refused.
    #[error("Could not {action} {}: {source}", .path.display())]
    Io {
        /// What was attempted, as a verb.
        action: &'static str,
        /// On what.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// There is no set here, or none this program can read.
    #[error("{} holds no readable set: {why}", .folder.display())]
    Unreadable {
        /// The folder.
        folder: PathBuf,
        /// Why not.
        why: String,
    },
    /// The set reads, but is not what its manifest says.
    #[error("{} is not the set that was handed over: {}", .folder.display(), .differences.join(" "))]
    Altered {
        /// The folder.
        folder: PathBuf,
        /// What differs, one sentence each.
        differences: Vec<String>,
    },
    /// The set could not be put into its file format.
    #[error("The set could not be written as {form}: {why}")]
    Form {
        /// Which form.
        form: &'static str,
        /// What the writer said.
        why: String,
    },
    /// The gate is closed; sentences.
    #[error("The set may not go out as {status}. {}", .reasons.join(" "))]
    Gate {
        /// Status asked for, in words.
        status: &'static str,
        /// Why not.
        reasons: Vec<String>,
    },
    /// A layout document, or an image after it, does not hold; sentences.
    #[error("{}", .0.join(" "))]
    Layout(Vec<String>),
    /// What was written does not read back as it should; nothing was left in the target folder.
    #[error("The set did not read back as written, so nothing was handed over: {}", .0.join(" "))]
    ReadBack(Vec<String>),
}

impl HandoverFault {
    /// Wraps an error of the operating system.
    pub(crate) fn io(action: &'static str, path: &Path, source: std::io::Error) -> Self {
        HandoverFault::Io { action, path: path.to_path_buf(), source }
    }
}
