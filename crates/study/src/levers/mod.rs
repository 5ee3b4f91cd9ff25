//! Which cells of a mode move a metric on chosen events, and steps on them with their effect computed before they are taken.

mod reach;
mod steps;

pub use steps::STEP_SHARES;

use crate::evaluate::places;
use crate::memory::Figures;
use crate::{Cancelled, FenceState, Influence, InfluenceRequest, Progress, Selection, Study, StudyFault};
use washboard_metrics::MetricId;
use washboard_session::complaints::{Complaints, MapPick, Wanted};
use washboard_session::{MapName, Mode};

/// A cell is raised by this share of the largest gain of its mode to see what that does.
const TRIAL_SHARE: f64 = 0.02;
/// Least trial, N s/m.
const LEAST_TRIAL_N_S_PER_M: f64 = 20.0;

/// What is looked for.
#[derive(Clone, Debug, PartialEq)]
pub struct LeverRequest {
    /// Mode, events, metric, and the metrics that steps are told about beside it.
    pub influence: InfluenceRequest,
    /// Which way the metric has to go.
    pub wanted: Wanted,
    /// Maps on which steps are looked for; none: only the influence is wanted.
    pub maps: Vec<MapPick>,
}

/// A metric before and after.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// The metric, the mean of corners where there are several.
    pub metric: MetricId,
    /// As it is, SI.
    pub before: f64,
    /// As it would be.
    pub after: f64,
}

impl Change {
    /// Change over the figure as it is; `None` where that is zero.
    pub fn share(&self) -> Option<f64> {
        (self.before != 0.0).then(|| (self.after - self.before) / self.before.abs())
    }
}

/// How far a step goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// Share of each cell's own value.
    Share(f64),
    /// The same for every cell, N s/m.
    Units(f64),
}

/// A step on some cells of one map, with what it does.
#[derive(Clone, Debug, PartialEq)]
pub struct LeverStep {
    /// The map.
    pub map: MapName,
    /// First and last row.
    pub rows: (usize, usize),
    /// First and last column.
    pub columns: (usize, usize),
    /// Which of [`STEP_SHARES`] it is.
    pub size: usize,
    /// How far it goes.
    pub amount: Amount,
    /// Row, column and new value of every cell.
    pub cells: Vec<(usize, usize, f64)>,
    /// Locked cells within the range, which stay as they are.
    pub locked: usize,
    /// The metric on the events of the request.
    pub effect: Change,
    /// The other metrics over all events of the session.
    pub beside: Vec<Change>,
    /// Fences that it would cross, or that are crossed and it would make worse.
    pub crossed: Vec<FenceState>,
}

/// What is known so far.
#[derive(Clone, Debug, PartialEq)]
pub struct Levers {
    /// What the cells do, as far as it is known.
    pub influence: Influence,
    /// Steps, the one with the largest effect first.
    pub steps: Vec<LeverStep>,
    /// True where nothing more comes.
    pub is_whole: bool,
}

impl Levers {
    /// The largest change of the metric a unit of any cell of the maps that share a map's unit, in magnitude.
    pub fn largest(&self, map: MapName) -> f64 {
        let alike = self.influence.maps.iter().filter(|other| other.map.value_unit() == map.value_unit());
        let cells = alike.flat_map(|map| map.cells.iter().flatten());
        cells.filter_map(|cell| cell.effect.as_ref()?.per_unit).fold(0.0, |most, d| most.max(d.abs()))
    }
}

/// By how much to raise cells of a mode to see what they do, N s/m: small beside its gains, so that cells compare.
pub fn trial_step_n_s_per_m(mode: &Mode) -> f64 {
    let maps = MapName::ALL.into_iter().filter(|map| *map != MapName::Floor).filter_map(|map| mode.map(map));
    let most = maps.flat_map(|map| map.values.iter().flatten()).fold(0.0_f64, |most, v| most.max(v.abs()));
    (TRIAL_SHARE * most).max(LEAST_TRIAL_N_S_PER_M)
}

/// Names of metrics in a table of complaints are known here only.
///
/// # Errors
/// Names the first row whose metric there is not.
pub fn check_complaints(table: &Complaints) -> Result<(), StudyFault> {
    let is_unknown = |metric: &str| MetricId::by_name(metric).is_none();
    match table.complaints.iter().find(|row| is_unknown(&row.metric)) {
        None => Ok(()),
        Some(row) => Err(StudyFault::Document(format!(
            "complaint {:?}: metric is {:?}, but it must be the name of a metric as evaluate --json prints it.",
            row.said, row.metric
        ))),
    }
}

/// Runs of all modes over all events as they are.
struct Ground {
    selection: Selection,
    places: Vec<(usize, usize, usize)>,
    scored: Vec<Figures>,
}

impl Study {
    /// Looks for the cells that move a metric, and for steps on them; `grown` is shown what is known whenever that is more.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn levers(
        &self,
        request: &LeverRequest,
        progress: &Progress,
        mut grown: impl FnMut(&Levers),
    ) -> Result<Levers, Cancelled> {
        let so_far =
            |influence: &Influence| Levers { influence: influence.clone(), steps: Vec::new(), is_whole: false };
        let influence = self.influence(&request.influence, progress, |now| grown(&so_far(now)))?;
        let mut levers = so_far(&influence);
        if influence.value.is_some() && !request.maps.is_empty() {
            let ground = self.ground(&request.influence, progress)?;
            levers.steps = self.steps(request, &ground, &influence, progress)?;
        }
        levers.is_whole = true;
        Ok(levers)
    }

    fn ground(&self, request: &InfluenceRequest, progress: &Progress) -> Result<Ground, Cancelled> {
        let selection = Selection {
            model: request.trial.model,
            modes: (0..self.calibrations.len()).collect(),
            events: (0..self.courses.len()).collect(),
            load_cases: vec![request.trial.load_case],
        };
        let places = places(&selection);
        let scored = self.recall(selection.model, &self.wanted(&places, false), progress)?;
        Ok(Ground { selection, places, scored })
    }
}
