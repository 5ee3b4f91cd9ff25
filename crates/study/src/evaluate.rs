//! Scorecards of modes × events × load cases, their weighted means, and the fences held against them.

use crate::block::{Digits, Stage, Task, run_all};
use crate::memory::{Figures, Place, RunKey};
use crate::show::FIXED_DAMPERS;
use crate::snapshot::Course;
use crate::watch::ScoreCards;
use crate::{Cancelled, Evaluation, FenceState, Overall, Progress, RunFigures, Selection, Study, Trace, Visits};
use std::collections::HashMap;
use std::sync::Arc;
use washboard_car::Model;
use washboard_control::Calibration;
use washboard_metrics::{MetricId, Scorecard};
use washboard_road::Surface;
use washboard_signal::Precision;
use washboard_sim::Clock;

/// Longest event in single precision, s: sums of more samples would lose digits.
const LONGEST_SINGLE_S: f64 = 200.0;
/// The same where the car comes to rest, s: beyond it the motions of firm cars fade below what single precision holds, and such
/// runs are made twice.
const LONGEST_SINGLE_REST_S: f64 = 25.0;

/// What a run gives: its card, visit shares where they were wanted, and so time histories.
type Gathered = (Scorecard, Visits, Option<Trace>);

/// A run that is wanted: of one of the session's modes, or of one made for comparison.
#[derive(Clone, Copy)]
pub(crate) struct Wanted<'a> {
    pub calibration: &'a Calibration,
    pub event: usize,
    pub load_case: usize,
    /// Draws another road of the same class.
    pub seed_offset: u64,
    pub digits: Digits,
    /// Visit shares of the maps are wanted too.
    pub with_visits: bool,
    /// Time histories are wanted too.
    pub with_trace: bool,
}

impl Study {
    /// Scorecards of a selection.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn evaluate(&self, selection: &Selection, progress: &Progress) -> Result<Evaluation, Cancelled> {
        let places = places(selection);
        let wanted = self.wanted(&places, false);
        let scored = self.score(selection.model, &wanted, progress)?;
        Ok(self.evaluation(selection, &places, &scored))
    }

    /// Scorecards of a selection as an answer at once has them: in single precision where that is enough.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn evaluate_at_once(&self, selection: &Selection, progress: &Progress) -> Result<Evaluation, Cancelled> {
        let places = places(selection);
        let mut wanted = self.wanted(&places, false);
        wanted.iter_mut().for_each(|w| w.digits = Digits::SingleOrBetter);
        let scored = self.score(selection.model, &wanted, progress)?;
        Ok(self.evaluation(selection, &places, &scored))
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
        let places = places(selection);
        let scored = self.score(selection.model, &self.wanted(&places, with_visits), progress)?;
        let evaluation = self.evaluation(selection, &places, &scored);
        let visits = selection.modes.iter().map(|&m| self.mean_visits(m, &evaluation.runs, &scored)).collect();
        Ok((evaluation, visits))
    }

    /// The runs of modes, events and load cases.
    pub(crate) fn wanted(&self, places: &[(usize, usize, usize)], with_visits: bool) -> Vec<Wanted<'_>> {
        let run = |&(mode, event, load_case): &(usize, usize, usize)| Wanted {
            calibration: &self.calibrations[mode],
            event,
            load_case,
            seed_offset: 0,
            digits: Digits::Double,
            with_visits,
            with_trace: false,
        };
        places.iter().map(run).collect()
    }

    /// Puts the figures of a selection's runs together.
    pub(crate) fn evaluation(
        &self,
        selection: &Selection,
        places: &[(usize, usize, usize)],
        scored: &[Figures],
    ) -> Evaluation {
        let runs = runs_of(places, scored);
        let overall = self.overall(selection, &runs);
        let own = |name: &str| self.session.modes.iter().position(|m| m.name == name);
        let fences = self.hold_fences(&own, &runs, &overall);
        Evaluation { model: selection.model, runs, overall, fences }
    }

    /// What runs are known by.
    fn keys(&self, model: Model, wanted: &[Wanted<'_>]) -> Vec<RunKey> {
        let mut courses = HashMap::new();
        let mut course = |event: usize, seed_offset: u64| {
            *courses.entry((event, seed_offset)).or_insert_with(|| {
                let course = reseeded(&self.courses[event], seed_offset);
                self.memory.course(&course, 8 * self.courses.len())
            })
        };
        // Modes are told by where they lie: several runs share one.
        let mut modes = HashMap::new();
        let mut mode = |c: &Calibration| *modes.entry(std::ptr::from_ref(c)).or_insert_with(|| self.mode_number(c));
        let car = self.memory.car(&self.session);
        let key = |w: &Wanted<'_>| RunKey {
            place: Place { car, model, load_case: w.load_case },
            mode: mode(w.calibration),
            course: course(w.event, w.seed_offset),
            precision: self.enough(model, w.load_case, w.calibration, w.event, w.digits).precision(),
        };
        wanted.iter().map(key).collect()
    }

    /// Runs as far as they are known from before.
    pub(crate) fn known(&self, model: Model, wanted: &[Wanted<'_>]) -> Vec<Option<Figures>> {
        self.memory.runs(&self.keys(model, wanted))
    }

    /// True where single precision is enough for some of these runs, and all that is known of it.
    pub(crate) fn lack_double(&self, model: Model, wanted: &[Wanted<'_>]) -> bool {
        let keys = self.keys(model, wanted);
        keys.iter().any(|key| key.precision == Precision::Single && !self.memory.has_double(key))
    }

    /// As [`Study::score`], but runs known from before are not made again.
    pub(crate) fn recall(
        &self,
        model: Model,
        wanted: &[Wanted<'_>],
        progress: &Progress,
    ) -> Result<Vec<Figures>, Cancelled> {
        let keys = self.keys(model, wanted);
        let mut known = self.memory.runs(&keys);
        let is_missing =
            |i: &usize| known[*i].as_ref().is_none_or(|figures| wanted[*i].with_visits && figures.1.maps.is_empty());
        let missing: Vec<usize> = (0..wanted.len()).filter(is_missing).collect();
        let runs: Vec<Wanted> = missing.iter().map(|&i| wanted[i]).collect();
        for (i, (card, visits, trace)) in missing.into_iter().zip(self.run(model, &runs, progress)?) {
            let figures = Arc::new((card, visits));
            self.memory.keep_run(keys[i], figures.clone());
            if let Some(trace) = trace {
                self.memory.keep_trace(keys[i], Arc::new(trace), self.calibrations.len());
            }
            known[i] = Some(figures);
        }
        Ok(known.into_iter().flatten().collect())
    }

    /// How many digits a run needs: fewer where that was asked for, while no steady state hides the smallest motions of the
    /// car and the law does not switch.
    ///
    /// There single precision is far within what the steps leave, also where the car comes to rest on a level road: every
    /// number fades with the motion, and keeps its digits. Beside a lasting angle, height or acceleration they are lost, and
    /// with them the current that the law asks for; and a law that switches turns a last digit into a sample of firm damper.
    /// Likewise lost is the little roll of a leaning car that is pushed straight up or ahead.
    pub(crate) fn enough(
        &self,
        model: Model,
        load_case: usize,
        calibration: &Calibration,
        event: usize,
        asked: Digits,
    ) -> Digits {
        let (course, leans) = (&self.courses[event], self.leans(model, load_case));
        let serves = self.engine.single_lanes.is_some();
        let lasts = |longest_s: f64| course.event.duration_s <= longest_s;
        let keeps = (course.never_rests(leans) && lasts(LONGEST_SINGLE_S))
            || (course.rests_level(leans) && self.estimation.is_none() && lasts(LONGEST_SINGLE_REST_S));
        if serves && keeps && !calibration.law.switches() { asked } else { Digits::Double }
    }

    /// Number of a mode in the memory.
    pub(crate) fn mode_number(&self, calibration: &Calibration) -> u64 {
        self.memory.mode(calibration, self.calibrations.len() + FIXED_DAMPERS)
    }

    /// Runs and scores.
    pub(crate) fn score(
        &self,
        model: Model,
        wanted: &[Wanted<'_>],
        progress: &Progress,
    ) -> Result<Vec<Figures>, Cancelled> {
        let scored = self.run(model, wanted, progress)?;
        Ok(scored.into_iter().map(|(card, visits, _)| Arc::new((card, visits))).collect())
    }

    /// Runs, and hands over all that was wanted.
    pub(crate) fn run(
        &self,
        model: Model,
        wanted: &[Wanted<'_>],
        progress: &Progress,
    ) -> Result<Vec<Gathered>, Cancelled> {
        if wanted.is_empty() {
            return Ok(Vec::new());
        }
        progress.run(|| match model.corners() {
            1 => self.run_with::<1>(model, wanted, progress),
            2 => self.run_with::<2>(model, wanted, progress),
            _ => self.run_with::<4>(model, wanted, progress),
        })
    }

    fn run_with<const C: usize>(
        &self,
        model: Model,
        wanted: &[Wanted<'_>],
        progress: &Progress,
    ) -> Result<Vec<Gathered>, Cancelled> {
        let stage = Stage::<C>::new(self, model);
        let clock =
            |w: &Wanted<'_>| self.clock_for(&stage.clock, w.calibration.law, Some(&self.courses[w.event].event));
        // Roads first, each once for every plant step.
        let place = |w: &Wanted<'_>| (w.event, w.seed_offset, clock(w).substeps);
        let mut used: Vec<(usize, u64, usize)> = wanted.iter().map(place).collect();
        used.sort_unstable();
        used.dedup();
        let courses: Vec<Course> =
            used.iter().map(|&(event, offset, _)| reseeded(&self.courses[event], offset)).collect();
        let clocks: Vec<Clock> =
            used.iter().map(|&(.., substeps)| stage.clock.finer(substeps / stage.clock.substeps)).collect();
        let roads = self.roads(model, courses.iter().map(|c| &c.event).zip(clocks.iter().copied()), progress)?;
        let tasks: Vec<Task> = wanted
            .iter()
            .map(|w| {
                let number = used.partition_point(|u| *u < place(w));
                Task {
                    calibration: w.calibration,
                    load_case: w.load_case,
                    course: &courses[number],
                    clock: clocks[number],
                    road: roads[number].clone(),
                    digits: self.enough(model, w.load_case, w.calibration, w.event, w.digits),
                    with_visits: w.with_visits,
                    with_trace: w.with_trace,
                }
            })
            .collect();
        run_all(&stage, &tasks, progress, &ScoreCards { stage: &stage })
    }

    /// Weighted means over the events, one a mode and load case.
    fn overall(&self, selection: &Selection, runs: &[RunFigures]) -> Vec<Overall> {
        let mut overall = Vec::new();
        for &mode in &selection.modes {
            for &load_case in &selection.load_cases {
                overall.push(self.overall_of(mode, load_case, runs));
            }
        }
        overall
    }

    /// Weighted mean of one mode in one load case over its runs.
    pub(crate) fn overall_of(&self, mode: usize, load_case: usize, runs: &[RunFigures]) -> Overall {
        let own = runs.iter().filter(|r| r.mode == mode && r.load_case == load_case);
        let card = Scorecard::weighted_mean(own.map(|r| (&r.card, self.courses[r.event].weight)));
        Overall { mode, load_case, card }
    }

    /// Visit share of a mode over its runs, weighted as the events are.
    pub(crate) fn mean_visits(&self, mode: usize, runs: &[RunFigures], figures: &[Figures]) -> Visits {
        let mut sum = Visits::default();
        let mut total = 0.0;
        for (run, figures) in runs.iter().zip(figures).filter(|(r, _)| r.mode == mode) {
            let visit = &figures.1;
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

/// Runs with their scorecards.
pub(crate) fn runs_of(places: &[(usize, usize, usize)], scored: &[Figures]) -> Vec<RunFigures> {
    let run = |(&(mode, event, load_case), figures): (&(usize, usize, usize), &Figures)| RunFigures {
        mode,
        event,
        load_case,
        card: figures.0.clone(),
    };
    places.iter().zip(scored).map(run).collect()
}

/// Every mode, event and load case of a selection, in this order.
pub(crate) fn places(selection: &Selection) -> Vec<(usize, usize, usize)> {
    let mut places = Vec::new();
    for &mode in &selection.modes {
        for &event in &selection.events {
            for &load_case in &selection.load_cases {
                places.push((mode, event, load_case));
            }
        }
    }
    places
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
