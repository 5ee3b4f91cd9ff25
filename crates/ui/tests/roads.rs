//! Roads through its accessibility tree: the list by mouse and keyboard, every kind large in every theme.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use common::Desk;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use washboard_session::{ConeCourse, Edit, Event, EventKind, RoadClass, Side, SpeedChange};
use washboard_study::{Profiles, Progress, Study};
use washboard_ui::{Command, Place, PlotName, Theme};

/// One of each kind that has a picture of its own.
fn kinds() -> Vec<EventKind> {
    let (lead_m, side) = (5.0, Side::Both);
    vec![
        EventKind::RandomRoad {
            class: RoadClass::C,
            seed: 1,
            from_cycles_per_m: 0.011,
            to_cycles_per_m: 2.83,
            ramp_m: 10.0,
        },
        EventKind::PatchedRoad { seed: 1, height_m: 0.012, length_m: 1.5, clear_m: 4.0, edge_m: 0.05, lead_m },
        EventKind::Undulation { height_m: 0.08, length_m: 20.0, waves: 2, right_lag_share: 0.5, lead_m },
        EventKind::CircularHump { height_m: 0.1, length_m: 3.7, lead_m, side },
        EventKind::CosineBump { height_m: 0.05, length_m: 0.8, lead_m, side: Side::Left },
        EventKind::Harmonic { frequency_hz: 1.3, amplitude_m: 0.01 },
        EventKind::StepSteer { acceleration_m_per_s2: 4.0, rise_s: 0.15, start_s: 0.5 },
        EventKind::ConeLaneChange { course: ConeCourse::ObstacleAvoidance, vehicle_width_m: 1.8, lead_m },
        EventKind::Slalom { spacing_m: 18.0, cones: 4, vehicle_width_m: 1.8, lead_m },
        EventKind::BrakeInBend {
            lateral_m_per_s2: 5.0,
            entry_s: 1.0,
            start_s: 0.5,
            deceleration_m_per_s2: 4.0,
            rise_s: 0.2,
            brake_s: 2.0,
        },
    ]
}

/// The window in Roads with one event of each kind, computed.
fn desk() -> Desk {
    let mut desk = Desk::new();
    desk.view.place = Place::Roads;
    let named = |(i, kind): (usize, EventKind)| Event::new(format!("event {i}"), 60.0, 8.0, kind);
    desk.session.events = kinds().into_iter().enumerate().map(named).collect();
    desk.session.fences.clear();
    let study = Study::new(&desk.session, &Profiles::default()).unwrap();
    let mut board = common::board(&desk.session);
    board.events = study.event_views(&[], &Progress::new()).unwrap();
    desk.board = Some(board);
    desk
}

fn edits(harness: &Harness<'_, Desk>) -> Vec<Edit> {
    let of = |c: &Command| if let Command::Edit(e) = c { Some(e.clone()) } else { None };
    harness.state().commands.iter().filter_map(of).collect()
}

fn click(harness: &mut Harness<'_, Desk>, name: &str) {
    harness.get_by_label(name).click();
    harness.step();
    harness.step();
}

fn press(harness: &mut Harness<'_, Desk>, modifiers: Modifiers, key: Key) {
    harness.key_press_modifiers(modifiers, key);
    harness.step();
    harness.step();
}

fn names(harness: &Harness<'_, Desk>) -> Vec<String> {
    harness.state().session.events.iter().map(|e| e.name.clone()).collect()
}

#[test]
fn every_kind_shows_large_in_every_theme_and_size() {
    for (i, _) in kinds().iter().enumerate() {
        for theme in Theme::ALL {
            let mut desk = desk();
            desk.view.theme = theme;
            desk.view.event = i;
            let (width, height) = if i % 2 == 0 { (1280.0, 800.0) } else { (1920.0, 1080.0) };
            let harness = desk.open_sized(width, height);
            harness.get_by_label(&format!("show event {i}"));
        }
    }
    let plots = [(0, PlotName::RoadHeight), (0, PlotName::RoadDensity), (7, PlotName::Cones), (9, PlotName::Demands)];
    for (event, plot) in plots {
        let mut desk = desk();
        desk.view.event = event;
        desk.view.enlarged = Some(plot);
        let harness = desk.open();
        harness.get_by_label(&format!("Shrink {}", plot.label()));
        assert!(harness.query_by_label("show event 0").is_none(), "the large plot has the place for itself");
    }
}

#[test]
fn a_road_stands_over_distance_or_over_time() {
    let mut harness = desk().open();
    assert!(!harness.state().view.road_over_time);
    click(&mut harness, "road: over time");
    assert!(harness.state().view.road_over_time);
    click(&mut harness, "road: over distance");
    assert!(!harness.state().view.road_over_time);
}

#[test]
fn rows_are_chosen_moved_copied_and_deleted() {
    let mut harness = desk().open();
    click(&mut harness, "show event 2");
    assert_eq!(harness.state().view.event, 2);
    press(&mut harness, Modifiers::NONE, Key::ArrowDown);
    assert_eq!(harness.state().view.event, 3, "arrows choose");
    press(&mut harness, Modifiers::ALT, Key::ArrowUp);
    assert_eq!(edits(&harness).last(), Some(&Edit::MoveEvent { from: 3, to: 2 }));
    assert_eq!((harness.state().view.event, names(&harness)[2].as_str()), (2, "event 3"));
    press(&mut harness, Modifiers::ALT, Key::ArrowDown);
    assert_eq!(names(&harness)[2..4], ["event 2", "event 3"]);
    click(&mut harness, "Copy: event 3");
    assert_eq!(names(&harness)[3..5], ["event 3", "event 3 2"]);
    assert_eq!(harness.state().view.event, 4);
    click(&mut harness, "Delete: event 3 2");
    assert_eq!(names(&harness).len(), kinds().len());
    click(&mut harness, "show event 5");
    press(&mut harness, Modifiers::NONE, Key::Delete);
    assert!(!names(&harness).contains(&"event 5".to_owned()));
    click(&mut harness, "Move down: event 6");
    assert_eq!(names(&harness)[5..7], ["event 7", "event 6"]);
}

#[test]
fn the_menu_adds_events_that_hold_and_asks_for_the_file_of_a_profile() {
    for name in [
        "random road",
        "patched road",
        "twisting waves",
        "bump on one side",
        "circular hump",
        "railway crossing",
        "expansion joints",
        "step steer",
        "sine steer",
        "double lane change",
        "obstacle avoidance",
        "slalom",
        "lane change",
        "braking in a bend",
        "drive-off",
        "sweep",
    ] {
        let mut harness = desk().open();
        let before = names(&harness).len();
        click(&mut harness, "Add an event …");
        harness.get_by_role_and_label(egui::Role::Button, name).click();
        harness.step();
        harness.step();
        let session = &harness.state().session;
        assert_eq!(session.events.len(), before + 1, "{name}");
        let at = harness.state().view.event;
        assert_eq!(session.events[at].name, name, "the new one is chosen");
        assert_eq!(washboard_session::check(session), Ok(()));
        // A new event is one that can be driven.
        Study::new(session, &Profiles::default()).unwrap();
    }
    let mut harness = desk().open();
    click(&mut harness, "Add an event …");
    click(&mut harness, "measured profile …");
    assert_eq!(harness.state().commands.last(), Some(&Command::ChooseProfile { event: None }));
    assert!(edits(&harness).is_empty());
}

#[test]
fn a_road_can_be_driven_at_a_changing_speed_and_a_manoeuvre_cannot() {
    let mut harness = desk().open();
    click(&mut harness, "Speed changes on the way");
    let change = harness.state().session.events[0].speed_change.clone();
    assert!(matches!(change, Some(SpeedChange { to_km_h, .. }) if to_km_h == 30.0), "{change:?}");
    harness.get_by_label("event 0 speed afterwards, km/h");
    click(&mut harness, "Speed changes on the way");
    assert_eq!(harness.state().session.events[0].speed_change, None);
    click(&mut harness, "show event 6");
    assert!(harness.query_by_label("Speed changes on the way").is_none());
    harness.get_by_label("event 6 slip angle of the front axle at one g, deg");
}

#[test]
fn another_road_of_the_class_is_one_click_away() {
    let mut harness = desk().open();
    click(&mut harness, "another");
    assert!(matches!(harness.state().session.events[0].kind, EventKind::RandomRoad { seed: 2, .. }));
}

#[test]
fn an_empty_list_says_what_to_do() {
    let mut desk = desk();
    desk.session.events.clear();
    desk.board = Some(common::board(&desk.session));
    let harness = desk.open();
    harness.get_by_label_contains("No events yet");
}
