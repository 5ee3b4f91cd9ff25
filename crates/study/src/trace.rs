//! Records the time histories of runs.

use crate::block::{Digits, Stage, Task, run_all};
use crate::watch::ScoreCards;
use crate::{Cancelled, Progress, Study, Title, Trace};
use std::sync::Arc;
use washboard_car::{Model, Motion};
use washboard_control::{CornerCommand, Levels, Sensors};
use washboard_metrics::RideSample;
use washboard_signal::{Lane, Number};
use washboard_sim::{Clock, Moment};

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
pub(crate) struct Recorder<L: Lane, const C: usize> {
    titles: Arc<[Title]>,
    recorded: Vec<Recorded<L::Number>>,
    /// Lever arms that the controller goes by, where it estimates its states.
    sensed: Option<[[f64; 2]; C]>,
    rolls: bool,
    pitches: bool,
    axle_of: [usize; C],
}

/// What a sample tells the time histories beside what it tells the metrics.
pub(crate) struct Seen<'s, L, const C: usize> {
    pub time_s: f64,
    pub moment: &'s Moment<L, C>,
    pub levels: &'s Levels<L>,
    /// m and rad.
    pub position: &'s Motion<L, C>,
    /// m/s.
    pub heave_rate: L,
    /// m/s; told where the controller estimates its states.
    pub wheel_rate: [L; C],
    /// What the controller made of its sensors, where it estimates its states.
    pub estimated: Option<&'s Sensors<L, C>>,
    pub commands: &'s [CornerCommand<L>; C],
    /// A.
    pub arrived_a: [L; C],
}

/// The time history of one lane: times, s, and sample after sample the values of all channels.
struct Recorded<N> {
    lane: usize,
    time_s: Vec<f64>,
    rows: Vec<N>,
    /// Time, speed and distance of the last sample.
    driven: [f64; 3],
}

impl<L: Lane, const C: usize> Recorder<L, C> {
    /// Of these lanes of a block.
    pub fn new(stage: &Stage<'_, C>, lanes: Vec<(usize, &Task<'_>)>) -> Self {
        let model = stage.model;
        let sensed = stage.study.estimation.as_ref().map(|_| stage.corners_m);
        let titles: Arc<[Title]> = titles(model, sensed.is_some()).into();
        let of_lane = |(lane, task): (usize, &Task<'_>)| {
            let samples = task.road.outline().steps / task.clock.stride + 1;
            let room = stage.study.memory.room_of_a_trace(L::Number::PRECISION).unwrap_or_default();
            let (mut time_s, mut rows) = room.into_room();
            time_s.reserve_exact(samples);
            rows.reserve_exact(samples * titles.len());
            Recorded { lane, time_s, rows, driven: [0.0; 3] }
        };
        Recorder {
            recorded: lanes.into_iter().map(of_lane).collect(),
            titles,
            sensed,
            rolls: model.rolls(),
            pitches: model.pitches(),
            axle_of: std::array::from_fn(|c| model.corner_places()[c].0),
        }
    }

    /// Hands over what a lane recorded; no more is recorded of it.
    pub fn take(&mut self, lane: usize) -> Option<Trace> {
        let place = self.recorded.iter().position(|r| r.lane == lane)?;
        let Recorded { time_s, rows, .. } = self.recorded.remove(place);
        Some(Trace::of_rows(self.titles.clone(), time_s, rows))
    }

    /// True where nothing is left to record.
    pub fn is_done(&self) -> bool {
        self.recorded.is_empty()
    }

    /// Takes one sample.
    #[inline(always)]
    pub fn sample(&mut self, ride: &RideSample<L, C>, s: &Seen<'_, L, C>) {
        let (position, levels) = (s.position, s.levels);
        // What is computed here is computed of all lanes at once; the rest is read where it lies.
        let sensed = self.sensed.as_ref().zip(s.estimated).map(|(corners_m, sensed)| {
            let roll = sensed.roll_part[0] / L::splat(corners_m[0][1]);
            let pitch = sensed.pitch_part[C - 1] / L::splat(-corners_m[C - 1][0]);
            (sensed, roll, pitch)
        });
        for Recorded { lane, time_s, rows: row, driven } in &mut self.recorded {
            let of = |value: &L| value.peek(*lane);
            let [then_s, then_m_per_s, distance_m] = driven;
            let speed_m_per_s: f64 = of(&s.moment.speed_m_per_s).into();
            // Exact for constant acceleration between samples.
            *distance_m += 0.5 * (s.time_s - *then_s) * (*then_m_per_s + speed_m_per_s);
            (*then_s, *then_m_per_s) = (s.time_s, speed_m_per_s);
            time_s.push(s.time_s);
            put(
                row,
                [
                    of(&position.heave),
                    of(&s.heave_rate),
                    of(&ride.heave_acceleration_m_per_s2),
                    of(&ride.seat_acceleration_m_per_s2),
                ],
            );
            if self.rolls {
                put(row, [of(&ride.roll_rad), of(&ride.roll_rate_rad_per_s)]);
            }
            if self.pitches {
                put(row, [of(&ride.pitch_rad), of(&ride.pitch_rate_rad_per_s)]);
            }
            put(
                row,
                [
                    of(&s.moment.speed_m_per_s),
                    L::number(*distance_m),
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
                let (command, corner) = (&s.commands[c], &ride.corners[c]);
                put(
                    row,
                    [
                        of(&s.moment.road[c].0),
                        of(&position.wheels[c]),
                        of(&corner.deflection_m),
                        of(&corner.rate_m_per_s),
                        of(&corner.wheel_load_n),
                        of(&command.wanted_n),
                        of(&command.reach.soft_n),
                        of(&command.reach.firm_n),
                        of(&command.reach.current_a),
                        of(&command.asked_a),
                        of(&command.current_a),
                        of(&s.arrived_a[c]),
                        of(&corner.current_a),
                        of(&corner.damper_force_n),
                        of(&corner.stop_force_n),
                        of(&levels.roughness[self.axle_of[c]]),
                    ],
                );
                if let Some((sensed, ..)) = &sensed {
                    put(row, [of(&s.wheel_rate[c]), of(&sensed.wheel_rate[c]), of(&sensed.corner_rate[c])]);
                }
            }
        }
    }
}

/// Values of the next channels: there is room for them, so that one look at it serves all.
#[inline(always)]
fn put<N: Copy, const K: usize>(row: &mut Vec<N>, values: [N; K]) {
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
