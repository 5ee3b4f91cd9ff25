//! Lane arithmetic, look-up tables and how much of them is in use, filters and spectra.
//!
//! **Invariant:** this crate knows nothing of cars, roads or controllers.

pub mod cells;
pub mod exact;
pub mod filter;
pub mod instructions;
pub mod lane;
pub mod number;
pub mod resample;
pub mod spectrum;
pub mod table;

pub use cells::{CellShares, Cells};
pub use instructions::{Instructions, Job, Precision};
pub use lane::{Lane, Lanes, Work, fetch};
pub use number::{Number, Numbers};
pub use realfft::num_complex::Complex64;
