//! Parameter sets for the car: write, seal, read back, verify, difference.
//!
//! A set is an immutable snapshot of modes with everything the car's controller computes with. Its *identity* is a
//! SHA-256 over the numbers alone, so the same calibration has the same identity wherever and whenever it is written.
//!
//! **Invariant:** a folder that [`fn@export`] leaves behind has been read back and proven equal to the session it came
//! from; a folder that [`fn@verify`] calls equal holds nothing but what its manifest lists.

pub mod cautions;
pub mod checks;
pub mod difference;
pub mod export;
pub mod fault;
mod folder;
mod forms;
mod identity;
mod inverse;
mod layout;
pub mod manifest;
mod readme;
pub mod set;
mod table_file;
pub mod verify;

#[cfg(test)]
mod fixture;

pub use cautions::CAUTIONS;
pub use checks::{PreCheck, pre_checks};
pub use difference::{Change, Difference, TableCount, difference};
pub use export::{ExportInfo, Exported, export};
pub use fault::HandoverFault;
pub use identity::identity;
pub use manifest::Manifest;
pub use set::{CarSet, InverseDamper, SetAxle, SetBench, SetController, SetMode};
pub use verify::{Verdict, read_manifest, read_set, verify};
