//! Harmonic steady state: body, pitch, travel and wheel load over frequency, by driving on sines until they settle.

use crate::block::{Stage, advance, in_turn};
use crate::damping::DamperLook;
use crate::harmonic::{Fundamental, HANN_FROM_HZ, Patience, Point};
use crate::{Cancelled, Progress, Response, Study, StudyFault};
use std::f64::consts::TAU;
use washboard_car::plant::Complex;
use washboard_car::{Model, Motion};
use washboard_control::{Calibration, Estimation, HeldLevels, Law};
use washboard_signal::{Job, Lane, Precision};
use washboard_sim::{Clock, Sample, Sines, Watch};

/// Default amplitude of the road's vertical velocity, m/s: a road of waviness 2 has a flat velocity spectrum.
pub const VELOCITY_AMPLITUDE_M_PER_S: f64 = 0.1;
/// Plant steps a period at least: keeps the error of the integration below 0.1 %.
const STEPS_A_PERIOD: f64 = 60.0;
/// How long motions are waited for where the figures count: until two windows agree.
const THOROUGH: Patience = Patience {
    settled_share: Some(1e-3),
    unsettled_share: 1e-2,
    hann_s: 1.0,
    slide_s: 0.5,
    time_constants: 4.0,
    settle_s: [0.5, 4.0],
    after_look_s: 0.5,
    looks: 0,
};
/// And where curves follow an edit: in half the time, and the same time for all. Of the demo's points half are within 0.2 %
/// of the settled ones and nine of ten within 1 %, as a share of the largest figure of their kind.
const QUICK: Patience = Patience {
    settled_share: None,
    unsettled_share: 2e-2,
    hann_s: 0.6,
    slide_s: 0.25,
    time_constants: 3.0,
    settle_s: [0.5, 4.0],
    after_look_s: 0.2,
    looks: 1,
};
/// A look at the dampers takes so long, the first part of it for currents to arrive: two kinds of lanes, s.
const LOOK_S: [f64; 2] = [0.25, 0.55];
const BEFORE_LOOK_S: f64 = 0.04;
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
    /// Response of one mode, waited for until it is settled.
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
        let responses =
            self.waited_for(&THOROUGH, Precision::Double, model, &[calibration], load_case, request, progress)?;
        Ok(responses.into_iter().next().unwrap_or_default())
    }

    /// Responses of several modes side by side, as quickly as curves on screen need them: in single precision too, where no law
    /// switches.
    pub(crate) fn responses_of(
        &self,
        model: Model,
        calibrations: &[&Calibration],
        load_case: usize,
        request: &ResponseRequest,
        progress: &Progress,
    ) -> Result<Vec<Response>, Cancelled> {
        self.waited_for(&QUICK, Precision::Single, model, calibrations, load_case, request, progress)
    }

    fn waited_for(
        &self,
        patience: &Patience,
        precision: Precision,
        model: Model,
        calibrations: &[&Calibration],
        load_case: usize,
        request: &ResponseRequest,
        progress: &Progress,
    ) -> Result<Vec<Response>, Cancelled> {
        progress.run(|| match model.corners() {
            1 => respond::<1>(self, patience, precision, model, calibrations, load_case, request, progress),
            2 => respond::<2>(self, patience, precision, model, calibrations, load_case, request, progress),
            _ => respond::<4>(self, patience, precision, model, calibrations, load_case, request, progress),
        })
    }
}

/// The responses of several modes: one lane is one frequency of one mode.
fn respond<const C: usize>(
    study: &Study,
    patience: &Patience,
    asked: Precision,
    model: Model,
    calibrations: &[&Calibration],
    load_case: usize,
    request: &ResponseRequest,
    progress: &Progress,
) -> Result<Vec<Response>, Cancelled> {
    let stage = Stage::<C>::new(study, model);
    let rate = study.settings.sample_rate_hz;
    let hz = |p: &Place| request.frequencies_hz[p.frequency];
    let least: Vec<usize> = calibrations.iter().map(|c| study.clock_for(&stage.clock, c.law, None).substeps).collect();
    let substeps = |p: &Place| (STEPS_A_PERIOD * hz(p) / rate - 1e-9).ceil().max(least[p.mode] as f64) as usize;
    let mut lanes: Vec<Place> = (0..request.frequencies_hz.len())
        .flat_map(|frequency| (0..calibrations.len()).map(move |mode| Place { mode, frequency }))
        .collect();
    // Neighbours in frequency take about as long; every lane of a block has the same clock.
    let laws = |p: &Place| (calibrations[p.mode].law.switches(), least[p.mode]);
    lanes.sort_by(|a, b| laws(a).cmp(&laws(b)).then(hz(a).total_cmp(&hz(b))));
    let precision = |p: &Place| if calibrations[p.mode].law.switches() { Precision::Double } else { asked };
    let kind = |p: &Place| (precision(p), substeps(p), look_of(hz(p)).is_some(), look_of(hz(p)) == Some(LOOK_S[0]));
    let chunks = |group: &'_ [Place]| stage.engine.in_a_block(precision(&group[0]));
    let blocks: Vec<&[Place]> =
        lanes.chunk_by(|a, b| kind(a) == kind(b)).flat_map(|group| group.chunks(chunks(group))).collect();
    // Low frequencies come first and take longest.
    let points = in_turn(&blocks, progress, |block| {
        let clock = Clock::with_substeps(rate, substeps(&block[0]));
        let orbits = Orbits { stage: &stage, patience, calibrations, load_case, request, clock };
        let driven = Driven { orbits: &orbits, block, progress };
        stage.engine.side_by_side(precision(&block[0]), block.len(), driven)
    })?;
    let mut of_modes: Vec<Vec<Option<Point<C>>>> = vec![vec![None; request.frequencies_hz.len()]; calibrations.len()];
    for (place, point) in blocks.into_iter().flatten().zip(points.into_iter().flatten()) {
        of_modes[place.mode][place.frequency] = Some(point);
    }
    Ok(of_modes
        .into_iter()
        .map(|points| curves(model, request, &points.into_iter().flatten().collect::<Vec<_>>()))
        .collect())
}

/// How long dampers are looked at before the motion is begun anew; not at all where a period is long.
fn look_of(frequency_hz: f64) -> Option<f64> {
    (frequency_hz >= HANN_FROM_HZ)
        .then(|| LOOK_S.into_iter().find(|look_s| (look_s - BEFORE_LOOK_S) * frequency_hz >= 1.0))
        .flatten()
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
        known_to_share: points.iter().map(|p| p.change).collect(),
        settled: points.iter().map(|p| p.settled).collect(),
    }
}

/// What is read of a block that is driven on sines: one onlooker, so that the loop is compiled once for both.
enum Reading<L: Lane, const C: usize> {
    /// What the dampers do, for a better beginning.
    Dampers(DamperLook<L, C>),
    /// The response itself.
    Fundamental(Fundamental<L, C>),
}

impl<L: Lane, const C: usize> Watch<L, C> for Reading<L, C> {
    #[inline(always)]
    fn sample(&mut self, sample: &Sample<'_, '_, L, C>) {
        match self {
            Reading::Dampers(look) => look.sample(sample),
            Reading::Fundamental(fundamental) => fundamental.sample(sample),
        }
    }
}

/// What the blocks of a response share.
struct Orbits<'s, 'a, const C: usize> {
    stage: &'s Stage<'a, C>,
    patience: &'s Patience,
    calibrations: &'s [&'s Calibration],
    load_case: usize,
    request: &'s ResponseRequest,
    clock: Clock,
}

/// A block to be driven on sines.
struct Driven<'d, 's, 'a, const C: usize> {
    orbits: &'d Orbits<'s, 'a, C>,
    block: &'d [Place],
    progress: &'d Progress,
}

impl<const C: usize> Job for Driven<'_, '_, '_, C> {
    type Output = Result<Vec<Point<C>>, Cancelled>;

    fn run<L: Lane>(self) -> Self::Output {
        self.orbits.drive::<L>(self.block, self.progress)
    }
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
        let mut damping: Vec<[f64; C]> = places.iter().map(|p| self.about_damping(self.calibrations[p.mode])).collect();
        let (looks, wait) = (if look_of(frequencies[0]).is_some() { self.patience.looks } else { 0 }, self.patience);
        let settle_s = |damping: &[f64; C]| {
            let settle_s = wait.time_constants / plant.slowest_decay_per_s(damping).max(1e-9);
            settle_s.clamp(wait.settle_s[0], wait.settle_s[1]).max(self.estimator_settles_s())
        };
        let after_look_s = wait.after_look_s.max(self.estimator_settles_s());
        let settle_s: Vec<f64> = damping.iter().map(|d| if looks > 0 { after_look_s } else { settle_s(d) }).collect();
        // The same at a time, with the mean forces of the dampers; the velocity is that of half a step before.
        let orbits = |damping: &[[f64; C]], mean_n: &[[f64; C]], time_s: f64, before_s: f64| {
            let of_lane = |i: usize| {
                let omega = TAU * frequencies[i];
                let amplitude_m = request.velocity_amplitude_m_per_s / omega;
                let road = late_s.map(|t| Complex::from_polar(amplitude_m, omega * (time_s - t)));
                let [position, velocity] = plant.orbit(omega, &damping[i], &road);
                let (sine, cosine) = (omega * before_s).sin_cos();
                let before = Motion::default().moved(cosine, &velocity).moved(omega * sine, &position);
                [position.moved(1.0, &self.under(&mean_n[i])), before]
            };
            let of_lanes: Vec<[Motion<f64, C>; 2]> = (0..L::WIDTH).map(of_lane).collect();
            [0, 1].map(|k| Motion::<L, C>::side_by_side(&of_lanes.iter().map(|o| o[k]).collect::<Vec<_>>()))
        };

        let modes: Vec<&Calibration> = places.iter().map(|p| self.calibrations[p.mode]).collect();
        let held = HeldLevels {
            roughness_m_per_s2: request.roughness_m_per_s2,
            lateral_m_per_s2: 0.0,
            longitudinal_m_per_s2: 0.0,
        };
        let [position, velocity] = orbits(&damping, &vec![[0.0; C]; L::WIDTH], 0.0, 0.0);
        let mut sim = stage.sim::<L>(self.load_case, &modes, self.clock, Some(held));
        sim = sim.starting_at(position, velocity);
        let amplitude = request.velocity_amplitude_m_per_s;
        let step_s = self.clock.step_s;
        let mut sines = Sines::<L, C>::new(&frequencies, amplitude, speed_m_per_s, late_s, step_s);
        // Begun anew on what the dampers were seen to do, less is left.
        let mut time_s = 0.0;
        for _ in 0..looks {
            let look = DamperLook::<L, C>::new(&frequencies, BEFORE_LOOK_S, look_of(frequencies[0]), &self.clock);
            let steps = look.samples() * self.clock.stride;
            let mut reading = Reading::Dampers(look);
            advance(&mut sim, steps, &mut sines, &mut reading, progress)?;
            let Reading::Dampers(look) = reading else { unreachable!("a reading stays what it is") };
            time_s += steps as f64 * step_s;
            let mut mean_n = vec![[0.0; C]; L::WIDTH];
            for i in 0..L::WIDTH {
                (damping[i], mean_n[i]) = look.seen(i, &damping[i]);
            }
            let [position, velocity] = orbits(&damping, &mean_n, time_s, 0.5 * step_s);
            sim = sim.starting_at(position, velocity);
        }
        let corners_m = plant.corners.map(|c| [c.x_m, c.y_m]);
        let mut reading =
            Reading::Fundamental(Fundamental::<L, C>::new(&frequencies, &settle_s, corners_m, wait, &self.clock));
        loop {
            let Reading::Fundamental(fundamental) = &reading else { unreachable!("a reading stays what it is") };
            if fundamental.is_done() {
                return Ok((0..block.len()).map(|lane| fundamental.point(lane)).collect());
            }
            let steps = fundamental.until_next() * self.clock.stride;
            advance(&mut sim, steps, &mut sines, &mut reading, progress)?;
        }
    }

    /// Where the body comes to rest under mean damper forces, both sides alike.
    fn under(&self, mean_n: &[f64; C]) -> Motion<f64, C> {
        let (stage, plant) = (self.stage, &self.stage.plants[self.load_case]);
        let axle_of = stage.axle_of();
        // Position and mean deflection of each axle's wheels.
        let axle = |axle: usize| {
            let own: Vec<usize> = (0..C).filter(|&c| axle_of[c] == axle).collect();
            let mean = |f: &dyn Fn(usize) -> f64| own.iter().map(|&c| f(c)).sum::<f64>() / own.len() as f64;
            (mean(&|c| plant.corners[c].x_m), mean(&|c| -mean_n[c] / plant.corners[c].spring_n_per_m.max(1.0)))
        };
        if stage.model.pitches() {
            let ((front_m, front), (rear_m, rear)) = (axle(0), axle(1));
            let pitch = (rear - front) / (front_m - rear_m);
            Motion { heave: front + front_m * pitch, pitch, ..Motion::default() }
        } else {
            Motion { heave: axle(axle_of[0]).1, ..Motion::default() }
        }
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

#[cfg(test)]
mod tests;
