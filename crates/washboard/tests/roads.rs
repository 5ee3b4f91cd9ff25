//! `washboard road`: figures of measured profiles, and what it refuses.

#![allow(clippy::unwrap_used, reason = "helpers of tests may end the test")]

mod common;

use common::Bench;
use std::fmt::Write;

/// Two tracks of many sines, 0.1 m apart: amplitude falls with the wavenumber, as a road's does.
fn two_tracks(length_m: f64) -> String {
    let mut text = "distance_m,left_m,right_m\n".to_owned();
    for i in 0..=(length_m / 0.1).round() as u32 {
        let x = 0.1 * f64::from(i);
        let track = |phase: f64| -> f64 {
            (1..400)
                .map(|k| f64::from(k) * 0.0102)
                .map(|n| 2e-4 / n * (std::f64::consts::TAU * n * x + phase * n * 1000.0).sin())
                .sum()
        };
        writeln!(text, "{x:.1},{:.6},{:.6}", track(1.0), track(1.7)).unwrap();
    }
    text
}

#[test]
fn tracks_get_index_density_and_class() {
    let bench = Bench::new();
    std::fs::write(bench.path("p.csv"), two_tracks(300.0)).unwrap();
    let result = bench.run(&["road", "p.csv", "--json"]).expect(0).json();
    for track in ["left", "right"] {
        let found = &result["tracks"][track];
        for key in ["roughness_index_m_per_km", "psd_at_n0_m3", "waviness"] {
            assert!(found[key].as_f64().unwrap() > 0.0, "{track} {key}: {found}");
        }
        // Amplitude a/n every dn: density a^2/(2 dn) n^-2, at 0.1 cycles/m 1.96e-4 m^3, class C.
        let want = 2e-4f64.powi(2) / (2.0 * 0.0102) / 0.01;
        assert!((found["psd_at_n0_m3"].as_f64().unwrap() / want - 1.0).abs() < 0.3, "{found}");
        assert!((found["waviness"].as_f64().unwrap() - 2.0).abs() < 0.15);
        assert_eq!(found["class"], "C");
    }
    let text = bench.run(&["road", "p.csv"]).expect(0).stdout;
    for part in ["roughness_index_m_per_km", "left", "right", "centre_cycles_per_m", "ISO 8608"] {
        assert!(text.contains(part), "{part}:\n{text}");
    }
}

#[test]
fn a_profile_without_waves_lacks_what_does_not_apply() {
    let bench = Bench::new();
    let flat: String = (0..200).map(|i| format!("{i},1.5\n")).collect();
    std::fs::write(bench.path("flat.csv"), format!("distance_m,elevation_m\n{flat}")).unwrap();
    let result = bench.run(&["road", "flat.csv", "--json"]).expect(0).json();
    let track = &result["tracks"]["elevation"];
    assert_eq!(track["roughness_index_m_per_km"], 0.0);
    assert!(track.get("class").is_none() && track.get("psd_at_n0_m3").is_none());
    assert!(result["remarks"].as_array().unwrap().iter().any(|r| r.as_str().unwrap().contains("flat")));
}

#[test]
fn what_is_no_profile_gets_one_sentence() {
    let bench = Bench::new();
    let header = "distance_m,elevation_m\n";
    for (text, parts) in [
        ("distance,elevation\n0,0\n20,1\n".to_owned(), vec!["line 1", "distance_m,elevation_m"]),
        (format!("{header}0,0\n5,0\n5,0\n"), vec!["line 4", "rise"]),
        (format!("{header}0,0\n5,0\n"), vec!["5", "at least 11 m"]),
        (format!("{header}0,0\n20,nan\n"), vec!["line 3", "elevation_m"]),
        (header.to_owned(), vec!["2 samples"]),
        (String::new(), vec!["line 1"]),
    ] {
        std::fs::write(bench.path("bad.csv"), text).unwrap();
        let run = bench.run(&["road", "bad.csv"]).expect(2);
        assert_eq!(run.stdout, "");
        assert_eq!(run.stderr.lines().count(), 1, "{}", run.stderr);
        for part in parts.iter().chain(&["bad.csv"]) {
            assert!(run.stderr.contains(part), "{} lacks {part}", run.stderr);
        }
    }
    // Refused by its size alone: the file has no bytes on the disk.
    std::fs::File::create(bench.path("big.csv")).unwrap().set_len(1 << 30).unwrap();
    let run = bench.run(&["road", "big.csv"]).expect(2);
    assert!(run.stderr.contains("1073741824 bytes"), "{}", run.stderr);
}
