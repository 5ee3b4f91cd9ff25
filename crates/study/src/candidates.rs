//! Many candidate modes over the event set, and what each cell of a mode's maps does to a metric.
//!
//! One door for whoever searches: candidates run side by side on the same roads, a batch at a time, so that memory does not
//! grow with their number.

use crate::evaluate::{Wanted, runs_of};
use crate::{Cancelled, Progress, Study, convert};
use washboard_car::Model;
use washboard_control::Calibration;
use washboard_metrics::{MetricId, Scorecard};
use washboard_session::{MapName, Mode};

/// Candidates in a batch: enough to fill all lanes and threads.
const BATCH: usize = 64;
/// Share of the driven time from which a cell counts as visited.
const VISITED_SHARE: f64 = 1e-3;

/// What one cell of a map does to a metric.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellInfluence {
    /// The map.
    pub map: MapName,
    /// Row of the cell.
    pub row: usize,
    /// Column of the cell.
    pub column: usize,
    /// Change of the metric a unit of the cell (N s/m), SI.
    pub change_per_unit: f64,
    /// Share of the driven time the cell is in use.
    pub visit_share: f64,
}

impl Study {
    /// Overall scorecards of candidate modes over all events in one load case: `found` is told the index and the weighted
    /// mean of each, in order, as batches are done.
    ///
    /// The candidates need not be modes of the session; the caller has checked them.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn candidates(
        &self,
        model: Model,
        load_case: usize,
        candidates: &[Mode],
        progress: &Progress,
        mut found: impl FnMut(usize, Scorecard),
    ) -> Result<(), Cancelled> {
        for (batch, modes) in candidates.chunks(BATCH).enumerate() {
            let calibrations: Vec<Calibration> =
                modes.iter().map(|mode| convert::calibration(mode, &self.session)).collect();
            // Event after event: neighbours share their road.
            let wanted: Vec<Wanted> = (0..self.courses.len())
                .flat_map(|event| {
                    calibrations.iter().map(move |calibration| Wanted {
                        calibration,
                        event,
                        load_case,
                        seed_offset: 0,
                        with_visits: false,
                    })
                })
                .collect();
            let scored = self.score(model, &wanted, progress)?;
            for index in 0..modes.len() {
                let cards = scored.iter().skip(index).step_by(modes.len());
                let weights = self.courses.iter().map(|c| c.weight);
                let mean = Scorecard::weighted_mean(cards.map(|f| &f.0).zip(weights));
                found(batch * BATCH + index, mean);
            }
        }
        Ok(())
    }

    /// Influence of every visited cell of a mode's gain maps on a metric over all events, each cell raised by
    /// `step_n_s_per_m`; `found` is told as batches of cells are done.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn influence(
        &self,
        model: Model,
        mode: usize,
        load_case: usize,
        metric: MetricId,
        step_n_s_per_m: f64,
        progress: &Progress,
        mut found: impl FnMut(CellInfluence),
    ) -> Result<(), Cancelled> {
        let places: Vec<_> = (0..self.courses.len()).map(|event| (mode, event, load_case)).collect();
        let scored = self.score(model, &self.wanted(&places, true), progress)?;
        let weights = self.courses.iter().map(|c| c.weight);
        let base = Scorecard::weighted_mean(scored.iter().map(|f| &f.0).zip(weights)).mean(metric);
        let runs = runs_of(&places, &scored);
        let visits = self.mean_visits(mode, &runs, &scored);
        let mut cells = Vec::new();
        for (map, shares) in &visits.maps {
            for (row, shares) in shares.iter().enumerate() {
                for (column, &visit_share) in shares.iter().enumerate() {
                    if visit_share >= VISITED_SHARE {
                        cells.push(CellInfluence { map: *map, row, column, change_per_unit: 0.0, visit_share });
                    }
                }
            }
        }
        let own = &self.session.modes[mode];
        let raised = |cell: &CellInfluence| {
            let mut mode = own.clone();
            let map = match cell.map {
                MapName::Heave => &mut mode.heave,
                MapName::Wheel => &mut mode.wheel,
                MapName::Base => &mut mode.base,
                MapName::Roll => &mut mode.roll,
                _ => &mut mode.pitch,
            };
            if let Some(value) = map.values_n_s_per_m.get_mut(cell.row).and_then(|row| row.get_mut(cell.column)) {
                *value += step_n_s_per_m;
            }
            mode
        };
        let candidates: Vec<Mode> = cells.iter().map(raised).collect();
        self.candidates(model, load_case, &candidates, progress, |index, card| {
            if let (Some(value), Some(base)) = (card.mean(metric), base) {
                found(CellInfluence { change_per_unit: (value - base) / step_n_s_per_m, ..cells[index] });
            }
        })
    }
}
