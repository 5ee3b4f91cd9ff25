//! Scorecards of modes × events × load cases, their weighted means, and the fences held against them.

use crate::block::{Stage, Task, run_all};
use crate::snapshot::Course;
use crate::watch::Scores;
use crate::{Cancelled, Evaluation, FenceState, Overall, Progress, RunFigures, Selection, Study, Visits};
use washboard_car::Model;
use washboard_control::Calibration;
use washboard_metrics::{MetricId, Scorecard};
use washboard_road::Surface;

/// A mode to run: one of the session's, or one made for comparison.
pub(crate) struct Wanted<'a> {
    pub calibration: &'a Calibration,
    pub event: usize,
    pub load_case: usize,
}

impl Study {
    /// Scorecards of a selection.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn evaluate(&self, selection: &Selection, progress: &Progress) -> Result<Evaluation, Cancelled> {
        Ok(self.evaluate_with_visits(selection, false, progress)?.0)
    }

    /// Scorecards of a selection, and the visit share of each mode's maps over its events.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn evaluate_with_visits(
        &self,
        selection: &Selection,
        with_visits: bool,
        progress: &Progress,
    ) -> Result<(Evaluation, Vec<Visits>), Cancelled> {
        let mut places = Vec::new();
        for &mode in &selection.modes {
            for &event in &selection.events {
                for &load_case in &selection.load_cases {
                    places.push((mode, event, load_case));
                }
            }
        }
        let wanted: Vec<Wanted> = places
            .iter()
            .map(|&(mode, event, load_case)| Wanted { calibration: &self.calibrations[mode], event, load_case })
            .collect();
        let scored = self.score(selection.model, &wanted, 0, with_visits, progress)?;
        let (cards, visits): (Vec<Scorecard>, Vec<Visits>) = scored.into_iter().unzip();
        let runs: Vec<RunFigures> = places
            .into_iter()
            .zip(cards)
            .map(|((mode, event, load_case), card)| RunFigures { mode, event, load_case, card })
            .collect();
        let mode_visits = selection.modes.iter().map(|&mode| self.mean_visits(mode, &runs, &visits)).collect();
        let overall = self.overall(selection, &runs);
        let own = |name: &str| self.session.modes.iter().position(|m| m.name == name);
        let fences = self.hold_fences(&own, &runs, &overall);
        Ok((Evaluation { model: selection.model, runs, overall, fences }, mode_visits))
    }

    /// Runs and scores; `seed_offset` draws other roads of the same classes.
    pub(crate) fn score(
        &self,
        model: Model,
        wanted: &[Wanted<'_>],
        seed_offset: u64,
        with_visits: bool,
        progress: &Progress,
    ) -> Result<Vec<(Scorecard, Visits)>, Cancelled> {
        match model.corners() {
            1 => self.score_with::<1>(model, wanted, seed_offset, with_visits, progress),
            2 => self.score_with::<2>(model, wanted, seed_offset, with_visits, progress),
            _ => self.score_with::<4>(model, wanted, seed_offset, with_visits, progress),
        }
    }

    fn score_with<const C: usize>(
        &self,
        model: Model,
        wanted: &[Wanted<'_>],
        seed_offset: u64,
        with_visits: bool,
        progress: &Progress,
    ) -> Result<Vec<(Scorecard, Visits)>, Cancelled> {
        use rayon::prelude::*;
        let stage = Stage::<C>::new(self, model);
        let shifted: Vec<Course> = self.courses.iter().map(|c| reseeded(c, seed_offset)).collect();
        // Roads first, in parallel and each once.
        let mut used: Vec<usize> = wanted.iter().map(|w| w.event).collect();
        used.sort_unstable();
        used.dedup();
        let inputs: Vec<_> = used.par_iter().map(|&e| (e, self.road(model, &shifted[e].event, &stage.clock))).collect();
        progress.check()?;
        let input = |event: usize| inputs[used.binary_search(&event).unwrap_or(0)].1.clone();
        let tasks: Vec<Task> = wanted
            .iter()
            .map(|w| Task {
                calibration: w.calibration,
                load_case: w.load_case,
                course: &shifted[w.event],
                input: input(w.event),
            })
            .collect();
        run_all(
            &stage,
            &tasks,
            progress,
            |block| Scores::new(&stage, block, with_visits),
            |scores, lane| (scores.card(lane), scores.visits(lane)),
        )
    }

    /// Weighted means over the events, one a mode and load case.
    fn overall(&self, selection: &Selection, runs: &[RunFigures]) -> Vec<Overall> {
        let mut overall = Vec::new();
        for &mode in &selection.modes {
            for &load_case in &selection.load_cases {
                let own = runs.iter().filter(|r| r.mode == mode && r.load_case == load_case);
                let card = Scorecard::weighted_mean(own.map(|r| (&r.card, self.courses[r.event].weight)));
                overall.push(Overall { mode, load_case, card });
            }
        }
        overall
    }

    /// Visit share of a mode over its runs, weighted as the events are.
    fn mean_visits(&self, mode: usize, runs: &[RunFigures], visits: &[Visits]) -> Visits {
        let mut sum = Visits::default();
        let mut total = 0.0;
        for (run, visit) in runs.iter().zip(visits).filter(|(r, _)| r.mode == mode) {
            let weight = self.courses[run.event].weight * self.courses[run.event].event.duration_s;
            total += weight;
            if sum.maps.is_empty() {
                sum = visit.clone();
                sum.maps.iter_mut().flat_map(|m| &mut m.1).flatten().for_each(|v| *v *= weight);
            } else {
                let cells = sum.maps.iter_mut().flat_map(|m| &mut m.1).flatten();
                cells.zip(visit.maps.iter().flat_map(|m| &m.1).flatten()).for_each(|(s, v)| *s += weight * v);
            }
        }
        if total > 0.0 {
            sum.maps.iter_mut().flat_map(|m| &mut m.1).flatten().for_each(|v| *v /= total);
        }
        sum
    }

    /// Holds every fence against every mode and load case it applies to; `base` finds the mode that a fence is relative to.
    pub(crate) fn hold_fences(
        &self,
        base: &dyn Fn(&str) -> Option<usize>,
        runs: &[RunFigures],
        overall: &[Overall],
    ) -> Vec<FenceState> {
        let modes = self.mode_names();
        let mut states = Vec::new();
        for (index, fence) in self.session.fences.iter().enumerate() {
            let Some(metric) = MetricId::by_name(&fence.metric) else { continue };
            let event = fence.event.as_deref().and_then(|n| self.session.events.iter().position(|e| e.name == n));
            let figures: Vec<(usize, usize, f64)> = match event {
                Some(event) => runs
                    .iter()
                    .filter(|r| r.event == event)
                    .filter_map(|r| Some((r.mode, r.load_case, r.card.worst(metric)?)))
                    .collect(),
                None => overall.iter().filter_map(|o| Some((o.mode, o.load_case, o.card.worst(metric)?))).collect(),
            };
            for &(mode, load_case, value) in &figures {
                if !fence.modes.is_empty() && !fence.modes.iter().any(|n| n == modes[mode]) {
                    continue;
                }
                let factor = match fence.relative_to.as_deref() {
                    None => 1.0,
                    Some(name) => {
                        let base = base(name);
                        let of = |f: &&(usize, usize, f64)| Some(f.0) == base && f.1 == load_case;
                        // A reference that was not asked for cannot judge; the verb says so by leaving the fence out.
                        let Some(reference) = figures.iter().find(of) else { continue };
                        reference.2
                    }
                };
                let bounds = [(fence.at_most, true), (fence.at_least, false)];
                for (bound, is_upper) in bounds.into_iter().filter_map(|(b, u)| Some((b? * factor, u))) {
                    let kept = if is_upper { value <= bound } else { value >= bound };
                    states.push(FenceState {
                        fence: index,
                        mode,
                        event,
                        load_case,
                        metric,
                        value,
                        bound,
                        is_upper,
                        kept,
                    });
                }
            }
        }
        states
    }
}

/// The same course on another road of its class.
fn reseeded(course: &Course, offset: u64) -> Course {
    let mut course = course.clone();
    let seed = match &mut course.event.surface {
        Surface::Random(road) => &mut road.seed,
        Surface::Patched(road) => &mut road.seed,
        _ => return course,
    };
    *seed = seed.wrapping_add(offset);
    course
}
