//! The one door to computation: evaluate, trace, response, compare on an immutable snapshot of a session.
//!
//! **Invariant:** window and verbs reach computation only through this crate, which knows no screen and no file.

mod block;
pub mod board;
mod candidates;
mod chain;
mod channels;
mod compare;
mod convert;
mod damping;
mod evaluate;
mod event_view;
mod events;
mod harmonic;
mod held;
mod influence;
mod intervals;
mod levers;
mod log_figures;
mod log_transfer;
mod maps;
mod measured;
mod memory;
mod on_map;
mod pieces;
mod pose;
mod profiles;
pub mod progress;
mod reads;
mod response;
pub mod road_picture;
mod roads;
mod show;
mod side;
mod snapshot;
mod timing;
mod trace;
mod visits;
mod watch;

pub use board::*;
pub use candidates::{Candidate, Trial};
pub use chain::{Chain, Link};
pub use channels::{Channel, Title, Trace};
pub use compare::Comparison;
pub use event_view::{ConeView, Demands, EventView};
pub use held::HeldInverse;
pub use influence::{CellEffect, CellInfluence, Influence, InfluenceRequest, MapInfluence, VISITED_SHARE};
pub use intervals::Interval;
pub use levers::{
    Amount, Change, LeverRequest, LeverStep, Levers, STEP_SHARES, check_complaints, trial_step_n_s_per_m,
};
pub use log_figures::{AxisTotal, ChannelBand, ChannelFigures, LogFigures, WeightedChannel, log_figures};
pub use log_transfer::{ChannelTransfer, LogTransferFault, LogTransfers, log_transfers};
pub use maps::MapDifference;
pub use memory::Memory;
pub use on_map::{OnMap, cell_weights};
pub use pose::{Pose, WheelPose};
pub use profiles::Profiles;
pub use progress::{Cancelled, Progress};
pub use reads::metrics_read;
pub use response::{ResponseRequest, VELOCITY_AMPLITUDE_M_PER_S, default_frequencies};
pub use road_picture::{ClassBounds, RoadPicture, TrackDensity, TrackFit, TrackPicture, road_picture_of_profile};
pub use show::FIXED_DAMPERS;
pub use side::{FELT, FELT_SHARE, SIDE_DRAWS, SideCache};
pub use snapshot::{AS_DESCRIBED, Study, StudyFault};
pub use timing::Timing;
pub use washboard_car::Model;
pub use washboard_signal::{Instructions, Precision};
