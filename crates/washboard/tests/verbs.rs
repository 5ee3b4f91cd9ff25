//! Every verb on a small session: what it prints, its status, and what it refuses.

#![allow(clippy::unwrap_used, reason = "helpers of tests may end the test")]

mod common;

use common::{Bench, Run, set, small_session};
use serde_json::{Value, json};

fn names(list: &Value, key: &str) -> Vec<String> {
    list.as_array().unwrap().iter().map(|r| r[key].as_str().unwrap().to_owned()).collect()
}

#[test]
fn check_says_one_sentence() {
    let bench = Bench::new();
    let run = bench.run(&["check", "small.json"]).expect(0);
    assert_eq!(run.stdout, "small.json is valid: 2 modes, 3 events, 1 load case, no fences.\n");
    assert_eq!(run.stderr, "");
}

#[test]
fn evaluate_gives_modes_by_events_by_load_cases() {
    let bench = Bench::new();
    let result = bench.run(&["evaluate", "small.json", "--json"]).expect(0).json();
    assert_eq!(result["model"], "full");
    assert!(result["session"].is_string() && result["fences"].as_array().unwrap().is_empty());
    let results = result["results"].as_array().unwrap();
    assert_eq!(results.len(), 2 * 3 * 2);
    for run in results {
        let metrics = run["metrics"].as_object().unwrap();
        for (name, value) in metrics {
            let is_number = value.as_f64().is_some_and(f64::is_finite);
            let is_corners = value.as_object().is_some_and(|corners| {
                corners.keys().all(|k| ["front_left", "front_right", "rear_left", "rear_right"].contains(&k.as_str()))
                    && corners.values().all(Value::is_number)
            });
            assert!(is_number || is_corners, "{name}: {value}");
        }
        assert!(metrics["wheel_load_variation_rms_n"].is_object());
    }
    // A metric that does not apply is absent: there is no roll overshoot on a straight road.
    let of = |event: &str| results.iter().find(|r| r["event"] == event && r["mode"] == "firm").unwrap();
    assert!(of("bend")["metrics"].get("roll_peak_rad").is_some());
    assert!(of("country road")["metrics"].get("roll_overshoot_share").is_none());
    // A pattern of physics: the body moves on a rough road.
    assert!(of("country road")["metrics"]["body_acceleration_rms_m_per_s2"].as_f64().unwrap() > 0.1);
}

#[test]
fn evaluate_takes_names_one_at_a_time() {
    let bench = Bench::new();
    let result = bench
        .run(&[
            "evaluate",
            "small.json",
            "--model",
            "pitch",
            "--mode",
            "firm",
            "--event",
            "joint",
            "--event",
            "country road",
            "--load-case",
            "driver",
            "--json",
        ])
        .expect(0)
        .json();
    assert_eq!(names(&result["results"], "event"), ["joint", "country road"]);
    assert!(names(&result["results"], "mode").iter().all(|m| m == "firm"));
    assert!(names(&result["results"], "load_case").iter().all(|l| l == "driver"));
    let travel = result["results"][0]["metrics"]["suspension_travel_rms_m"].as_object().unwrap();
    assert_eq!(travel.keys().collect::<Vec<_>>(), ["front", "rear"]);
}

#[test]
fn evaluate_draws_random_roads_again_when_asked() {
    let bench = Bench::new();
    let args = ["evaluate", "small.json", "--model", "quarter-front", "--mode", "firm", "--load-case", "driver"];
    let plain = bench.run(&[&args[..], &["--json"]].concat()).expect(0).json();
    assert!(plain.get("intervals").is_none());
    let result = bench.run(&[&args[..], &["--seeds", "3", "--json"]].concat()).expect(0).json();
    let intervals = result["intervals"].as_array().unwrap();
    assert!(intervals.iter().all(|i| i["event"] == "country road" && i["draws"] == 3));
    let named = |name: &str| intervals.iter().find(|i| i["metric"] == name).unwrap();
    let acceleration = named("body_acceleration_rms_m_per_s2");
    assert!(acceleration["mean"].as_f64().unwrap() > 0.0 && acceleration["half_width"].as_f64().unwrap() > 0.0);
    assert_eq!(result["results"], plain["results"], "the figures themselves stay those of the event's own road");
    let text = bench.run(&[&args[..], &["--seeds", "3"]].concat()).expect(0).stdout;
    assert!(text.contains("± 95 %"), "{text}");
    assert!(bench.run(&[&args[..], &["--seeds", "1"]].concat()).one_fault().contains("--seeds"));
}

#[test]
fn every_model_evaluates() {
    let bench = Bench::new();
    for (model, corners) in [
        ("quarter-front", vec!["front"]),
        ("quarter-rear", vec!["rear"]),
        ("pitch", vec!["front", "rear"]),
        ("roll-front", vec!["left", "right"]),
        ("roll-rear", vec!["left", "right"]),
        ("full", vec!["front_left", "front_right", "rear_left", "rear_right"]),
    ] {
        let args = ["evaluate", "small.json", "--model", model, "--event", "country road", "--mode", "firm", "--json"];
        let result = bench.run(&args).expect(0).json();
        assert_eq!(result["model"], model);
        let loads = result["results"][0]["metrics"]["least_wheel_load_n"].as_object().unwrap();
        assert_eq!(loads.keys().collect::<Vec<_>>(), corners);
    }
}

#[test]
fn the_same_session_gives_the_same_bytes_in_either_format() {
    let bench = Bench::new();
    bench.run(&["convert", "small.json", "small.ron"]).expect(0);
    let strip = |run: Run| {
        let mut value = run.json();
        value["session"] = Value::Null;
        value.to_string()
    };
    let json = strip(bench.run(&["evaluate", "small.json", "--json"]).expect(0));
    let ron = strip(bench.run(&["evaluate", "small.ron", "--json"]).expect(0));
    assert_eq!(json, ron);
}

#[test]
fn a_crossed_fence_is_status_one() {
    let bench = Bench::new();
    let mut session = small_session();
    set(&mut session, "/fences", json!([{ "metric": "weighted_acceleration_m_per_s2", "at_most": 0.001 }]));
    bench.write("strict.json", &session);
    let run = bench.run(&["evaluate", "strict.json", "--json"]).expect(1);
    let fences = run.json()["fences"].as_array().unwrap().clone();
    assert!(fences.iter().any(|f| f["kept"] == false), "{fences:?}");
    let table = bench.run(&["evaluate", "strict.json"]).expect(1);
    assert!(table.stdout.contains("crossed"), "{}", table.stdout);
    set(&mut session, "/fences", json!([{ "metric": "weighted_acceleration_m_per_s2", "at_most": 100.0 }]));
    bench.write("loose.json", &session);
    bench.run(&["evaluate", "loose.json", "--json"]).expect(0);
}

#[test]
fn a_session_without_events_evaluates_to_nothing() {
    let bench = Bench::new();
    let mut session = small_session();
    set(&mut session, "/events", json!([]));
    bench.write("bare.json", &session);
    let result = bench.run(&["evaluate", "bare.json", "--json"]).expect(0).json();
    assert_eq!(result["results"], json!([]));
    bench.run(&["evaluate", "bare.json"]).expect(0);
    bench.run(&["compare", "bare.json", "--reference", "firm", "--json"]).expect(0);
}

#[test]
fn trace_is_csv_with_time_first() {
    let bench = Bench::new();
    let run = bench.run(&["trace", "small.json", "--mode", "firm", "--event", "bend"]).expect(0);
    let mut lines = run.stdout.lines();
    let header: Vec<&str> = lines.next().unwrap().split(',').collect();
    assert_eq!(header[0], "time_s");
    assert!(header.iter().any(|h| h.contains("wheel_load_n")), "{header:?}");
    // Every link from the wanted force to the one given, in this order.
    let links = ["wanted_force_n", "soft_force_n", "firm_force_n", "wanted_current_a", "asked_current_a", "command_a"];
    let links = links.into_iter().chain(["arrived_command_a", "current_a", "damper_force_n"]);
    let places: Vec<_> = links.map(|l| header.iter().position(|h| *h == format!("rear_left_{l}"))).collect();
    assert!(places.iter().all(Option::is_some) && places.is_sorted(), "{places:?} in {header:?}");
    let rows: Vec<Vec<f64>> = lines.map(|l| l.split(',').map(|c| c.parse().unwrap()).collect()).collect();
    assert!(rows.iter().all(|r| r.len() == header.len()));
    assert_eq!(rows[0][0], 0.0);
    assert!((rows.last().unwrap()[0] - 4.0).abs() < 0.01);
    // The same bytes go to a file on request.
    bench.run(&["trace", "small.json", "--mode", "firm", "--event", "bend", "--out", "t.csv"]).expect(0);
    assert_eq!(std::fs::read_to_string(bench.path("t.csv")).unwrap(), run.stdout);
}

#[test]
fn response_over_frequency() {
    let bench = Bench::new();
    let common = ["response", "small.json", "--mode", "firm", "--speed-km-h", "80", "--roughness-m-per-s2", "2"];
    let chosen = [&common[..], &["--frequencies-hz", "0.3,1.5,12", "--json"]].concat();
    let result = bench.run(&chosen).expect(0).json();
    assert_eq!(result["frequencies_hz"], json!([0.3, 1.5, 12.0]));
    let body = result["body_transmissibility"].as_array().unwrap();
    // Far below resonance the body follows the road, far above it stays at rest.
    assert!((body[0].as_f64().unwrap() - 1.0).abs() < 0.1, "{body:?}");
    assert!(body[2].as_f64().unwrap() < 0.5, "{body:?}");
    assert_eq!(result["body_acceleration_per_road_velocity_per_s"].as_array().unwrap().len(), 3);
    assert_eq!(result["wheel_load_per_road_velocity_n_s_per_m"]["front_left"].as_array().unwrap().len(), 3);
    let table = bench.run(&[&common[..], &["--frequencies-hz", "1,10"]].concat()).expect(0);
    assert!(table.stdout.lines().next().unwrap().starts_with("frequency_hz"), "{}", table.stdout);
    assert_eq!(table.stdout.lines().count(), 3);
}

#[test]
fn response_refuses_what_is_out_of_bounds_and_says_the_bound() {
    let bench = Bench::new();
    let base = ["response", "small.json", "--mode", "firm"];
    for (args, words) in [
        (vec!["--speed-km-h", "-80", "--roughness-m-per-s2", "1"], vec!["speed-km-h", "-80", "400"]),
        (vec!["--speed-km-h", "NaN", "--roughness-m-per-s2", "1"], vec!["speed", "NaN"]),
        (vec!["--speed-km-h", "80", "--roughness-m-per-s2", "-1"], vec!["roughness-m-per-s2", "-1", "1000"]),
        (vec!["--speed-km-h", "80", "--roughness-m-per-s2", "inf"], vec!["roughness", "inf"]),
        (
            vec!["--speed-km-h", "80", "--roughness-m-per-s2", "1", "--velocity-amplitude-m-per-s", "0"],
            vec!["velocity-amplitude-m-per-s", "10"],
        ),
        (
            vec!["--speed-km-h", "80", "--roughness-m-per-s2", "1", "--frequencies-hz", "0"],
            vec!["frequencies-hz", "250"],
        ),
        (vec!["--speed-km-h", "80", "--roughness-m-per-s2", "1", "--frequencies-hz", "-1,2"], vec!["frequenc", "-1"]),
        (vec!["--speed-km-h", "80", "--roughness-m-per-s2", "1", "--frequencies-hz", "5000"], vec!["frequenc", "5000"]),
        (vec!["--speed-km-h", "80", "--roughness-m-per-s2", "1", "--frequencies-hz", "1,two"], vec!["two"]),
        (vec!["--speed-km-h", "80"], vec!["--roughness-m-per-s2"]),
    ] {
        let line = bench.run(&[&base[..], &args].concat()).one_fault();
        for word in words {
            assert!(line.contains(word), "{args:?}: {line} lacks {word}");
        }
    }
}

#[test]
fn compare_gives_differences_to_the_reference() {
    let bench = Bench::new();
    let run = bench.run(&["compare", "small.json", "--reference", "everyday", "--json", "--seeds", "3"]).expect(0);
    let result = run.json();
    assert_eq!(result["reference"], "everyday");
    let differences = result["differences"].as_array().unwrap();
    assert!(!differences.is_empty() && differences.iter().all(|d| d["mode"] == "firm"));
    for d in differences {
        // The share is the mean over the drawn roads; the two figures are those of the session's own roads.
        let (value, reference) = (d["value"].as_f64().unwrap(), d["reference"].as_f64().unwrap());
        let (share, here) = (d["share"].as_f64().unwrap(), (value - reference) / reference);
        let scatter = d["share_half_width_95"].as_f64().unwrap_or(0.0);
        assert!(share * here >= 0.0 || scatter > share.abs().min(here.abs()), "{d}");
    }
    let of = |metric: &str| differences.iter().find(|d| d["metric"] == metric).unwrap();
    // Twice the skyhook gain: the body moves less.
    assert!(of("body_motion_rms_m")["share"].as_f64().unwrap() < 0.0);
    assert!(of("weighted_acceleration_m_per_s2")["share_half_width_95"].as_f64().unwrap() > 0.0);
    // Of the maps, heave, roll and pitch differ between the two modes, wheel and base do not.
    let maps = names(&result["map_differences"], "map");
    assert!(maps.iter().any(|m| m == "heave") && maps.iter().all(|m| m != "wheel" && m != "base"), "{maps:?}");
    assert!(result["results"].is_array());
    let table = bench.run(&["compare", "small.json", "--reference", "everyday", "--seeds", "2"]).expect(0);
    assert!(table.stdout.contains("everyday") && table.stdout.contains("firm") && table.stdout.contains('%'));
}

#[test]
fn a_name_that_is_not_there_is_answered_with_those_that_are() {
    let bench = Bench::new();
    for (args, words) in [
        (vec!["evaluate", "small.json", "--mode", "sport"], vec!["sport", "everyday", "firm"]),
        (vec!["evaluate", "small.json", "--event", "moon"], vec!["moon", "country road", "joint", "bend"]),
        (vec!["evaluate", "small.json", "--load-case", "roof box"], vec!["roof box", "driver"]),
        (vec!["evaluate", "small.json", "--model", "half"], vec!["half", "quarter-front", "full"]),
        (vec!["trace", "small.json", "--mode", "firm", "--event", "moon"], vec!["moon", "bend"]),
        (vec!["compare", "small.json", "--reference", "sport"], vec!["sport", "everyday"]),
        (vec!["export", "small.json", "--mode", "sport", "--out", "set"], vec!["sport", "everyday"]),
    ] {
        let line = bench.run(&args).one_fault();
        for word in words {
            assert!(line.contains(word), "{args:?}: {line} lacks {word}");
        }
    }
}

#[test]
fn a_command_line_that_makes_no_sense_is_one_sentence() {
    let bench = Bench::new();
    for args in [
        vec!["evaluate"],
        vec!["evaluate", "small.json", "--colour"],
        vec!["trace", "small.json"],
        vec!["trace", "small.json", "--mode"],
        vec!["export", "small.json", "--out", "x"],
        vec!["convert", "small.json"],
        vec!["evalute", "small.json"],
        vec!["--no-such-option"],
        vec!["compare", "small.json", "--reference", "firm", "--seeds", "-3"],
        vec!["compare", "small.json", "--reference", "firm", "--seeds", "0"],
    ] {
        bench.run(&args).one_fault();
    }
    for args in [vec!["--help"], vec!["--version"], vec!["evaluate", "--help"]] {
        let run = bench.run(&args).expect(0);
        assert!(!run.stdout.is_empty() && run.stderr.is_empty());
    }
}

#[test]
fn convert_there_and_back_changes_no_byte() {
    let bench = Bench::new();
    let mut session = small_session();
    // Numbers without a short decimal form, and text that needs escapes.
    set(&mut session, "/vehicle/body_mass_kg", json!(1_450.123_456_789_012_3));
    set(&mut session, "/modes/0/heave/values_n_s_per_m/0/0", json!(1.0e3 / 3.0));
    set(&mut session, "/notes", json!("line one\nline \"two\" \\ ü ▲"));
    bench.write("in.json", &session);
    for args in [["in.json", "a.ron"], ["a.ron", "b.json"], ["b.json", "c.ron"], ["c.ron", "d.json"]] {
        bench.run(&["convert", args[0], args[1]]).expect(0);
    }
    let read = |name: &str| std::fs::read(bench.path(name)).unwrap();
    assert_eq!(read("a.ron"), read("c.ron"));
    assert_eq!(read("b.json"), read("d.json"));
    let back: Value = serde_json::from_slice(&read("b.json")).unwrap();
    assert_eq!(back["vehicle"]["body_mass_kg"], session["vehicle"]["body_mass_kg"]);
    assert_eq!(back["modes"][0]["heave"], session["modes"][0]["heave"]);
    assert_eq!(back["notes"], session["notes"]);
    let line = bench.run(&["convert", "in.json", "out.txt"]).one_fault();
    assert!(line.contains("out.txt") && line.contains("ron") && line.contains("json"), "{line}");
    bench.run(&["convert", "in.json", "no/such/folder.ron"]).one_fault();
}

#[test]
fn schema_is_a_json_schema_of_the_session() {
    let bench = Bench::new();
    let schema = bench.run(&["schema"]).expect(0).json();
    assert!(schema["$schema"].as_str().unwrap().contains("json-schema.org"));
    for field in ["format", "title", "vehicle", "dampers", "controller", "modes", "events"] {
        assert!(schema["required"].as_array().unwrap().contains(&json!(field)), "{field}");
        assert!(schema["properties"].get(field).is_some(), "{field}");
    }
    assert_eq!(schema["additionalProperties"], json!(false));
}

#[test]
fn a_measured_profile_is_driven_over() {
    let bench = Bench::new();
    let mut text = String::from("distance_m,left_m,right_m\n");
    for i in 0..1200 {
        let x = f64::from(i) * 0.1;
        text.push_str(&format!("{x},{:.6},{:.6}\n", 0.01 * x.sin(), 0.01 * (x * 1.3).sin()));
    }
    std::fs::write(bench.path("patch.csv"), &text).unwrap();
    let mut session = small_session();
    set(&mut session, "/events/1/kind", json!({ "Profile": { "file": "patch.csv" } }));
    bench.write("measured.json", &session);
    let args = ["evaluate", "measured.json", "--event", "joint", "--json"];
    let result = bench.run(&args).expect(0).json();
    assert!(result["results"][0]["metrics"]["body_acceleration_rms_m_per_s2"].as_f64().unwrap() > 0.01);
    std::fs::write(bench.path("patch.csv"), text.replacen("0.5,", "0.4,", 1)).unwrap();
    let line = bench.run(&args).one_fault();
    for word in ["patch.csv", "line 7", "distance_m"] {
        assert!(line.contains(word), "{line} lacks {word}");
    }
}

#[test]
fn states_can_be_estimated_and_both_ways_are_told_apart() {
    let bench = Bench::new();
    let run = |states: &[&str]| {
        let args = [&["evaluate", "small.json", "--mode", "firm", "--event", "joint", "--json"], states].concat();
        bench.run(&args).expect(0).json()
    };
    let (plain, ideal, estimated) = (run(&[]), run(&["--states", "ideal"]), run(&["--states", "estimated"]));
    assert_eq!(plain, ideal);
    assert_eq!((&ideal["states"], &estimated["states"]), (&json!("ideal"), &json!("estimated")));
    let figure = |r: &Value| r["results"][0]["metrics"]["body_acceleration_rms_m_per_s2"].as_f64().unwrap();
    // Faultless sensors and sensible filters: near the true states, and not the same.
    let off = figure(&estimated) / figure(&ideal) - 1.0;
    assert!(off != 0.0 && off.abs() < 0.1, "{off}");
    let args = ["trace", "small.json", "--mode", "firm", "--event", "joint", "--states", "estimated"];
    let head = bench.run(&args).expect(0).stdout.lines().next().unwrap().to_owned();
    for name in ["estimated_body_heave_rate_m_per_s", "front_left_estimated_wheel_rate_m_per_s"] {
        assert!(head.contains(name), "{head}");
    }
}

#[test]
fn scenarios_of_the_dampers_need_their_data_and_change_the_run() {
    let bench = Bench::new();
    let args = |more: &'static [&'static str]| {
        [&["evaluate", "lost.json", "--mode", "firm", "--event", "joint", "--json"], more].concat()
    };
    let mut session = small_session();
    bench.write("lost.json", &session);
    let line = bench.run(&args(&["--supply-lost"])).one_fault();
    assert!(line.contains("supply_lost is absent"), "{line}");
    let count = session["dampers"].as_array().unwrap().len();
    for i in 0..count {
        let curve = json!({ "velocity_m_per_s": [-1.0, 0.0, 1.0], "force_n": [-900.0, 0.0, 1500.0] });
        set(&mut session, &format!("/dampers/{i}/supply_lost"), curve);
        let scale = json!({ "temperature_c": [20.0, 100.0], "force_scale": [1.0, 0.5] });
        set(&mut session, &format!("/dampers/{i}/temperature"), scale);
    }
    bench.write("lost.json", &session);
    let metric = |more: &'static [&'static str], name: &str| {
        let result = bench.run(&args(more)).expect(0).json();
        result["results"][0]["metrics"][name].clone()
    };
    let current = metric(&["--supply-lost"], "mean_current_a");
    assert!(current.as_object().unwrap().values().all(|a| a.as_f64() == Some(0.0)), "{current}");
    let rms = |more| metric(more, "body_acceleration_rms_m_per_s2").as_f64().unwrap();
    assert_eq!(rms(&["--damper-temperature-c", "20"]), rms(&[]));
    assert_ne!(rms(&["--damper-temperature-c", "100"]), rms(&[]));
}

#[test]
fn a_reader_that_goes_away_is_no_fault() {
    let bench = Bench::new();
    let mut child = bench
        .command(&["trace", "small.json", "--mode", "firm", "--event", "bend"])
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
}

#[test]
fn a_result_that_cannot_be_written_is_a_fault() {
    let bench = Bench::new();
    let line = bench.run(&["schema", "--out", "no/such/folder/s.json"]).one_fault();
    assert!(line.contains("no/such/folder/s.json"), "{line}");
}

#[test]
fn without_a_display_the_window_says_so() {
    let bench = Bench::new();
    for args in [vec![], vec!["small.json"]] {
        let line = bench.run::<&str>(&args).one_fault();
        assert!(line.contains("display") && line.contains("evaluate"), "{line}");
    }
}

#[test]
fn time_tells_what_the_live_computation_takes() {
    let bench = Bench::new();
    let result = bench.run(&["time", "small.json", "--model", "pitch", "--json"]).expect(0).json();
    let keys: Vec<&str> = result.as_object().unwrap().keys().map(String::as_str).collect();
    let expected = [
        "threads",
        "lanes",
        "runs",
        "run_steps",
        "single_lanes",
        "evaluate_ms",
        "evaluate_at_once_ms",
        "response_ms",
        "refresh_at_once_ms",
        "refresh_one_mode_ms",
        "ns_per_run_step_one_thread",
        "ns_per_run_step_one_thread_at_once",
    ];
    assert_eq!(keys, expected);
    assert_eq!(result["runs"], 2 * 3 * 2);
    // A processor without the instructions has no lanes of single precision.
    let is_told = |(key, v): (&String, &Value)| v.as_f64().is_some_and(|x| x > 0.0 || key == "single_lanes");
    assert!(result.as_object().unwrap().iter().all(is_told), "{result}");
    let words = bench.run(&["time", "small.json"]).expect(0).stdout;
    assert!(words.contains("12 runs") && words.contains("a run-step on one thread"), "{words}");
}

#[test]
fn a_report_is_one_file_in_the_form_of_its_name() {
    let bench = Bench::new();
    let report = |out: &str, more: &[&str]| {
        let mut args = vec!["report", "small.json", "--model", "quarter-front", "--out", out];
        if !more.contains(&"--time") {
            args.extend(["--time", "2026-11-25T18:00:00Z"]);
        }
        args.extend(more);
        bench.run(&args)
    };
    report("a.html", &[]).expect(0);
    let html = std::fs::read_to_string(bench.path("a.html")).unwrap();
    assert!(html.starts_with("<!DOCTYPE html>") && html.contains("2026-11-25 18:00"));
    assert!(html.contains("washboard report small.json --model quarter-front"), "it says how it is made again");
    report("a.pdf", &[]).expect(0);
    report("b.pdf", &[]).expect(0);
    let pdf = std::fs::read(bench.path("a.pdf")).unwrap();
    assert!(pdf.starts_with(b"%PDF-"));
    let refused = report("a.txt", &[]).expect(2);
    assert!(refused.stderr.contains("a.txt") && refused.stderr.contains(".pdf"), "{}", refused.stderr);
    assert!(!bench.path("a.txt").exists());
    for (more, word) in [
        (["--mode", "nobody"], "nobody"),
        (["--event", "nowhere"], "nowhere"),
        (["--speed-km-h", "-3"], "speed-km-h"),
        (["--time", "yesterday"], "yesterday"),
    ] {
        let refused = report("c.html", &more).expect(2);
        assert!(refused.stderr.contains(word) && refused.stderr.lines().count() == 1, "{}", refused.stderr);
    }
    let mut session = small_session();
    session["fences"] = json!([{ "metric": "weighted_acceleration_m_per_s2", "at_most": 0.0001 }]);
    bench.write("small.json", &session);
    report("crossed.html", &[]).expect(1);
    assert!(std::fs::read_to_string(bench.path("crossed.html")).unwrap().contains("\u{2715} crossed"));
}
