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
//! | [`locked`], [`shape`] | cells that stay as they are; breakpoints, smoothing, ramps |
//! | [`resting`] | modes that rest on another one and hold only what is their own |
//! | [`below`](mod@below) | sessions that do the same |
//! | [`sets`] | the tree of sets handed over |
//! | [`difference`] | what differs between modes and sets |
//! | [`complaints`] | what drivers say, and where to look then |
//! | [`bench`](mod@bench) | damper bench data made into a table |
//! | [`proposal`] | a whole session from nothing, marked until it is touched |
//! | [`past`] | the session as it was at a set |
//! | [`recovery`], [`journal`] | copies of unsaved work and every step since, which outlive a crash |
//! | [`lock`], [`stamp`] | one window a file; whether another program changed it |
//! | [`edit`](mod@edit), [`history`] | typed changes; undo and redo |

mod axle_load;
pub mod below;
pub mod bench;
pub mod check;
pub mod complaints;
mod damper_table;
pub mod difference;
pub mod document;
pub mod edit;
mod event;
pub mod fault;
pub mod history;
pub mod journal;
mod layout;
pub mod limits;
pub mod lock;
pub mod locked;
pub mod map;
pub mod numbers;
pub mod past;
pub mod place;
pub mod proposal;
pub mod read;
pub mod recovery;
pub mod resting;
pub mod schema;
pub mod sets;
pub mod shape;
pub mod stamp;
pub mod write;

pub use axle_load::axle_load_kg;
pub use below::{Below, OwnOfSession};
pub use check::{check, free_name};
pub use complaints::{Complaint, Complaints};
pub use difference::{
    CellDifference, ModeDifference, SetDifference, SettingDifference, map_differences, setting_differences,
};
pub use document::*;
pub use edit::{Edit, End, Scale, apply};
pub use fault::Fault;
pub use history::History;
pub use limits::Limit;
pub use locked::LockedCells;
pub use map::{MapMut, MapName, MapRef, Table};
pub use numbers::{Number, number, numbers};
pub use past::Past;
pub use read::{
    Format, ReadFault, Refusal, load, load_below, load_document, load_draft, parse_document, parse_json, parse_ron,
};
pub use recovery::{Leftover, Recovery};
pub use resting::{Deviation, OwnPart, Resting, Setting};
pub use schema::schema;
pub use shape::MapAxis;
pub use write::{WriteFault, document_text, save, save_unless_changed, to_json, to_ron};
