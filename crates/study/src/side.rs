//! Side by side: any modes on the session's car and events, those of the session and those of sets handed over, with
//! differences to any of them, steps from one to the next, and fences held against them.
//!
//! What a mode does alone is computed once and kept by a fingerprint of all it depends on; what stands beside it, and
//! which column the others are compared with, costs no run.

use crate::block::Digits;
use crate::board::Step;
use crate::compare::{SEED_STEP, difference};
use crate::evaluate::Wanted;
use crate::response::{ResponseRequest, VELOCITY_AMPLITUDE_M_PER_S, default_frequencies};
use crate::{
    Cancelled, Difference, ModePoint, Overall, Progress, Response, RunFigures, SideBoard, SideColumn, SideRequest,
    Study, StudyFault,
};
use std::collections::HashMap;
use std::sync::Arc;
use washboard_control::Calibration;
use washboard_metrics::{MetricId, Scorecard};
use washboard_session::Mode;

/// Draws of the random roads behind every figure.
pub const SIDE_DRAWS: usize = 4;
/// A step between modes below this share is not felt. Common practice, no source.
pub const FELT_SHARE: f64 = 0.08;
/// What a driver feels from one mode to the next.
pub const FELT: [MetricId; 3] = [MetricId::ROLL_RATE_PEAK, MetricId::BODY_MOTION_RMS, MetricId::WEIGHTED_ACCELERATION];

/// Modes kept; the oldest are let go of.
const KEPT: usize = 64;

/// What one mode does, whatever stands beside it.
#[derive(Debug)]
struct Alone {
    /// A card an event; the first draw is the session's own roads, the others have cards for random roads only.
    draws: Vec<Vec<Option<Scorecard>>>,
    response: Response,
}

/// What modes do alone, kept between computations.
#[derive(Debug, Default)]
pub struct SideCache {
    kept: HashMap<String, (u64, Arc<Alone>)>,
    clock: u64,
}

impl SideCache {
    fn find(&mut self, fingerprint: &str) -> Option<Arc<Alone>> {
        self.clock += 1;
        let (used, alone) = self.kept.get_mut(fingerprint)?;
        *used = self.clock;
        Some(Arc::clone(alone))
    }

    fn keep(&mut self, fingerprint: String, alone: Alone) -> Arc<Alone> {
        if self.kept.len() >= KEPT
            && let Some(oldest) = self.kept.iter().min_by_key(|(_, (used, _))| *used).map(|(key, _)| key.clone())
        {
            self.kept.remove(&oldest);
        }
        let alone = Arc::new(alone);
        self.kept.insert(fingerprint, (self.clock, Arc::clone(&alone)));
        alone
    }
}

impl Study {
    /// The same car, controller, events and fences with other modes, which need not have different names.
    ///
    /// # Errors
    /// One sentence where a mode does not fit the car, as one whose currents its dampers were never measured at.
    pub fn with_modes(&self, modes: &[Mode]) -> Result<Study, StudyFault> {
        let mut alone = self.session.without_history();
        (alone.reference_mode, alone.fences) = (None, vec![]);
        alone.in_car = None;
        // Marks of what is only proposed name modes that are not here.
        alone.proposed.clear();
        for mode in modes {
            // What it rests on is not beside it here.
            alone.modes = vec![mode.clone().standing_alone()];
            if let Err(faults) = washboard_session::check(&alone) {
                let first = faults.first().map_or_else(|| "a mode is not valid.".to_owned(), ToString::to_string);
                return Err(StudyFault::Document(format!("Mode \"{}\" does not fit this car: {first}", mode.name)));
            }
        }
        let mut study = self.clone();
        study.session.modes = modes.to_vec();
        study.calibrations = modes.iter().map(|m| crate::convert::calibration(m, &study.session)).collect();
        Ok(study)
    }

    /// Everything Side by side shows of some columns.
    ///
    /// # Errors
    /// If it was stopped on the way; or a sentence where a mode does not fit the car.
    pub fn side_by_side(
        &self,
        columns: &[SideColumn],
        request: &SideRequest,
        cache: &mut SideCache,
        progress: &Progress,
    ) -> Result<Result<SideBoard, StudyFault>, Cancelled> {
        // Modes that fences are relative to judge even where they have no column.
        let bases = self.session.fences.iter().filter_map(|f| f.relative_to.as_ref());
        let mut all: Vec<&Mode> = columns.iter().map(|c| &c.mode).collect();
        let mut own: Vec<(&str, usize)> =
            columns.iter().enumerate().filter(|(_, c)| c.is_own).map(|(i, c)| (c.mode.name.as_str(), i)).collect();
        for name in bases {
            let base = self.session.modes.iter().find(|m| m.name == *name);
            if let Some(base) = base.filter(|_| !own.iter().any(|(known, _)| known == name)) {
                own.push((name, all.len()));
                all.push(base);
            }
        }
        let modes: Vec<Mode> = all.into_iter().cloned().collect();
        let study = match self.with_modes(&modes) {
            Ok(study) => study,
            Err(fault) => return Ok(Err(fault)),
        };
        let alone = study.alone(request, cache, progress)?;
        Ok(Ok(study.put_together(&alone, columns.len(), &own, request)))
    }

    /// What every mode of this study does alone.
    fn alone(
        &self,
        request: &SideRequest,
        cache: &mut SideCache,
        progress: &Progress,
    ) -> Result<Vec<Arc<Alone>>, Cancelled> {
        let prints: Vec<String> = self.session.modes.iter().map(|m| self.fingerprint(m, request)).collect();
        let mut found: Vec<Option<Arc<Alone>>> = prints.iter().map(|p| cache.find(p)).collect();
        let missing: Vec<usize> = (0..found.len()).filter(|m| found[*m].is_none()).collect();
        if missing.is_empty() {
            return Ok(found.into_iter().flatten().collect());
        }
        let events = self.courses.len();
        let random: Vec<usize> = (0..events).filter(|e| self.courses[*e].is_random()).collect();
        let mut draws: Vec<Vec<Vec<Option<Scorecard>>>> = vec![Vec::new(); missing.len()];
        for draw in 0..if random.is_empty() { 1 } else { SIDE_DRAWS } {
            let driven: Vec<usize> = if draw == 0 { (0..events).collect() } else { random.clone() };
            let wanted: Vec<Wanted> = missing
                .iter()
                .flat_map(|&m| driven.iter().map(move |&event| (m, event)))
                .map(|(m, event)| Wanted {
                    calibration: &self.calibrations[m],
                    event,
                    load_case: request.load_case,
                    seed_offset: draw as u64 * SEED_STEP,
                    digits: Digits::Double,
                    with_visits: false,
                    with_trace: false,
                })
                .collect();
            let scored = self.score(request.model, &wanted, progress)?;
            let mut cards = scored.iter().map(|figures| figures.0.clone());
            for of_mode in &mut draws {
                let mut line = vec![None; events];
                driven.iter().for_each(|&e| line[e] = cards.next());
                of_mode.push(line);
            }
        }
        let point = ResponseRequest {
            speed_km_h: request.speed_km_h,
            roughness_m_per_s2: request.roughness_m_per_s2,
            velocity_amplitude_m_per_s: VELOCITY_AMPLITUDE_M_PER_S,
            frequencies_hz: default_frequencies(),
        };
        let modes: Vec<&Calibration> = missing.iter().map(|&m| &self.calibrations[m]).collect();
        let responses = self.responses_of(request.model, &modes, request.load_case, &point, progress)?;
        for ((m, draws), response) in missing.into_iter().zip(draws).zip(responses) {
            found[m] = Some(cache.keep(prints[m].clone(), Alone { draws, response }));
        }
        Ok(found.into_iter().flatten().collect())
    }

    /// All that the figures of a mode alone depend on; its name and the weights of events are not among it.
    fn fingerprint(&self, mode: &Mode, request: &SideRequest) -> String {
        let s = &self.session;
        let mode = Mode { name: String::new(), purpose: String::new(), ..mode.clone() };
        let events: Vec<_> = s.events.iter().map(|e| (&e.kind, e.speed_km_h, e.duration_s, e.settle_s)).collect();
        let SideRequest { model, load_case, speed_km_h, roughness_m_per_s2, reference: _ } = request;
        format!(
            "{model:?}{load_case}{speed_km_h:?}{roughness_m_per_s2:?}{mode:?}{:?}{:?}{:?}{events:?}",
            s.vehicle,
            s.dampers,
            (&s.controller, &s.conditions)
        )
    }

    fn put_together(
        &self,
        alone: &[Arc<Alone>],
        columns: usize,
        own: &[(&str, usize)],
        request: &SideRequest,
    ) -> SideBoard {
        let events = self.courses.len();
        let draws = alone.iter().map(|a| a.draws.len()).max().unwrap_or(1);
        let card = |m: usize, draw: usize, e: usize| {
            let of = |draw: usize| alone[m].draws.get(draw).and_then(|line| line[e].as_ref());
            of(draw).or_else(|| of(0))
        };
        // Overall card of a mode in one draw of the random roads.
        let overall = |m: usize, draw: usize| {
            let cards = (0..events).filter_map(|e| Some((card(m, draw, e)?, self.courses[e].weight)));
            Scorecard::weighted_mean(cards)
        };
        let shown = || 0..columns;
        let over_all: Vec<Vec<Scorecard>> = shown().map(|m| (0..draws).map(|d| overall(m, d)).collect()).collect();
        let reference = request.reference.min(columns.saturating_sub(1));
        let differences = |from: usize, to: usize, cards: &dyn Fn(usize, usize) -> Option<Scorecard>, draws: usize| {
            let (own, base): (Vec<_>, Vec<_>) = (0..draws).filter_map(|d| cards(to, d).zip(cards(from, d))).unzip();
            let one = move |id: MetricId| {
                let pairs: Vec<(f64, f64)> = own
                    .iter()
                    .zip(&base)
                    .filter_map(|(o, b): (&Scorecard, &Scorecard)| o.mean(id).zip(b.mean(id)))
                    .collect();
                difference(to, id, from == to, &pairs)
            };
            MetricId::all().filter_map(one).collect::<Vec<Difference>>()
        };
        let whole = |m: usize, d: usize| over_all.get(m).and_then(|of| of.get(d)).cloned();
        let of_event = |e: usize| move |m: usize, d: usize| card(m, d, e).cloned();
        let draws_of = |e: usize| if self.courses[e].is_random() { draws } else { 1 };
        let runs: Vec<RunFigures> = (0..alone.len())
            .flat_map(|mode| (0..events).map(move |event| (mode, event)))
            .filter_map(|(mode, event)| {
                let card = card(mode, 0, event)?.clone();
                Some(RunFigures { mode, event, load_case: request.load_case, card })
            })
            .collect();
        let own_roads: Vec<Overall> = (0..alone.len())
            .map(|mode| Overall { mode, load_case: request.load_case, card: overall(mode, 0) })
            .collect();
        let find = |name: &str| own.iter().find(|(known, _)| *known == name).map(|(_, index)| *index);
        let mut fences = self.hold_fences(&find, &runs, &own_roads);
        fences.retain(|f| f.mode < columns);
        let points = shown().filter_map(|mode| {
            let of_mode = runs.iter().filter(|r| r.mode == mode);
            let (weighted, load) = self.comfort_and_load(of_mode.map(|r| (r.event, &r.card)))?;
            Some(ModePoint { mode, weighted_acceleration_m_per_s2: weighted, dynamic_load_coefficient: load })
        });
        let mean = |cards: &mut dyn Iterator<Item = &Scorecard>| Scorecard::weighted_mean(cards.map(|c| (c, 1.0)));
        let mut steps = Vec::new();
        for to in 1..columns {
            let of_step = differences(to - 1, to, &whole, draws);
            steps.extend(of_step.into_iter().filter(|d| FELT.contains(&d.metric)).map(|difference| Step {
                from: to - 1,
                is_felt: difference.share.abs() >= FELT_SHARE,
                difference,
            }));
        }
        SideBoard {
            request: request.clone(),
            draws,
            overall: over_all.iter().map(|cards| mean(&mut cards.iter())).collect(),
            of_events: shown()
                .map(|m| (0..events).map(|e| mean(&mut (0..draws_of(e)).filter_map(|d| card(m, d, e)))).collect())
                .collect(),
            differences: shown().flat_map(|m| differences(reference, m, &whole, draws)).collect(),
            event_differences: (0..events)
                .map(|e| shown().flat_map(|m| differences(reference, m, &of_event(e), draws_of(e))).collect())
                .collect(),
            responses: alone.iter().take(columns).map(|a| a.response.clone()).collect(),
            points: points.collect(),
            steps,
            fences,
        }
    }
}
