//! The table of complaints: what the program brings holds, and a copy with a slip is refused with a sentence.

#![allow(clippy::unwrap_used)] // a test fails by panicking

use washboard_session::complaints::{Complaints, passing_hz};
use washboard_session::{MapName, parse_ron};

const ROW: &str = r#"(said: "Floats", words: ["float"], events: [(kinds: [CosineBump])], metric: "body_motion_rms_m",
    wanted: Less, maps: [(map: "heave", along: [Speed])], source: "Common practice, no source.")"#;

fn table(row: &str) -> Result<Complaints, String> {
    Complaints::parse(&format!("(complaints: [{row}])"))
}

fn demo() -> washboard_session::Session {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-sessions/estate.ron");
    parse_ron(&std::fs::read_to_string(path).unwrap()).unwrap()
}

#[test]
fn the_table_of_the_program_is_read_and_every_row_names_its_source() {
    let table = Complaints::built_in();
    assert!(table.complaints.len() >= 12);
    assert!(table.complaints.iter().all(|row| row.source.ends_with('.') && !row.words.is_empty()));
}

#[test]
fn complaints_of_the_demo_find_the_events_they_are_felt_on() {
    let (table, demo) = (Complaints::built_in(), demo());
    let felt = |remark: &str| {
        let row = &table.complaints[table.in_remark(remark)[0]];
        row.events(&demo.events).into_iter().map(|e| demo.events[e].name.as_str()).collect::<Vec<_>>()
    };
    assert_eq!(felt("floats over the crest at 90, otherwise good"), ["crest"]);
    assert_eq!(felt("busy on the patched road"), ["patched road", "farm track"]);
    assert_eq!(felt("harsh on the joint"), ["expansion joint", "pothole, left"]);
    assert_eq!(felt("rolls late"), ["lateral step"]);
    assert_eq!(felt("it dives"), ["braking"]);
    assert!(table.in_remark("nothing to say").is_empty());
    assert!(table.in_remark("an afloat duck").is_empty(), "words count from their beginning");
    // 90 km/h over 30 m.
    let crest = demo.events.iter().find(|e| e.name == "crest").unwrap();
    assert!((passing_hz(crest).unwrap() - 25.0 / 30.0).abs() < 1e-12);
}

#[test]
fn an_event_that_does_not_count_is_left_out() {
    let (table, mut demo) = (Complaints::built_in(), demo());
    demo.events.iter_mut().for_each(|e| e.weight = 0.0);
    assert!(table.complaints.iter().all(|row| row.events(&demo.events).is_empty()));
}

#[test]
fn slips_are_refused_with_a_sentence_that_names_them() {
    assert_eq!(table(ROW).unwrap().complaints[0].maps[0].map, MapName::Heave);
    let refused = |from: &str, to: &str| table(&ROW.replace(from, to)).unwrap_err();
    let sentence = refused("said:", "says:");
    assert!(sentence.contains("unknown field `says`") && sentence.contains("line 1"), "{sentence}");
    let sentence = refused("\"heave\"", "\"floor\"");
    assert!(sentence.contains("unknown map \"floor\""), "{sentence}");
    let sentence = refused("CosineBump", "Crest");
    assert!(sentence.contains("unknown name `Crest`"), "{sentence}");
    let sentence = refused("source: \"Common practice, no source.\"", "source: \" \"");
    assert!(sentence.contains("source must not be empty"), "{sentence}");
    let sentence = refused("[CosineBump]", "[CosineBump], passing_hz: (from: 3.0, to: 1.0)");
    assert!(sentence.contains("passing_hz goes from 3 to 1"), "{sentence}");
    assert!(Complaints::parse("(complaints: [])").unwrap_err().contains("0 rows"));
    assert!(table(&format!("{ROW}, {ROW}")).unwrap_err().contains("says that already"));
}
