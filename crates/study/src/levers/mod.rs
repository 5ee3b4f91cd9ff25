//! Which cells of a mode move a metric on chosen events, and steps on them with their effect computed before they are taken.

mod reach;
mod steps;

pub use steps::STEP_SHARES;

use crate::evaluate::{Wanted as Run, places};
use crate::memory::Figures;
use crate::{Cancelled, FenceState, Progress, Selection, Study, StudyFault, convert};
use washboard_car::Model;
use washboard_control::Calibration;
use washboard_metrics::{MetricId, Scorecard};
use washboard_session::complaints::{Complaints, MapPick, Wanted};
use washboard_session::{MapName, Mode};

/// Cells tried at once: enough to fill all lanes and threads, few enough that the picture grows.
const BATCH: usize = 32;
/// Share of the driven time from which a cell counts as visited.
const VISITED_SHARE: f64 = 1e-3;
/// Every cell is raised by this share of the largest gain that is looked at, so that cells compare.
const TRIAL_SHARE: f64 = 0.05;
/// Least trial, N s/m.
const LEAST_TRIAL_N_S_PER_M: f64 = 20.0;

/// What is looked for.
#[derive(Clone, Debug, PartialEq)]
pub struct LeverRequest {
    /// The model.
    pub model: Model,
    /// Load case, 0 being the car as described.
    pub load_case: usize,
    /// Index of the mode under work.
    pub mode: usize,
    /// What is to change.
    pub metric: MetricId,
    /// Which way.
    pub wanted: Wanted,
    /// Indices of the events it is read on.
    pub events: Vec<usize>,
    /// Maps that are looked at.
    pub maps: Vec<MapPick>,
    /// Other metrics that a step is told about, over all events.
    pub others: Vec<MetricId>,
    /// Steps are wanted too.
    pub with_steps: bool,
}

/// What raising one cell does.
#[derive(Clone, Debug, PartialEq)]
pub struct CellLever {
    /// The map.
    pub map: MapName,
    /// Row of the cell.
    pub row: usize,
    /// Column of the cell.
    pub column: usize,
    /// Share of the driven time on the events looked at that the cell is in use.
    pub visit_share: f64,
    /// Change of the metric a unit of the cell (N s/m), SI.
    pub change_per_unit: f64,
    /// Change of each of the other metrics a unit of the cell on the same events; `None` where they do not carry it.
    pub others_per_unit: Vec<Option<f64>>,
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
    /// Which of the sizes tried it is of, the smallest first.
    pub size: usize,
    /// How far it goes.
    pub amount: Amount,
    /// Row, column and new value of every cell.
    pub cells: Vec<(usize, usize, f64)>,
    /// Locked cells within the range, which stay as they are.
    pub locked: usize,
    /// The metric on the events looked at.
    pub effect: Change,
    /// The other metrics over all events.
    pub others: Vec<Change>,
    /// Fences that it would cross, or that are crossed and it would make worse.
    pub crossed: Vec<FenceState>,
}

/// What is known so far.
#[derive(Clone, Debug, PartialEq)]
pub struct Levers {
    /// The metric as it is on the events looked at; absent where none of them carries it.
    pub now: Option<f64>,
    /// Cells in use, in the order they were tried.
    pub cells: Vec<CellLever>,
    /// Cells in use in all.
    pub visited: usize,
    /// Steps, the one with the largest effect first.
    pub steps: Vec<LeverStep>,
    /// True where nothing more comes.
    pub is_whole: bool,
}

impl Levers {
    /// The lever of a cell, where it was tried.
    pub fn of(&self, map: MapName, row: usize, column: usize) -> Option<&CellLever> {
        self.cells.iter().find(|c| (c.map, c.row, c.column) == (map, row, column))
    }

    /// The largest change a unit of any cell, in magnitude.
    pub fn largest(&self) -> f64 {
        self.cells.iter().map(|c| c.change_per_unit.abs()).fold(0.0, f64::max)
    }
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

/// Runs of all modes as they are.
struct Ground {
    selection: Selection,
    places: Vec<(usize, usize, usize)>,
    scored: Vec<Figures>,
}

impl Ground {
    /// Figures of a mode on an event.
    fn of(&self, mode: usize, event: usize) -> Option<&Figures> {
        self.places.iter().position(|p| (p.0, p.1) == (mode, event)).map(|i| &self.scored[i])
    }
}

impl Study {
    /// Looks for the cells that move a metric, and for steps; `found` is told what is known whenever that has grown.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn levers(
        &self,
        request: &LeverRequest,
        progress: &Progress,
        mut found: impl FnMut(&Levers),
    ) -> Result<Levers, Cancelled> {
        let ground = self.ground(request, progress)?;
        let before = self.mean_on(request, |event| ground.of(request.mode, event).map(|f| &f.0));
        let cells = self.visited(request, &ground);
        let mut levers = Levers {
            now: before.mean(request.metric),
            visited: cells.len(),
            cells: Vec::new(),
            steps: Vec::new(),
            is_whole: false,
        };
        if levers.now.is_some() {
            let trial = self.trial(request);
            for batch in cells.chunks(BATCH) {
                let tried: Vec<Mode> = batch.iter().map(|cell| self.raised(request.mode, cell, trial)).collect();
                let cards = self.cards_on(request, &tried, &request.events, progress)?;
                for (cell, cards) in batch.iter().zip(cards) {
                    let after = self
                        .mean_on(request, |event| request.events.iter().position(|e| *e == event).map(|i| &cards[i]));
                    let slope = |id: MetricId| Some((after.mean(id)? - before.mean(id)?) / trial);
                    levers.cells.extend(slope(request.metric).map(|change_per_unit| CellLever {
                        change_per_unit,
                        others_per_unit: request.others.iter().map(|id| slope(*id)).collect(),
                        ..cell.clone()
                    }));
                }
                found(&levers);
            }
            if request.with_steps {
                levers.steps = self.steps(request, &ground, &levers, progress)?;
            }
        }
        levers.is_whole = true;
        Ok(levers)
    }

    fn ground(&self, request: &LeverRequest, progress: &Progress) -> Result<Ground, Cancelled> {
        let selection = Selection {
            model: request.model,
            modes: (0..self.calibrations.len()).collect(),
            events: (0..self.courses.len()).collect(),
            load_cases: vec![request.load_case],
        };
        let places = places(&selection);
        let scored = self.recall(request.model, &self.wanted(&places, true), progress)?;
        Ok(Ground { selection, places, scored })
    }

    /// Weighted mean over the events looked at.
    fn mean_on<'c>(&self, request: &LeverRequest, card: impl Fn(usize) -> Option<&'c Scorecard>) -> Scorecard {
        let cards = request.events.iter().filter_map(|&e| Some((card(e)?, self.courses.get(e)?.weight)));
        Scorecard::weighted_mean(cards)
    }

    /// Scorecards of modes that need not be the session's: one list a mode, in the order of the events.
    fn cards_on(
        &self,
        request: &LeverRequest,
        modes: &[Mode],
        events: &[usize],
        progress: &Progress,
    ) -> Result<Vec<Vec<Scorecard>>, Cancelled> {
        let calibrations: Vec<Calibration> = modes.iter().map(|m| convert::calibration(m, &self.session)).collect();
        // Event after event: neighbours share their road.
        let runs: Vec<Run> = events
            .iter()
            .flat_map(|&event| {
                calibrations.iter().map(move |calibration| Run {
                    calibration,
                    event,
                    load_case: request.load_case,
                    seed_offset: 0,
                    with_visits: false,
                })
            })
            .collect();
        let scored = self.score(request.model, &runs, progress)?;
        let of = |mode: usize| scored.iter().skip(mode).step_by(modes.len().max(1)).map(|f| f.0.clone()).collect();
        Ok((0..modes.len()).map(of).collect())
    }

    /// Cells in use on the events looked at, those most in use first.
    fn visited(&self, request: &LeverRequest, ground: &Ground) -> Vec<CellLever> {
        let Some(mode) = self.session.modes.get(request.mode) else { return Vec::new() };
        let mut cells = Vec::new();
        for map in request.maps.iter().map(|pick| pick.map) {
            let Some(table) = mode.map(map) else { continue };
            for (row, values) in table.values.iter().enumerate() {
                for column in 0..values.len() {
                    let visit_share = self.share_of(request, ground, map, row, column);
                    if visit_share >= VISITED_SHARE {
                        let (change_per_unit, others_per_unit) = (0.0, Vec::new());
                        cells.push(CellLever { map, row, column, visit_share, change_per_unit, others_per_unit });
                    }
                }
            }
        }
        cells.sort_by(|a, b| b.visit_share.total_cmp(&a.visit_share));
        cells
    }

    /// Share of the driven time on the events looked at, weighted as the events are.
    fn share_of(&self, request: &LeverRequest, ground: &Ground, map: MapName, row: usize, column: usize) -> f64 {
        let (mut sum, mut total) = (0.0, 0.0);
        for &event in &request.events {
            let Some(figures) = ground.of(request.mode, event) else { continue };
            let course = &self.courses[event];
            let weight = course.weight * course.event.duration_s;
            let share = figures.1.of(map).and_then(|m| m.get(row)?.get(column).copied());
            sum += weight * share.unwrap_or(0.0);
            total += weight;
        }
        if total > 0.0 { sum / total } else { 0.0 }
    }

    /// By how much every cell is raised to see what it does, N s/m.
    fn trial(&self, request: &LeverRequest) -> f64 {
        let mode = &self.session.modes[request.mode];
        let gains = request.maps.iter().filter_map(|pick| mode.map(pick.map)).flat_map(|m| m.values.iter().flatten());
        (TRIAL_SHARE * gains.fold(0.0_f64, |most, v| most.max(v.abs()))).max(LEAST_TRIAL_N_S_PER_M)
    }

    fn raised(&self, mode: usize, cell: &CellLever, by: f64) -> Mode {
        let mut mode = self.session.modes[mode].clone();
        let value = mode.map_mut(cell.map).and_then(|map| map.values.get_mut(cell.row)?.get_mut(cell.column));
        if let Some(value) = value {
            *value += by;
        }
        mode
    }
}
