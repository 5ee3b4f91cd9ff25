//! Broken sessions: every one is refused with status 2 and exactly one line that names the field.

mod common;

use common::{Bench, set, small_session};
use serde_json::{Value, json};

/// Pointer, value put there (`null` removes the field), and words that the sentence must hold.
fn cases() -> Vec<(&'static str, Value, Vec<&'static str>)> {
    vec![
        ("/format", json!(99), vec!["format", "99"]),
        ("/format", json!("one"), vec!["line 2", "one"]),
        ("/title", Value::Null, vec!["title"]),
        ("/vehicle", Value::Null, vec!["vehicle"]),
        ("/colour", json!("red"), vec!["colour"]),
        ("/vehicle/body_mass_kg", json!(-1450.0), vec!["body_mass_kg", "-1450", "kg"]),
        ("/vehicle/body_mass_kg", json!(0.0), vec!["body_mass_kg"]),
        ("/vehicle/body_mass_kg", json!(1.0e12), vec!["body_mass_kg"]),
        ("/vehicle/body_mass_kg", json!("heavy"), vec!["heavy"]),
        ("/vehicle/wheelbase_m", Value::Null, vec!["wheelbase_m"]),
        ("/vehicle/wheelbase_m", json!(0.0), vec!["wheelbase_m"]),
        ("/vehicle/cg_to_front_axle_m", json!(5.0), vec!["cg_to_front_axle_m", "5"]),
        ("/vehicle/roll_inertia_kg_m2", json!(-1.0), vec!["roll_inertia_kg_m2"]),
        ("/vehicle/pitch_inertia_kg_m2", json!(0.0), vec!["pitch_inertia_kg_m2"]),
        ("/vehicle/wings", json!(2), vec!["wings"]),
        ("/vehicle/front/damper", json!("no such damper"), vec!["damper", "no such damper"]),
        ("/vehicle/front/motion_ratio", json!(0.0), vec!["motion_ratio"]),
        ("/vehicle/front/track_m", json!(-1.5), vec!["track_m", "-1.5"]),
        ("/vehicle/rear/tyre_rate_n_per_m", json!(0.0), vec!["tyre_rate_n_per_m"]),
        ("/vehicle/rear/wheel_mass_kg", json!(-42.0), vec!["wheel_mass_kg"]),
        ("/vehicle/rear/bump_stop", json!({ "gap_m": 0.05, "rate_n_per_m": -1.0 }), vec!["rate_n_per_m"]),
        ("/vehicle/load_cases/0/items/0/mass_kg", json!(-2.0e5), vec!["mass_kg"]),
        ("/dampers", json!([]), vec!["damper"]),
        ("/dampers/0/velocity_m_per_s/1", json!(-2.0), vec!["velocity_m_per_s"]),
        ("/dampers/0/velocity_m_per_s/2", json!(0.05), vec!["velocity_m_per_s"]),
        ("/dampers/0/current_a", json!([1.6, 0.3]), vec!["current_a"]),
        ("/dampers/0/force_n/1", json!([80.0, -500.0]), vec!["force_n"]),
        ("/dampers/0/force_n/2", json!([1.0, 0.0]), vec!["force_n"]),
        ("/dampers/0/force_n/4", json!([900.0]), vec!["force_n"]),
        ("/dampers/0/force_n/4", json!([900.0, 800.0]), vec!["force_n"]),
        ("/dampers/0/rise_s", json!(-0.008), vec!["rise_s"]),
        ("/dampers/1/name", json!("front damper"), vec!["name", "front damper"]),
        ("/controller/sample_rate_hz", json!(0.0), vec!["sample_rate_hz"]),
        ("/controller/roughness", json!({ "low_hz": 20.0, "high_hz": 16.0 }), vec!["roughness", "hz"]),
        ("/controller/roughness", json!({ "lo_hz": 20.0 }), vec!["lo_hz"]),
        ("/modes", json!([]), vec!["modes"]),
        ("/modes/0/heave/rows", json!([120.0, 20.0]), vec!["everyday", "heave", "rows"]),
        ("/modes/0/heave/columns", json!([0.5]), vec!["heave", "columns"]),
        ("/modes/0/heave/values_n_s_per_m/1", json!([1.0]), vec!["values_n_s_per_m"]),
        ("/modes/0/heave/values_n_s_per_m/1/1", json!(1.0e9), vec!["values_n_s_per_m"]),
        ("/modes/0/law", json!("Guesswork"), vec!["Guesswork"]),
        ("/modes/0/law", json!({ "Mixed": { "crossover_hz": -1.0 } }), vec!["crossover_hz"]),
        ("/modes/0/current_max_a", json!(0.1), vec!["current_m"]),
        ("/modes/0/slew_a_per_s", json!(0.0), vec!["slew_a_per_s"]),
        ("/modes/1/name", json!("everyday"), vec!["name", "everyday"]),
        ("/modes/1/name", json!(""), vec!["name"]),
        ("/events/0/duration_s", json!(0.0), vec!["country road", "duration_s"]),
        ("/events/0/duration_s", json!(1.0e9), vec!["duration_s"]),
        ("/events/0/settle_s", json!(99.0), vec!["settle_s"]),
        ("/events/0/speed_km_h", json!(-80.0), vec!["speed_km_h", "-80", "km/h"]),
        ("/events/0/weight", json!(-1.0), vec!["weight"]),
        ("/events/0/kind", json!({ "RandomRoad": { "class": "Z", "seed": 1 } }), vec!["Z"]),
        ("/events/0/kind", json!({ "RandomRoad": { "class": "C", "seed": 1, "colour": 2 } }), vec!["colour"]),
        ("/events/1/kind", json!({ "CosineBump": { "height_m": 0.05, "length_m": 0.0 } }), vec!["joint", "length_m"]),
        ("/events/1/kind", json!({ "Profile": { "file": "missing.csv" } }), vec!["joint", "file", "missing.csv"]),
        ("/events/1/kind", json!({ "Profile": { "file": "../missing.csv" } }), vec!["file", "../missing.csv"]),
        (
            "/events/2/kind",
            json!({ "LateralStep": { "acceleration_m_per_s2": 400.0, "rise_s": 0.1 } }),
            vec!["acceleration_m_per_s2"],
        ),
        ("/events/1/name", json!("bend"), vec!["name", "bend"]),
        ("/reference_mode", json!("none such"), vec!["reference_mode", "none such"]),
        ("/fences", json!([{ "metric": "no_such_metric", "at_most": 1.0 }]), vec!["metric", "no_such_metric"]),
        ("/fences", json!([{ "metric": "suspension_travel_peak_m" }]), vec!["fences"]),
        (
            "/fences",
            json!([{ "metric": "suspension_travel_peak_m", "at_most": 1.0, "event": "no such" }]),
            vec!["event", "no such"],
        ),
    ]
}

#[test]
fn every_broken_session_is_refused_in_one_line_that_names_the_field() {
    let bench = Bench::new();
    bench.run(&["check", "small.json"]).expect(0);
    let mut faults = Vec::new();
    for (index, (pointer, value, words)) in cases().into_iter().enumerate() {
        let mut session = small_session();
        set(&mut session, pointer, value.clone());
        let name = format!("broken-{index}.json");
        bench.write(&name, &session);
        let run = bench.run(&["check", &name]);
        if run.status != 2 {
            faults.push(format!("{pointer} = {value}: status {} {}", run.status, run.stdout));
            continue;
        }
        let line = run.one_fault();
        faults.extend(
            words.iter().filter(|w| !line.contains(**w)).map(|w| format!("{pointer} = {value}: {line} lacks {w}")),
        );
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn text_that_is_no_session_is_refused() {
    let bench = Bench::new();
    let whole = std::fs::read(bench.path("small.json")).unwrap();
    let files: Vec<(&str, Vec<u8>)> = vec![
        ("empty.json", vec![]),
        ("empty.ron", vec![]),
        ("half.json", whole[..whole.len() / 2].to_vec()),
        ("half.ron", b"(format: 1, title: \"x\"".to_vec()),
        ("list.json", b"[]".to_vec()),
        ("binary.json", (0..=255u8).cycle().take(4000).collect()),
        ("binary.ron", vec![0xff; 100]),
        ("deep.json", b"[".repeat(100_000)),
        ("deep.ron", b"(".repeat(100_000)),
        ("huge-number.json", String::from_utf8(whole.clone()).unwrap().replace("1450.0", "1e999").into_bytes()),
        ("twice.json", br#"{"format": 1, "format": 1}"#.to_vec()),
        ("session.txt", whole.clone()),
    ];
    for (name, bytes) in files {
        std::fs::write(bench.path(name), bytes).unwrap();
        let line = bench.run(&["check", name]).one_fault();
        assert!(line.contains(name), "{line} does not name {name}");
    }
    std::fs::create_dir(bench.path("folder.json")).unwrap();
    for name in ["folder.json", "nowhere.json", "nowhere/small.ron"] {
        let line = bench.run(&["check", name]).one_fault();
        assert!(line.contains(name), "{line} does not name {name}");
    }
}

#[test]
fn an_unknown_field_is_named_with_its_line() {
    let bench = Bench::new();
    let text = std::fs::read_to_string(bench.path("small.json")).unwrap();
    std::fs::write(bench.path("typo.json"), text.replacen("\"wheelbase_m\"", "\"wheelbas_m\"", 1)).unwrap();
    let number = text.lines().position(|l| l.contains("wheelbase_m")).unwrap() + 1;
    let line = bench.run(&["check", "typo.json"]).one_fault();
    assert!(line.contains("wheelbas_m") && line.contains(&number.to_string()), "{line} for line {number}");
}

#[test]
fn every_verb_refuses_a_broken_session_alike() {
    let bench = Bench::new();
    let mut session = small_session();
    set(&mut session, "/vehicle/body_mass_kg", json!(-5.0));
    bench.write("bad.json", &session);
    let verbs: [&[&str]; 6] = [
        &["evaluate", "bad.json", "--json"],
        &["trace", "bad.json", "--mode", "firm", "--event", "bend"],
        &["response", "bad.json", "--mode", "firm", "--speed-km-h", "80", "--roughness-m-per-s2", "1"],
        &["compare", "bad.json", "--reference", "everyday"],
        &["export", "bad.json", "--mode", "firm", "--out", "set"],
        &["convert", "bad.json", "good.ron"],
    ];
    for verb in verbs {
        let line = bench.run(verb).one_fault();
        assert!(line.contains("body_mass_kg") && line.contains("bad.json"), "{verb:?}: {line}");
    }
    assert!(!bench.path("set").exists() && !bench.path("good.ron").exists());
}
