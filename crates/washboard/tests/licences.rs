//! The list of parts and licences in the about box is that of the crates the program is made of.
//!
//! After a change of dependencies: `WASHBOARD_WRITE_LICENCES=1 cargo test -p washboard --test licences`.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;

/// Parts that are no crates: fonts in assets/fonts, where their licences lie beside them.
const FONTS: [&str; 4] = [
    "B612 Mono (font)\t\tOFL-1.1 OR EPL-2.0 OR BSD-3-Clause",
    "DejaVu Sans (font)\t2.37\tBitstream-Vera",
    "Inter (font)\t3.19\tOFL-1.1",
    "Washboard Numbers (font, from Inter)\t3.19\tOFL-1.1",
];

/// Every crate the program is linked from on Linux, with version and licence, as cargo tells.
fn parts() -> Vec<String> {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--filter-platform", "x86_64-unknown-linux-gnu"])
        .current_dir(top)
        .output()
        .expect("cargo runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let all: serde_json::Value = serde_json::from_slice(&output.stdout).expect("cargo tells JSON");
    let text = |value: &serde_json::Value| value.as_str().unwrap_or_default().to_owned();
    let list = |value: &serde_json::Value| value.as_array().cloned().unwrap_or_default();
    let packages: BTreeMap<String, serde_json::Value> =
        list(&all["packages"]).into_iter().map(|p| (text(&p["id"]), p)).collect();
    let nodes: BTreeMap<String, Vec<serde_json::Value>> =
        list(&all["resolve"]["nodes"]).into_iter().map(|n| (text(&n["id"]), list(&n["deps"]))).collect();
    let root = packages.iter().find(|(_, p)| p["name"] == "washboard").map(|(id, _)| id.clone());
    let mut open = vec![root.expect("the program is a package")];
    let mut seen = BTreeSet::new();
    while let Some(id) = open.pop() {
        if !seen.insert(id.clone()) {
            continue;
        }
        for dependency in &nodes[&id] {
            // What only builds or tests it is not part of it.
            if list(&dependency["dep_kinds"]).iter().any(|k| k["kind"].is_null()) {
                open.push(text(&dependency["pkg"]));
            }
        }
    }
    let mut lines: Vec<String> = seen
        .iter()
        .map(|id| &packages[id])
        .filter(|p| !p["source"].is_null())
        .map(|p| format!("{}\t{}\t{}", text(&p["name"]), text(&p["version"]), text(&p["license"])))
        .collect();
    lines.extend(FONTS.map(str::to_owned));
    lines.sort();
    lines
}

#[test]
fn the_about_box_names_every_part_with_its_licence() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../assets/licences.tsv");
    let is = format!("part\tversion\tlicence\n{}\n", parts().join("\n"));
    if std::env::var_os("WASHBOARD_WRITE_LICENCES").is_some() {
        std::fs::write(&file, &is).expect("the list can be written");
    }
    let listed = std::fs::read_to_string(&file).unwrap_or_default();
    let (listed, is): (BTreeSet<&str>, BTreeSet<&str>) = (listed.lines().collect(), is.lines().collect());
    let missing: Vec<_> = is.difference(&listed).collect();
    let surplus: Vec<_> = listed.difference(&is).collect();
    assert!(
        missing.is_empty() && surplus.is_empty(),
        "assets/licences.tsv lacks {missing:?} and has {surplus:?} too many; \
         WASHBOARD_WRITE_LICENCES=1 cargo test -p washboard --test licences writes it anew"
    );
    assert!(is.iter().all(|line| line.split('\t').nth(2).is_some_and(|l| !l.is_empty())), "a part names no licence");
}
