//! Vehicle description, load cases, damper tables and the equations of motion of all four models from one core.
//!
//! **Invariant:** this crate knows no controller, no road and no file. Constructors take checked values.

pub mod model;

pub use model::Model;
