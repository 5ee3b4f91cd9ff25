//! Gain maps, control laws and the way from wanted force to commanded current.
//!
//! **Invariant:** this crate knows no car. It sees sensor signals; lever arms and the inverse force table are calibration
//! data that come in from outside.

pub mod calibration;
pub mod controller;
pub mod estimator;
pub mod sensor;

pub use calibration::{AxleScales, Calibration, EndStop, Gains, Law, Settings, wanted_force};
pub use controller::{Controller, CornerCommand, HeldLevels, Inverse, Levels, Reach, Sensors};
pub use estimator::{Estimation, Estimator, Exposed};
pub use sensor::SensorSettings;
