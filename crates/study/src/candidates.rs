//! Many candidate modes over weighted events: the one door for whoever searches or asks what a step would do.
//!
//! Candidates run side by side on the same roads, a batch at a time, so that memory does not grow with their number.

use crate::block::Digits;
use crate::evaluate::{Wanted, runs_of};
use crate::{Cancelled, FenceState, Overall, Progress, Study, convert};
use washboard_car::Model;
use washboard_control::Calibration;
use washboard_metrics::Scorecard;
use washboard_session::Mode;
use washboard_signal::Precision;

/// Candidates in a batch: enough to fill all lanes and threads.
const BATCH: usize = 64;

/// What candidates and influences are judged on.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// The model.
    pub model: Model,
    /// Load case, 0 being the car as described.
    pub load_case: usize,
    /// Events by index, each with its weight; events that are not named, or weigh nothing, are not driven.
    pub events: Vec<(usize, f64)>,
}

/// What a candidate scored.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// Its place among the candidates.
    pub index: usize,
    /// Weighted mean over the events.
    pub overall: Scorecard,
    /// Scorecard of each event, in the order of the trial.
    pub of_events: Vec<Scorecard>,
}

impl Study {
    /// A trial over all events, weighted as the session weighs them.
    pub fn trial(&self, model: Model, load_case: usize) -> Trial {
        let events = self.courses.iter().enumerate().map(|(event, course)| (event, course.weight));
        Trial { model, load_case, events: events.collect() }
    }

    /// Scores candidate modes; `found` is told of each, in order, as batches are done.
    ///
    /// The candidates need not be modes of the session; the caller has checked them. `precision`: single where it is enough
    /// and a search has thousands of them; what is written down is double.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn candidates(
        &self,
        trial: &Trial,
        precision: Precision,
        candidates: &[Mode],
        progress: &Progress,
        mut found: impl FnMut(Candidate),
    ) -> Result<(), Cancelled> {
        let driven: Vec<(usize, f64)> = trial.driven().collect();
        for (batch, modes) in candidates.chunks(BATCH).enumerate() {
            let calibrations: Vec<Calibration> =
                modes.iter().map(|mode| convert::calibration(mode, &self.session)).collect();
            // Event after event: neighbours share their road.
            let digits = match precision {
                Precision::Double => Digits::Double,
                Precision::Single => Digits::Single,
            };
            let run = |event, c| Wanted { digits, ..trial.run(c, event) };
            let wanted: Vec<Wanted> =
                driven.iter().flat_map(|&(event, _)| calibrations.iter().map(move |c| run(event, c))).collect();
            let scored = self.score(trial.model, &wanted, progress)?;
            for index in 0..modes.len() {
                let cards = scored.iter().skip(index).step_by(modes.len()).map(|figures| &figures.0);
                found(Candidate {
                    index: batch * BATCH + index,
                    overall: Scorecard::weighted_mean(cards.clone().zip(driven.iter().map(|d| d.1))),
                    of_events: cards.cloned().collect(),
                });
            }
        }
        Ok(())
    }

    /// What the session's fences say of modes in the place of one of its own: those fences that hold for it, one list a
    /// candidate, in the load case of the trial and over the session's own events and weights. Runs that are known are not
    /// made again.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn fences_in_place_of(
        &self,
        mode: usize,
        trial: &Trial,
        candidates: &[Mode],
        progress: &Progress,
    ) -> Result<Vec<Vec<FenceState>>, Cancelled> {
        let calibrations: Vec<Calibration> =
            candidates.iter().map(|mode| convert::calibration(mode, &self.session)).collect();
        let whole = self.trial(trial.model, trial.load_case);
        let others: Vec<usize> = (0..self.calibrations.len()).filter(|&m| m != mode).collect();
        let own = others.iter().map(|&m| (m, &self.calibrations[m]));
        let columns: Vec<(usize, &Calibration)> = own.chain(calibrations.iter().map(|c| (mode, c))).collect();
        let wanted: Vec<Wanted> =
            columns.iter().flat_map(|(_, c)| (0..self.courses.len()).map(|event| whole.run(c, event))).collect();
        let scored = self.recall(trial.model, &wanted, progress)?;
        let by_name = |name: &str| self.session.modes.iter().position(|m| m.name == name);
        let column = |(mode, figures): (usize, &[_])| {
            let places: Vec<_> = (0..self.courses.len()).map(|event| (mode, event, trial.load_case)).collect();
            runs_of(&places, figures)
        };
        let events = self.courses.len().max(1);
        let mut columns = columns.iter().map(|c| c.0).zip(scored.chunks(events)).map(column);
        let known: Vec<_> = columns.by_ref().take(others.len()).flatten().collect();
        let judged = |of_candidate: Vec<_>| {
            let runs: Vec<_> = known.iter().cloned().chain(of_candidate).collect();
            let modes = others.iter().copied().chain([mode]);
            let overall: Vec<Overall> = modes.map(|mode| self.overall_of(mode, trial.load_case, &runs)).collect();
            let states = self.hold_fences(&by_name, &runs, &overall);
            states.into_iter().filter(|state| state.mode == mode).collect()
        };
        Ok(columns.map(judged).collect())
    }
}

impl Trial {
    /// The events that weigh something.
    pub(crate) fn driven(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.events.iter().copied().filter(|(_, weight)| *weight > 0.0)
    }

    /// A run without visit shares.
    pub(crate) fn run<'a>(&self, calibration: &'a Calibration, event: usize) -> Wanted<'a> {
        Wanted {
            calibration,
            event,
            load_case: self.load_case,
            seed_offset: 0,
            digits: Digits::Double,
            with_visits: false,
            with_trace: false,
        }
    }
}
