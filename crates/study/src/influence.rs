//! What each cell of a mode's gain maps does to a metric, and what it costs in others: found cell by cell, the most used first.
//!
//! A cell that a run never uses has no effect on it, so that only the events that use a cell are driven anew for it.

use crate::evaluate::Wanted;
use crate::memory::Figures;
use crate::{Cancelled, Progress, Study, Trial, convert};
use washboard_control::Calibration;
use washboard_metrics::{MetricId, Scorecard};
use washboard_session::{MapName, Mode};

/// Share of the driven time from which a cell counts as visited.
pub const VISITED_SHARE: f64 = 1e-3;
/// Cells in the first batch, so that something is there soon, and in the others.
const FIRST_BATCH: usize = 8;
const BATCH: usize = 48;

/// What an influence is asked of.
#[derive(Clone, Debug, PartialEq)]
pub struct InfluenceRequest {
    /// Model, load case and weighted events.
    pub trial: Trial,
    /// Index of the mode.
    pub mode: usize,
    /// The metric (per-corner metrics as the mean of the corners).
    pub metric: MetricId,
    /// Metrics told beside it.
    pub beside: Vec<MetricId>,
    /// By how much a cell is raised to see what it does, N s/m; negative lowers it. Anything but zero.
    pub step_n_s_per_m: f64,
}

/// The influence of a mode's cells, as far as it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Influence {
    /// What was asked.
    pub request: InfluenceRequest,
    /// The metric as the mode stands: weighted mean over the events, SI. Absent where no event has the metric.
    pub value: Option<f64>,
    /// The metrics beside it, in the order of the request.
    pub beside: Vec<Option<f64>>,
    /// Heave, wheel, base, roll, pitch and, where the mode has one, floor, in the shape of the mode's maps.
    pub maps: Vec<MapInfluence>,
    /// Cells known and visited cells in all.
    pub known: usize,
    /// Visited cells in all.
    pub visited: usize,
}

/// One map.
#[derive(Clone, Debug, PartialEq)]
pub struct MapInfluence {
    /// The map.
    pub map: MapName,
    /// One row a row breakpoint.
    pub cells: Vec<Vec<CellInfluence>>,
}

/// One cell.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CellInfluence {
    /// Share of the driven time the cell is in use, over the events of the request.
    pub visit_share: f64,
    /// What it does; absent where it is never visited or not known yet.
    pub effect: Option<CellEffect>,
}

/// By how much a cell of the floor is moved to see what it does, A, in the direction of the step of the gains.
const FLOOR_STEP_A: f64 = 0.05;

/// What a unit of a cell does.
#[derive(Clone, Debug, PartialEq)]
pub struct CellEffect {
    /// Change of the metric a unit of the cell, SI over N s/m (over A in the floor); absent where the metric came or went
    /// with the step.
    pub per_unit: Option<f64>,
    /// The same of the metrics beside it, in the order of the request.
    pub beside_per_unit: Vec<Option<f64>>,
}

impl InfluenceRequest {
    /// By how much a cell of a map is raised, in the map's unit.
    fn step_of(&self, map: MapName) -> f64 {
        if map == MapName::Floor { FLOOR_STEP_A.copysign(self.step_n_s_per_m) } else { self.step_n_s_per_m }
    }
}

impl CellInfluence {
    /// True where the cell is used long enough to be judged.
    pub fn is_visited(&self) -> bool {
        self.visit_share >= VISITED_SHARE
    }
}

impl Influence {
    /// The cell at a place.
    pub fn cell(&self, map: MapName, row: usize, column: usize) -> Option<&CellInfluence> {
        self.maps.iter().find(|m| m.map == map)?.cells.get(row)?.get(column)
    }

    /// True once every visited cell is known.
    pub fn is_whole(&self) -> bool {
        self.known == self.visited
    }
}

/// The map of a visited cell; visits are told in the order of the maps.
fn name_of(place: &Place) -> MapName {
    MapName::ALL[place.map]
}

/// A visited cell.
struct Place {
    map: usize,
    row: usize,
    column: usize,
}

impl Study {
    /// Influence of every visited cell of a mode's gain maps on a metric, each cell raised by the step of the request.
    /// `grown` is shown what is known: once before the first cell, then after every batch of cells.
    ///
    /// Visits are looked at a hundred times a second: what a cell does in between, where an event never uses it otherwise,
    /// is left out.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn influence(
        &self,
        request: &InfluenceRequest,
        progress: &Progress,
        mut grown: impl FnMut(&Influence),
    ) -> Result<Influence, Cancelled> {
        let (mode, trial) = (request.mode, &request.trial);
        let driven: Vec<(usize, f64)> = trial.driven().collect();
        let own = &self.calibrations[mode];
        let base: Vec<Wanted> =
            driven.iter().map(|&(event, _)| Wanted { with_visits: true, ..trial.run(own, event) }).collect();
        // The window has driven them already.
        let base = self.recall(trial.model, &base, progress)?;
        let figures = |cards: &mut dyn Iterator<Item = &Scorecard>| {
            let mean = Scorecard::weighted_mean(cards.zip(driven.iter().map(|d| d.1)));
            let beside = request.beside.iter().map(|&metric| mean.mean(metric)).collect::<Vec<_>>();
            (mean.mean(request.metric), beside)
        };
        let (value, beside) = figures(&mut base.iter().map(|f| &f.0));
        let maps = self.visited_maps(&driven, &base);
        let places = most_used_first(&maps);
        let mut influence = Influence {
            request: request.clone(),
            value,
            beside: beside.clone(),
            visited: places.len(),
            known: 0,
            maps,
        };
        grown(&influence);
        let mut rest = &places[..];
        while !rest.is_empty() {
            let size = if influence.known == 0 { FIRST_BATCH } else { BATCH };
            let (batch, later) = rest.split_at(size.min(rest.len()));
            rest = later;
            let calibrations: Vec<Calibration> = batch.iter().map(|place| self.stepped(request, place)).collect();
            let uses = |place: &Place, event: usize| {
                base[event].1.maps.get(place.map).is_none_or(|(_, shares)| shares[place.row][place.column] > 0.0)
            };
            // Event after event: neighbours share their road.
            let runs: Vec<(usize, usize)> = (0..driven.len())
                .flat_map(|event| (0..batch.len()).map(move |cell| (event, cell)))
                .filter(|&(event, cell)| uses(&batch[cell], event))
                .collect();
            let wanted: Vec<Wanted> =
                runs.iter().map(|&(event, cell)| trial.run(&calibrations[cell], driven[event].0)).collect();
            let scored = self.score(trial.model, &wanted, progress)?;
            for (cell, place) in batch.iter().enumerate() {
                let mut cards: Vec<&Scorecard> = base.iter().map(|f| &f.0).collect();
                for (&(event, _), figures) in runs.iter().zip(&scored).filter(|(run, _)| run.1 == cell) {
                    cards[event] = &figures.0;
                }
                let (after, beside_after) = figures(&mut cards.into_iter());
                let a_unit = |after: Option<f64>, before: Option<f64>| {
                    after.zip(before).map(|(after, before)| (after - before) / request.step_of(name_of(place)))
                };
                let effect = CellEffect {
                    per_unit: a_unit(after, value),
                    beside_per_unit: beside_after.into_iter().zip(&beside).map(|(a, b)| a_unit(a, *b)).collect(),
                };
                influence.maps[place.map].cells[place.row][place.column].effect = Some(effect);
            }
            influence.known += batch.len();
            grown(&influence);
        }
        Ok(influence)
    }

    /// The maps of a mode with the share of the driven time their cells are in use.
    fn visited_maps(&self, driven: &[(usize, f64)], base: &[Figures]) -> Vec<MapInfluence> {
        let times = || driven.iter().map(|&(event, weight)| weight * self.courses[event].event.duration_s);
        let total: f64 = times().sum();
        let shares = |map: usize, row: usize, column: usize| {
            let of_event = |figures: &Figures| figures.1.maps[map].1[row][column];
            base.iter().zip(times()).map(|(figures, time)| of_event(figures) * time).sum::<f64>() / total
        };
        let cell = |map, row, column| CellInfluence { visit_share: shares(map, row, column), effect: None };
        let Some(first) = base.first() else { return Vec::new() };
        let of_map = |(map, (name, rows)): (usize, &(MapName, Vec<Vec<f64>>))| {
            let row = |(row, cells): (usize, &Vec<f64>)| (0..cells.len()).map(|c| cell(map, row, c)).collect();
            MapInfluence { map: *name, cells: rows.iter().enumerate().map(row).collect() }
        };
        first.1.maps.iter().enumerate().map(of_map).collect()
    }

    /// The mode with one cell raised.
    fn stepped(&self, request: &InfluenceRequest, place: &Place) -> Calibration {
        let mut mode: Mode = self.session.modes[request.mode].clone();
        let name = name_of(place);
        let cell = mode.map_mut(name).and_then(|m| m.values.get_mut(place.row)?.get_mut(place.column));
        if let Some(value) = cell {
            *value += request.step_of(name);
        }
        let stepped = convert::calibration(&mode, &self.session);
        // What a control unit holds besides belongs to the mode as it stands.
        Calibration { inverse: self.calibrations[request.mode].inverse.clone(), ..stepped }
    }
}

/// The visited cells, the most used first.
fn most_used_first(maps: &[MapInfluence]) -> Vec<Place> {
    let mut places: Vec<(f64, Place)> = Vec::new();
    for (map, of_map) in maps.iter().enumerate() {
        for (row, cells) in of_map.cells.iter().enumerate() {
            let visited = cells.iter().enumerate().filter(|(_, cell)| cell.is_visited());
            places.extend(visited.map(|(column, cell)| (cell.visit_share, Place { map, row, column })));
        }
    }
    // The sort is stable: equal shares stay in the order of the maps.
    places.sort_by(|a, b| b.0.total_cmp(&a.0));
    places.into_iter().map(|p| p.1).collect()
}
