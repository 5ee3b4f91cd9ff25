//! What the tests of the program share: a small session, a folder of their own, and the program itself.

#![allow(clippy::unwrap_used, reason = "helpers of tests may end the test")]
#![allow(dead_code, reason = "every test binary uses its own part of this")]

use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// A folder that vanishes with the test, holding the small session as `small.json`.
pub struct Bench {
    pub dir: tempfile::TempDir,
}

impl Bench {
    pub fn new() -> Self {
        let bench = Bench { dir: tempfile::tempdir().unwrap() };
        bench.write("small.json", &small_session());
        bench
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    pub fn write(&self, name: &str, session: &Value) -> PathBuf {
        let path = self.path(name);
        std::fs::write(&path, serde_json::to_string_pretty(session).unwrap()).unwrap();
        path
    }

    /// Runs the program inside the folder, with its own data folder and no display.
    pub fn run<S: AsRef<std::ffi::OsStr>>(&self, args: &[S]) -> Run {
        let output = self.command(args).output().unwrap();
        Run::from(output)
    }

    pub fn command<S: AsRef<std::ffi::OsStr>>(&self, args: &[S]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_washboard"));
        command
            .args(args)
            .current_dir(self.dir.path())
            .env("XDG_DATA_HOME", self.path("data"))
            .env_remove("DISPLAY")
            .env_remove("WAYLAND_DISPLAY")
            .env_remove("WAYLAND_SOCKET")
            .stdin(Stdio::null());
        command
    }
}

/// How a run of the program ended.
#[derive(Debug)]
pub struct Run {
    pub status: i32,
    pub stdout: String,
    pub stderr: String,
}

impl From<Output> for Run {
    fn from(output: Output) -> Self {
        Run {
            status: output.status.code().expect("the program ended by itself"),
            stdout: String::from_utf8(output.stdout).unwrap(),
            stderr: String::from_utf8(output.stderr).unwrap(),
        }
    }
}

impl Run {
    pub fn expect(self, status: i32) -> Self {
        assert_eq!(self.status, status, "stdout: {}\nstderr: {}", self.stdout, self.stderr);
        self
    }

    pub fn json(&self) -> Value {
        serde_json::from_str(&self.stdout).unwrap_or_else(|e| panic!("{e}: {}", self.stdout))
    }

    /// Asserts status 2, silence on standard output, and exactly one line on standard error, which is returned.
    pub fn one_fault(self) -> String {
        let run = self.expect(2);
        assert_eq!(run.stdout, "");
        assert_eq!(run.stderr.matches('\n').count(), 1, "not one line: {:?}", run.stderr);
        assert!(run.stderr.ends_with('\n') && run.stderr.trim().len() > 15, "no sentence: {:?}", run.stderr);
        assert!(!run.stderr.contains("inside the program"), "a panic: {}", run.stderr);
        run.stderr
    }
}

/// Every file below a folder, sorted.
pub fn files_below(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() { files.extend(files_below(&path)) } else { files.push(path) }
    }
    files.sort();
    files
}

fn map(values: [[f64; 2]; 2]) -> Value {
    json!({ "rows": [20.0, 120.0], "columns": [0.5, 6.0], "values_n_s_per_m": values })
}

fn mode(name: &str, gain: f64) -> Value {
    json!({
        "name": name,
        "law": "Continuous",
        "heave": map([[gain, gain * 0.5], [gain * 1.2, gain * 0.6]]),
        "wheel": map([[300.0, 500.0], [300.0, 500.0]]),
        "base": map([[200.0, 200.0], [200.0, 200.0]]),
        "roll": map([[gain, gain * 1.5], [gain, gain * 1.5]]),
        "pitch": map([[gain, gain * 1.5], [gain, gain * 1.5]]),
        "current_min_a": 0.3,
        "current_max_a": 1.6
    })
}

fn axle(damper: &str, spring_rate: f64) -> Value {
    json!({
        "track_m": 1.58,
        "wheel_mass_kg": 42.0,
        "spring_rate_n_per_m": spring_rate,
        "anti_roll_rate_n_m_per_rad": 18000.0,
        "tyre_rate_n_per_m": 220000.0,
        "damper": damper
    })
}

fn damper(name: &str) -> Value {
    json!({
        "name": name,
        "velocity_m_per_s": [-1.0, -0.1, 0.0, 0.1, 1.0],
        "current_a": [0.3, 1.6],
        "force_n": [[-500.0, -1500.0], [-80.0, -500.0], [0.0, 0.0], [120.0, 1000.0], [900.0, 3200.0]],
        "dead_time_s": 0.002,
        "rise_s": 0.008,
        "fall_s": 0.006
    })
}

/// A complete session with two modes, three short events and one load case.
pub fn small_session() -> Value {
    json!({
        "format": 1,
        "title": "small",
        "vehicle": {
            "name": "test car",
            "body_mass_kg": 1450.0,
            "roll_inertia_kg_m2": 520.0,
            "pitch_inertia_kg_m2": 2300.0,
            "wheelbase_m": 2.7,
            "cg_to_front_axle_m": 1.25,
            "cg_height_m": 0.58,
            "front": axle("front damper", 24000.0),
            "rear": axle("rear damper", 26000.0),
            "load_cases": [
                { "name": "driver", "items": [{ "name": "driver", "mass_kg": 75.0, "x_m": -0.2, "y_m": 0.35, "z_m": 0.6 }] }
            ]
        },
        "dampers": [damper("front damper"), damper("rear damper")],
        "controller": { "sample_rate_hz": 1000.0 },
        "modes": [mode("everyday", 1800.0), mode("firm", 3600.0)],
        "events": [
            { "name": "country road", "speed_km_h": 80.0, "duration_s": 4.0, "kind": { "RandomRoad": { "class": "C", "seed": 1 } } },
            { "name": "joint", "speed_km_h": 50.0, "duration_s": 3.0, "kind": { "CosineBump": { "height_m": 0.03, "length_m": 0.8 } } },
            { "name": "bend", "speed_km_h": 80.0, "duration_s": 4.0, "kind": { "LateralStep": { "acceleration_m_per_s2": 4.0, "rise_s": 0.15 } } }
        ]
    })
}

/// Sets or removes (with `Null`) the value at a JSON pointer; parents must exist, except the last step of an object.
pub fn set(session: &mut Value, pointer: &str, value: Value) {
    let (parent, key) = pointer.rsplit_once('/').unwrap();
    let parent = session.pointer_mut(parent).unwrap_or_else(|| panic!("no {parent}"));
    match parent {
        Value::Object(fields) if value.is_null() => {
            fields.remove(key).unwrap_or_else(|| panic!("no {pointer}"));
        }
        Value::Object(fields) => {
            fields.insert(key.to_owned(), value);
        }
        Value::Array(items) => items[key.parse::<usize>().unwrap()] = value,
        other => panic!("{pointer}: {other} has no fields"),
    }
}
