//! Everyday things: acts and their keys, what is looked at aside, recent files, text scale, the set in the car.

mod common;

use common::Desk;
use egui::{Event, Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use washboard_ui::{About, Aside, Command, HandOverResult, LogText, Part, Place, PlotName, Recent, Splits, Theme};

fn click(harness: &mut Harness<'_, Desk>, name: &str) {
    harness.get_by_label(name).click();
    for _ in 0..3 {
        harness.step();
    }
}

fn press(harness: &mut Harness<'_, Desk>, modifiers: Modifiers, key: Key) {
    harness.key_press_modifiers(modifiers, key);
    harness.step();
    harness.step();
}

fn type_text(harness: &mut Harness<'_, Desk>, text: &str) {
    for c in text.chars() {
        harness.event(Event::Text(c.to_string()));
        harness.step();
    }
}

fn has(harness: &Harness<'_, Desk>, command: &Command) -> bool {
    harness.state().commands.contains(command)
}

#[test]
fn what_can_be_done_is_found_by_its_words_and_done_by_enter() {
    let mut harness = Desk::new().open();
    press(&mut harness, Modifiers::COMMAND, Key::K);
    assert_eq!(harness.state().view.aside, Some(Aside::Finder));
    harness.step();
    type_text(&mut harness, "picture comf");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    assert!(has(&harness, &Command::SavePicture(PlotName::Comfort)), "{:?}", harness.state().commands);
    assert_eq!(harness.state().view.aside, None);
    // The second of several is reached by an arrow.
    press(&mut harness, Modifiers::COMMAND, Key::K);
    harness.step();
    type_text(&mut harness, "choose mode");
    press(&mut harness, Modifiers::NONE, Key::ArrowDown);
    press(&mut harness, Modifiers::NONE, Key::Enter);
    assert_eq!(harness.state().view.mode, 1);
}

#[test]
fn the_key_list_names_every_key_of_every_act() {
    let mut harness = Desk::new().open_sized(1280.0, 1000.0);
    press(&mut harness, Modifiers::NONE, Key::F1);
    harness.step();
    for text in ["Ctrl+S", "Ctrl+Shift+S", "Ctrl+Z", "Ctrl+Shift+Z, Ctrl+Y", "Alt+6", "Ctrl+K", "Ctrl+Q"] {
        harness.get_by_label(text);
    }
    press(&mut harness, Modifiers::NONE, Key::Escape);
    assert_eq!(harness.state().view.aside, None);
}

#[test]
fn recent_files_are_in_the_menu_and_missing_ones_are_marked() {
    let mut desk = Desk::new();
    let file = |name: &str, is_missing| Recent { path: format!("/a/{name}"), name: name.to_owned(), is_missing };
    desk.recent = vec![file("one.ron", false), file("two.ron", true)];
    let mut harness = desk.open();
    click(&mut harness, "Session menu: test car");
    click(&mut harness, "Open again");
    assert!(has(&harness, &Command::LookAtRecent));
    harness.get_by_label("two.ron · not there");
    click(&mut harness, "one.ron");
    assert!(has(&harness, &Command::OpenPath("/a/one.ron".into())));
}

#[test]
fn text_grows_to_200_and_shrinks_to_80_per_cent_and_no_further() {
    let mut harness = Desk::new().open();
    for _ in 0..20 {
        press(&mut harness, Modifiers::COMMAND, Key::Plus);
    }
    assert_eq!(harness.state().view.text_scale, 2.0);
    for _ in 0..20 {
        press(&mut harness, Modifiers::COMMAND, Key::Minus);
    }
    assert_eq!(harness.state().view.text_scale, 0.8);
    press(&mut harness, Modifiers::COMMAND, Key::Num0);
    assert_eq!(harness.state().view.text_scale, 1.0);
}

#[test]
fn every_place_can_be_reached_and_scrolled_in_a_window_of_large_text() {
    // 1280 x 800 at 200 %.
    for place in Place::ALL {
        for theme in Theme::ALL {
            let mut desk = Desk::new();
            desk.in_car = Some(common::older_set(&desk.session));
            (desk.view.place, desk.view.theme) = (place, theme);
            let harness = desk.open_sized(640.0, 400.0);
            for other in Place::ALL {
                let button = harness.get_by_label(other.label()).rect();
                assert!(button.max.y <= 400.0, "{} lies below the window", other.label());
            }
            harness.get_by_label("undo");
        }
    }
}

#[test]
fn the_about_box_names_version_parts_and_licences() {
    let mut desk = Desk::new();
    let part = Part { name: "egui".into(), version: "0.37.0".into(), licence: "MIT OR Apache-2.0".into() };
    desk.about = About { version: "9.8.7".into(), data_folder: "/data".into(), parts: vec![part] };
    desk.view.aside = Some(Aside::About);
    let mut harness = desk.open();
    for text in ["Washboard 9.8.7", "egui", "MIT OR Apache-2.0"] {
        harness.get_by_label(text);
    }
    click(&mut harness, "copy parts by others");
    assert!(has(&harness, &Command::CopyText("part\tversion\tlicence\negui\t0.37.0\tMIT OR Apache-2.0\n".into())));
    click(&mut harness, "show the folder of own files");
    assert!(has(&harness, &Command::ShowFolder("/data".into())));
}

#[test]
fn the_log_can_be_taken_along() {
    let mut desk = Desk::new();
    desk.view.aside = Some(Aside::Log);
    desk.log = Some(LogText { path: "/data/log/washboard.log".into(), text: "first\nlast\n".into() });
    let mut harness = desk.open();
    harness.get_by_label("last");
    click(&mut harness, "Copy the text");
    assert!(has(&harness, &Command::CopyText("first\nlast\n".into())));
}

#[test]
fn a_gap_between_parts_moves_by_keyboard_and_comes_back() {
    let mut harness = Desk::new().open();
    harness.get_by_label("Width of the maps").focus();
    harness.step();
    press(&mut harness, Modifiers::NONE, Key::ArrowRight);
    let wider = harness.state().view.splits.tune;
    assert!(wider > Splits::default().tune, "{wider}");
    press(&mut harness, Modifiers::NONE, Key::ArrowLeft);
    assert!((harness.state().view.splits.tune - Splits::default().tune).abs() < 1e-3);
}

#[test]
fn another_set_can_be_said_to_be_in_the_car() {
    let mut desk = Desk::new();
    let (mut old, new) = (common::older_set(&desk.session), common::older_set(&desk.session));
    old.identity = "aaaabbbb".repeat(8);
    desk.session.handed_over = vec![old, new.clone()];
    desk.in_car = Some(new);
    desk.view.place = Place::HandOver;
    let mut harness = desk.open();
    click(&mut harness, "another set was put in the car…");
    click(&mut harness, "set AAAA-BBBB is in the car");
    assert!(has(&harness, &Command::SetInCar(0)));
    assert!(!harness.state().view.hand_over.chooses_in_car);
}

#[test]
fn after_a_hand_over_every_place_of_it_renders() {
    for theme in Theme::ALL {
        let mut desk = Desk::new();
        desk.view.place = Place::HandOver;
        desk.view.theme = theme;
        desk.hand_over.last_result = Some(common::done());
        desk.open();
        let mut desk = Desk::new();
        desk.view.place = Place::HandOver;
        desk.view.theme = theme;
        desk.hand_over.last_result = Some(HandOverResult::Failed("The disk is full.".into()));
        desk.open().get_by_label("The disk is full.");
    }
}
