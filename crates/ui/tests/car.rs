//! Car through its accessibility tree: a car from nothing by keyboard, bench data, tables, remarks.

mod common;

use common::Desk;
use egui::{Event, Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use washboard_session::bench::{Direction, Sample, reduce};
use washboard_session::proposal::{is_proposed, mark, new_session};
use washboard_session::{Edit, check};
use washboard_ui::{BenchView, Command, Place, Theme};

/// A new car at a step of the first sitting, no results yet.
fn sitting(step: usize) -> Desk {
    let mut desk = Desk::new();
    desk.session = new_session();
    desk.board = None;
    desk.view.begin_sitting();
    desk.view.sitting = Some(step);
    desk
}

fn type_text(harness: &mut Harness<'_, Desk>, text: &str) {
    for c in text.chars() {
        harness.event(Event::Text(c.to_string()));
        harness.step();
    }
}

fn press(harness: &mut Harness<'_, Desk>, key: Key) {
    harness.key_press_modifiers(Modifiers::NONE, key);
    for _ in 0..4 {
        harness.step();
    }
}

fn enter(harness: &mut Harness<'_, Desk>, text: &str) {
    type_text(harness, text);
    press(harness, Key::Enter);
}

fn click(harness: &mut Harness<'_, Desk>, name: &str) {
    harness.get_by_label(name).click();
    for _ in 0..3 {
        harness.step();
    }
}

fn says(harness: &Harness<'_, Desk>, part: &str) -> bool {
    harness.query_all_by(|n| n.label().or(n.value()).is_some_and(|l| l.contains(part))).next().is_some()
}

/// Bench data of a straight damper with some gas force and friction.
fn bench(name: &str, spoil: bool) -> BenchView {
    let mut samples = Vec::new();
    for current_a in [0.0, 1.0, 2.0] {
        for speed in [0.02, 0.05, 0.1, 0.5, 1.0] {
            for velocity_m_per_s in [-speed, speed] {
                let side = if velocity_m_per_s > 0.0 { 2.0 } else { 1.0 };
                let force = side * (600.0 + 900.0 * current_a) * velocity_m_per_s;
                let force_n = force - 120.0 + 15.0 * f64::signum(velocity_m_per_s);
                samples.push(Sample { velocity_m_per_s, force_n, current_a });
            }
        }
    }
    if spoil {
        samples.retain(|s| s.velocity_m_per_s > 0.0);
    }
    BenchView {
        file: name.to_owned(),
        read: vec!["30 rows were read.".into()],
        direction: Direction::FromData,
        outcome: reduce(&samples, Direction::FromData).map_err(|fault| fault.to_string()),
    }
}

#[test]
fn every_step_renders_in_every_theme() {
    for theme in Theme::ALL {
        for step in 0..8 {
            let mut desk = sitting(step);
            desk.view.theme = theme;
            let harness = desk.open();
            let steps = ["mass", "size", "springs", "dampers", "modes", "events", "save"];
            let forward = steps.get(step).map_or("Save the session…".to_owned(), |next| format!("Next: {next}"));
            harness.get_by_label(&forward);
        }
    }
}

#[test]
fn a_car_is_typed_by_keyboard_alone() {
    let mut harness = sitting(0).open();
    enter(&mut harness, "Rowan");
    assert_eq!(
        (harness.state().session.vehicle.name.as_str(), harness.state().session.title.as_str()),
        ("Rowan", "Rowan")
    );
    press(&mut harness, Key::Enter); // the title as it follows
    assert!(!is_proposed(&harness.state().session, "title"));
    press(&mut harness, Key::Enter); // the button that goes on
    assert_eq!(harness.state().view.sitting, Some(1));
    enter(&mut harness, "940");
    enter(&mut harness, "880,5");
    enter(&mut harness, "44");
    press(&mut harness, Key::Enter); // the rear wheel as proposed
    press(&mut harness, Key::Tab); // the height of the centre of gravity stays a proposal
    let session = &harness.state().session;
    let vehicle = &session.vehicle;
    // The scales showed the whole car, whatever the wheels weigh.
    assert!((vehicle.body_mass_kg - (940.0 + 880.5 - 88.0 - 82.0)).abs() < 1e-6, "{}", vehicle.body_mass_kg);
    assert!((vehicle.cg_to_front_axle_m - vehicle.wheelbase_m * (880.5 - 82.0) / vehicle.body_mass_kg).abs() < 1e-6);
    assert!(!is_proposed(session, "vehicle.rear.wheel_mass_kg") && is_proposed(session, "vehicle.cg_height_m"));
    assert_eq!(check(session), Ok(()));
}

#[test]
fn what_is_out_of_range_is_said_and_keeps_the_keyboard() {
    let mut harness = sitting(1).open();
    enter(&mut harness, "60");
    assert!(says(&harness, "it must be more than its two wheels (86 kg)"));
    assert_eq!(harness.state().session, new_session());
    // Typing goes on in the same field and mends it.
    enter(&mut harness, "900");
    assert!(!says(&harness, "two wheels"));
    assert!(!is_proposed(&harness.state().session, "vehicle.front.load_kg"));
    assert!(is_proposed(&harness.state().session, "vehicle.rear.load_kg"));
}

#[test]
fn a_measured_wheelbase_leaves_the_loads_on_the_axles() {
    let mut harness = sitting(2).open();
    let before = harness.state().session.clone();
    enter(&mut harness, "3");
    let after = &harness.state().session.vehicle;
    assert_eq!(after.wheelbase_m, 3.0);
    assert!(
        (after.cg_to_front_axle_m / 3.0 - before.vehicle.cg_to_front_axle_m / before.vehicle.wheelbase_m).abs() < 1e-9
    );
}

#[test]
fn proposals_are_taken_one_by_one_or_all_at_once() {
    let mut harness = sitting(7).open();
    assert!(says(&harness, "Still proposed"));
    click(&mut harness, "Take all of them as they are");
    assert!(harness.state().session.proposed.is_empty());
    click(&mut harness, "Save the session…");
    assert!(harness.state().commands.contains(&Command::Save));
}

#[test]
fn modes_and_events_can_be_renamed_and_left_out() {
    let mut harness = sitting(5).open();
    enter(&mut harness, "soft");
    assert_eq!(harness.state().session.modes[0].name, "soft");
    click(&mut harness, "leave out firm");
    assert_eq!(harness.state().session.modes.len(), 2);
    click(&mut harness, "Next: events");
    click(&mut harness, "leave out crest");
    assert!(!harness.state().session.events.iter().any(|e| e.name == "crest"));
    assert_eq!(check(&harness.state().session), Ok(()));
}

#[test]
fn bench_data_are_shown_before_they_are_taken() {
    for theme in Theme::ALL {
        let mut desk = sitting(4);
        desk.view.theme = theme;
        desk.bench = Some(bench("front 3.csv", false));
        desk.view.bench_into = Some(0);
        let mut harness = desk.open();
        assert!(says(&harness, "push the rod out with 120 N, and friction is 15 N either way"));
        assert!(says(&harness, "Rebound is positive, as it was in the file."));
        click(&mut harness, "direction: compression");
        assert!(harness.state().commands.contains(&Command::SetBenchDirection(Direction::Compression)));
        click(&mut harness, "Take it");
        let session = &harness.state().session;
        assert_eq!(session.dampers[0].current_a, [0.0, 1.0, 2.0]);
        assert_eq!((session.dampers[0].name.as_str(), session.dampers[0].rise_s), ("front damper", 0.007));
        assert!(!is_proposed(session, &mark("dampers", "front damper")));
        assert!(harness.state().commands.contains(&Command::LeaveBench));
        assert_eq!(check(session), Ok(()));
    }
}

#[test]
fn bench_data_that_cannot_be_made_right_say_why_and_can_only_be_left() {
    let mut desk = sitting(4);
    desk.bench = Some(bench("front 3.csv", true));
    let mut harness = desk.open();
    assert!(says(&harness, "compression and rebound are both needed"));
    assert!(harness.query_by_label("Take it").is_none());
    click(&mut harness, "Leave it");
    assert!(harness.state().commands.contains(&Command::LeaveBench));
}

#[test]
fn the_force_table_takes_new_velocities_and_dampers_come_and_go() {
    let mut desk = Desk::new();
    (desk.view.place, desk.view.sheet) = (Place::Car, 2);
    let mut harness = desk.open_sized(1600.0, 1000.0);
    click(&mut harness, "New velocity of damper, m/s");
    enter(&mut harness, "0.5");
    let damper = &harness.state().session.dampers[0];
    assert_eq!((damper.velocity_m_per_s[2], &damper.force_n[2]), (0.5, &vec![450.0, 1500.0]));
    click(&mut harness, "duplicate damper");
    assert_eq!(harness.state().session.dampers[1].name, "damper copy");
    click(&mut harness, "delete damper copy");
    assert_eq!(harness.state().session.dampers.len(), 1);
    click(&mut harness, "bench data for damper");
    assert!(harness.state().commands.contains(&Command::ChooseBench));
}

#[test]
fn what_is_unusual_is_said_where_it_stands_and_tables_go_to_the_clipboard() {
    let mut desk = Desk::new();
    desk.view.place = Place::Car;
    desk.session.vehicle.wheelbase_m = 4.2;
    if let Some(board) = &mut desk.board {
        board.derived[0].ride_frequency_hz = [2.1, 1.3];
    }
    let mut harness = desk.open();
    assert!(says(&harness, "wheelbase 4.2 m: long for a car; usual 2.2 to 3.3 m (common practice, no source)."));
    assert!(says(&harness, "ride frequency, front 2.1 Hz: firm for a road car"));
    click(&mut harness, "copy derived figures");
    click(&mut harness, "copy data sheet");
    let copied: Vec<&String> = harness
        .state()
        .commands
        .iter()
        .filter_map(|c| if let Command::CopyText(text) = c { Some(text) } else { None })
        .collect();
    assert!(copied[0].starts_with("figure\tunit\t") && copied[0].contains("2.10 / 1.30"), "{}", copied[0]);
    assert!(copied[1].contains("vehicle.wheelbase_m\twheelbase\t4.2\tm\t0.1 to 20 m\t"), "{}", copied[1]);
}

#[test]
fn a_mark_goes_with_a_click_and_every_edit_is_one_command() {
    let mut harness = sitting(0).open();
    let before = harness.state().commands.len();
    let marks: Vec<_> = harness.query_all_by_label("◌ proposed").collect();
    assert_eq!(marks.len(), 2);
    marks[0].click();
    harness.step();
    harness.step();
    let edits: Vec<&Command> =
        harness.state().commands[before..].iter().filter(|c| matches!(c, Command::Edit(_))).collect();
    assert_eq!(edits, [&Command::Edit(Edit::AcceptProposed(vec!["vehicle.name".into()]))]);
}

#[test]
fn curves_beside_the_bench_data_are_begun_typed_and_taken_out() {
    let mut desk = Desk::new();
    desk.view.place = Place::Car;
    let mut harness = desk.open_sized(1280.0, 1400.0);
    click(&mut harness, "sheet: dampers");
    let begin = "not measured: begin with the curve nearest to no current";
    click(&mut harness, &format!("force without supply of damper: {begin}"));
    let lost = |harness: &Harness<'_, Desk>| harness.state().session.dampers[0].supply_lost.clone();
    assert_eq!(lost(&harness).map(|curve| curve.force_n), Some(vec![-500.0, 0.0, 900.0]));
    harness.get_by_label("damper without supply, damper force 3").focus();
    harness.step();
    enter(&mut harness, "850");
    assert_eq!(lost(&harness).map(|curve| curve.force_n), Some(vec![-500.0, 0.0, 850.0]));
    harness.get_by_label("New damper velocity of damper without supply").focus();
    harness.step();
    enter(&mut harness, "0.5");
    assert_eq!(lost(&harness).map(|curve| curve.force_n), Some(vec![-500.0, 0.0, 425.0, 850.0]));
    // A force against the velocity is refused where it stands.
    harness.get_by_label("damper without supply, damper force 1").focus();
    harness.step();
    enter(&mut harness, "40");
    assert!(says(&harness, "must have the sign of the velocity"));
    click(&mut harness, "force without supply of damper: take it out");
    assert_eq!(lost(&harness), None);
    click(&mut harness, "force over temperature of damper: not measured: begin with no change from 20 to 60 °C");
    assert!(harness.state().session.dampers[0].temperature.is_some());
    click(&mut harness, "sheet: car");
    click(&mut harness, "fit a front bump stop");
    click(&mut harness, "add a measured curve, front bump stop");
    let stop = harness.state().session.vehicle.front.bump_stop.clone().unwrap_or_default();
    assert_eq!(stop.curve.map(|curve| curve.force_n), Some(vec![0.0, 1000.0]));
    assert!(check(&harness.state().session).is_ok());
}

#[test]
fn friction_that_the_bench_found_is_taken_where_it_is_wanted() {
    for takes in [false, true] {
        let mut desk = Desk::new();
        desk.view.place = Place::Car;
        desk.bench = Some(bench("front 3.csv", false));
        desk.view.bench_into = Some(0);
        let mut harness = desk.open();
        if takes {
            harness.get_by_label_contains("N as its friction (now 0 N)").click();
            harness.step();
            harness.step();
        }
        click(&mut harness, "Take it");
        let friction_n = harness.state().session.dampers[0].friction_n;
        assert!((friction_n - if takes { 15.0 } else { 0.0 }).abs() < 0.11, "{friction_n}");
    }
}
