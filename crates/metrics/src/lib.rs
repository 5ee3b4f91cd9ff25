//! What a run or a measured log is judged by: accumulators over channels, and the list of metrics with their meaning.
//!
//! **Invariants:** this crate does not know the simulation, so that a measured log takes the same path; an accumulator
//! needs the same memory however long the run; a metric that does not apply is absent, never zero.
//!
//! Inside the time loop: [`RideMetrics`] takes one [`RideSample`] a step and gives a [`Scorecard`] a lane at the end.
//! After it: [`series`] takes whole channels.

mod accuracy;
pub mod attitude;
pub mod band;
pub mod card;
pub mod corner;
mod damper;
pub mod delivery;
mod dive;
pub mod estimate;
pub mod impact;
mod lag;
pub mod registry;
pub mod ride;
pub mod sample;
pub mod series;
mod simplified;
mod slow;
pub mod sum;
mod transfer;
pub mod vibration;

pub use accuracy::{Accuracy, SLOW_CONTROL_SHARE};
pub use attitude::{Attitude, AttitudeFigures, Step};
pub use band::{BandRms, BandSettings};
pub use card::{Scorecard, Value};
pub use corner::StopGaps;
pub use delivery::{Delivery, DeliveryClass};
pub use estimate::{EstimateErrors, RateError};
pub use registry::{Better, METRICS, Metric, MetricId, Scope};
pub use ride::{RideMetrics, RideOptions};
pub use sample::{CornerSample, RideSample};
pub use simplified::REACTIONS_SOURCE;
pub use vibration::Vibration;
