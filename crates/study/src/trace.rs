//! Time histories of one run.

use crate::block::{Stage, Task, run_all};
use crate::watch::ScoreCards;
use crate::{Cancelled, Channel, Progress, Study, Trace};
use washboard_car::Model;
use washboard_signal::Lane;
use washboard_sim::{Clock, Sample};

impl Study {
    /// Time histories of one mode over one event, about a thousand samples a second.
    pub fn trace(&self, model: Model, mode: usize, event: usize, load_case: usize) -> Trace {
        // Nobody can stop a private progress, so the run always ends.
        self.traced(model, mode, event, load_case, &Progress::new()).unwrap_or_default()
    }

    pub(crate) fn traced(
        &self,
        model: Model,
        mode: usize,
        event: usize,
        load_case: usize,
        progress: &Progress,
    ) -> Result<Trace, Cancelled> {
        Ok(self.traced_all(model, &[mode], event, load_case, progress)?.into_iter().next().unwrap_or_default())
    }

    /// The same of several modes side by side.
    pub(crate) fn traced_all(
        &self,
        model: Model,
        modes: &[usize],
        event: usize,
        load_case: usize,
        progress: &Progress,
    ) -> Result<Vec<Trace>, Cancelled> {
        match model.corners() {
            1 => self.trace_with::<1>(model, modes, event, load_case, progress),
            2 => self.trace_with::<2>(model, modes, event, load_case, progress),
            _ => self.trace_with::<4>(model, modes, event, load_case, progress),
        }
    }

    fn trace_with<const C: usize>(
        &self,
        model: Model,
        modes: &[usize],
        event: usize,
        load_case: usize,
        progress: &Progress,
    ) -> Result<Vec<Trace>, Cancelled> {
        let stage = Stage::<C>::new(self, model);
        let course = &self.courses[event];
        let clock_of = |mode: usize| self.clock_for(&stage.clock, self.calibrations[mode].law, Some(&course.event));
        let clocks: Vec<Clock> = modes.iter().map(|&mode| clock_of(mode)).collect();
        let roads = self.roads(model, clocks.iter().map(|&clock| (&course.event, clock)), progress)?;
        let task = |(i, &mode): (usize, &usize)| Task {
            calibration: &self.calibrations[mode],
            load_case,
            course,
            clock: clocks[i],
            road: roads[i].clone(),
            with_visits: false,
            with_trace: true,
        };
        let tasks: Vec<Task> = modes.iter().enumerate().map(task).collect();
        // The same onlooker as everywhere, so that the loop is compiled once: its figures cost little beside the record.
        let scored = run_all(&stage, &tasks, progress, &ScoreCards { stage: &stage })?;
        Ok(scored.into_iter().map(|(.., trace)| trace.unwrap_or_default()).collect())
    }
}

/// Channels of the body, then of each corner: name, label, unit.
const BODY: [(&str, &str, &str); 14] = [
    ("body_heave_m", "Body heave", "m"),
    ("body_heave_rate_m_per_s", "Body heave rate", "m/s"),
    ("body_acceleration_m_per_s2", "Body acceleration", "m/s²"),
    ("seat_acceleration_m_per_s2", "Seat acceleration", "m/s²"),
    ("roll_rad", "Roll", "rad"),
    ("roll_rate_rad_per_s", "Roll rate", "rad/s"),
    ("pitch_rad", "Pitch", "rad"),
    ("pitch_rate_rad_per_s", "Pitch rate", "rad/s"),
    ("speed_m_per_s", "Speed", "m/s"),
    ("distance_m", "Distance of the front axle", "m"),
    ("lateral_acceleration_m_per_s2", "Lateral acceleration", "m/s²"),
    ("longitudinal_acceleration_m_per_s2", "Longitudinal acceleration", "m/s²"),
    ("lateral_demand_m_per_s2", "Lateral demand", "m/s²"),
    ("longitudinal_demand_m_per_s2", "Longitudinal demand", "m/s²"),
];
/// The damper's links stand in their order, from the wanted force to the one given.
const CORNER: [(&str, &str, &str); 16] = [
    ("road_height_m", "road height", "m"),
    ("wheel_height_m", "wheel height", "m"),
    ("travel_m", "suspension travel", "m"),
    ("travel_rate_m_per_s", "suspension rate", "m/s"),
    ("wheel_load_n", "wheel load", "N"),
    ("wanted_force_n", "wanted force at the wheel", "N"),
    ("soft_force_n", "force of the soft end at the wheel", "N"),
    ("firm_force_n", "force of the firm end at the wheel", "N"),
    ("wanted_current_a", "current for the wanted force", "A"),
    ("asked_current_a", "current asked after all limits", "A"),
    ("command_a", "commanded current", "A"),
    ("arrived_command_a", "command after the dead time", "A"),
    ("current_a", "current", "A"),
    ("damper_force_n", "damper force at the wheel", "N"),
    ("stop_force_n", "stop force", "N"),
    ("roughness_m_per_s2", "roughness level", "m/s²"),
];

/// What the law went by where it estimates its states: of the body, then of each corner.
const SENSED_BODY: [(&str, &str, &str); 3] = [
    ("estimated_body_heave_rate_m_per_s", "Estimated body heave rate", "m/s"),
    ("estimated_roll_rate_rad_per_s", "Estimated roll rate", "rad/s"),
    ("estimated_pitch_rate_rad_per_s", "Estimated pitch rate", "rad/s"),
];
const SENSED_CORNER: [(&str, &str, &str); 3] = [
    ("wheel_rate_m_per_s", "wheel rate", "m/s"),
    ("estimated_wheel_rate_m_per_s", "estimated wheel rate", "m/s"),
    ("estimated_travel_rate_m_per_s", "estimated suspension rate", "m/s"),
];

/// Time histories of some lanes.
pub(crate) struct Recorder<const C: usize> {
    traces: Vec<Recorded>,
    /// Lever arms that the controller goes by, where it estimates its states.
    sensed: Option<[[f64; 2]; C]>,
    rolls: bool,
    pitches: bool,
    axle_of: [usize; C],
}

/// The time history of one lane.
struct Recorded {
    lane: usize,
    trace: Trace,
    /// Time, speed and distance of the last sample.
    driven: [f64; 3],
    /// The last samples, one after the other: put into their channels some at a time, since those lie far apart.
    rows: Vec<f64>,
}

/// Samples that wait to be put into their channels.
const ROWS: usize = 32;

impl Recorded {
    fn sort_in(&mut self) {
        let channels = self.trace.channels.len();
        for (k, channel) in self.trace.channels.iter_mut().enumerate() {
            channel.values.extend(self.rows.iter().skip(k).step_by(channels));
        }
        self.rows.clear();
    }
}

impl<const C: usize> Recorder<C> {
    /// Of these lanes of a block of runs as long as the task.
    pub fn new(stage: &Stage<'_, C>, task: &Task<'_>, lanes: Vec<usize>) -> Self {
        let (model, samples) = (stage.model, task.road.outline().steps / task.clock.stride + 1);
        let sensed = stage.study.estimation.as_ref().map(|_| stage.corners_m);
        let of_lane = |lane| {
            let trace = Self::empty(model, samples, sensed.is_some());
            Recorded { lane, rows: Vec::with_capacity(ROWS * trace.channels.len()), trace, driven: [0.0; 3] }
        };
        Recorder {
            traces: lanes.into_iter().map(of_lane).collect(),
            sensed,
            rolls: model.rolls(),
            pitches: model.pitches(),
            axle_of: std::array::from_fn(|c| model.corner_places()[c].0),
        }
    }

    fn empty(model: Model, samples: usize, sensed: bool) -> Trace {
        let mut channels = Vec::new();
        let room = || Vec::with_capacity(samples);
        let estimated = if sensed { &SENSED_BODY[..] } else { &[] };
        for &(name, label, unit) in BODY.iter().chain(estimated) {
            let of = name.trim_start_matches("estimated_");
            if (of.starts_with("roll") && !model.rolls()) || (of.starts_with("pitch") && !model.pitches()) {
                continue;
            }
            channels.push(Channel { name: name.to_owned(), label: label.to_owned(), unit, values: room() });
        }
        for corner in model.corner_names() {
            let estimated = if sensed { &SENSED_CORNER[..] } else { &[] };
            for &(name, label, unit) in CORNER.iter().chain(estimated) {
                let label = format!("{}: {label}", corner.replace('_', " "));
                channels.push(Channel { name: format!("{corner}_{name}"), label, unit, values: room() });
            }
        }
        Trace { time_s: room(), channels }
    }
}

impl<const C: usize> Recorder<C> {
    /// Hands over what a lane recorded.
    pub fn take(&mut self, lane: usize) -> Option<Trace> {
        self.traces.iter_mut().find(|t| t.lane == lane).map(|t| {
            t.sort_in();
            std::mem::take(&mut t.trace)
        })
    }

    /// Takes one sample.
    #[inline(always)]
    pub fn sample<L: Lane>(&mut self, s: &Sample<'_, '_, L, C>) {
        let (position, rate) = (s.position, s.rate);
        for Recorded { lane, driven, rows, .. } in &mut self.traces {
            let mut put = |value: L| rows.push(value.get(*lane));
            put(position.heave);
            put(rate.heave);
            put(s.acceleration.heave);
            put(s.plant.at_seat(s.acceleration));
            if self.rolls {
                put(position.roll);
                put(rate.roll);
            }
            if self.pitches {
                put(position.pitch);
                put(rate.pitch);
            }
            put(s.moment.speed_m_per_s);
            let [then_s, then_m_per_s, distance_m] = driven;
            let speed_m_per_s = s.moment.speed_m_per_s.get(*lane);
            // Exact for constant acceleration between samples.
            *distance_m += 0.5 * (s.time_s - *then_s) * (*then_m_per_s + speed_m_per_s);
            (*then_s, *then_m_per_s) = (s.time_s, speed_m_per_s);
            put(L::splat(*distance_m));
            put(s.moment.lateral_m_per_s2);
            put(s.moment.longitudinal_m_per_s2);
            put(s.controller.levels().lateral);
            put(s.controller.levels().longitudinal);
            if let (Some(corners_m), Some(sensed)) = (&self.sensed, s.estimated) {
                put(sensed.heave_rate);
                if self.rolls {
                    put(sensed.roll_part[0] / L::splat(corners_m[0][1]));
                }
                if self.pitches {
                    put(sensed.pitch_part[C - 1] / L::splat(-corners_m[C - 1][0]));
                }
            }
            for c in 0..C {
                put(s.moment.road[c].0);
                put(position.wheels[c]);
                put(s.plant.deflection(c, position));
                put(s.corner_rate[c]);
                put(s.forces[c].wheel_load_n);
                put(s.commands[c].wanted_n);
                put(s.commands[c].reach.soft_n);
                put(s.commands[c].reach.firm_n);
                put(s.commands[c].reach.current_a);
                put(s.commands[c].asked_a);
                put(s.commands[c].current_a);
                put(s.arrived_a[c]);
                put(s.current_a[c]);
                put(s.damper_n[c]);
                put(s.forces[c].stop_n + L::splat(s.plant.corners[c].static_stop_n));
                put(s.controller.levels().roughness[self.axle_of[c]]);
                if let Some(sensed) = s.estimated {
                    put(s.rate.wheels[c]);
                    put(sensed.wheel_rate[c]);
                    put(sensed.corner_rate[c]);
                }
            }
        }
        for recorded in &mut self.traces {
            recorded.trace.time_s.push(s.time_s);
            if recorded.rows.len() >= ROWS * recorded.trace.channels.len() {
                recorded.sort_in();
            }
        }
    }
}
