//! Every refusal on reading is one sentence with file, line and what is wrong there; nothing panics.
#![allow(clippy::unwrap_used)] // the lint's exception for tests does not reach their helpers

mod common;

use std::{fs, path::Path};

use common::{SMALL, full, small};
use proptest::prelude::*;
use washboard_session::{Refusal, load, parse_json, parse_ron, read::LARGEST_FILE, to_json, to_ron};

fn ron_refusal(text: &str) -> String {
    parse_ron(text).unwrap_err().to_string()
}

fn json_refusal(text: &str) -> String {
    parse_json(text).unwrap_err().to_string()
}

/// The small session with one text in it replaced.
fn small_with(from: &str, to: &str) -> String {
    assert!(SMALL.contains(from), "{from}");
    SMALL.replacen(from, to, 1)
}

#[test]
fn unknown_fields_are_named_with_their_line() {
    let sentence = ron_refusal(&small_with("  title:", "  titel: \"x\",\n  title:"));
    assert!(sentence.starts_with("line 3, column 3: unknown field `titel` in `Session`"), "{sentence}");
    let sentence = ron_refusal(&small_with("track_m: 1.58", "track_mm: 1580.0"));
    assert!(sentence.starts_with("line 8, column 13: unknown field `track_mm` in `Axle`"), "{sentence}");
    let kind = "events: [(name: \"a\", speed_km_h: 50.0, duration_s: 1.0, kind: Harmonic(frequency_hz: 1.0, amplitude_m: 0.1, phase: 0.0))]";
    let sentence = ron_refusal(&small_with("events: []", kind));
    assert!(sentence.contains("unknown field `phase`") && sentence.contains("line 29"), "{sentence}");
    let json = to_json(&small()).unwrap();
    let sentence = json_refusal(&json.replacen("\"title\"", "\"titel\"", 1));
    assert!(sentence.starts_with("line 3, column 9: unknown field `titel`"), "{sentence}");
    let json = to_json(&full()).unwrap();
    let sentence = json_refusal(&json.replacen("\"amplitude_m\"", "\"amplitude_mm\"", 1));
    assert!(sentence.contains("unknown field `amplitude_mm`"), "{sentence}");
}

#[test]
fn unknown_names_of_variants_are_told_with_the_known_ones() {
    let sentence = ron_refusal(&small_with("Continuous", "Skyhook"));
    assert_eq!(
        sentence,
        "line 20, column 10: modes[0].law: unknown name `Skyhook` in `Law`, known are `Continuous`, `OnOff`, `AccelerationDriven`, `Mixed`."
    );
}

#[test]
fn duplicate_and_missing_fields_are_refused() {
    let sentence = ron_refusal(&small_with("wheelbase_m: 2.7,", "wheelbase_m: 2.7, wheelbase_m: 2.8,"));
    assert!(
        sentence.starts_with("line 7") && sentence.contains("`wheelbase_m` in `Vehicle` stands here a second time"),
        "{sentence}"
    );
    let sentence = ron_refusal(&small_with("wheelbase_m: 2.7,", ""));
    assert!(sentence.contains("field `wheelbase_m` is missing in `Vehicle`"), "{sentence}");
    let json = to_json(&small()).unwrap();
    let sentence =
        json_refusal(&json.replacen("\"wheelbase_m\": 2.7", "\"wheelbase_m\": 2.7, \"wheelbase_m\": 2.8", 1));
    assert!(sentence.contains("duplicate field `wheelbase_m`"), "{sentence}");
    let sentence = json_refusal(&json.replacen("\"wheelbase_m\": 2.7,", "", 1));
    assert!(sentence.contains("missing field `wheelbase_m`"), "{sentence}");
}

#[test]
fn a_newer_document_gets_the_version_sentence_before_anything_else() {
    let sentence = "format is 2, but this program reads formats up to 1: a newer version of the program is needed.";
    assert_eq!(ron_refusal("(format: 2, brand_new: Thing(a: [1, (b: 2)], c: \"x\"), law: New)"), sentence);
    assert_eq!(ron_refusal(&small_with("format: 1,", "format: 2, colours: {\"a\": 3},")), sentence);
    assert_eq!(json_refusal("{\"brand_new\": [1, {\"b\": null}], \"format\": 2}"), sentence);
    assert!(ron_refusal("(format: 99999999999)").starts_with("format is 99999999999,"));
}

#[test]
fn no_format_is_refused() {
    assert_eq!(ron_refusal(&small_with("format: 1,", "format: 0,")), "format is 0, but it must be 1 to 1.");
    assert_eq!(ron_refusal(&small_with("format: 1,", "")), "format is absent, but it must be 1 to 1.");
    assert_eq!(json_refusal("{}"), "format is absent, but it must be 1 to 1.");
    for wrong in ["format: -1,", "format: 1.5,", "format: \"1\",", "format: Some(\"1\"),"] {
        let sentence = ron_refusal(&small_with("format: 1,", wrong));
        assert!(sentence.starts_with("line 2, column"), "{wrong}: {sentence}");
    }
}

#[test]
fn syntax_faults_have_line_and_column() {
    for (text, place) in [
        (small_with("wheelbase_m: 2.7,", "wheelbase_m: 2.7"), "line 7, column 22"),
        (small_with("wheelbase_m: 2.7,", "wheelbase_m: \"2.7\","), "line 7, column 18"),
        (small_with("wheelbase_m: 2.7,", "wheelbase_m: two,"), "line 7, column"),
        (String::new(), "line 1, column 1"),
        ("(format: 1".to_owned(), "line 1, column"),
        (SMALL[..SMALL.len() / 2].to_owned(), "line "),
        (format!("{SMALL} x"), "line 30, column"),
    ] {
        let sentence = ron_refusal(&text);
        assert!(sentence.starts_with(place), "{sentence}");
        assert!(!sentence.contains('\n'), "{sentence}");
    }
    assert_eq!(
        json_refusal("{\"format\": 1,\n \"title\": 3}"),
        "line 2, column 11: title: invalid type: integer `3`, expected a string."
    );
    assert_eq!(json_refusal(""), "line 1, column 0: EOF while parsing a value.");
    assert!(json_refusal("{\"format\": 1, \"title\": NaN}").starts_with("line 1, column 24"));
}

#[test]
fn numbers_out_of_this_world_are_refused_on_reading() {
    let folder = tempfile::tempdir().unwrap();
    for (to, part) in [
        ("wheelbase_m: NaN,", "vehicle: wheelbase_m is NaN m, but it must be 0.1 to 20 m"),
        ("wheelbase_m: inf,", "vehicle: wheelbase_m is inf m, but it must be 0.1 to 20 m"),
        ("wheelbase_m: 1e999,", "vehicle: wheelbase_m is inf m, but it must be 0.1 to 20 m"),
        ("wheelbase_m: 2700,", "vehicle: wheelbase_m is 2700 m, but it must be 0.1 to 20 m"),
    ] {
        let path = folder.path().join("session.ron");
        fs::write(&path, small_with("wheelbase_m: 2.7,", to)).unwrap();
        let sentence = load(&path).unwrap_err().to_string();
        assert!(sentence.starts_with(&format!("{}: {part}", path.display())), "{sentence}");
    }
    let path = folder.path().join("session.ron");
    let text = small_with("wheelbase_m: 2.7,", "wheelbase_m: 2700,").replace("1450.0", "0.5");
    fs::write(&path, text).unwrap();
    let sentence = load(&path).unwrap_err().to_string();
    assert!(sentence.ends_with("body_mass_kg is 0.5 kg, but it must be 1 to 20000 kg (1 more fault)."), "{sentence}");
}

#[test]
fn files_that_are_no_sessions_are_refused_with_a_sentence() {
    let folder = tempfile::tempdir().unwrap();
    let what = |path: &Path| load(path).unwrap_err().what;
    let at = |name: &str| folder.path().join(name);
    assert!(matches!(what(&at("missing.ron")), Refusal::Unreadable(_)));
    assert!(load(&at("missing.ron")).unwrap_err().to_string().contains("missing.ron: the file cannot be read: "));
    for name in ["session.txt", "session", ".ron", "session.ron.bak"] {
        fs::write(at(name), SMALL).unwrap();
        assert_eq!(what(&at(name)), Refusal::Extension, "{name}");
    }
    fs::create_dir(at("folder.ron")).unwrap();
    assert_eq!(what(&at("folder.ron")), Refusal::Unreadable("it is not a regular file".into()));
    fs::write(at("latin.ron"), b"(\n  format: 1,\n  title: \"D\xe4mpfer\"\n)").unwrap();
    assert_eq!(what(&at("latin.ron")), Refusal::NotText { line: 3 });
    // A file with a hole: large on paper, nothing on the disk.
    fs::File::create(at("huge.json")).unwrap().set_len(LARGEST_FILE + 1).unwrap();
    assert_eq!(what(&at("huge.json")), Refusal::TooLarge { bytes: LARGEST_FILE + 1 });
    fs::write(at("empty.ron"), "").unwrap();
    assert!(matches!(what(&at("empty.ron")), Refusal::Syntax { line: 1, .. }));
    fs::write(at("fine.RON"), SMALL).unwrap();
    assert_eq!(load(&at("fine.RON")).unwrap(), small());
}

#[test]
fn deep_nesting_is_refused_without_a_crash() {
    let deep = 100_000;
    let text = format!("(format: 1, notes: {}", "[".repeat(deep));
    assert!(!ron_refusal(&text).is_empty());
    assert!(!json_refusal(&format!("{{\"format\": 1, \"new\": {}", "[".repeat(deep))).is_empty());
    assert!(!ron_refusal(&format!("(format: 2, notes: {}{})", "(".repeat(deep), ")".repeat(deep))).is_empty());
}

#[test]
fn a_field_name_with_a_line_break_is_still_one_sentence() {
    let sentence = json_refusal("{\"format\": 1, \"two\\nlines\": 3}");
    assert!(sentence.contains("two\\nlines") && !sentence.contains('\n'), "{sentence}");
}

proptest! {
    /// Whatever is cut out, put in or turned round in a session: an answer, never a panic, and a sentence on one line.
    #[test]
    fn damaged_text_never_panics(at in 0usize..6000, length in 0usize..40, put in "[\\PC]{0,6}", json in any::<bool>()) {
        let text = if json { to_json(&full()).unwrap() } else { to_ron(&full()).unwrap() };
        let start = at % text.len();
        let end = (start + length).min(text.len());
        let damaged = format!("{}{put}{}", &text[..start], &text[end..]);
        let outcome = if json { parse_json(&damaged) } else { parse_ron(&damaged) };
        match outcome {
            Ok(session) => { let _ = washboard_session::check(&session); }
            Err(fault) => prop_assert!(!fault.to_string().contains('\n'), "{}", fault),
        }
    }

    #[test]
    fn any_text_never_panics(text in any::<String>()) {
        prop_assert!(parse_ron(&text).is_err());
        prop_assert!(parse_json(&text).is_err());
    }
}
