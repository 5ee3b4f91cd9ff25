//! The session document: reading with every number checked, saving without loss, edits and undo.
//!
//! **Invariant:** serde structs of the session live here only; this crate knows nothing of the simulation.

pub mod document;

pub use document::*;
