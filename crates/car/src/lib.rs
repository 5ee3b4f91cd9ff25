//! Vehicle description, load cases, damper tables and the equations of motion of all four models from one core.
//!
//! **Invariant:** this crate knows no controller, no road and no file. Constructors take checked values.

pub mod damper;
pub mod derived;
pub mod loaded;
pub mod model;
pub mod plant;
pub mod range;
pub mod vehicle;

pub use damper::{Damper, DamperTable};
pub use loaded::Loaded;
pub use model::Model;
pub use plant::{Motion, Plant};
pub use range::Range;
pub use vehicle::{LoadCase, LoadItem, Vehicle};
