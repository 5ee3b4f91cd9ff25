//! Harmonic steady state: body, pitch, travel and wheel load over frequency, by driving on sines until they settle.
//!
//! What is read is the fundamental, under a Hann window of whole periods, against the road's own under the same window. A
//! window is compared with the one before it; the drive goes on until they agree.

use crate::block::{Stage, Wide, advance};
use crate::{Cancelled, Progress, Response, Study, StudyFault};
use rayon::prelude::*;
use std::f64::consts::TAU;
use washboard_car::Model;
use washboard_control::{Calibration, HeldLevels};
use washboard_signal::Lane;
use washboard_sim::{Clock, Sample, Sines, Watch};

/// Default amplitude of the road's vertical velocity, m/s: a road of waviness 2 has a flat velocity spectrum.
pub const VELOCITY_AMPLITUDE_M_PER_S: f64 = 0.1;
/// Agreement of two windows that counts as settled, as a share of the figure.
const SETTLED_SHARE: f64 = 3e-4;
/// Disagreement that is reported as not settled when time is up: on/off laws can wander within a band of their own.
const UNSETTLED_SHARE: f64 = 1e-2;
/// Plant steps a period at least: keeps the error of the integration below 0.05 %.
const STEPS_A_PERIOD: f64 = 100.0;
/// Shortest window, s, and fewest periods in it.
const WINDOW_S: f64 = 0.5;
const WINDOW_PERIODS: f64 = 2.0;
/// Longest drive: this long and this many periods.
const LONGEST_S: f64 = 14.0;
const LONGEST_PERIODS: f64 = 8.0;

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
        match model.corners() {
            1 => respond::<1>(self, model, calibration, load_case, request, progress),
            2 => respond::<2>(self, model, calibration, load_case, request, progress),
            _ => respond::<4>(self, model, calibration, load_case, request, progress),
        }
    }
}

/// Figures of one frequency: magnitude of the fundamental of each channel over the road's.
#[derive(Clone, Copy, Debug)]
struct Point<const C: usize> {
    heave: f64,
    pitch: f64,
    above: [f64; C],
    travel: [f64; C],
    load: [f64; C],
    settled: bool,
}

fn respond<const C: usize>(
    study: &Study,
    model: Model,
    calibration: &Calibration,
    load_case: usize,
    request: &ResponseRequest,
    progress: &Progress,
) -> Result<Response, Cancelled> {
    let stage = Stage::<C>::new(study, model);
    let blocks: Vec<&[f64]> = request.frequencies_hz.chunks(Wide::WIDTH).collect();
    progress.expect(blocks.len());
    let points: Vec<Vec<Point<C>>> = blocks
        .into_par_iter()
        .map(|frequencies| {
            let points = drive_on_sines(&stage, calibration, load_case, request, frequencies, progress);
            progress.finish_one();
            points
        })
        .collect::<Result<_, _>>()?;
    let points: Vec<Point<C>> = points.into_iter().flatten().collect();
    let omega: Vec<f64> = request.frequencies_hz.iter().map(|f| TAU * f).collect();
    let column = |f: &dyn Fn(&Point<C>) -> f64| points.iter().map(f).collect::<Vec<f64>>();
    let corners = |f: &dyn Fn(&Point<C>, usize) -> f64| {
        let names = model.corner_names().iter().enumerate();
        names.map(|(c, name)| (*name, points.iter().map(|p| f(p, c)).collect())).collect::<Vec<(&str, Vec<f64>)>>()
    };
    let mut loads = corners(&|p, c| p.load[c]);
    for (_, values) in &mut loads {
        // Load over road height becomes load over road velocity.
        values.iter_mut().zip(&omega).for_each(|(v, w)| *v /= w);
    }
    Ok(Response {
        frequencies_hz: request.frequencies_hz.clone(),
        body_transmissibility: column(&|p| p.heave),
        // Acceleration w^2 z over velocity w*road.
        body_acceleration_per_road_velocity_per_s: points.iter().zip(&omega).map(|(p, w)| p.heave * w).collect(),
        pitch_per_road_height_rad_per_m: if model.pitches() { column(&|p| p.pitch) } else { Vec::new() },
        corner_transmissibility: corners(&|p, c| p.above[c]),
        wheel_load_per_road_velocity_n_s_per_m: loads,
        travel_per_road_height: corners(&|p, c| p.travel[c]),
        settled: points.iter().map(|p| p.settled).collect(),
    })
}

fn drive_on_sines<const C: usize>(
    stage: &Stage<'_, C>,
    calibration: &Calibration,
    load_case: usize,
    request: &ResponseRequest,
    frequencies_hz: &[f64],
    progress: &Progress,
) -> Result<Vec<Point<C>>, Cancelled> {
    let last = frequencies_hz.len() - 1;
    let lanes: Vec<f64> = (0..Wide::WIDTH).map(|i| frequencies_hz[i.min(last)]).collect();
    let highest = lanes.iter().copied().fold(0.0, f64::max);
    let rate = stage.study.settings.sample_rate_hz;
    let substeps = (STEPS_A_PERIOD * highest / rate - 1e-9).ceil().max(stage.clock.substeps as f64) as usize;
    let clock = Clock::with_substeps(rate, substeps);
    let held = HeldLevels {
        roughness_m_per_s2: request.roughness_m_per_s2,
        lateral_m_per_s2: 0.0,
        longitudinal_m_per_s2: 0.0,
    };
    let mut sim = stage.sim::<Wide>(&[(load_case, calibration)], clock, Some(held));
    let speed_m_per_s = request.speed_km_h / 3.6;
    // Front and rear differ in phase only where a model has both.
    let rear_s = if stage.model.pitches() { stage.study.vehicle.wheelbase_m / speed_m_per_s } else { 0.0 };
    let late_s = stage.axle_of().map(|axle| if axle == 1 { rear_s } else { 0.0 });
    let amplitude = request.velocity_amplitude_m_per_s;
    let mut sines = Sines::<Wide, C>::new(&lanes, amplitude, speed_m_per_s, late_s, clock.step_s);

    let window_steps: Vec<f64> =
        lanes.iter().map(|f| (WINDOW_PERIODS.max((WINDOW_S * f).ceil()) / f / clock.step_s).round()).collect();
    let lowest = lanes.iter().copied().fold(f64::INFINITY, f64::min);
    let longest_steps = ((LONGEST_S + LONGEST_PERIODS / lowest) / clock.step_s) as usize;
    let mut fundamental = Fundamental::<C>::new(&lanes, &window_steps, amplitude, &clock);
    let chunk = window_steps.iter().copied().fold(f64::INFINITY, f64::min) as usize;
    let mut gone = 0;
    while gone < longest_steps && !fundamental.is_settled() {
        advance(&mut sim, chunk, &mut sines, &mut fundamental, progress)?;
        gone += chunk;
    }
    Ok((0..frequencies_hz.len()).map(|lane| fundamental.point(lane)).collect())
}

/// Number of channels read: heave, pitch, and at each corner body, travel and load.
const fn channels(corners: usize) -> usize {
    2 + 3 * corners
}

/// Sums a lane's channels against the sine of its own road, window after window.
struct Lanewise {
    omega: f64,
    window: f64,
    /// Step at which the present window began.
    began: usize,
    /// The road's phase and the window's own, turned from sample to sample and set anew with every window.
    phase: Turning,
    hann: Turning,
    /// Cosine and sine sums of each channel, then of the road.
    sums: Vec<(f64, f64)>,
    last: Option<Vec<f64>>,
    change: f64,
    /// Sums of all windows but the first few: where a switching law beats with its own sampling, no two windows agree, and
    /// the mean over all of them is the fundamental.
    all: Vec<(f64, f64)>,
    closed: usize,
}

/// Windows left to the transient before they count in the mean.
const FIRST_WINDOWS: usize = 4;

struct Fundamental<const C: usize> {
    lanes: Vec<Lanewise>,
    step_s: f64,
    stride: usize,
    amplitude_m_per_s: f64,
}

impl<const C: usize> Fundamental<C> {
    fn new(frequencies_hz: &[f64], window_steps: &[f64], amplitude_m_per_s: f64, clock: &Clock) -> Self {
        let step_s = clock.step_s;
        // The drive grows over its first second; windows begin after it.
        let began = ((1.0 / step_s).ceil() as usize + 1).next_multiple_of(clock.stride);
        let lane = |(&f, &window): (&f64, &f64)| Lanewise {
            omega: TAU * f,
            window,
            began,
            phase: Turning::default(),
            hann: Turning::default(),
            sums: vec![(0.0, 0.0); channels(C) + 1],
            last: None,
            change: f64::INFINITY,
            all: vec![(0.0, 0.0); channels(C) + 1],
            closed: 0,
        };
        Fundamental {
            lanes: frequencies_hz.iter().zip(window_steps).map(lane).collect(),
            step_s,
            stride: clock.stride,
            amplitude_m_per_s,
        }
    }

    fn is_settled(&self) -> bool {
        self.lanes.iter().all(|l| l.change < SETTLED_SHARE)
    }

    fn point(&self, lane: usize) -> Point<C> {
        let l = &self.lanes[lane];
        let absent = [0.0; C];
        let mean = ratios(&l.all);
        let read = if l.change < SETTLED_SHARE || l.closed <= FIRST_WINDOWS { l.last.as_ref() } else { Some(&mean) };
        let Some(v) = read else {
            return Point { heave: 0.0, pitch: 0.0, above: absent, travel: absent, load: absent, settled: false };
        };
        Point {
            heave: v[0],
            pitch: v[1],
            above: std::array::from_fn(|c| v[2 + 3 * c]),
            travel: std::array::from_fn(|c| v[3 + 3 * c]),
            load: std::array::from_fn(|c| v[4 + 3 * c]),
            settled: l.change < UNSETTLED_SHARE,
        }
    }
}

impl<const C: usize> Watch<Wide, C> for Fundamental<C> {
    fn sample(&mut self, s: &Sample<'_, '_, Wide, C>) {
        for (i, lane) in self.lanes.iter_mut().enumerate() {
            if s.step < lane.began {
                continue;
            }
            let is_over = (s.step - lane.began) as f64 >= lane.window;
            if is_over {
                lane.close();
                lane.began = s.step;
            }
            if is_over || s.step == lane.began {
                let stride = self.stride as f64;
                lane.phase = Turning::new(lane.omega * s.step as f64 * self.step_s, lane.omega * stride * self.step_s);
                lane.hann = Turning::new(0.0, TAU * stride / lane.window);
            }
            let (cosine, sine) = lane.phase.next();
            let hann = 0.5 - 0.5 * lane.hann.next().0;
            let (c, n) = (hann * cosine, hann * sine);
            let mut add = |k: usize, x: f64| {
                lane.sums[k].0 += c * x;
                lane.sums[k].1 += n * x;
            };
            add(0, s.position.heave.get(i));
            add(1, s.position.pitch.get(i));
            for corner in 0..C {
                add(2 + 3 * corner, s.plant.above(corner, s.position).get(i));
                add(3 + 3 * corner, s.plant.deflection(corner, s.position).get(i));
                let load = s.forces[corner].wheel_load_n - s.plant.corners[corner].static_load_n;
                add(4 + 3 * corner, load.get(i));
            }
            add(channels(C), self.amplitude_m_per_s / lane.omega * sine);
        }
    }
}

/// Cosine and sine of an angle that grows by the same amount from sample to sample.
#[derive(Clone, Copy, Debug, Default)]
struct Turning {
    at: (f64, f64),
    turn: (f64, f64),
}

impl Turning {
    fn new(angle: f64, step: f64) -> Self {
        Turning { at: (angle.cos(), angle.sin()), turn: (step.cos(), step.sin()) }
    }

    /// Cosine and sine of this sample.
    #[inline(always)]
    fn next(&mut self) -> (f64, f64) {
        let ((c, s), (ct, st)) = (self.at, self.turn);
        self.at = (c * ct - s * st, s * ct + c * st);
        (c, s)
    }
}

/// Magnitudes of the channels over that of the road, which stands last.
fn ratios(sums: &[(f64, f64)]) -> Vec<f64> {
    let magnitude = |&(c, s): &(f64, f64)| c.hypot(s);
    let (road, channels) = sums.split_last().map_or((1.0, &[][..]), |(r, s)| (magnitude(r), s));
    channels.iter().map(|s| magnitude(s) / road).collect()
}

impl Lanewise {
    /// Reads a full window and compares it with the one before.
    fn close(&mut self) {
        let now = ratios(&self.sums);
        self.closed += 1;
        if self.closed > FIRST_WINDOWS {
            self.all.iter_mut().zip(&self.sums).for_each(|(a, s)| *a = (a.0 + s.0, a.1 + s.1));
        }
        if let Some(before) = &self.last {
            // Small figures (a channel at its null) are held against the largest of their kind.
            let largest =
                |values: &[f64], kind: usize| (kind..values.len()).step_by(3).map(|k| values[k]).fold(0.0, f64::max);
            let scale = [now[0], largest(&now, 2), largest(&now, 3), largest(&now, 4)];
            self.change = now
                .iter()
                .zip(before)
                .enumerate()
                .filter(|(k, _)| *k != 1)
                .map(|(k, (a, b))| (a - b).abs() / scale[if k == 0 { 0 } else { 1 + (k - 2) % 3 }].max(1e-12))
                .fold(0.0, f64::max);
        }
        self.last = Some(now);
        self.sums.iter_mut().for_each(|s| *s = (0.0, 0.0));
    }
}
