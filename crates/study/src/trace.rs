//! Time histories of one run.

use crate::block::{Stage, Task, run_block};
use crate::{Channel, Progress, Study, Trace};
use washboard_car::Model;
use washboard_sim::{Sample, Watch};

impl Study {
    /// Time histories of one mode over one event, about a thousand samples a second.
    pub fn trace(&self, model: Model, mode: usize, event: usize, load_case: usize) -> Trace {
        match model.corners() {
            1 => self.trace_with::<1>(model, mode, event, load_case),
            2 => self.trace_with::<2>(model, mode, event, load_case),
            _ => self.trace_with::<4>(model, mode, event, load_case),
        }
    }

    fn trace_with<const C: usize>(&self, model: Model, mode: usize, event: usize, load_case: usize) -> Trace {
        let stage = Stage::<C>::new(self, model);
        let course = &self.courses[event];
        let input = self.road(model, &course.event, &stage.clock);
        let task = Task { calibration: &self.calibrations[mode], load_case, course, input };
        let sensed = self.estimation.as_ref().map(|_| stage.corners_m);
        let mut recorder = Recorder::<C>::new(model, task.input.steps / stage.clock.stride + 1, sensed);
        // Nobody can stop a private progress, so the run always ends.
        let _ = run_block::<f64, C>(&stage, &[&task], &mut recorder, &Progress::new());
        recorder.trace
    }
}

/// Channels of the body, then of each corner: name, label, unit.
const BODY: [(&str, &str, &str); 13] = [
    ("body_heave_m", "Body heave", "m"),
    ("body_heave_rate_m_per_s", "Body heave rate", "m/s"),
    ("body_acceleration_m_per_s2", "Body acceleration", "m/s²"),
    ("seat_acceleration_m_per_s2", "Seat acceleration", "m/s²"),
    ("roll_rad", "Roll", "rad"),
    ("roll_rate_rad_per_s", "Roll rate", "rad/s"),
    ("pitch_rad", "Pitch", "rad"),
    ("pitch_rate_rad_per_s", "Pitch rate", "rad/s"),
    ("speed_m_per_s", "Speed", "m/s"),
    ("lateral_acceleration_m_per_s2", "Lateral acceleration", "m/s²"),
    ("longitudinal_acceleration_m_per_s2", "Longitudinal acceleration", "m/s²"),
    ("lateral_demand_m_per_s2", "Lateral demand", "m/s²"),
    ("longitudinal_demand_m_per_s2", "Longitudinal demand", "m/s²"),
];
const CORNER: [(&str, &str, &str); 11] = [
    ("road_height_m", "road height", "m"),
    ("wheel_height_m", "wheel height", "m"),
    ("travel_m", "suspension travel", "m"),
    ("travel_rate_m_per_s", "suspension rate", "m/s"),
    ("wheel_load_n", "wheel load", "N"),
    ("damper_force_n", "damper force at the wheel", "N"),
    ("wanted_force_n", "wanted force at the wheel", "N"),
    ("command_a", "commanded current", "A"),
    ("current_a", "current", "A"),
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

struct Recorder<const C: usize> {
    trace: Trace,
    /// Lever arms that the controller goes by, where it estimates its states.
    sensed: Option<[[f64; 2]; C]>,
    rolls: bool,
    pitches: bool,
    axle_of: [usize; C],
    row: Vec<f64>,
}

impl<const C: usize> Recorder<C> {
    fn new(model: Model, samples: usize, sensed: Option<[[f64; 2]; C]>) -> Self {
        let mut channels = Vec::new();
        let room = || Vec::with_capacity(samples);
        let estimated = if sensed.is_some() { &SENSED_BODY[..] } else { &[] };
        for &(name, label, unit) in BODY.iter().chain(estimated) {
            let of = name.trim_start_matches("estimated_");
            if (of.starts_with("roll") && !model.rolls()) || (of.starts_with("pitch") && !model.pitches()) {
                continue;
            }
            channels.push(Channel { name: name.to_owned(), label: label.to_owned(), unit, values: room() });
        }
        for corner in model.corner_names() {
            let estimated = if sensed.is_some() { &SENSED_CORNER[..] } else { &[] };
            for &(name, label, unit) in CORNER.iter().chain(estimated) {
                let label = format!("{}: {label}", corner.replace('_', " "));
                channels.push(Channel { name: format!("{corner}_{name}"), label, unit, values: room() });
            }
        }
        Recorder {
            trace: Trace { time_s: room(), channels },
            sensed,
            rolls: model.rolls(),
            pitches: model.pitches(),
            axle_of: std::array::from_fn(|c| model.corner_places()[c].0),
            row: Vec::new(),
        }
    }
}

impl<const C: usize> Watch<f64, C> for Recorder<C> {
    fn sample(&mut self, s: &Sample<'_, '_, f64, C>) {
        self.row.clear();
        self.row.extend([s.position.heave, s.rate.heave, s.acceleration.heave, s.plant.at_seat(s.acceleration)]);
        if self.rolls {
            self.row.extend([s.position.roll, s.rate.roll]);
        }
        if self.pitches {
            self.row.extend([s.position.pitch, s.rate.pitch]);
        }
        self.row.extend([s.moment.speed_m_per_s, s.moment.lateral_m_per_s2, s.moment.longitudinal_m_per_s2]);
        self.row.extend([s.controller.levels().lateral, s.controller.levels().longitudinal]);
        if let Some(corners_m) = &self.sensed {
            self.row.push(s.sensed.heave_rate);
            if self.rolls {
                self.row.push(s.sensed.roll_part[0] / corners_m[0][1]);
            }
            if self.pitches {
                self.row.push(s.sensed.pitch_part[C - 1] / -corners_m[C - 1][0]);
            }
        }
        for c in 0..C {
            self.row.extend([
                s.moment.road[c].0,
                s.position.wheels[c],
                s.plant.deflection(c, s.position),
                s.corner_rate[c],
                s.forces[c].wheel_load_n,
                s.damper_n[c],
                s.commands[c].wanted_n,
                s.commands[c].current_a,
                s.current_a[c],
                s.forces[c].stop_n + s.plant.corners[c].static_stop_n,
                s.controller.levels().roughness[self.axle_of[c]],
            ]);
            if self.sensed.is_some() {
                self.row.extend([s.rate.wheels[c], s.sensed.wheel_rate[c], s.sensed.corner_rate[c]]);
            }
        }
        self.trace.time_s.push(s.time_s);
        self.trace.channels.iter_mut().zip(&self.row).for_each(|(channel, &value)| channel.values.push(value));
    }
}
