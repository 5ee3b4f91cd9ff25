//! The session document: reading with every number checked, saving without loss, edits and undo.
//!
//! **Invariant:** serde structs of the session live here only; this crate knows nothing of the simulation.
//!
//! | module | holds |
//! | --- | --- |
//! | [`document`] | the session as it stands in the file; its events in a file of their own |
//! | [`limits`] | the one home of every bound, with label and unit |
//! | [`fault`], [`place`] | what is wrong, and where |
//! | [`check`](mod@check) | every promise of the document, checked |
//! | [`read`], [`write`](mod@write), [`schema`](mod@schema) | RON and JSON, without loss |
//! | [`numbers`](mod@numbers) | every single number by its path |
//! | [`map`] | the six maps of a mode under one name |
//! | [`difference`] | what differs between modes and sets |
//! | [`bench`](mod@bench) | damper bench data made into a table |
//! | [`recovery`] | copies of unsaved work that outlive a crash |
//! | [`edit`](mod@edit), [`history`] | typed changes; undo and redo |

pub mod bench;
pub mod check;
pub mod difference;
pub mod document;
pub mod edit;
mod event;
pub mod fault;
pub mod history;
mod layout;
pub mod limits;
pub mod map;
pub mod numbers;
pub mod place;
pub mod read;
pub mod recovery;
pub mod schema;
pub mod write;

pub use check::check;
pub use difference::{
    CellDifference, ModeDifference, SetDifference, SettingDifference, map_differences, setting_differences,
};
pub use document::*;
pub use edit::{Edit, End, Scale, apply};
pub use fault::Fault;
pub use history::History;
pub use limits::Limit;
pub use map::{MapMut, MapName, MapRef, Table};
pub use numbers::{Number, number, numbers};
pub use read::{Format, ReadFault, Refusal, load, load_draft, parse_json, parse_ron};
pub use recovery::{Leftover, Recovery};
pub use schema::schema;
pub use write::{WriteFault, save, to_json, to_ron};
