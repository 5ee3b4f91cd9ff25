//! Sets for the car: written, read back, and every change of a byte noticed.

mod common;

use common::{Bench, files_below, set, small_session};
use serde_json::{Value, json};

#[test]
fn a_set_is_written_and_proves_equal() {
    let bench = Bench::new();
    let run = bench.run(&["export", "small.json", "--mode", "everyday", "--mode", "firm", "--out", "set"]).expect(0);
    let manifest: Value = serde_json::from_slice(&std::fs::read(bench.path("set/manifest.json")).unwrap()).unwrap();
    let identity = manifest["identity"].as_str().unwrap();
    assert_eq!(identity.len(), 64);
    assert!(run.stdout.contains(identity), "{}", run.stdout);
    assert!(run.stdout.contains("closed courses"), "the cautions are shown: {}", run.stdout);
    let verified = bench.run(&["verify", "set"]).expect(0);
    assert!(verified.stdout.contains(identity), "{}", verified.stdout);
    bench.run(&["verify", "set", "--against", "small.json"]).expect(0);
}

#[test]
fn the_same_calibration_has_the_same_identity() {
    let bench = Bench::new();
    let identity = |file: &str, out: &str| {
        bench.run(&["export", file, "--mode", "firm", "--out", out]).expect(0);
        let manifest: Value =
            serde_json::from_slice(&std::fs::read(bench.path(out).join("manifest.json")).unwrap()).unwrap();
        manifest["identity"].as_str().unwrap().to_owned()
    };
    let first = identity("small.json", "one");
    let mut session = small_session();
    set(&mut session, "/title", json!("another title"));
    set(&mut session, "/notes", json!("and notes"));
    bench.write("renamed.json", &session);
    assert_eq!(identity("renamed.json", "two"), first);
    set(&mut session, "/dampers/0/force_n/4/1", json!(3201.0));
    bench.write("other-damper.json", &session);
    assert_ne!(identity("other-damper.json", "three"), first);
    let mut session = small_session();
    set(&mut session, "/modes/1/roll/values_n_s_per_m/0/0", json!(3601.0));
    bench.write("other-map.json", &session);
    assert_ne!(identity("other-map.json", "four"), first);
    // And the set differs from that session: status 1, with what differs.
    let differs = bench.run(&["verify", "one", "--against", "other-map.json"]).expect(1);
    assert!(differs.stdout.contains("roll"), "{}", differs.stdout);
}

#[test]
fn one_changed_byte_anywhere_is_noticed() {
    let bench = Bench::new();
    bench.run(&["export", "small.json", "--mode", "firm", "--out", "set"]).expect(0);
    let files = files_below(&bench.path("set"));
    assert!(files.len() >= 3, "{files:?}");
    for file in files {
        let whole = std::fs::read(&file).unwrap();
        // First, last and some places between; flipping one bit keeps most of them readable text.
        let places = (0..12).map(|i| i * (whole.len() - 1) / 11);
        for place in places {
            let mut bytes = whole.clone();
            bytes[place] ^= 1;
            std::fs::write(&file, &bytes).unwrap();
            let run = bench.run(&["verify", "set"]);
            let said = format!("{}{}", run.stdout, run.stderr);
            assert!([1, 2].contains(&run.status), "{} byte {place}: status {}, {said}", file.display(), run.status);
            assert!(said.trim().len() > 15 && !said.contains("inside the program"), "{}: {said}", file.display());
        }
        std::fs::write(&file, [&whole[..], b"\n"].concat()).unwrap();
        assert_ne!(bench.run(&["verify", "set"]).status, 0, "{}: one byte more", file.display());
        std::fs::write(&file, &whole[..whole.len() - 1]).unwrap();
        assert_ne!(bench.run(&["verify", "set"]).status, 0, "{}: one byte less", file.display());
        std::fs::remove_file(&file).unwrap();
        assert_ne!(bench.run(&["verify", "set"]).status, 0, "{}: missing", file.display());
        std::fs::write(&file, &whole).unwrap();
    }
    std::fs::write(bench.path("set/extra.txt"), "x").unwrap();
    assert_ne!(bench.run(&["verify", "set"]).status, 0);
    std::fs::remove_file(bench.path("set/extra.txt")).unwrap();
    bench.run(&["verify", "set"]).expect(0);
}

#[test]
fn a_folder_in_use_is_refused_and_left_alone() {
    let bench = Bench::new();
    std::fs::create_dir(bench.path("used")).unwrap();
    std::fs::write(bench.path("used/mine.txt"), "mine").unwrap();
    let line = bench.run(&["export", "small.json", "--mode", "firm", "--out", "used"]).one_fault();
    assert!(line.contains("used"), "{line}");
    assert_eq!(files_below(&bench.path("used")).len(), 1);
    std::fs::create_dir(bench.path("empty")).unwrap();
    bench.run(&["export", "small.json", "--mode", "firm", "--out", "empty"]).expect(0);
    bench.run(&["verify", "empty"]).expect(0);
}

#[test]
fn what_is_no_set_is_unreadable() {
    let bench = Bench::new();
    std::fs::create_dir(bench.path("nothing")).unwrap();
    for folder in ["nothing", "nowhere", "small.json"] {
        let line = bench.run(&["verify", folder]).one_fault();
        assert!(line.contains(folder), "{line}");
    }
    bench.run(&["export", "small.json", "--mode", "firm", "--out", "set"]).expect(0);
    bench.run(&["verify", "set", "--against", "nowhere.json"]).one_fault();
}
