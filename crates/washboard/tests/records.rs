//! `washboard analyse`: figures of measured records, and what it refuses.

#![allow(clippy::unwrap_used, reason = "helpers of tests may end the test")]

mod common;

use common::Bench;
use std::fmt::Write;

/// 8 Hz, 2 m/s^2, a minute at 200 Hz, and a travel beside it.
fn record() -> String {
    let mut text = "time_s,seat_z_m_per_s2,front_left_travel_mm\n".to_owned();
    for i in 0..12_000 {
        let t = f64::from(i) / 200.0;
        let wave = (std::f64::consts::TAU * 8.0 * t).sin();
        writeln!(text, "{t:.3},{:.6},{:.6}", 2.0 * wave, 10.0 * wave).unwrap();
    }
    text
}

#[test]
fn accelerations_are_weighted_and_the_rest_is_not() {
    let bench = Bench::new();
    std::fs::write(bench.path("log.csv"), record()).unwrap();
    let result = bench.run(&["analyse", "log.csv", "--weighting", "Wk", "--json"]).expect(0).json();
    let seat = &result["channels"]["seat_z_m_per_s2"];
    // checks.json cases 03 and 04: Wk at 8 Hz is 1.036366; dose of a sine 1.10668 times r.m.s. times T^(1/4). The sine
    // begins at once, which the weighting answers with a first peak of its own: crest factor 1.5121 by scipy.signal.lsim.
    let weighted = 2f64.sqrt() * 1.036366215626487;
    for (key, want) in [
        ("rms_m_per_s2", 2f64.sqrt()),
        ("weighted_rms_m_per_s2", weighted),
        ("vibration_dose_m_per_s1_75", 1.1066819197003217 * weighted * 60f64.powf(0.25)),
        ("crest_factor", 1.512055741999726),
        ("mtvv_m_per_s2", weighted),
    ] {
        let got = seat[key].as_f64().unwrap_or_else(|| panic!("{key} of {seat}"));
        assert!((got / want - 1.0).abs() < 0.02, "{key}: {got} against {want}");
    }
    assert!((seat["weighted_rms_m_per_s2"].as_f64().unwrap() / weighted - 1.0).abs() < 1e-3);
    assert_eq!(seat["bands"].as_array().unwrap().len(), 5);
    let travel = result["channels"]["front_left_travel_mm"].as_object().unwrap();
    assert!((travel["rms_m"].as_f64().unwrap() - 0.01 / 2f64.sqrt()).abs() < 1e-5);
    assert!(!travel.keys().any(|k| k.starts_with("weighted") || k.starts_with("mtvv") || k.contains("dose")));
    let one = bench.run(&["analyse", "log.csv", "--channel", "front_left_travel_mm", "--json"]).expect(0).json();
    assert_eq!(one["channels"].as_object().unwrap().len(), 1);
    let text = bench.run(&["analyse", "log.csv"]).expect(0).stdout;
    for part in ["seat_z_m_per_s2", "m/s²", "Wk", "0.5 to 5 Hz", "200"] {
        assert!(text.contains(part), "{part}:\n{text}");
    }
}

#[test]
fn transfer_functions_come_with_their_coherence() {
    let bench = Bench::new();
    std::fs::write(bench.path("log.csv"), record()).unwrap();
    let args = ["analyse", "log.csv", "--channel", "seat_z_m_per_s2", "--from", "front_left_travel_mm", "--json"];
    let found = bench.run(&args).expect(0).json();
    let found = &found["transfer_functions"];
    assert_eq!(found["from"], "front_left_travel_mm");
    let at = found["frequencies_hz"].as_array().unwrap().iter().position(|f| f.as_f64() == Some(8.0)).unwrap();
    let seat = |key: &str| found["to"]["seat_z_m_per_s2"][key][at].as_f64().unwrap();
    // 2 m/s^2 for 10 mm, in phase, at 8 Hz.
    assert!((seat("gain") / 200.0 - 1.0).abs() < 1e-3 && seat("phase_rad").abs() < 1e-3, "{found}");
    assert!(seat("coherence") > 0.999);
    let text = bench.run(&["analyse", "log.csv", "--from", "front_left_travel_mm"]).expect(0).stdout;
    assert!(text.contains("(m/s²)/(m)") && text.contains("coherence"), "{text}");
    let fault = bench.run(&["analyse", "log.csv", "--from", "seat_x_m_per_s2"]).one_fault();
    assert!(fault.contains("seat_x_m_per_s2") && fault.contains("log.csv"), "{fault}");
}

#[test]
fn what_is_no_record_gets_one_sentence() {
    let bench = Bench::new();
    let mut gap = record();
    gap.push_str("70,0,0\n");
    for (text, parts) in [
        ("seat_z_m_per_s2\n1\n".to_owned(), vec!["line 1", "time_s"]),
        ("time_s,seat_z\n0,1\n0.1,1\n".to_owned(), vec!["seat_z", "unit"]),
        ("time_s,seat_z_m_per_s2\n0,1\n0.1,inf\n".to_owned(), vec!["line 3", "seat_z_m_per_s2"]),
        (gap, vec!["line 12002", "cut the record"]),
        (String::new(), vec!["time_s"]),
    ] {
        std::fs::write(bench.path("bad.csv"), text).unwrap();
        let fault = bench.run(&["analyse", "bad.csv"]).one_fault();
        for part in parts.iter().chain(&["bad.csv"]) {
            assert!(fault.contains(part), "{fault} lacks {part}");
        }
    }
    let fault = bench.run(&["analyse", "bad.csv", "--weighting", "Wx"]).one_fault();
    assert!(fault.contains("Wx") && fault.contains("Wk"), "{fault}");
    // A gigabyte without a line is refused at its beginning, more than any record has by its size.
    let big = std::fs::File::create(bench.path("big.csv")).unwrap();
    big.set_len(1 << 30).unwrap();
    assert!(bench.run(&["analyse", "big.csv"]).one_fault().contains("longer than 1048576 bytes"));
    big.set_len(5 << 30).unwrap();
    assert!(bench.run(&["analyse", "big.csv"]).one_fault().contains("5368709120 bytes"));
}
