//! Records the time histories of runs.

use crate::block::{Digits, Stage, Task, run_all};
use crate::watch::ScoreCards;
use crate::{Cancelled, Progress, Study, Title, Trace};
use washboard_car::Model;
use washboard_signal::{Lane, each};
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
            digits: Digits::Double,
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
}

impl<const C: usize> Recorder<C> {
    /// Of these lanes of a block of runs as long as the task.
    pub fn new(stage: &Stage<'_, C>, task: &Task<'_>, lanes: Vec<usize>) -> Self {
        let (model, samples) = (stage.model, task.road.outline().steps / task.clock.stride + 1);
        let sensed = stage.study.estimation.as_ref().map(|_| stage.corners_m);
        let titles = titles(model, sensed.is_some());
        let of_lane = |lane| {
            let room = stage.study.memory.room_of_a_trace();
            Recorded { lane, trace: Trace::with_room(titles.clone(), samples, room), driven: [0.0; 3] }
        };
        Recorder {
            traces: lanes.into_iter().map(of_lane).collect(),
            sensed,
            rolls: model.rolls(),
            pitches: model.pitches(),
            axle_of: std::array::from_fn(|c| model.corner_places()[c].0),
        }
    }

    /// Hands over what a lane recorded.
    pub fn take(&mut self, lane: usize) -> Option<Trace> {
        self.traces.iter_mut().find(|t| t.lane == lane).map(|t| std::mem::take(&mut t.trace))
    }

    /// Takes one sample.
    #[inline(always)]
    pub fn sample<L: Lane>(&mut self, s: &Sample<'_, '_, L, C>) {
        let (position, rate, levels) = (s.position, s.rate, s.controller.levels());
        // What is computed here is computed of all lanes at once; the rest is read where it lies.
        let seat = s.plant.at_seat(s.acceleration);
        let travel: [L; C] = each!(c in C => s.plant.deflection(c, position));
        let stop_n: [L; C] = each!(c in C => s.forces[c].stop_n + L::spread(s.plant.corners[c].static_stop_n));
        let sensed = self.sensed.as_ref().zip(s.estimated).map(|(corners_m, sensed)| {
            let roll = sensed.roll_part[0] / L::splat(corners_m[0][1]);
            let pitch = sensed.pitch_part[C - 1] / L::splat(-corners_m[C - 1][0]);
            (sensed, roll, pitch)
        });
        for Recorded { lane, trace, driven } in &mut self.traces {
            let of = |value: &L| value.peek(*lane);
            let [then_s, then_m_per_s, distance_m] = driven;
            let speed_m_per_s = of(&s.moment.speed_m_per_s);
            // Exact for constant acceleration between samples.
            *distance_m += 0.5 * (s.time_s - *then_s) * (*then_m_per_s + speed_m_per_s);
            (*then_s, *then_m_per_s) = (s.time_s, speed_m_per_s);
            let row = trace.begin_sample(s.time_s);
            put(row, [of(&position.heave), of(&rate.heave), of(&s.acceleration.heave), of(&seat)]);
            if self.rolls {
                put(row, [of(&position.roll), of(&rate.roll)]);
            }
            if self.pitches {
                put(row, [of(&position.pitch), of(&rate.pitch)]);
            }
            put(
                row,
                [
                    speed_m_per_s,
                    *distance_m,
                    of(&s.moment.lateral_m_per_s2),
                    of(&s.moment.longitudinal_m_per_s2),
                    of(&levels.lateral),
                    of(&levels.longitudinal),
                ],
            );
            if let Some((sensed, roll, pitch)) = &sensed {
                put(row, [of(&sensed.heave_rate)]);
                if self.rolls {
                    put(row, [of(roll)]);
                }
                if self.pitches {
                    put(row, [of(pitch)]);
                }
            }
            for c in 0..C {
                let command = &s.commands[c];
                put(
                    row,
                    [
                        of(&s.moment.road[c].0),
                        of(&position.wheels[c]),
                        of(&travel[c]),
                        of(&s.corner_rate[c]),
                        of(&s.forces[c].wheel_load_n),
                        of(&command.wanted_n),
                        of(&command.reach.soft_n),
                        of(&command.reach.firm_n),
                        of(&command.reach.current_a),
                        of(&command.asked_a),
                        of(&command.current_a),
                        of(&s.arrived_a[c]),
                        of(&s.current_a[c]),
                        of(&s.damper_n[c]),
                        of(&stop_n[c]),
                        of(&levels.roughness[self.axle_of[c]]),
                    ],
                );
                if let Some((sensed, ..)) = &sensed {
                    put(row, [of(&rate.wheels[c]), of(&sensed.wheel_rate[c]), of(&sensed.corner_rate[c])]);
                }
            }
        }
    }
}

/// Values of the next channels: there is room for them, so that one look at it serves all.
#[inline(always)]
fn put<const K: usize>(row: &mut Vec<f64>, values: [f64; K]) {
    row.extend_from_slice(&values);
}

/// The channels of a model, in the order in which a sample is put into them.
fn titles(model: Model, sensed: bool) -> Vec<Title> {
    let mut titles = Vec::new();
    let estimated = if sensed { &SENSED_BODY[..] } else { &[] };
    for &(name, label, unit) in BODY.iter().chain(estimated) {
        let of = name.trim_start_matches("estimated_");
        if (of.starts_with("roll") && !model.rolls()) || (of.starts_with("pitch") && !model.pitches()) {
            continue;
        }
        titles.push(Title { name: name.to_owned(), label: label.to_owned(), unit });
    }
    for corner in model.corner_names() {
        let estimated = if sensed { &SENSED_CORNER[..] } else { &[] };
        for &(name, label, unit) in CORNER.iter().chain(estimated) {
            let label = format!("{}: {label}", corner.replace('_', " "));
            titles.push(Title { name: format!("{corner}_{name}"), label, unit });
        }
    }
    titles
}
