//! The house keeps its walls: core crates know no screen, no serde, no file; the guide's crate table is crates/.

#![allow(clippy::unwrap_used)] // a test fails by panicking

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

const CORE: [&str; 6] = ["signal", "car", "control", "road", "sim", "metrics"];

fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Names under `[dependencies]` of a crate.
fn dependencies(name: &str) -> BTreeSet<String> {
    let manifest = std::fs::read_to_string(top().join("crates").join(name).join("Cargo.toml")).unwrap();
    let section = manifest.split("\n[dependencies]").nth(1).unwrap_or("");
    let section = section.split("\n[").next().unwrap_or("");
    section
        .lines()
        .filter_map(|l| l.split_once('='))
        .map(|(n, _)| n.trim().trim_end_matches(".workspace").to_owned())
        .collect()
}

fn crates() -> BTreeSet<String> {
    let folder = std::fs::read_dir(top().join("crates")).unwrap();
    folder.map(|e| e.unwrap().file_name().into_string().unwrap()).collect()
}

#[test]
fn core_crates_reach_no_screen_no_serde_no_file() {
    for name in CORE {
        for dependency in dependencies(name) {
            let forbidden = ["egui", "eframe", "serde", "serde_json", "ron", "csv", "rfd", "directories"];
            assert!(!forbidden.contains(&dependency.as_str()), "{name} depends on {dependency}");
            let own = dependency.strip_prefix("washboard-");
            assert!(own.is_none_or(|o| CORE.contains(&o)), "{name} depends on {dependency}");
        }
        for file in sources(&top().join("crates").join(name).join("src")) {
            let text = std::fs::read_to_string(&file).unwrap();
            let code = text.split("#[cfg(test)]").next().unwrap_or("");
            for word in ["std::fs", "std::time", "SystemTime", "mul_add("] {
                assert!(!code.contains(word), "{} uses {word}", file.display());
            }
        }
    }
}

#[test]
fn each_crate_keeps_to_what_it_may_know() {
    for (name, forbidden) in [
        ("metrics", vec!["washboard-sim", "washboard-car"]),
        ("control", vec!["washboard-car"]),
        ("road", vec!["washboard-car", "washboard-control"]),
        ("log", vec!["washboard-sim", "washboard-study", "egui", "eframe"]),
        ("session", vec!["washboard-sim", "washboard-study"]),
        ("handover", vec!["washboard-sim", "washboard-study", "egui"]),
        ("study", vec!["egui", "eframe", "serde", "serde_json"]),
        ("words", vec!["egui", "eframe", "serde", "washboard-sim"]),
        ("report", vec!["egui", "eframe", "serde", "serde_json", "resvg", "washboard-ui", "washboard-sim"]),
        ("ui", vec!["eframe", "washboard-sim", "washboard-control", "washboard-road"]),
        ("washboard", vec!["washboard-sim", "washboard-control", "washboard-car"]),
    ] {
        let found = dependencies(name);
        assert!(!found.is_empty(), "no dependencies read of {name}");
        for f in forbidden {
            assert!(!found.contains(f), "{name} depends on {f}");
        }
    }
}

#[test]
fn checks_know_no_other_crate_and_only_tests_know_them() {
    assert!(dependencies("checks").is_empty());
    for name in crates() {
        assert!(!dependencies(&name).contains("washboard-checks"), "{name} depends on the checks");
    }
}

#[test]
fn the_guides_crate_table_is_the_folder() {
    let guide = std::fs::read_to_string(top().join("DEVELOPERS.md")).unwrap();
    let table = guide.split("## Map of the crates").nth(1).unwrap().split("\n##").next().unwrap();
    let rows = table.lines().filter(|l| l.starts_with('|')).skip(2);
    let named: BTreeSet<String> = rows.filter_map(|l| l.split('|').nth(1)).map(|n| n.trim().to_owned()).collect();
    assert_eq!(named, crates());
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
    found
}
