//! The board: everything the window shows for one state of the session, computed in one go.

use crate::block::{Digits, Stage};
use crate::evaluate::{Wanted, places};
use crate::memory::{Figures, Place, RunKey};
use crate::progress::Urgent;
use crate::response::{ResponseRequest, VELOCITY_AMPLITUDE_M_PER_S, default_frequencies};
use crate::{
    AS_DESCRIBED, Board, BoardRequest, Cancelled, Derived, FixedDamper, ModePoint, Progress, Response, RunFigures,
    Selection, Study, Trace,
};
use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::Instant;
use washboard_car::derived::{AxleFigures, natural_frequencies_hz, roll_stiffness_n_m_per_rad};
use washboard_car::{Model, Plant};
use washboard_control::{Calibration, Law};
use washboard_metrics::{MetricId, Scorecard};
use washboard_road::Event;
use washboard_sim::Clock;

/// Steps from soft to firm end on the curve of fixed dampers.
pub const FIXED_DAMPERS: usize = 9;
/// Seeds behind the intervals that the window shows.
const BOARD_SEEDS: usize = 4;

/// The time history of one mode over the chosen event.
struct History {
    mode: usize,
    event: usize,
    key: RunKey,
    source: Source,
}

/// Where a time history comes from.
#[derive(Clone, Copy, PartialEq)]
enum Source {
    /// It is known.
    Memory,
    /// From the run that is made for the scorecard.
    Run,
    /// From a run made once more: its scorecard is known, its history was forgotten.
    Anew,
}

/// Which other draws of the random roads a board takes in.
#[derive(Clone, Copy, PartialEq)]
enum Draws {
    All,
    /// Those that were driven over before.
    Known,
}

/// The runs behind a board.
struct BoardRuns {
    /// Modes over events.
    own: Vec<Figures>,
    /// Modes on other draws of the random roads.
    draws: Vec<Option<Figures>>,
    /// Held dampers on the random roads.
    held: Vec<Figures>,
    /// Some figure of a mode is of single precision.
    some_single: bool,
}

impl Study {
    /// Computes a board. What is known from earlier states of the session is not computed again; the events to look at are
    /// taken over from `previous`.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn board(
        &self,
        request: &BoardRequest,
        previous: Option<&Board>,
        progress: &Progress,
    ) -> Result<Board, Cancelled> {
        self.board_with(Draws::All, request, previous, progress)
    }

    /// As [`Study::board`], in half the time: figures in single precision where that is enough, and of the other draws of the
    /// random roads, on which intervals rest, only what is known already. Where [`Study::board`] has more,
    /// [`Board::more_follows`] says so.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn board_at_once(
        &self,
        request: &BoardRequest,
        previous: Option<&Board>,
        progress: &Progress,
    ) -> Result<Board, Cancelled> {
        self.board_with(Draws::Known, request, previous, progress)
    }

    fn board_with(
        &self,
        draws: Draws,
        request: &BoardRequest,
        previous: Option<&Board>,
        progress: &Progress,
    ) -> Result<Board, Cancelled> {
        let start = Instant::now();
        let _others_rest = Urgent::begin();
        let model = request.model;
        let all = |n: usize| (0..n).collect::<Vec<usize>>();
        let selection = Selection {
            model,
            modes: all(self.calibrations.len()),
            events: all(self.courses.len()),
            load_cases: vec![request.load_case],
        };
        let held: Vec<Calibration> = self.held_dampers();
        let asked = match draws {
            Draws::All => Digits::Double,
            Draws::Known => Digits::SingleOrBetter,
        };
        let histories = self.histories(request, asked);
        // What hangs on no run is made beside the runs.
        let (scored, (curves, traces, views, derived, plant_step_s)) = rayon::join(
            || self.board_runs(draws, asked, &selection, &held, &histories, progress),
            || {
                let curves = || self.board_responses(request, &held, progress);
                let (curves, traces) = rayon::join(curves, || self.board_traces(request, &histories, progress));
                let views = self.event_views(previous.map_or(&[], |p| &p.events), progress);
                (curves, traces, views, self.derived(), self.plant_step_s(model))
            },
        );
        let (BoardRuns { own, draws, held: fixed, some_single }, mut curves, mut traces) = (scored?, curves?, traces?);
        // Those of runs that were made for the scorecards came along with them.
        for (known, history) in traces.iter_mut().zip(&histories) {
            if known.is_none() {
                *known = self.memory.trace(&history.key);
            }
        }
        let traces = traces.into_iter().zip(&histories).map(|(known, history)| match known {
            Some(trace) => Ok(trace),
            // Forgotten meanwhile: another thread used the memory too.
            None => self.traced(model, history.mode, history.event, request.load_case, progress).map(Arc::new),
        });
        let traces = traces.collect::<Result<Vec<Arc<Trace>>, Cancelled>>()?;
        let firm = if held.is_empty() { None } else { curves.pop() };
        let soft = if held.is_empty() { None } else { curves.pop() };

        let places = places(&selection);
        let evaluation = self.evaluation(&selection, &places, &own);
        let mode_points = selection.modes.iter().filter_map(|&mode| {
            let runs = evaluation.runs.iter().filter(|r| r.mode == mode);
            let (weighted, load) = self.comfort_and_load(runs.map(|r| (r.event, &r.card)))?;
            Some(ModePoint { mode, weighted_acceleration_m_per_s2: weighted, dynamic_load_coefficient: load })
        });
        Ok(Board {
            remarks: self.remarks(&evaluation),
            plant_step_s,
            request: request.clone(),
            differences: self.differences(&evaluation, &selection, request.reference, &draws),
            more_follows: some_single || draws.iter().any(Option::is_none),
            responses: curves,
            soft: soft.unwrap_or_default(),
            firm: firm.unwrap_or_default(),
            fixed_dampers: self.fixed_dampers(&fixed),
            mode_points: mode_points.collect(),
            visits: selection.modes.iter().map(|&m| self.mean_visits(m, &evaluation.runs, &own)).collect(),
            evaluation,
            traces,
            events: views?,
            derived,
            took: start.elapsed(),
        })
    }

    /// The first mode with its dampers held from soft to firm.
    fn held_dampers(&self) -> Vec<Calibration> {
        let share = |i: usize| i as f64 / (FIXED_DAMPERS - 1) as f64;
        self.calibrations
            .first()
            .map_or(Vec::new(), |first| (0..FIXED_DAMPERS).map(|i| self.held(first, share(i))).collect())
    }

    /// All runs of a board.
    fn board_runs(
        &self,
        draws: Draws,
        asked: Digits,
        selection: &Selection,
        held: &[Calibration],
        histories: &[History],
        progress: &Progress,
    ) -> Result<BoardRuns, Cancelled> {
        let places = places(selection);
        let mut wanted = self.wanted(&places, true);
        for (place, wanted) in places.iter().zip(&mut wanted) {
            wanted.digits = asked;
            wanted.with_trace =
                histories.iter().any(|h| (h.mode, h.event) == (place.0, place.1) && h.source == Source::Run);
        }
        let load_case = selection.load_cases[0];
        for calibration in held {
            for event in self.random_events() {
                wanted.push(Wanted {
                    calibration,
                    event,
                    load_case,
                    seed_offset: 0,
                    digits: Digits::Single,
                    with_visits: false,
                    with_trace: false,
                });
            }
        }
        let (model, others) = (selection.model, self.other_draws(selection, BOARD_SEEDS, Digits::Single));
        let before = wanted.len();
        if draws == Draws::All {
            wanted.extend(others.iter().copied());
        }
        let some_single = asked != Digits::Double && self.lack_double(model, &wanted[..places.len()]);
        let mut own = self.recall(model, &wanted, progress)?;
        let driven = own.split_off(before);
        let held = own.split_off(places.len());
        let draws = match draws {
            Draws::All => driven.into_iter().map(Some).collect(),
            Draws::Known => self.known(model, &others),
        };
        Ok(BoardRuns { own, draws, held, some_single })
    }

    fn random_events(&self) -> impl Iterator<Item = usize> {
        (0..self.courses.len()).filter(|&e| self.courses[e].is_random())
    }

    /// Responses of all modes, then of the dampers held at soft and firm end.
    fn board_responses(
        &self,
        request: &BoardRequest,
        held: &[Calibration],
        progress: &Progress,
    ) -> Result<Vec<Response>, Cancelled> {
        let point = ResponseRequest {
            speed_km_h: request.speed_km_h,
            roughness_m_per_s2: request.roughness_m_per_s2,
            velocity_amplitude_m_per_s: VELOCITY_AMPLITUDE_M_PER_S,
            frequencies_hz: default_frequencies(),
        };
        let place = Place { car: self.memory.car(&self.session), model: request.model, load_case: request.load_case };
        let modes: Vec<&Calibration> = self
            .calibrations
            .iter()
            .chain(held.first())
            .chain(if held.len() > 1 { held.last() } else { None })
            .collect();
        let numbers: Vec<u64> = modes.iter().map(|c| self.mode_number(c)).collect();
        let mut known: Vec<Option<Response>> =
            numbers.iter().map(|&n| self.memory.response(place, n, &point)).collect();
        let missing: Vec<usize> = (0..modes.len()).filter(|&i| known[i].is_none()).collect();
        let calibrations: Vec<&Calibration> = missing.iter().map(|&i| modes[i]).collect();
        let computed = self.responses_of(request.model, &calibrations, request.load_case, &point, progress)?;
        for (i, response) in missing.into_iter().zip(computed) {
            self.memory.keep_response(place, numbers[i], &point, response.clone());
            known[i] = Some(response);
        }
        Ok(known.into_iter().flatten().collect())
    }

    /// Where the time histories of the chosen event come from, one a mode.
    fn histories(&self, request: &BoardRequest, asked: Digits) -> Vec<History> {
        let Some(event) = self.courses.len().checked_sub(1).map(|last| request.event.min(last)) else {
            return Vec::new();
        };
        let place = Place { car: self.memory.car(&self.session), model: request.model, load_case: request.load_case };
        let course = self.memory.course(&self.courses[event], 8 * self.courses.len());
        let of = |mode: usize| {
            let calibration = &self.calibrations[mode];
            let precision = self.enough(request.model, request.load_case, calibration, event, asked).precision();
            let key = RunKey { place, mode: self.mode_number(calibration), course, precision };
            let source = match self.memory.trace(&key) {
                Some(_) => Source::Memory,
                None if self.memory.has_visits(&key) => Source::Anew,
                None => Source::Run,
            };
            History { mode, event, key, source }
        };
        (0..self.calibrations.len()).map(of).collect()
    }

    /// Time histories that are known, or whose runs are known without them; absent where the run comes with the scorecards.
    fn board_traces(
        &self,
        request: &BoardRequest,
        histories: &[History],
        progress: &Progress,
    ) -> Result<Vec<Option<Arc<Trace>>>, Cancelled> {
        let mut traces: Vec<Option<Arc<Trace>>> = histories.iter().map(|h| self.memory.trace(&h.key)).collect();
        let missing: Vec<&History> = histories.iter().filter(|h| h.source == Source::Anew).collect();
        let Some(event) = missing.first().map(|h| h.event) else { return Ok(traces) };
        let modes: Vec<usize> = missing.iter().map(|h| h.mode).collect();
        let made = self.traced_all(request.model, &modes, event, request.load_case, progress)?;
        for (history, trace) in missing.into_iter().zip(made) {
            let trace = Arc::new(trace);
            self.memory.keep_trace(history.key, trace.clone(), self.calibrations.len());
            traces[history.mode] = Some(trace);
        }
        Ok(traces)
    }

    /// A mode with its dampers held between the soft and the firm end.
    pub(crate) fn held(&self, mode: &Calibration, firmness_share: f64) -> Calibration {
        Calibration {
            law: Law::Held { firmness_share },
            floor: None,
            end_stop: None,
            slew_a_per_s: f64::INFINITY,
            ..mode.clone()
        }
    }

    /// The points of the held dampers, from their runs over the random roads.
    fn fixed_dampers(&self, scored: &[Figures]) -> Vec<FixedDamper> {
        let random: Vec<usize> = self.random_events().collect();
        let of = |(i, figures): (usize, &[Figures])| {
            let runs = random.iter().copied().zip(figures.iter().map(|f| &f.0));
            let (weighted, load) = self.comfort_and_load(runs)?;
            Some(FixedDamper {
                firmness_share: i as f64 / (FIXED_DAMPERS - 1) as f64,
                weighted_acceleration_m_per_s2: weighted,
                dynamic_load_coefficient: load,
            })
        };
        scored.chunks(random.len().max(1)).enumerate().filter_map(of).collect()
    }

    /// Weighted means over the random roads of weighted acceleration and, over the corners, dynamic load coefficient.
    pub(crate) fn comfort_and_load<'c>(
        &self,
        runs: impl Iterator<Item = (usize, &'c Scorecard)>,
    ) -> Option<(f64, f64)> {
        let random = runs.filter(|(event, _)| self.courses[*event].is_random());
        let mean = Scorecard::weighted_mean(random.map(|(event, card)| (card, self.courses[event].weight)));
        Some((mean.mean(MetricId::WEIGHTED_ACCELERATION)?, mean.mean(MetricId::DYNAMIC_LOAD_COEFFICIENT)?))
    }

    /// The plant step that the stability guard chose for a model, s.
    pub fn plant_step_s(&self, model: Model) -> f64 {
        self.guarded_clock(model).step_s
    }

    pub(crate) fn guarded_clock(&self, model: Model) -> Clock {
        match model.corners() {
            1 => Stage::<1>::new(self, model).clock,
            2 => Stage::<2>::new(self, model).clock,
            _ => Stage::<4>::new(self, model).clock,
        }
    }

    /// Which of the runs have finer plant steps than the guard asks for, and why, a sentence each.
    pub fn finer_steps_in_words(&self, evaluation: &crate::Evaluation) -> Vec<String> {
        let guarded = self.guarded_clock(evaluation.model);
        let (modes, events) = (self.mode_names(), self.event_names());
        let step_ms = |law: Law, event: Option<&Event>| {
            let clock = self.clock_for(&guarded, law, event);
            (clock.substeps > guarded.substeps).then_some(clock.step_s * 1e3)
        };
        // Names of one kind with the longest of their steps.
        let listed = |steps: Vec<(&str, f64)>| {
            let names: Vec<&str> = steps.iter().map(|s| s.0).collect();
            let longest_ms = steps.iter().map(|s| s.1).fold(0.0, f64::max);
            (!names.is_empty()).then(|| (names.join(", "), longest_ms))
        };
        let of = |index: fn(&RunFigures) -> usize| {
            evaluation.runs.iter().map(index).collect::<BTreeSet<usize>>().into_iter()
        };
        let laws = of(|r| r.mode).filter_map(|m| Some((modes[m], step_ms(self.calibrations[m].law, None)?)));
        let roads =
            of(|r| r.event).filter_map(|e| Some((events[e], step_ms(Law::Continuous, Some(&self.courses[e].event))?)));
        let mut words = Vec::new();
        if let Some((names, ms)) = listed(laws.collect()) {
            words.push(format!("Time steps of {ms:.3} ms: {names}, because the law switches."));
        }
        if let Some((names, ms)) = listed(roads.collect()) {
            words.push(format!(
                "Time steps of {ms:.3} ms: {names}, because edges are crossed within a few milliseconds."
            ));
        }
        words
    }

    /// Where the law's states come from, in a sentence.
    pub fn states_in_words(&self) -> &'static str {
        match &self.estimation {
            None => "The controller knows the true states (ideal).",
            Some(_) => {
                "The controller estimates its states from sensors; lateral and longitudinal acceleration are true."
            }
        }
    }

    /// State of the dampers that is assumed, in sentences; empty where they are as on the bench.
    pub fn conditions_in_words(&self) -> Vec<String> {
        let conditions = &self.session.conditions;
        let mut words = Vec::new();
        if conditions.supply_lost {
            words.push("Supply lost: every damper follows its curve without current.".to_owned());
        }
        if let Some(temperature) = conditions.damper_temperature_c {
            words.push(format!("Dampers at {temperature} °C: their forces are scaled, the controller does not know."));
        }
        words
    }

    /// What the numbers carry with them, in words.
    fn remarks(&self, evaluation: &crate::Evaluation) -> Vec<String> {
        let mut remarks = vec![self.states_in_words().to_owned()];
        remarks.extend(self.conditions_in_words());
        let (modes, events) = (self.mode_names(), self.event_names());
        let mut worst = |metric: MetricId, says: &dyn Fn(f64, &str, &str) -> String| {
            let found = evaluation.runs.iter().filter_map(|r| Some((r.card.worst(metric)?, r)));
            if let Some((value, run)) = found.filter(|f| f.0 > 0.0).max_by(|a, b| a.0.total_cmp(&b.0)) {
                remarks.push(says(value, modes[run.mode], events[run.event]));
            }
        };
        worst(MetricId::LIFT_TIME, &|v, m, e| format!("A wheel lifts for {v:.2} s ({m}, {e})."));
        worst(MetricId::SHARE_OUTSIDE_TABLE, &|v, m, e| {
            format!("Dampers leave their bench data for {:.1} % of the time ({m}, {e}).", 100.0 * v)
        });
        remarks.extend(self.finer_steps_in_words(evaluation));
        remarks
    }

    /// Static figures of the car in every load case.
    pub fn derived(&self) -> Vec<Derived> {
        let limits = self.session.modes.iter().fold(None, |range: Option<(f64, f64)>, m| {
            let (low, high) = range.unwrap_or((m.current_min_a, m.current_max_a));
            Some((low.min(m.current_min_a), high.max(m.current_max_a)))
        });
        let names =
            std::iter::once(AS_DESCRIBED).chain(self.session.vehicle.load_cases.iter().map(|c| c.name.as_str()));
        let figures = |(name, loaded): (&str, &washboard_car::Loaded)| {
            let ends = |axle: usize| {
                let knots = self.vehicle.axles[axle].damper.table.current().values();
                limits.unwrap_or((knots[0], knots[knots.len() - 1]))
            };
            let axles: [AxleFigures; 2] = std::array::from_fn(|a| AxleFigures::new(&self.vehicle, loaded, a, ends(a)));
            let ride = axles.map(|a| a.ride_frequency_hz);
            let body = natural_frequencies_hz(&self.vehicle, loaded, Model::Pitch);
            let plant = Plant::<4>::new(&self.vehicle, loaded, Model::Full);
            let stiffness = roll_stiffness_n_m_per_rad(&self.vehicle);
            let roll_rate = (stiffness[0] + stiffness[1] - plant.roll_moment_per_angle) * plant.inverse_roll_inertia;
            Derived {
                load_case: name.to_owned(),
                body_mass_kg: loaded.mass_kg,
                cg_to_front_axle_m: loaded.axle_x_m[0],
                cg_height_m: loaded.cg_height_m,
                roll_inertia_kg_m2: loaded.roll_inertia_kg_m2,
                pitch_inertia_kg_m2: loaded.pitch_inertia_kg_m2,
                wheel_load_n: loaded.wheel_load_n,
                static_deflection_m: loaded.deflection_m,
                ride_frequency_hz: ride,
                ride_frequency_ratio: ride[1] / ride[0],
                wheel_hop_hz: axles.map(|a| a.wheel_hop_hz),
                damping_ratio_soft: axles.map(|a| a.damping_ratio_soft),
                damping_ratio_firm: axles.map(|a| a.damping_ratio_firm),
                damping_ratio_per_n_s_per_m: axles.map(|a| a.damping_ratio_per_n_s_per_m),
                heave_pitch_hz: [body.first().copied().unwrap_or(0.0), body.get(1).copied().unwrap_or(0.0)],
                roll_hz: roll_rate.max(0.0).sqrt() / std::f64::consts::TAU,
                roll_gradient_rad_per_m_per_s2: plant.roll_per_lateral,
                front_roll_stiffness_share: stiffness[0] / (stiffness[0] + stiffness[1]),
            }
        };
        names.zip(&self.loaded).map(figures).collect()
    }
}
