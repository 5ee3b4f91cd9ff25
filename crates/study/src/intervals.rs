//! How sure a figure of a random road is: the same road class drawn several times.

use crate::compare::{SEED_STEP, half_width, mean};
use crate::{Cancelled, Progress, Selection, Study};
use washboard_metrics::MetricId;
use washboard_road::Surface;

/// Mean of a metric over several draws of one random road, with the 95 % interval of that mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Index of the mode.
    pub mode: usize,
    /// Index of the event.
    pub event: usize,
    /// Index of the load case, 0 being the car as described.
    pub load_case: usize,
    /// The metric (per-corner metrics as the mean of the corners).
    pub metric: MetricId,
    /// Mean over the draws, SI.
    pub mean: f64,
    /// Half width of the 95 % interval of the mean (Student), SI.
    pub half_width: f64,
    /// Draws that carry the metric.
    pub draws: usize,
}

impl Study {
    /// Intervals of every metric of every run of the selection on a random road, over `seeds` draws of each; the first draw
    /// is the event's own. Empty for fewer than two.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn intervals(
        &self,
        selection: &Selection,
        seeds: usize,
        progress: &Progress,
    ) -> Result<Vec<Interval>, Cancelled> {
        let is_drawn = |event: &usize| self.courses[*event].is_drawn();
        let events: Vec<usize> = selection.events.iter().copied().filter(is_drawn).collect();
        if seeds < 2 || events.is_empty() {
            return Ok(Vec::new());
        }
        let selection = Selection { events, ..selection.clone() };
        let mut draws = Vec::with_capacity(seeds);
        for draw in 0..seeds {
            draws.push(self.redrawn(draw as u64 * SEED_STEP).evaluate(&selection, progress)?.runs);
        }
        let mut intervals = Vec::new();
        for (index, run) in draws[0].iter().enumerate() {
            for metric in MetricId::all() {
                let values: Vec<f64> = draws.iter().filter_map(|runs| runs[index].card.mean(metric)).collect();
                if values.len() >= 2 {
                    intervals.push(Interval {
                        mode: run.mode,
                        event: run.event,
                        load_case: run.load_case,
                        metric,
                        mean: mean(&values),
                        half_width: half_width(&values),
                        draws: values.len(),
                    });
                }
            }
        }
        Ok(intervals)
    }

    /// The same study on other roads of the same classes.
    fn redrawn(&self, seed_offset: u64) -> Study {
        let mut study = self.clone();
        for course in &mut study.courses {
            if let Surface::Random(road) = &mut course.event.surface {
                road.seed = road.seed.wrapping_add(seed_offset);
            }
        }
        study
    }
}
