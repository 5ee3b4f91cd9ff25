//! The window through its accessibility tree: keys, cells, handles, places, hand-over.

mod common;

use common::{Desk, click, edits, press, type_text};
use egui::{Event, Key, Modifiers, PointerButton, pos2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use washboard_session::{Edit, MapName};
use washboard_ui::{Aside, Command, Notice, Place, PlotName, Question, Severity, Theme};

const CELL: &str = "heave, 80 km/h, roughness 4 m/s², 900 N·s/m";

fn count(harness: &Harness<'_, Desk>, fits: impl Fn(&Command) -> bool) -> usize {
    harness.state().commands.iter().filter(|c| fits(c)).count()
}

#[test]
fn every_place_renders_in_every_theme_with_and_without_results() {
    for theme in Theme::ALL {
        for place in Place::ALL {
            for has_board in [true, false] {
                let mut desk = Desk::new();
                desk.in_car = Some(common::older_set(&desk.session));
                desk.view.theme = theme;
                desk.view.place = place;
                if !has_board {
                    desk.board = None;
                    desk.fault = Some("The event names no file.".into());
                }
                let harness = desk.open();
                for other in Place::ALL {
                    harness.get_by_label(other.label());
                }
            }
        }
    }
}

#[test]
fn every_sheet_and_every_large_plot_renders() {
    for sheet in 0..5 {
        let mut desk = Desk::new();
        (desk.view.place, desk.view.sheet) = (Place::Car, sheet);
        desk.open();
    }
    let plots = [
        PlotName::CutSpeed,
        PlotName::CutSecond,
        PlotName::Transmissibility,
        PlotName::WheelLoad,
        PlotName::Comfort,
        PlotName::Event,
    ];
    for plot in plots {
        let mut desk = Desk::new();
        desk.view.enlarged = Some(plot);
        let harness = desk.open_sized(1600.0, 1000.0);
        harness.get_by_label(&format!("Shrink {}", plot.label()));
    }
}

#[test]
fn the_rail_and_alt_with_a_digit_change_the_place() {
    let mut harness = Desk::new().open();
    for place in Place::ALL {
        click(&mut harness, place.label());
        assert_eq!(harness.state().view.place, place);
    }
    press(&mut harness, Modifiers::ALT, Key::Num3);
    assert_eq!(harness.state().view.place, Place::Tune);
}

#[test]
fn digits_choose_a_mode_unless_a_cell_is_typed_into() {
    let mut harness = Desk::new().open();
    press(&mut harness, Modifiers::NONE, Key::Num2);
    assert_eq!(harness.state().view.mode, 1);
    press(&mut harness, Modifiers::NONE, Key::Num9);
    assert_eq!(harness.state().view.mode, 1, "there is no ninth mode");
    press(&mut harness, Modifiers::NONE, Key::Num1);
    click(&mut harness, CELL);
    press(&mut harness, Modifiers::NONE, Key::Num2);
    assert_eq!(harness.state().view.mode, 0, "digits belong to the cell");
    press(&mut harness, Modifiers::COMMAND, Key::Num2);
    assert_eq!(harness.state().view.mode, 1);
}

#[test]
fn typing_replaces_a_cell_as_one_step() {
    let mut harness = Desk::new().open();
    click(&mut harness, CELL);
    type_text(&mut harness, "2400");
    assert!(edits(&harness).is_empty(), "nothing before Enter");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    assert_eq!(edits(&harness), [Edit::cell(0, MapName::Heave, 1, 1, 2400.0)]);
    assert_eq!(count(&harness, |c| matches!(c, Command::BeginGesture(_))), 1);
    assert_eq!(count(&harness, |c| matches!(c, Command::EndGesture)), 1);
    harness.get_by_label("heave, 80 km/h, roughness 4 m/s², 2400 N·s/m");
}

#[test]
fn five_per_cent_on_a_range_changes_every_cell_from_its_own_value() {
    let mut harness = Desk::new().open();
    click(&mut harness, CELL);
    press(&mut harness, Modifiers::SHIFT, Key::ArrowDown);
    press(&mut harness, Modifiers::SHIFT, Key::ArrowRight);
    type_text(&mut harness, "+5%");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    let heave = &harness.state().session.modes[0].heave.values_n_s_per_m;
    assert_eq!(heave[1], [1000.0, 945.0, 735.0]);
    assert_eq!(heave[2], [1200.0, 1155.0, 840.0]);
    assert_eq!(heave[0], [500.0, 450.0, 350.0], "outside the range nothing changes");
}

#[test]
fn an_operator_takes_effect_only_when_it_is_finished() {
    let mut harness = Desk::new().open();
    click(&mut harness, CELL);
    for sign in ["+", "1", "0", "%"] {
        type_text(&mut harness, sign);
        harness.run_steps(3);
        assert!(edits(&harness).is_empty(), "nothing on the way, after {sign}");
    }
    press(&mut harness, Modifiers::NONE, Key::Enter);
    assert_eq!(edits(&harness), [Edit::cell(0, MapName::Heave, 1, 1, 990.0)]);
    // A sign alone is a step of 5 %, two of them are two.
    press(&mut harness, Modifiers::NONE, Key::ArrowLeft);
    type_text(&mut harness, "-");
    assert_eq!(edits(&harness).len(), 1);
    press(&mut harness, Modifiers::NONE, Key::ArrowRight);
    assert_eq!(edits(&harness)[1], Edit::cell(0, MapName::Heave, 1, 0, 950.0));
    type_text(&mut harness, "++");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    assert_eq!(edits(&harness)[2], Edit::cell(0, MapName::Heave, 1, 1, 1091.5));
    assert_eq!(count(&harness, |c| matches!(c, Command::Undo)), 0);
}

#[test]
fn typing_takes_effect_when_another_cell_is_clicked_and_a_slip_is_dropped_with_a_sentence() {
    let mut harness = Desk::new().open();
    click(&mut harness, CELL);
    type_text(&mut harness, "+5%");
    click(&mut harness, "heave, 80 km/h, roughness 0 m/s², 1000 N·s/m");
    assert_eq!(edits(&harness), [Edit::cell(0, MapName::Heave, 1, 1, 945.0)]);
    type_text(&mut harness, "24x0");
    click(&mut harness, "heave, 80 km/h, roughness 4 m/s², 945 N·s/m");
    assert_eq!(edits(&harness).len(), 1);
    assert!(harness.state().view.cells.message.as_ref().is_some_and(|m| m.contains("24x0") && m.contains("dropped")));
    // Angle brackets step without waiting.
    type_text(&mut harness, ">");
    assert_eq!(edits(&harness)[1], Edit::cell(0, MapName::Heave, 1, 1, 992.3));
}

#[test]
fn cells_copy_from_another_mode_and_refuse_slips_with_a_sentence() {
    let mut harness = Desk::new().open();
    click(&mut harness, CELL);
    type_text(&mut harness, "=firm");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    assert_eq!(edits(&harness), [Edit::cell(0, MapName::Heave, 1, 1, 1800.0)]);
    for slip in ["24x0", "9999999", "=nobody"] {
        type_text(&mut harness, slip);
        press(&mut harness, Modifiers::NONE, Key::Enter);
        assert!(harness.state().view.cells.message.is_some(), "{slip} got no sentence");
        assert_eq!(harness.state().view.cells.typed.as_deref(), Some(slip), "typing is kept");
        press(&mut harness, Modifiers::NONE, Key::Escape);
        assert_eq!(harness.state().view.cells.typed, None);
    }
    assert_eq!(edits(&harness).len(), 1);
}

#[test]
fn a_pulled_handle_is_one_gesture() {
    let mut harness = Desk::new().open();
    let at = harness.get_by_label(&format!("handle over speed: {CELL}")).rect().center();
    let button = |pos, pressed| Event::PointerButton {
        pos,
        button: PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    };
    harness.event(Event::PointerMoved(at));
    harness.step();
    harness.event(button(at, true));
    harness.step();
    for step in 1..=6 {
        harness.event(Event::PointerMoved(pos2(at.x, at.y - 8.0 * step as f32)));
        harness.step();
    }
    harness.event(button(pos2(at.x, at.y - 48.0), false));
    harness.step();
    harness.step();
    assert_eq!(count(&harness, |c| matches!(c, Command::BeginGesture(_))), 1);
    assert_eq!(count(&harness, |c| matches!(c, Command::EndGesture)), 1);
    assert!(edits(&harness).len() > 1, "the map follows while it is pulled");
    let heave = &harness.state().session.modes[0].heave.values_n_s_per_m;
    assert!(heave[1][1] > 900.0 && heave[0][1] > 450.0 && heave[2][1] > 1100.0, "neighbours bend with it: {heave:?}");
    assert_eq!(heave[1][1] % 10.0, 0.0, "values stay on round steps");
    assert_eq!((heave[1][0], heave[1][2]), (1000.0, 700.0), "other columns stay");
}

#[test]
fn a_handle_steps_by_keyboard() {
    let mut harness = Desk::new().open();
    harness.get_by_label(&format!("handle over speed: {CELL}")).focus();
    harness.step();
    press(&mut harness, Modifiers::NONE, Key::ArrowUp);
    let edits = edits(&harness);
    assert!(matches!(&edits[..], [Edit::SetCells { mode: 0, map: MapName::Heave, .. }]), "{edits:?}");
}

#[test]
fn the_identity_of_a_set_that_left_stands_large() {
    let mut desk = Desk::new();
    desk.view.place = Place::HandOver;
    desk.hand_over.last_result = Some(common::done());
    let harness = desk.open();
    let height = harness.get_by_label("7F3A-C2D1").rect().height();
    assert!(height > 60.0, "{height} points high");
}

#[test]
fn edits_since_the_car_are_listed_and_reverted() {
    let mut desk = Desk::new();
    desk.in_car = Some(common::older_set(&desk.session));
    let mut harness = desk.open();
    harness.get_by_label_contains("1 cell differs");
    click(&mut harness, "revert heave of gentle");
    assert_eq!(edits(&harness), [Edit::cell(0, MapName::Heave, 1, 1, 1000.0)]);
    harness.get_by_label_contains("same as on screen");
}

#[test]
fn the_data_sheet_takes_a_number_and_keeps_what_it_refuses() {
    let mut desk = Desk::new();
    desk.view.place = Place::Car;
    let mut harness = desk.open();
    let name = "body body mass without wheels, kg";
    for (text, is_taken) in [("0", false), ("1480", true)] {
        harness.get_by_label(name).focus();
        harness.step();
        press(&mut harness, Modifiers::COMMAND, Key::A);
        harness.event(Event::Text(text.into()));
        harness.step();
        press(&mut harness, Modifiers::NONE, Key::Enter);
        let refused = harness.state().view.refused.get("vehicle.body_mass_kg").cloned();
        assert_eq!(refused.is_none(), is_taken, "{text}: {refused:?}");
        if let Some((kept, sentence)) = refused {
            assert_eq!(kept, text);
            assert!(sentence.contains("20\u{202f}000 kg"), "{sentence}");
        }
    }
    let wanted = Edit::SetNumber { path: "vehicle.body_mass_kg".into(), value: 1480.0 };
    assert_eq!(edits(&harness), [wanted]);
}

#[test]
fn a_run_enters_the_logbook() {
    let mut desk = Desk::new();
    desk.view.place = Place::Logbook;
    let mut harness = desk.open();
    click(&mut harness, "Add a run …");
    harness.get_by_label("The driver's words").focus();
    harness.step();
    harness.event(Event::Text("floats over the crest".into()));
    harness.step();
    click(&mut harness, "Add to the logbook");
    let edits = edits(&harness);
    let [Edit::AddRun(run)] = &edits[..] else { panic!("{edits:?}") };
    assert_eq!((run.remark.as_str(), run.mode.as_str()), ("floats over the crest", "gentle"));
}

#[test]
fn questions_and_notices_are_answered() {
    let mut desk = Desk::new();
    desk.question = Some(Question::UnsavedChanges { next: "quit".into() });
    desk.notices.push(Notice { severity: Severity::Caution, text: "The file was moved.".into() });
    let mut harness = desk.open();
    harness.get_by_label("The file was moved.");
    press(&mut harness, Modifiers::NONE, Key::Num2);
    assert_eq!(harness.state().view.mode, 0, "nothing else acts while a question waits");
    click(&mut harness, "Save");
    assert_eq!(count(&harness, |c| *c == Command::Answer(washboard_ui::Answer::Save)), 1);
}

#[test]
fn shortcuts_reach_the_program() {
    let mut harness = Desk::new().open();
    let both = Modifiers::COMMAND | Modifiers::SHIFT;
    press(&mut harness, Modifiers::COMMAND, Key::S);
    press(&mut harness, both, Key::S);
    press(&mut harness, Modifiers::COMMAND, Key::O);
    press(&mut harness, both, Key::Z);
    press(&mut harness, Modifiers::COMMAND, Key::Y);
    let wanted = [Command::Save, Command::SaveAs, Command::Open, Command::Redo, Command::Redo];
    let commands: Vec<Command> =
        harness.state().commands.iter().filter(|c| !matches!(c, Command::Request(_))).cloned().collect();
    assert_eq!(commands, wanted);
    press(&mut harness, Modifiers::NONE, Key::F1);
    assert_eq!(harness.state().view.aside, Some(Aside::Keys));
    press(&mut harness, Modifiers::NONE, Key::Escape);
    assert_eq!(harness.state().view.aside, None);
}
