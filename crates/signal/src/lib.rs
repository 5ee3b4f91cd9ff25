//! Lane arithmetic, look-up tables, filters and spectra.
//!
//! **Invariant:** this crate knows nothing of cars, roads or controllers.

pub mod exact;
pub mod filter;
pub mod lane;
pub mod resample;
pub mod spectrum;
pub mod table;

pub use realfft::num_complex::Complex64;

pub use lane::{Lane, Lanes};
