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

/// Name of a variant as it stands in documents.
fn variant(value: &impl std::fmt::Debug) -> String {
    format!("{value:?}").chars().take_while(|c| c.is_alphanumeric()).collect()
}

/// The kinds of a document's choice (control law, event), from the schema, so that a new one wants a check by itself.
#[test]
fn every_law_and_event_wants_a_check() {
    let schema = washboard_session::schema();
    for (kind, choice, least) in [("law", "Law", 4), ("event", "EventKind", 20)] {
        let variants = schema["$defs"][choice]["oneOf"].as_array().unwrap();
        let names: Vec<&str> = variants
            .iter()
            .flat_map(|v| {
                let plain = v["const"]
                    .as_str()
                    .into_iter()
                    .chain(v["enum"].as_array().into_iter().flatten().filter_map(Json::as_str));
                plain
                    .chain(v["properties"].as_object().into_iter().flatten().map(|(name, _)| name.as_str()))
                    .collect::<Vec<_>>()
            })
            .collect();
        assert!(names.len() >= least, "{choice}: {names:?}");
        names.iter().for_each(|name| washboard_checks::wanted(kind, name));
    }
    Model::ALL.iter().for_each(|m| washboard_checks::wanted("model", m.name()));
}

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
    // Motions, loads and powers under laws that do not switch.
    let mut smooth: Vec<f64> = Vec::new();
    for case in cases {
        let text = |key: &str| case[key].as_str().unwrap();
        let session = washboard_session::load(&folder().join(text("session"))).unwrap();
        let study = Study::new(&session, &profiles).unwrap();
        let model = Model::by_name(text("model")).unwrap();
        let load_case = case["load_case"].as_str().unwrap_or(washboard_study::AS_DESCRIBED);
        let selection = study.selection(model, &[text("mode")], &[text("event")], &[load_case]).unwrap();
        let evaluation = study.evaluate(&selection, &Progress::new()).unwrap();
        let card = &evaluation.runs[0].card;
        let (mode, event) = (&session.modes[selection.modes[0]], &session.events[selection.events[0]]);
        let kinds = format!("model {}, law {}, event {}", model.name(), variant(&mode.law), variant(&event.kind));
        for (name, metric) in COMPARED {
            let expected = expected(&case["figures"][name], model.corner_names());
            let got = got(card.get(metric).unwrap());
            // Of figures by corner the corner stands behind a point.
            let is_of = |key: &str| key.split('.').next() == Some(name);
            let listed = case["sensitivity"].as_object().into_iter().flatten().filter(|(key, _)| is_of(key));
            let sensitivity = listed.map(|(_, x)| largest(x)).fold(0.0, f64::max);
            // A corner where nothing happens is held against the largest corner.
            let scale = expected.iter().fold(0.0_f64, |m, x| m.max(x.abs())).max(1e-9);
            for (e, g) in expected.iter().zip(&got) {
                let off = (e - g).abs() / scale;
                let bound = 0.002 + 3.0 * sensitivity;
                let source = "independent simulator (scipy.integrate.solve_ivp)";
                let what = format!("{}: metric {name}; {kinds}", text("name"));
                // What a single sample decides may be that much further off.
                let allowed = if metric == MetricId::MEAN_CURRENT { 2.95 } else { 2.25 };
                washboard_checks::note(what, source, *g, *e, scale, allowed * bound);
                if metric != MetricId::MEAN_CURRENT && variant(&mode.law) == "Continuous" {
                    smooth.push(off / bound);
                }
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
    // The aim is 0.2 % for every figure. Measured with the steps of default, 7 of 1,843 lie beyond: six mean currents, up to
    // 0.58 %, and one travel under a law that switches, 0.24 %. A law with a single gain has its current hang on single samples:
    // in the worst one the corner moves by a thousandth of a millimetre a second at the sample that decides. Of the motions,
    // loads and powers of laws that do not switch none is beyond.
    assert!(beyond <= 7, "{report}");
    assert!(smooth.len() > 1000 && smooth.iter().all(|&off| off <= 1.0), "{report}");
    let (currents, motions): (Vec<_>, Vec<_>) = worst.iter().partition(|w| w.1.contains("mean_current_a"));
    assert!(currents[0].0 <= 2.95 && motions[0].0 <= 1.22, "{report}");
}

/// Channels of the fixture and of the program's traces; the latter without the corner's name.
const BODY_CHANNELS: [(&str, &str); 8] = [
    ("heave_m", "body_heave_m"),
    ("heave_rate_m_per_s", "body_heave_rate_m_per_s"),
    ("heave_acceleration_m_per_s2", "body_acceleration_m_per_s2"),
    ("roll_rad", "roll_rad"),
    ("roll_rate_rad_per_s", "roll_rate_rad_per_s"),
    ("pitch_rad", "pitch_rad"),
    ("pitch_rate_rad_per_s", "pitch_rate_rad_per_s"),
    ("speed_m_per_s", "speed_m_per_s"),
];
const CORNER_CHANNELS: [(&str, &str); 6] = [
    ("deflection_m", "travel_m"),
    ("deflection_rate_m_per_s", "travel_rate_m_per_s"),
    ("wheel_load_n", "wheel_load_n"),
    ("current_a", "current_a"),
    ("wanted_force_n", "wanted_force_n"),
    ("command_a", "command_a"),
];

/// Largest and r.m.s. difference of two histories, as shares of a peak.
fn apart(expected: &[f64], got: &[f64], peak: f64) -> (f64, f64) {
    let off: Vec<f64> = expected.iter().zip(got).map(|(e, g)| (e - g).abs() / peak).collect();
    let rms = (off.iter().map(|x| x * x).sum::<f64>() / off.len() as f64).sqrt();
    (off.iter().copied().fold(0.0, f64::max), rms)
}

fn numbers(list: &Json) -> Vec<f64> {
    list.as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect()
}

/// How far the program's histories are from the fixture's, as shares of each channel's peak.
struct Apart {
    /// Largest difference at a sample, for laws that do not switch; currents and commands are left out, because the sample
    /// at which a corner's rate changes sign moves them by much for a short time.
    smooth: Vec<(f64, String)>,
    /// The same for the session whose dampers and maps differ in every corner, wanted forces and commands included.
    signs: Vec<(f64, String)>,
    /// R.m.s. of the difference, for laws that do not switch; currents and commands included.
    rms: Vec<(f64, String)>,
}

/// Runs every case with plant steps `finer` times smaller than the default ones.
fn histories(finer: usize) -> Apart {
    let text = std::fs::read_to_string(folder().join("trajectories.json")).unwrap();
    let fixture: Json = serde_json::from_str(&text).unwrap();
    let profiles = profiles();
    let mut all = Apart { smooth: Vec::new(), signs: Vec::new(), rms: Vec::new() };
    for case in fixture["cases"].as_array().unwrap() {
        let text = |key: &str| case[key].as_str().unwrap();
        if ["on/off", "acceleration", "mixed"].iter().any(|law| text("mode").contains(law)) {
            continue;
        }
        let session = washboard_session::load(&folder().join(text("session"))).unwrap();
        let study = Study::new(&session, &profiles).unwrap().with_finer_steps(finer);
        let model = Model::by_name(text("model")).unwrap();
        let load_case = case["load_case"].as_str().unwrap_or(washboard_study::AS_DESCRIBED);
        let s = study.selection(model, &[text("mode")], &[text("event")], &[load_case]).unwrap();
        let trace = study.trace(model, s.modes[0], s.events[0], s.load_cases[0]);
        let stride = (case["sample_step_s"].as_f64().unwrap() / (trace.time_s[1] - trace.time_s[0])).round() as usize;
        let pick = |name: &str, samples: usize| -> Vec<f64> {
            let values = trace.channel(name).unwrap_or_else(|| panic!("no channel {name}")).values;
            (0..samples).map(|i| values[i * stride]).collect()
        };
        let mut compared = 0;
        let mut compare = |channel: &str, expected: &[f64], got: &[f64], peak: f64| {
            // What is zero by symmetry is held against a millionth of its unit.
            let (largest, rms) = apart(expected, got, peak.max(1e-6));
            let line = |x: f64| format!("{} {channel}: {:.3} %", text("name"), 100.0 * x);
            let is_electric = channel.ends_with("_a");
            if text("session").contains("axes-and-signs") && !is_electric {
                all.signs.push((largest, line(largest)));
            } else if !is_electric {
                all.smooth.push((largest, line(largest)));
            }
            all.rms.push((rms, line(rms)));
            compared += 1;
        };
        for (theirs, ours) in BODY_CHANNELS {
            if let Some(list) = case["channels"].get(theirs) {
                let expected = numbers(list);
                let peak = expected.iter().fold(0.0_f64, |m, x| m.max(x.abs()));
                compare(theirs, &expected, &pick(ours, expected.len()), peak);
            }
        }
        for (theirs, ours) in CORNER_CHANNELS {
            let Some(by_corner) = case["channels"].get(theirs).and_then(Json::as_object) else { continue };
            // A corner where nothing happens is held against the largest corner.
            let peak = by_corner.values().flat_map(numbers).fold(0.0_f64, |m, x| m.max(x.abs()));
            for corner in model.corner_names() {
                let expected = numbers(&by_corner[*corner]);
                let got = pick(&format!("{corner}_{ours}"), expected.len());
                compare(&format!("{corner} {theirs}"), &expected, &got, peak);
            }
        }
        assert!(compared >= 6, "{}: {compared} channels", text("name"));
    }
    for list in [&mut all.smooth, &mut all.signs, &mut all.rms] {
        list.sort_by(|a, b| b.0.total_cmp(&a.0));
    }
    all
}

fn worst(list: &[(f64, String)]) -> String {
    list.iter().take(12).map(|w| w.1.as_str()).collect::<Vec<_>>().join("\n")
}

/// Sample by sample, corner by corner: a swapped axis, row, side or sign is off by tens of per cent.
#[test]
fn time_histories_follow_the_independent_simulator() {
    let fine = histories(4);
    assert!(fine.smooth.len() > 500 && fine.signs.len() > 100, "{} {}", fine.smooth.len(), fine.signs.len());
    assert!(fine.signs[0].0 <= 0.002, "axes and signs:\n{}", worst(&fine.signs));
    // The pothole's edge is met within a step: its wheel load at that one sample is a matter of which side it falls on.
    let rest: Vec<_> = fine.smooth.iter().filter(|w| !w.1.contains("pothole")).cloned().collect();
    assert!(rest[0].0 <= 0.005, "smooth laws:\n{}", worst(&rest));
    assert!(fine.smooth[0].0 <= 0.02, "smooth laws:\n{}", worst(&fine.smooth));
    assert!(fine.rms[0].0 <= 0.0095, "r.m.s. of the difference:\n{}", worst(&fine.rms));
}

/// Second order for smooth motion, less where a current switches within a step: four times finer, nine times closer.
#[test]
fn finer_steps_converge_to_the_independent_simulator() {
    let of_forces = |finer| {
        let mechanical: Vec<_> = histories(finer).rms.into_iter().filter(|w| !w.1.contains("_a:")).collect();
        (mechanical.iter().map(|w| w.0).sum::<f64>() / mechanical.len() as f64, mechanical)
    };
    let ((default, worst_default), (fine, _)) = (of_forces(1), of_forces(4));
    // Measured: 1.93e-4 and 2.05e-5 of the peaks.
    assert!(default < 2.1e-4 && fine < 2.2e-5 && fine < default / 9.0, "{default} {fine}");
    // The worst single ones: the small pitch that a law with the wheel's gain alone leaves, and roll on a rough road.
    assert!(worst_default[0].0 < 0.0086, "{}", worst(&worst_default));
}

/// Largest number anywhere inside.
fn largest(value: &Json) -> f64 {
    match value {
        Json::Object(map) => map.values().map(largest).fold(0.0, f64::max),
        Json::Array(list) => list.iter().map(largest).fold(0.0, f64::max),
        other => other.as_f64().unwrap_or(0.0).abs(),
    }
}
