//! Parameter sets for the car: write, seal, read back, verify, difference.
//!
//! A set is an immutable snapshot of modes with everything the car's controller computes with. Its *identity* is a
//! SHA-256 over the numbers alone, so the same calibration has the same identity wherever and whenever it is written.
//!
//! **Invariant:** a folder that [`fn@export`] leaves behind has been read back and proven equal to the session it came
//! from; a folder that [`fn@verify`] calls equal holds nothing but what its manifest lists.

pub mod c_source;
pub mod cautions;
pub mod checks;
pub mod difference;
pub mod export;
pub mod fault;
mod folder;
mod forms;
pub mod gate;
mod identity;
pub mod image;
mod inverse;
pub mod layout;
pub mod manifest;
mod parts;
pub mod quantise;
pub mod read_back;
mod readme;
pub mod set;
mod slots;
pub mod supply;
mod table_file;
pub mod verify;

#[cfg(test)]
mod fixture;
#[cfg(test)]
mod mutations;

pub use cautions::CAUTIONS;
pub use checks::{PreCheck, pre_checks};
pub use difference::{Change, Difference, TableCount, difference};
pub use export::{CNumbers, ExportInfo, ExportOptions, Exported, Origin, export, export_with};
pub use fault::HandoverFault;
pub use gate::{Evidence, Finding, Gate, MapVisits, SHORTEST_WAIVER, Waiver, Wish, gate};
pub use identity::identity;
pub use layout::{Layout, Proposal, Width};
pub use manifest::Manifest;
pub use quantise::{Quantised, TableError, compare_within_half_a_step, quantise};
pub use read_back::{ReadBack, read_back, verify_output};
pub use set::{CarSet, InverseDamper, SetAxle, SetBench, SetController, SetMode};
pub use verify::{Verdict, read_manifest, read_set, verify, verify_against_set};
