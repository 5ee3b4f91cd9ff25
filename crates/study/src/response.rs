//! Harmonic steady state: body, pitch, travel and wheel load over frequency, by driving on sines until they settle.

use crate::block::{Stage, advance};
use crate::harmonic::{Fundamental, Point};
use crate::{Cancelled, Progress, Response, Study, StudyFault};
use rayon::prelude::*;
use std::f64::consts::TAU;
use washboard_car::plant::Complex;
use washboard_car::{Model, Motion};
use washboard_control::{Calibration, Estimation, HeldLevels, Law};
use washboard_signal::{Lane, Lanes};
use washboard_sim::{Clock, Sines};

/// Default amplitude of the road's vertical velocity, m/s: a road of waviness 2 has a flat velocity spectrum.
pub const VELOCITY_AMPLITUDE_M_PER_S: f64 = 0.1;
/// Plant steps a period at least: keeps the error of the integration below 0.1 %.
const STEPS_A_PERIOD: f64 = 60.0;
/// Time constants of the slowest motion left before the first window, and bounds of that time, s.
const SETTLING_TIME_CONSTANTS: f64 = 2.5;
const SHORTEST_SETTLING_S: f64 = 0.5;
const LONGEST_SETTLING_S: f64 = 4.0;
/// Where between soft and firm end a controlled damper is on the whole, and the velocity at which its slope is taken.
const ABOUT_FIRMNESS_SHARE: f64 = 0.35;
const ABOUT_VELOCITY_M_PER_S: f64 = 0.1;

/// Operating point and frequencies of a response.
#[derive(Clone, Debug, PartialEq)]
pub struct ResponseRequest {
    /// Vehicle speed: row of the maps, and delay of the rear axle.
    pub speed_km_h: f64,
    /// Road roughness level: column of the maps.
    pub roughness_m_per_s2: f64,
    /// Amplitude of the road's vertical velocity.
    pub velocity_amplitude_m_per_s: f64,
    /// Frequencies.
    pub frequencies_hz: Vec<f64>,
}

impl ResponseRequest {
    /// # Errors
    /// A sentence with field, value and bound.
    pub fn check(&self, sample_rate_hz: f64) -> Result<(), StudyFault> {
        let within = |field, value: f64, low: f64, high: f64| {
            if value >= low && value <= high {
                Ok(())
            } else {
                Err(StudyFault::Number { field, value, bound: format!("between {low} and {high}") })
            }
        };
        within("speed-km-h", self.speed_km_h, 1.0, 400.0)?;
        within("roughness-m-per-s2", self.roughness_m_per_s2, 0.0, 1000.0)?;
        within("velocity-amplitude-m-per-s", self.velocity_amplitude_m_per_s, 1e-6, 10.0)?;
        let highest = 0.25 * sample_rate_hz;
        self.frequencies_hz.iter().try_for_each(|&f| within("frequencies-hz", f, 0.05, highest))
    }
}

/// Sixty frequencies from 0.3 to 30 Hz, evenly spaced on a logarithmic scale.
pub fn default_frequencies() -> Vec<f64> {
    (0..60).map(|i| 0.3 * 100f64.powf(f64::from(i) / 59.0)).collect()
}

impl Study {
    /// Response of one mode.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn response(
        &self,
        model: Model,
        mode: usize,
        load_case: usize,
        request: &ResponseRequest,
        progress: &Progress,
    ) -> Result<Response, Cancelled> {
        self.response_of(model, &self.calibrations[mode], load_case, request, progress)
    }

    pub(crate) fn response_of(
        &self,
        model: Model,
        calibration: &Calibration,
        load_case: usize,
        request: &ResponseRequest,
        progress: &Progress,
    ) -> Result<Response, Cancelled> {
        let responses = self.responses_of(model, &[calibration], load_case, request, progress)?;
        Ok(responses.into_iter().next().unwrap_or_default())
    }

    /// Responses of several modes side by side.
    pub(crate) fn responses_of(
        &self,
        model: Model,
        calibrations: &[&Calibration],
        load_case: usize,
        request: &ResponseRequest,
        progress: &Progress,
    ) -> Result<Vec<Response>, Cancelled> {
        match model.corners() {
            1 => respond::<1>(self, model, calibrations, load_case, request, progress),
            2 => respond::<2>(self, model, calibrations, load_case, request, progress),
            _ => respond::<4>(self, model, calibrations, load_case, request, progress),
        }
    }
}

/// The responses of several modes: one lane is one frequency of one mode.
fn respond<const C: usize>(
    study: &Study,
    model: Model,
    calibrations: &[&Calibration],
    load_case: usize,
    request: &ResponseRequest,
    progress: &Progress,
) -> Result<Vec<Response>, Cancelled> {
    let stage = Stage::<C>::new(study, model);
    let rate = study.settings.sample_rate_hz;
    let substeps = |f: f64| (STEPS_A_PERIOD * f / rate - 1e-9).ceil().max(stage.clock.substeps as f64) as usize;
    let mut lanes: Vec<Place> = (0..request.frequencies_hz.len())
        .flat_map(|frequency| (0..calibrations.len()).map(move |mode| Place { mode, frequency }))
        .collect();
    // Neighbours in frequency take about as long; every lane of a block has the same clock.
    let hz = |p: &Place| request.frequencies_hz[p.frequency];
    lanes.sort_by(|a, b| hz(a).total_cmp(&hz(b)));
    let blocks: Vec<&[Place]> = lanes
        .chunk_by(|a, b| substeps(hz(a)) == substeps(hz(b)))
        .flat_map(|group| group.chunks(stage.engine.lanes))
        .collect();
    progress.expect(blocks.len());
    let points: Vec<Vec<Point<C>>> = blocks
        .par_iter()
        .with_max_len(1)
        .map(|block| {
            let clock = Clock::with_substeps(rate, substeps(hz(&block[0])));
            let orbits = Orbits { stage: &stage, calibrations, load_case, request, clock };
            let points = match stage.engine.lanes {
                1 => orbits.drive::<f64>(block, progress),
                4 => orbits.drive::<Lanes<4>>(block, progress),
                _ => orbits.drive::<Lanes<8>>(block, progress),
            };
            progress.finish_one();
            points
        })
        .collect::<Result<_, _>>()?;
    let mut of_modes: Vec<Vec<Option<Point<C>>>> = vec![vec![None; request.frequencies_hz.len()]; calibrations.len()];
    for (place, point) in blocks.into_iter().flatten().zip(points.into_iter().flatten()) {
        of_modes[place.mode][place.frequency] = Some(point);
    }
    Ok(of_modes
        .into_iter()
        .map(|points| curves(model, request, &points.into_iter().flatten().collect::<Vec<_>>()))
        .collect())
}

/// One lane: a frequency of a mode, by index.
#[derive(Clone, Copy)]
struct Place {
    mode: usize,
    frequency: usize,
}

/// The curves of one mode.
fn curves<const C: usize>(model: Model, request: &ResponseRequest, points: &[Point<C>]) -> Response {
    let omega: Vec<f64> = request.frequencies_hz.iter().map(|f| TAU * f).collect();
    // Every sine has the height of its velocity amplitude over its angular frequency.
    let over_road = |f: &dyn Fn(&Point<C>) -> f64| -> Vec<f64> {
        points.iter().zip(&omega).map(|(p, w)| f(p) * w / request.velocity_amplitude_m_per_s).collect()
    };
    let corners = |f: &dyn Fn(&Point<C>, usize) -> f64| {
        let names = model.corner_names().iter().enumerate();
        names.map(|(c, name)| (*name, over_road(&|p| f(p, c)))).collect::<Vec<(&str, Vec<f64>)>>()
    };
    let mut loads = corners(&|p, c| p.load[c]);
    for (_, values) in &mut loads {
        // Load over road height becomes load over road velocity.
        values.iter_mut().zip(&omega).for_each(|(v, w)| *v /= w);
    }
    let body_transmissibility = over_road(&|p| p.heave);
    Response {
        frequencies_hz: request.frequencies_hz.clone(),
        // Acceleration w^2 z over velocity w*road.
        body_acceleration_per_road_velocity_per_s: body_transmissibility
            .iter()
            .zip(&omega)
            .map(|(t, w)| t * w)
            .collect(),
        body_transmissibility,
        pitch_per_road_height_rad_per_m: if model.pitches() { over_road(&|p| p.pitch) } else { Vec::new() },
        corner_transmissibility: corners(&|p, c| p.above[c]),
        wheel_load_per_road_velocity_n_s_per_m: loads,
        travel_per_road_height: corners(&|p, c| p.travel[c]),
        settled: points.iter().map(|p| p.settled).collect(),
    }
}

/// What the blocks of a response share.
struct Orbits<'s, 'a, const C: usize> {
    stage: &'s Stage<'a, C>,
    calibrations: &'s [&'s Calibration],
    load_case: usize,
    request: &'s ResponseRequest,
    clock: Clock,
}

impl<const C: usize> Orbits<'_, '_, C> {
    /// Drives one block until every lane is done.
    fn drive<L: Lane>(&self, block: &[Place], progress: &Progress) -> Result<Vec<Point<C>>, Cancelled> {
        let (stage, request) = (self.stage, self.request);
        let last = block.len() - 1;
        let places: Vec<Place> = (0..L::WIDTH).map(|i| block[i.min(last)]).collect();
        let frequencies: Vec<f64> = places.iter().map(|p| request.frequencies_hz[p.frequency]).collect();
        let speed_m_per_s = request.speed_km_h / 3.6;
        // Front and rear differ in phase only where a model has both.
        let rear_s = if stage.model.pitches() { stage.study.vehicle.wheelbase_m / speed_m_per_s } else { 0.0 };
        let late_s = stage.axle_of().map(|axle| if axle == 1 { rear_s } else { 0.0 });

        // Begun on the steady state of a linear car with about the same damping, little is left to settle.
        let plant = &stage.plants[self.load_case];
        let begun: Vec<([Motion<f64, C>; 2], f64)> = places
            .iter()
            .zip(&frequencies)
            .map(|(place, f)| {
                let damping = self.about_damping(self.calibrations[place.mode]);
                let omega = TAU * f;
                let amplitude_m = request.velocity_amplitude_m_per_s / omega;
                let road = late_s.map(|t| Complex::from_polar(amplitude_m, -omega * t));
                let settle_s = SETTLING_TIME_CONSTANTS / plant.slowest_decay_per_s(&damping).max(1e-9);
                let settle_s = settle_s.clamp(SHORTEST_SETTLING_S, LONGEST_SETTLING_S);
                (plant.orbit(omega, &damping, &road), settle_s.max(self.estimator_settles_s()))
            })
            .collect();
        let start = |k: usize| Motion::side_by_side(&begun.iter().map(|b| b.0[k]).collect::<Vec<_>>());
        let settle_s: Vec<f64> = begun.iter().map(|b| b.1).collect();

        let runs: Vec<(usize, &Calibration)> =
            places.iter().map(|p| (self.load_case, self.calibrations[p.mode])).collect();
        let held = HeldLevels {
            roughness_m_per_s2: request.roughness_m_per_s2,
            lateral_m_per_s2: 0.0,
            longitudinal_m_per_s2: 0.0,
        };
        let mut sim = stage.sim::<L>(&runs, self.clock, Some(held)).starting_at(start(0), start(1));
        let amplitude = request.velocity_amplitude_m_per_s;
        let mut sines = Sines::<L, C>::new(&frequencies, amplitude, speed_m_per_s, late_s, self.clock.step_s);
        let mut fundamental = Fundamental::<L, C>::new(&frequencies, &settle_s, &self.clock);
        while !fundamental.is_done() {
            let steps = fundamental.until_next() * self.clock.stride;
            advance(stage.engine, &mut sim, steps, &mut sines, &mut fundamental, progress)?;
        }
        Ok((0..block.len()).map(|lane| fundamental.point(lane)).collect())
    }

    /// Estimated states begin at rest: five time constants of the slowest filter.
    fn estimator_settles_s(&self) -> f64 {
        let slowest_hz = |e: &Estimation| e.body_leak_hz.min(e.wheel_leak_hz);
        self.stage.study.estimation.as_ref().map_or(0.0, |e| 5.0 / (TAU * slowest_hz(e)).max(0.25))
    }

    /// Roughly what the dampers do under a mode, N s/m at the wheel: the slope over the middle of their velocities.
    fn about_damping(&self, calibration: &Calibration) -> [f64; C] {
        let share = match calibration.law {
            Law::Held { firmness_share } => firmness_share,
            _ => ABOUT_FIRMNESS_SHARE,
        };
        let plant = &self.stage.plants[self.load_case];
        std::array::from_fn(|c| {
            let (table, ratio) = (&self.stage.dampers[c].table, plant.corners[c].motion_ratio);
            let (soft, firm) = table.soft_and_firm(calibration.current_min_a, calibration.current_max_a);
            let current = soft + (firm - soft) * share;
            let v = ratio * ABOUT_VELOCITY_M_PER_S;
            ratio * (table.force(v, current) - table.force(-v, current)) / (2.0 * ABOUT_VELOCITY_M_PER_S)
        })
    }
}
