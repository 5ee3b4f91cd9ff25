//! The loop that couples car, road and controller at their own rates, many runs side by side.
//!
//! **Invariant:** no allocation and no dynamic dispatch inside the loop; one formula for one lane or many, so that the
//! result of a run is the same to the last bit whatever runs beside it.

pub mod clock;
mod delay;
pub mod drive;
pub mod run;
pub mod watch;

pub use clock::Clock;
pub use drive::{Drive, Moment, Roads, Sines};
pub use run::Sim;
pub use watch::{Sample, Watch};
