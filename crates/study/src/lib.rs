//! The one door to computation: evaluate, trace, response, compare on an immutable snapshot of a session.
//!
//! **Invariant:** window and verbs reach computation only through this crate, which knows no screen and no file.

pub mod board;
pub mod progress;

pub use board::*;
pub use progress::{Cancelled, Progress};
pub use washboard_car::Model;
