//! The board: everything the window shows for one state of the session, computed in one go.

use crate::block::Stage;
use crate::evaluate::Wanted;
use crate::response::{ResponseRequest, VELOCITY_AMPLITUDE_M_PER_S, default_frequencies};
use crate::{
    AS_DESCRIBED, Board, BoardRequest, Cancelled, Derived, FixedDamper, ModePoint, Progress, Response, Selection, Study,
};
use rayon::prelude::*;
use std::time::Instant;
use washboard_car::derived::{AxleFigures, natural_frequencies_hz, roll_stiffness_n_m_per_rad};
use washboard_car::{Model, Plant};
use washboard_control::{Calibration, Law};
use washboard_metrics::{MetricId, Scorecard};

/// Steps from soft to firm end on the curve of fixed dampers.
pub const FIXED_DAMPERS: usize = 9;
/// Seeds behind the intervals that the window shows.
const BOARD_SEEDS: usize = 4;

impl Study {
    /// Computes a board. What an edit cannot have changed is taken over from `previous`.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn board(
        &self,
        request: &BoardRequest,
        previous: Option<&Board>,
        progress: &Progress,
    ) -> Result<Board, Cancelled> {
        let start = Instant::now();
        let model = request.model;
        let all = |n: usize| (0..n).collect::<Vec<usize>>();
        let selection = Selection {
            model,
            modes: all(self.calibrations.len()),
            events: all(self.courses.len()),
            load_cases: vec![request.load_case],
        };
        let (evaluation, visits) = self.evaluate_with_visits(&selection, true, progress)?;
        let point = ResponseRequest {
            speed_km_h: request.speed_km_h,
            roughness_m_per_s2: request.roughness_m_per_s2,
            velocity_amplitude_m_per_s: VELOCITY_AMPLITUDE_M_PER_S,
            frequencies_hz: default_frequencies(),
        };
        let respond = |c: &Calibration| self.response_of(model, c, request.load_case, &point, progress);
        let responses = self.calibrations.iter().map(respond).collect::<Result<Vec<Response>, _>>()?;
        // Held dampers change with the car, not with the maps.
        let same_car = previous.filter(|p| p.car_fingerprint == self.car_fingerprint(request));
        let (soft, firm, fixed_dampers) = match (same_car, self.calibrations.first()) {
            (Some(p), _) => (p.soft.clone(), p.firm.clone(), p.fixed_dampers.clone()),
            (None, None) => (Response::default(), Response::default(), Vec::new()),
            (None, Some(first)) => {
                let (soft, firm) = (self.held(first, 0.0), self.held(first, 1.0));
                (respond(&soft)?, respond(&firm)?, self.fixed_dampers(model, request.load_case, progress)?)
            }
        };
        let traces = if self.courses.is_empty() {
            Vec::new()
        } else {
            let event = request.event.min(self.courses.len() - 1);
            let modes = all(self.calibrations.len());
            modes.into_par_iter().map(|m| self.trace(model, m, event, request.load_case)).collect()
        };
        let differences = self.differences(&evaluation, &selection, request.reference, BOARD_SEEDS, progress)?;
        let mode_points = selection.modes.iter().filter_map(|&mode| {
            let runs = evaluation.runs.iter().filter(|r| r.mode == mode);
            let (weighted, load) = self.comfort_and_load(runs.map(|r| (r.event, &r.card)))?;
            Some(ModePoint { mode, weighted_acceleration_m_per_s2: weighted, dynamic_load_coefficient: load })
        });
        let mode_points = mode_points.collect();
        let events = self.event_views(previous.map_or(&[], |p| &p.events), progress)?;
        Ok(Board {
            car_fingerprint: self.car_fingerprint(request),
            remarks: self.remarks(&evaluation),
            plant_step_s: self.plant_step_s(model),
            request: request.clone(),
            evaluation,
            differences,
            responses,
            soft,
            firm,
            fixed_dampers,
            mode_points,
            traces,
            visits,
            events,
            derived: self.derived(),
            took: start.elapsed(),
        })
    }

    /// What the curves of held dampers depend on: the car, the events, the operating point, the first mode's limits.
    fn car_fingerprint(&self, request: &BoardRequest) -> String {
        let s = &self.session;
        let limits = s.modes.first().map(|m| (m.current_min_a, m.current_max_a));
        let car = (&s.vehicle, &s.dampers, &s.conditions, &s.controller, &s.events);
        format!("{request:?}{car:?}{limits:?}")
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

    /// Dampers held at currents from soft to firm over the random roads, with the current limits of the first mode.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn fixed_dampers(
        &self,
        model: Model,
        load_case: usize,
        progress: &Progress,
    ) -> Result<Vec<FixedDamper>, Cancelled> {
        let Some(first) = self.calibrations.first() else { return Ok(Vec::new()) };
        let share = |i: usize| i as f64 / (FIXED_DAMPERS - 1) as f64;
        let held: Vec<Calibration> = (0..FIXED_DAMPERS).map(|i| self.held(first, share(i))).collect();
        let random: Vec<usize> = (0..self.courses.len()).filter(|&e| self.courses[e].is_random()).collect();
        let wanted: Vec<Wanted> = held
            .iter()
            .flat_map(|calibration| random.iter().map(move |&event| Wanted { calibration, event, load_case }))
            .collect();
        let scored = self.score(model, &wanted, 0, false, progress)?;
        let of = |(i, cards): (usize, &[(Scorecard, crate::Visits)])| {
            let runs = random.iter().copied().zip(cards.iter().map(|c| &c.0));
            let (weighted, load) = self.comfort_and_load(runs)?;
            Some(FixedDamper {
                firmness_share: share(i),
                weighted_acceleration_m_per_s2: weighted,
                dynamic_load_coefficient: load,
            })
        };
        Ok(scored.chunks(random.len().max(1)).enumerate().filter_map(of).collect())
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
        match model.corners() {
            1 => Stage::<1>::new(self, model).clock.step_s,
            2 => Stage::<2>::new(self, model).clock.step_s,
            _ => Stage::<4>::new(self, model).clock.step_s,
        }
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
            let plant = Plant::<f64, 4>::new(&self.vehicle, loaded, Model::Full);
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
                heave_pitch_hz: [body.first().copied().unwrap_or(0.0), body.get(1).copied().unwrap_or(0.0)],
                roll_hz: roll_rate.max(0.0).sqrt() / std::f64::consts::TAU,
                roll_gradient_rad_per_m_per_s2: plant.roll_per_lateral,
                front_roll_stiffness_share: stiffness[0] / (stiffness[0] + stiffness[1]),
            }
        };
        names.zip(&self.loaded).map(figures).collect()
    }
}
