//! What comes back from computation: scorecards, curves, and the board that the window shows.

use crate::Trace;
use std::sync::Arc;
use std::time::Duration;
use washboard_car::Model;
use washboard_metrics::{MetricId, Scorecard};
use washboard_session::MapName;

/// Which runs are wanted. Load case 0 is the car as described; the session's own follow in their order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Selection {
    /// The model.
    pub model: Model,
    /// Indices of modes in the session.
    pub modes: Vec<usize>,
    /// Indices of events in the session.
    pub events: Vec<usize>,
    /// Indices of load cases, 0 being the car as described.
    pub load_cases: Vec<usize>,
}

/// Scorecards of modes × events × load cases.
#[derive(Clone, Debug)]
pub struct Evaluation {
    /// The model they were computed with.
    pub model: Model,
    /// One entry a run, in the order mode, event, load case.
    pub runs: Vec<RunFigures>,
    /// Weighted means over the events, one a mode and load case.
    pub overall: Vec<Overall>,
    /// Every fence that applies, with its figure.
    pub fences: Vec<FenceState>,
}

/// The scorecard of one run.
#[derive(Clone, Debug)]
pub struct RunFigures {
    /// Index of the mode.
    pub mode: usize,
    /// Index of the event.
    pub event: usize,
    /// Index of the load case, 0 being the car as described.
    pub load_case: usize,
    /// Its metrics.
    pub card: Scorecard,
}

/// The weighted mean over the events that carry the metric.
#[derive(Clone, Debug)]
pub struct Overall {
    /// Index of the mode.
    pub mode: usize,
    /// Index of the load case.
    pub load_case: usize,
    /// Its metrics.
    pub card: Scorecard,
}

/// One fence held against one mode.
#[derive(Clone, Debug, PartialEq)]
pub struct FenceState {
    /// Index of the fence in the session.
    pub fence: usize,
    /// Index of the mode judged.
    pub mode: usize,
    /// Event it holds for; absent: the weighted mean.
    pub event: Option<usize>,
    /// Load case judged.
    pub load_case: usize,
    /// The metric.
    pub metric: MetricId,
    /// Its figure (the worst corner where there are several), SI.
    pub value: f64,
    /// The bound in the same unit.
    pub bound: f64,
    /// True for an upper bound.
    pub is_upper: bool,
    /// True where the figure keeps to the bound.
    pub kept: bool,
}

/// Harmonic steady state over frequency.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Response {
    /// Frequencies, Hz.
    pub frequencies_hz: Vec<f64>,
    /// Body heave at the centre of gravity over road height, magnitude of the fundamental.
    pub body_transmissibility: Vec<f64>,
    /// Body acceleration over road velocity, 1/s.
    pub body_acceleration_per_road_velocity_per_s: Vec<f64>,
    /// Pitch over road height, rad/m; empty where the model has no pitch.
    pub pitch_per_road_height_rad_per_m: Vec<f64>,
    /// Body above each corner over road height, by corner name.
    pub corner_transmissibility: Vec<(&'static str, Vec<f64>)>,
    /// Wheel load over road velocity, N s/m, by corner name.
    pub wheel_load_per_road_velocity_n_s_per_m: Vec<(&'static str, Vec<f64>)>,
    /// Suspension travel over road height, by corner name.
    pub travel_per_road_height: Vec<(&'static str, Vec<f64>)>,
    /// To which share of the largest figure of their kind the figures are known: by how much the last two windows differ.
    pub known_to_share: Vec<f64>,
    /// False where that is more than a curve hides: the motion is not periodic, or had not settled within the time allowed.
    pub settled: Vec<bool>,
}

impl Response {
    /// To which share the points that are not settled are known.
    pub fn unsettled(&self) -> impl Iterator<Item = f64> {
        self.settled.iter().zip(&self.known_to_share).filter(|(settled, _)| !**settled).map(|(_, share)| *share)
    }
}

/// Difference of one mode to the reference in one metric, over the weighted events. Random roads are drawn several times,
/// the same draws for all modes; all figures here are means over the draws in which both modes have the metric, so that
/// `share` is always `(value - reference) / reference`.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// Index of the mode.
    pub mode: usize,
    /// The metric (per-corner metrics as the mean of the corners).
    pub metric: MetricId,
    /// The mode's figure, SI, mean over the draws.
    pub value: f64,
    /// The reference's figure, SI, mean over the same draws.
    pub reference: f64,
    /// (value - reference) / reference.
    pub share: f64,
    /// Half width of the 95 % interval of `share`, paired on common draws; absent where no random road takes part, infinite
    /// where too few have been driven over yet.
    pub half_width: Option<f64>,
}

/// One mode's maps with the share of the driven time each cell was in use; every map sums to one.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Visits {
    /// One entry a map: rows of shares in the shape of the map.
    pub maps: Vec<(MapName, Vec<Vec<f64>>)>,
}

impl Visits {
    /// The shares of one map.
    pub fn of(&self, map: MapName) -> Option<&Vec<Vec<f64>>> {
        self.maps.iter().find(|(m, _)| *m == map).map(|(_, v)| v)
    }
}

/// A damper held at one current over all events.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FixedDamper {
    /// 0 at the soft end, 1 at the firm end.
    pub firmness_share: f64,
    /// Weighted mean over the random roads, m/s^2.
    pub weighted_acceleration_m_per_s2: f64,
    /// Weighted mean over the random roads and the corners.
    pub dynamic_load_coefficient: f64,
}

/// Comfort and wheel load of one mode on the random roads, to be read against the fixed dampers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ModePoint {
    /// Index of the mode.
    pub mode: usize,
    /// Weighted mean over the random roads, m/s^2.
    pub weighted_acceleration_m_per_s2: f64,
    /// Weighted mean over the random roads and the corners.
    pub dynamic_load_coefficient: f64,
}

/// Figures of the car that need no run, for one load case.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Derived {
    /// Load case by name.
    pub load_case: String,
    /// Body mass with load, kg.
    pub body_mass_kg: f64,
    /// Centre of gravity behind the front axle, m.
    pub cg_to_front_axle_m: f64,
    /// Centre of gravity above ground, m.
    pub cg_height_m: f64,
    /// Roll inertia about the centre of gravity, kg m^2.
    pub roll_inertia_kg_m2: f64,
    /// Pitch inertia about the centre of gravity, kg m^2.
    pub pitch_inertia_kg_m2: f64,
    /// Static wheel load: front left, front right, rear left, rear right, N.
    pub wheel_load_n: [f64; 4],
    /// Static deflection against the car as described, at the corners, m (negative: compressed).
    pub static_deflection_m: [f64; 4],
    /// Ride frequency of each axle (spring and tyre in series under its share of the body), Hz.
    pub ride_frequency_hz: [f64; 2],
    /// Rear over front ride frequency.
    pub ride_frequency_ratio: f64,
    /// Undamped wheel-hop frequency of each axle, Hz.
    pub wheel_hop_hz: [f64; 2],
    /// Damping ratio of the body on each axle at the soft end, chord over ±0.1 m/s at the wheel.
    pub damping_ratio_soft: [f64; 2],
    /// The same at the firm end.
    pub damping_ratio_firm: [f64; 2],
    /// Damping ratio of the body on each axle over a damping coefficient at each wheel, 1/(N s/m).
    pub damping_ratio_per_n_s_per_m: [f64; 2],
    /// Natural frequencies of heave and pitch of the pitch half car, low to high, Hz.
    pub heave_pitch_hz: [f64; 2],
    /// Natural frequency of roll, Hz.
    pub roll_hz: f64,
    /// Static roll angle a unit of lateral acceleration, rad/(m/s^2).
    pub roll_gradient_rad_per_m_per_s2: f64,
    /// Front share of the total roll stiffness.
    pub front_roll_stiffness_share: f64,
}

/// What the window asks for.
#[derive(Clone, Debug, PartialEq)]
pub struct BoardRequest {
    /// The model.
    pub model: Model,
    /// Load case, 0 being the car as described.
    pub load_case: usize,
    /// Event whose time histories are shown.
    pub event: usize,
    /// Operating point of the response curves: speed.
    pub speed_km_h: f64,
    /// Operating point of the response curves: road roughness level.
    pub roughness_m_per_s2: f64,
    /// The mode the others are compared with.
    pub reference: usize,
}

/// Everything the window shows for one state of the session.
#[derive(Clone, Debug)]
pub struct Board {
    /// What was asked for.
    pub request: BoardRequest,
    /// Scorecards of all modes over all events.
    pub evaluation: Evaluation,
    /// Differences to the reference mode, metric by metric.
    pub differences: Vec<Difference>,
    /// True in an answer at once that [`crate::Study::board`] betters: some figures are of single precision, or some other
    /// draws of the random roads are still to be driven over; differences of the modes concerned are of the events' own roads
    /// then, and their half width is infinite.
    pub more_follows: bool,
    /// Response of each mode.
    pub responses: Vec<Response>,
    /// Response with every damper held at its soft end.
    pub soft: Response,
    /// Response with every damper held at its firm end.
    pub firm: Response,
    /// The curve of all fixed dampers, soft to firm.
    pub fixed_dampers: Vec<FixedDamper>,
    /// Where the modes lie against it.
    pub mode_points: Vec<ModePoint>,
    /// Time histories of the chosen event, one a mode.
    pub traces: Vec<Arc<Trace>>,
    /// Visit share, one a mode.
    pub visits: Vec<Visits>,
    /// Every event to look at.
    pub events: Vec<Arc<crate::EventView>>,
    /// Static figures, one a load case.
    pub derived: Vec<Derived>,
    /// How long the computation took.
    pub took: Duration,
    /// Most sub-steps of the plant a control sample that the stability guard chose, and the plant step, s.
    pub plant_step_s: f64,
    /// Remarks on limits of the model that the numbers carry (ideal states, extrapolation, lifted wheels).
    pub remarks: Vec<String>,
}

/// A mode as a column of Side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct SideColumn {
    /// The mode.
    pub mode: washboard_session::Mode,
    /// True for a mode of the session itself, false for one of a set that was handed over.
    pub is_own: bool,
}

/// What Side by side is computed for.
#[derive(Clone, Debug, PartialEq)]
pub struct SideRequest {
    /// The model.
    pub model: Model,
    /// Load case, 0 being the car as described.
    pub load_case: usize,
    /// Operating point of the response curves: speed.
    pub speed_km_h: f64,
    /// Operating point of the response curves: road roughness level.
    pub roughness_m_per_s2: f64,
    /// The column that the others are compared with.
    pub reference: usize,
}

/// Everything Side by side shows. Modes are named by the index of their column; figures are means over the draws of the
/// random roads, fences and points are of the session's own roads as everywhere else.
#[derive(Clone, Debug)]
pub struct SideBoard {
    /// What was asked for.
    pub request: SideRequest,
    /// How many times the random roads were drawn; 1 where there is none.
    pub draws: usize,
    /// Weighted mean over the events, one a column.
    pub overall: Vec<Scorecard>,
    /// Scorecards of the events, by column and event.
    pub of_events: Vec<Vec<Scorecard>>,
    /// Differences to the reference column over all events.
    pub differences: Vec<Difference>,
    /// The same on each event.
    pub event_differences: Vec<Vec<Difference>>,
    /// Response of each column.
    pub responses: Vec<Response>,
    /// Comfort against wheel load of each column.
    pub points: Vec<ModePoint>,
    /// Steps from each column to the next in what a driver feels.
    pub steps: Vec<Step>,
    /// Fences that hold for the columns.
    pub fences: Vec<FenceState>,
}

/// The step from one column to the next in one felt quantity.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The column it starts from; `difference.mode` is the one it leads to.
    pub from: usize,
    /// True where it is large enough to be felt.
    pub is_felt: bool,
    /// How large it is.
    pub difference: Difference,
}
