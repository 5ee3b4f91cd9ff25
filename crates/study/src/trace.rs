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
        let mut recorder = Recorder::<C>::new(model, task.input.steps / stage.clock.stride + 1);
        // Nobody can stop a private progress, so the run always ends.
        let _ = run_block::<f64, C>(&stage, &[&task], &mut recorder, &Progress::new());
        recorder.trace
    }
}

/// Channels of the body, then of each corner: name, label, unit.
const BODY: [(&str, &str, &str); 11] = [
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

struct Recorder<const C: usize> {
    trace: Trace,
    rolls: bool,
    pitches: bool,
    axle_of: [usize; C],
    row: Vec<f64>,
}

impl<const C: usize> Recorder<C> {
    fn new(model: Model, samples: usize) -> Self {
        let mut channels = Vec::new();
        let room = || Vec::with_capacity(samples);
        for (name, label, unit) in BODY {
            if (name.starts_with("roll") && !model.rolls()) || (name.starts_with("pitch") && !model.pitches()) {
                continue;
            }
            channels.push(Channel { name: name.to_owned(), label: label.to_owned(), unit, values: room() });
        }
        for corner in model.corner_names() {
            for (name, label, unit) in CORNER {
                let label = format!("{}: {label}", corner.replace('_', " "));
                channels.push(Channel { name: format!("{corner}_{name}"), label, unit, values: room() });
            }
        }
        Recorder {
            trace: Trace { time_s: room(), channels },
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
        }
        self.trace.time_s.push(s.time_s);
        self.trace.channels.iter_mut().zip(&self.row).for_each(|(channel, &value)| channel.values.push(value));
    }
}
