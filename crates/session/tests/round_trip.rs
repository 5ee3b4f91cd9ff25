//! What is read, written and read again is the same session bit for bit, in RON and in JSON.

mod common;

use common::{full, small};
use proptest::prelude::*;
use washboard_session::{Law, Mixed, Session, check, load, parse_json, parse_ron, save, schema, to_json, to_ron};

/// Equal bit for bit: the debug text tells minus from plus zero and shows every digit that matters.
fn assert_same(one: &Session, other: &Session) {
    assert_eq!(one, other);
    assert_eq!(format!("{one:?}"), format!("{other:?}"));
}

#[test]
fn the_shortest_session_is_complete() {
    assert_eq!(check(&small()), Ok(()));
}

#[test]
fn defaults_are_the_documented_ones() {
    let session = small();
    let front = &session.vehicle.front;
    assert_eq!((front.motion_ratio, front.tyre_damping_n_s_per_m, front.roll_centre_height_m), (1.0, 0.0, 0.0));
    assert!(front.bump_stop.is_none() && session.vehicle.load_cases.is_empty());
    let roughness = &session.controller.roughness;
    assert_eq!((roughness.low_hz, roughness.high_hz, roughness.rise_s, roughness.fall_s), (8.0, 16.0, 0.3, 1.0));
    assert_eq!(session.modes[0].slew_a_per_s, None);
    assert_eq!(session.verdict_attributes, ["body control", "ride comfort", "impacts", "steering and roll"]);
    assert_eq!(session.modes[0].rear.compression, 1.0);
    assert_eq!(session.dampers[0].dead_time_s, 0.0);
}

#[test]
fn both_languages_carry_everything() {
    let session = full();
    assert_eq!(check(&session), Ok(()));
    let ron = to_ron(&session).unwrap();
    let json = to_json(&session).unwrap();
    assert_same(&parse_ron(&ron).unwrap(), &session);
    assert_same(&parse_json(&json).unwrap(), &session);
    assert_eq!(to_ron(&parse_json(&json).unwrap()).unwrap(), ron);
    assert_eq!(to_json(&parse_ron(&ron).unwrap()).unwrap(), json);
}

#[test]
fn json_variants_are_written_as_the_contract_says() {
    let json: serde_json::Value = serde_json::from_str(&to_json(&full()).unwrap()).unwrap();
    assert_eq!(json["modes"][0]["law"], "Continuous");
    assert_eq!(json["modes"][1]["law"]["Mixed"]["crossover_hz"], 1.8);
    assert_eq!(json["events"][1]["kind"]["CosineBump"]["height_m"], 0.05);
}

#[test]
fn ron_may_write_variants_and_optionals_in_either_way() {
    // Either way holds for the whole text: the states with their many settings stand aside here.
    let mut full = full();
    full.controller.states = washboard_session::States::Ideal;
    let bare = to_ron(&full).unwrap();
    assert!(bare.contains("Mixed(crossover_hz: 1.8)"), "{bare}");
    let explicit = bare
        .replace("Mixed(crossover_hz: 1.8)", "Mixed((crossover_hz: 1.8))")
        .replace("seat_m: (x: -0.2, y: 0.35, z: 0.7)", "seat_m: Some((x: -0.2, y: 0.35, z: 0.7))")
        .replace("slew_a_per_s: 200.0", "slew_a_per_s: Some(200.0)");
    assert_ne!(explicit, bare);
    assert_same(&parse_ron(&explicit).unwrap(), &full);
    assert_same(&parse_ron(&format!("\u{feff}Session{bare}")).unwrap(), &full);
}

#[test]
fn tables_stand_one_row_a_line() {
    let ron = to_ron(&full()).unwrap();
    for line in [
        "        [-400.0, -900.0, -1600.0],",
        "      velocity_m_per_s: [-1.0, -0.2, 0.0, 0.2, 1.0],",
        "    seat_m: (x: -0.2, y: 0.35, z: 0.7),",
        "  reference_mode: \"everyday\",",
    ] {
        assert!(ron.lines().any(|found| found == line), "{line:?} is not a line of\n{ron}");
    }
    let json = to_json(&full()).unwrap();
    assert!(json.lines().any(|line| line == "        [-400.0, -900.0, -1600.0],"), "{json}");
}

#[test]
fn what_json_cannot_hold_is_refused_by_name() {
    let mut session = small();
    session.vehicle.body_mass_kg = f64::NAN;
    let sentence = to_json(&session).unwrap_err().to_string();
    assert!(sentence.contains("body_mass_kg is NaN kg"), "{sentence}");
    session.vehicle.body_mass_kg = 1450.0;
    session.modes[0].slew_a_per_s = Some(f64::INFINITY);
    assert!(to_json(&session).unwrap_err().to_string().contains("slew_a_per_s is inf A/s"));
    // RON holds it, so that half-finished work is kept.
    assert_same(&parse_ron(&to_ron(&session).unwrap()).unwrap(), &session);
}

#[test]
fn saving_replaces_the_whole_file_and_keeps_links() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["session.ron", "session.json"] {
        let path = folder.path().join(name);
        std::fs::write(&path, "old").unwrap();
        assert_eq!(save(&path, &full()).unwrap(), []);
        assert_same(&load(&path).unwrap(), &full());
    }
    #[cfg(unix)]
    {
        let link = folder.path().join("link.ron");
        std::os::unix::fs::symlink(folder.path().join("session.ron"), &link).unwrap();
        save(&link, &small()).unwrap();
        assert!(link.is_symlink());
        assert_same(&load(&folder.path().join("session.ron")).unwrap(), &small());
    }
    let left: Vec<_> = std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(left.len(), if cfg!(unix) { 3 } else { 2 }, "no half-written file stays: {left:?}");
}

#[test]
fn a_failed_save_leaves_the_old_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("session.json");
    save(&path, &small()).unwrap();
    let mut broken = small();
    broken.vehicle.wheelbase_m = f64::NAN;
    assert!(save(&path, &broken).is_err());
    assert_same(&load(&path).unwrap(), &small());
    assert!(save(&folder.path().join("session.txt"), &small()).is_err());
    assert!(save(&folder.path().join("missing/session.ron"), &small()).is_err());
}

#[test]
fn half_finished_work_is_saved_and_opened_with_its_faults() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("session.ron");
    let mut unfinished = small();
    unfinished.vehicle.front.damper = "none yet".into();
    let faults = save(&path, &unfinished).unwrap();
    assert_eq!(faults.len(), 1);
    assert!(load(&path).is_err());
    let (session, found) = washboard_session::load_draft(&path).unwrap();
    assert_same(&session, &unfinished);
    assert_eq!(found, faults);
}

#[test]
fn the_schema_knows_fields_limits_and_kinds() {
    let schema = schema();
    let definitions = &schema["$defs"];
    assert_eq!(definitions["Vehicle"]["properties"]["body_mass_kg"]["maximum"], 20_000.0);
    assert_eq!(definitions["Vehicle"]["additionalProperties"], false);
    let kinds = definitions["EventKind"]["oneOf"].as_array().unwrap();
    let bump = kinds.iter().find(|kind| !kind["properties"]["CosineBump"].is_null()).unwrap();
    assert_eq!(bump["properties"]["CosineBump"]["properties"]["length_m"]["minimum"], 0.01);
    let required = definitions["Mode"]["required"].as_array().unwrap();
    assert!(required.contains(&"heave".into()) && !required.contains(&"floor".into()));
}

/// Any finite number: of any size, minus zero and the smallest among them.
fn finite() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => proptest::num::f64::ANY.prop_filter("finite", |value| value.is_finite()),
        1 => Just(-0.0),
        1 => Just(0.0),
        1 => Just(1.0),
        1 => Just(f64::MIN_POSITIVE),
        1 => Just(5e-324),
        1 => Just(f64::MAX),
        4 => -1e4..1e4,
    ]
}

fn text() -> impl Strategy<Value = String> {
    prop_oneof![any::<String>(), "[\"\\\\(),:\\[\\]{} a\n\r\t]{0,12}"]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn any_numbers_and_texts_survive(
        numbers in proptest::collection::vec(finite(), 24),
        cells in proptest::collection::vec(proptest::collection::vec(finite(), 0..5), 0..5),
        texts in proptest::collection::vec(text(), 8),
        seed in any::<u64>(),
    ) {
        let mut session = full();
        let mut number = numbers.into_iter();
        let mut next = || number.next().unwrap();
        let vehicle = &mut session.vehicle;
        (vehicle.body_mass_kg, vehicle.wheelbase_m, vehicle.cg_height_m) = (next(), next(), next());
        for axle in [&mut vehicle.front, &mut vehicle.rear] {
            (axle.motion_ratio, axle.anti_roll_rate_n_m_per_rad, axle.tyre_damping_n_s_per_m) = (next(), next(), next());
            (axle.anti_pitch_braking_share, axle.roll_centre_height_m) = (next(), next());
        }
        session.controller.lateral_demand.rise_s = next();
        session.controller.lateral_demand.fall_s = next();
        session.controller.longitudinal_demand = washboard_session::Demand { rise_s: -0.0, fall_s: 0.0, lead_s: 0.0 };
        session.controller.blend_velocity_m_per_s = next();
        session.dampers[0].dead_time_s = next();
        session.modes[0].slew_a_per_s = Some(next());
        session.modes[0].front.heave = next();
        session.modes[1].law = Law::Mixed(Mixed { crossover_hz: next() });
        session.events[0].weight = next();
        session.events[0].settle_s = next();
        session.modes[0].heave.values_n_s_per_m = cells.clone();
        session.modes[0].heave.rows = cells.concat();
        session.fences[0].at_least = Some(next());
        if let washboard_session::EventKind::RandomRoad { seed: road, .. } = &mut session.events[0].kind {
            *road = seed;
        }
        let mut texts = texts.into_iter();
        session.title = texts.next().unwrap();
        session.notes = texts.next().unwrap();
        session.modes[0].name = texts.next().unwrap();
        session.fences[0].modes = texts.collect();

        let ron = to_ron(&session).unwrap();
        let from_ron = parse_ron(&ron).unwrap();
        prop_assert_eq!(format!("{:?}", &from_ron), format!("{:?}", &session));
        let json = to_json(&from_ron).unwrap();
        let from_json = parse_json(&json).unwrap();
        prop_assert_eq!(format!("{:?}", &from_json), format!("{:?}", &session));
        prop_assert_eq!(to_ron(&from_json).unwrap(), ron);
        // Python's and every other JSON reader must take it as well: the layout may not change what a plain reader finds.
        let plain: serde_json::Value = serde_json::from_str(&json).unwrap();
        prop_assert_eq!(plain, serde_json::to_value(&session).unwrap());
    }
}
