//! Lane arithmetic, look-up tables, filters and spectra.
//!
//! **Invariant:** this crate knows nothing of cars, roads or controllers.

pub mod filter;
pub mod lane;
pub mod resample;
pub mod spectrum;
pub mod table;

pub use lane::{Lane, Lanes};
