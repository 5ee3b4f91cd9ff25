//! The tour through the window by keyboard and pointer, and long work that can be stopped.

mod common;

use common::{Desk, click, press, type_text};
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use washboard_ui::{Command, Place, UnderWay};

fn first_run() -> Desk {
    let mut desk = Desk::new();
    desk.view.welcome();
    desk
}

#[test]
fn enter_goes_through_five_steps_and_it_is_seen_then() {
    let mut harness = first_run().open();
    for step in 0..5 {
        assert_eq!(harness.state().view.tour, Some(step));
        harness.get_by_label(&format!("step {} of 5", step + 1));
        assert!(!harness.state().view.tour_seen);
        press(&mut harness, Modifiers::NONE, Key::Enter);
        harness.step();
    }
    assert_eq!((harness.state().view.tour, harness.state().view.tour_seen), (None, true));
    assert!(harness.state().commands.iter().all(|c| !matches!(c, Command::Edit(_))), "nothing was changed");
}

#[test]
fn escape_leaves_it_for_good_and_the_list_of_acts_calls_it_again() {
    let mut harness = first_run().open();
    press(&mut harness, Modifiers::NONE, Key::Escape);
    harness.step();
    assert_eq!((harness.state().view.tour, harness.state().view.tour_seen), (None, true));
    harness.state_mut().view.welcome();
    assert_eq!(harness.state().view.tour, None, "it does not begin again by itself");
    harness.state_mut().view.place = Place::Car;
    press(&mut harness, Modifiers::COMMAND, Key::K);
    harness.step();
    type_text(&mut harness, "tour");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    harness.step();
    assert_eq!((harness.state().view.tour, harness.state().view.place), (Some(0), Place::Tune));
    click(&mut harness, "Next");
    click(&mut harness, "Back");
    assert_eq!(harness.state().view.tour, Some(0));
    click(&mut harness, "Leave the tour");
    assert_eq!(harness.state().view.tour, None);
}

#[test]
fn a_report_is_asked_for_by_key_and_can_be_stopped_while_it_is_written() {
    let mut desk = Desk::new();
    desk.under_way = Some(UnderWay { what: "Writing the report a.pdf".into(), progress: (3, 40) });
    let mut harness = desk.open();
    harness.get_by_label("Writing the report a.pdf … 3/40");
    click(&mut harness, "Stop writing the report");
    assert!(harness.state().commands.contains(&Command::StopReport));
    press(&mut harness, Modifiers::COMMAND, Key::P);
    assert!(harness.state().commands.contains(&Command::WriteReport));
}
