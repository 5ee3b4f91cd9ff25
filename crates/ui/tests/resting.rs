//! Modes that rest on another one: in the sheet of modes, on the cells of the map, and among the acts.

mod common;

use common::{Desk, click, edits, press, type_text};
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use washboard_session::{Edit, MapName, OwnPart, apply};
use washboard_ui::Place;

/// The second mode rests on the first with one cell of its own.
fn rested() -> Desk {
    let mut desk = Desk::new();
    let name = desk.session.modes[0].name.clone();
    for edit in [
        Edit::ReplaceMode {
            mode: 1,
            with: Box::new(washboard_session::Mode { name: "winter".into(), ..desk.session.modes[0].clone() }),
        },
        Edit::RestOn { mode: 1, on: Some(name) },
        Edit::cell(1, MapName::Heave, 1, 1, 950.0),
    ] {
        apply(&mut desk.session, &edit).expect("these edits hold");
    }
    desk.view.mode = 1;
    desk
}

fn act(harness: &mut Harness<'_, Desk>, words: &str) {
    press(harness, Modifiers::COMMAND, Key::K);
    harness.step();
    type_text(harness, words);
    press(harness, Modifiers::NONE, Key::Enter);
    harness.step();
}

#[test]
fn the_sheet_lists_what_is_its_own_and_takes_it_back() {
    let mut desk = rested();
    (desk.view.place, desk.view.sheet) = (Place::Car, 4);
    let mut harness = desk.open_sized(1600.0, 1400.0);
    harness.get_by_label_contains("1 part of its own");
    click(&mut harness, "heave gain at 80 km/h, 4 m/s^2, back to what it rests on, winter");
    let part = OwnPart::Cell(MapName::Heave, 1, 1);
    assert_eq!(edits(&harness), [Edit::ToBase { mode: 1, parts: vec![part] }]);
    assert_eq!(harness.state().session.modes[1].heave, harness.state().session.modes[0].heave);
    harness.get_by_label_contains("0 parts of its own");
}

#[test]
fn its_own_cells_say_so_and_go_back_from_the_map() {
    let mut harness = rested().open();
    click(&mut harness, "heave, 80 km/h, roughness 4 m/s², 950 N·s/m, its own");
    act(&mut harness, "Cells back");
    assert_eq!(edits(&harness).len(), 1);
    harness.get_by_label("heave, 80 km/h, roughness 4 m/s², 900 N·s/m");
    act(&mut harness, "Cells back");
    assert_eq!(edits(&harness).len(), 1, "nothing is left to go back");
    assert!(harness.state().view.cells.message.as_ref().is_some_and(|m| m.contains("follow")));
}

#[test]
fn a_mode_comes_to_rest_and_stands_alone_by_the_list_of_acts() {
    let mut desk = Desk::new();
    desk.view.mode = 1;
    let mut harness = desk.open();
    act(&mut harness, "rest on the reference");
    let name = harness.state().session.modes[0].name.clone();
    assert_eq!(edits(&harness), [Edit::RestOn { mode: 1, on: Some(name) }]);
    act(&mut harness, "stand alone");
    assert_eq!(edits(&harness)[1], Edit::RestOn { mode: 1, on: None });
}

#[test]
fn a_session_that_rests_on_another_lists_what_is_its_own_and_each_part_goes_back() {
    let mut desk = Desk::new();
    let below = washboard_session::Below::new("base.ron", desk.session.clone());
    for edit in [
        Edit::RestOnSession(Some(Box::new(below))),
        Edit::SetNumber { path: "vehicle.body_mass_kg".into(), value: 1600.0 },
        Edit::cell(1, MapName::Heave, 1, 1, 950.0),
    ] {
        apply(&mut desk.session, &edit).expect("these edits hold");
    }
    (desk.view.place, desk.view.sheet) = (Place::Car, 0);
    let mut harness = desk.open_sized(1600.0, 1000.0);
    harness.get_by_label_contains("rests on base.ron: 2 parts of its own");
    click(&mut harness, "show them, parts of the session's own");
    harness.get_by_label_contains("1500 kg → 1600 kg");
    click(&mut harness, "mode firm, back to what base.ron has");
    click(&mut harness, "car: body mass without wheels, back to what base.ron has");
    assert_eq!(harness.state().session.vehicle.body_mass_kg, 1500.0);
    assert!(harness.state().session.own_parts().is_empty());
    harness.get_by_label_contains("0 parts of its own");
    click(&mut harness, "let the session stand alone");
    assert!(harness.state().session.rests_on().is_none());
    let asked = |act_words: &str, harness: &mut Harness<'_, Desk>, wanted: &washboard_ui::Command| {
        act(harness, act_words);
        assert!(harness.state().commands.contains(wanted), "{act_words}");
    };
    asked("rest on another", &mut harness, &washboard_ui::Command::ChooseBelow);
    asked("Follow the session", &mut harness, &washboard_ui::Command::FollowBelow);
}
