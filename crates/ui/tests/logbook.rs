//! The logbook through its accessibility tree: writing down in one hand, filter, order, the chosen run, copies.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use common::{Desk, click, edits, press, type_text};
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use washboard_metrics::MetricId;
use washboard_session::{Edit, Run, TyrePressures, Verdict};
use washboard_ui::{Command, MeasuredFigure, MeasuredView, Place, Reopened};

fn run(time: &str, mode: &str, set: &str, remark: &str, comfort: f64) -> Run {
    Run {
        time: time.into(),
        set_identity: set.into(),
        mode: mode.into(),
        event: "rough road".into(),
        load_case: "full".into(),
        tyre_pressures_bar: TyrePressures { front_left: Some(2.4), ..TyrePressures::default() },
        air_temperature_c: Some(11.5),
        verdicts: vec![Verdict { attribute: "ride comfort".into(), rating: comfort }],
        remark: remark.into(),
        ..Run::default()
    }
}

/// Three runs, the newest last; the first two with the set that is in the car.
fn desk() -> Desk {
    let mut desk = Desk::new();
    let set = common::older_set(&desk.session);
    desk.session.logbook = vec![
        run("2026-11-25 09:10", "gentle", &set.identity, "busy, on the patched road", 4.5),
        run("2026-11-25 09:40", "firm", &set.identity, "harsh on the joint", 6.0),
        run("2026-11-25 10:05", "gentle", "", "floats over the crest", 5.5),
    ];
    desk.session.handed_over.push(set.clone());
    desk.in_car = Some(set);
    desk.view.place = Place::Logbook;
    desk
}

/// Names of the runs on screen from top to bottom, by a word of the remark.
fn shown(harness: &Harness<'_, Desk>) -> Vec<String> {
    let mut rows: Vec<(f32, String)> = harness
        .query_all_by_label_contains("run 0")
        .chain(harness.query_all_by_label_contains("run 1"))
        .filter_map(|node| Some((node.rect().top(), node.accesskit_node().label()?)))
        .collect();
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    let words = ["busy", "harsh", "floats"];
    rows.iter().filter_map(|(_, name)| words.iter().find(|w| name.contains(**w)).map(|w| (*w).to_owned())).collect()
}

#[test]
fn a_run_is_written_down_with_the_keyboard_alone() {
    let mut harness = desk().open();
    press(&mut harness, Modifiers::NONE, Key::N);
    type_text(&mut harness, "7,5");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    press(&mut harness, Modifiers::NONE, Key::ArrowUp);
    press(&mut harness, Modifiers::NONE, Key::ArrowUp);
    press(&mut harness, Modifiers::NONE, Key::Enter);
    press(&mut harness, Modifiers::NONE, Key::Enter);
    press(&mut harness, Modifiers::NONE, Key::Enter);
    type_text(&mut harness, "calm");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    let edits = edits(&harness);
    let [Edit::AddRun(run)] = &edits[..] else { panic!("{edits:?}") };
    let rated: Vec<(&str, f64)> = run.verdicts.iter().map(|v| (v.attribute.as_str(), v.rating)).collect();
    assert_eq!(rated, [("body control", 7.5), ("ride comfort", 5.5)]);
    assert_eq!((run.remark.as_str(), run.mode.as_str(), run.event.as_str()), ("calm", "gentle", "rough road"));
    assert_eq!(run.set_identity, harness.state().in_car.as_ref().unwrap().identity);
    assert_eq!(run.time, "2026-11-25 15:00");
    assert_eq!(harness.state().session.logbook.len(), 4);
}

#[test]
fn what_is_not_on_the_scale_stays_in_the_form_with_the_reason() {
    let mut harness = desk().open();
    click(&mut harness, "Add a run …");
    type_text(&mut harness, "7.3");
    press(&mut harness, Modifiers::COMMAND, Key::Enter);
    harness.get_by_label_contains("7.3 is no whole or half number");
    assert!(edits(&harness).is_empty());
    // Put aside and taken up again with what was typed.
    press(&mut harness, Modifiers::NONE, Key::Escape);
    assert!(!harness.state().view.run.open);
    press(&mut harness, Modifiers::NONE, Key::N);
    assert_eq!(
        harness.get_by_label("Rating of body control, 1 to 10").accesskit_node().value().as_deref(),
        Some("7.3")
    );
    click(&mut harness, "Drop it");
    press(&mut harness, Modifiers::NONE, Key::N);
    assert_eq!(harness.get_by_label("Rating of body control, 1 to 10").accesskit_node().value().as_deref(), Some(""));
}

#[test]
fn pressures_and_temperatures_are_taken_from_the_run_before() {
    let mut harness = desk().open();
    press(&mut harness, Modifiers::NONE, Key::N);
    click(&mut harness, "as the run before");
    harness.get_by_label("The driver's words").focus();
    harness.step();
    type_text(&mut harness, "as before");
    click(&mut harness, "Add to the logbook");
    let added = harness.state().session.logbook.last().unwrap().clone();
    assert_eq!((added.tyre_pressures_bar.front_left, added.air_temperature_c), (Some(2.4), Some(11.5)));
    assert_eq!(added.damper_temperature_c, None);
}

#[test]
fn runs_are_filtered_and_sorted() {
    let mut harness = desk().open();
    assert_eq!(shown(&harness), ["floats", "harsh", "busy"], "newest first");
    click(&mut harness, "sort by ride comfort");
    assert_eq!(shown(&harness), ["busy", "floats", "harsh"]);
    click(&mut harness, "sort by ride comfort ▲");
    assert_eq!(shown(&harness), ["harsh", "floats", "busy"]);
    press(&mut harness, Modifiers::NONE, Key::F);
    type_text(&mut harness, "gentle 7f3a");
    assert_eq!(shown(&harness), ["busy"]);
    harness.get_by_label("1 of 3 runs");
}

#[test]
fn a_run_is_chosen_changed_reopened_and_deleted_by_keys() {
    let mut harness = desk().open();
    press(&mut harness, Modifiers::NONE, Key::ArrowDown);
    press(&mut harness, Modifiers::NONE, Key::ArrowDown);
    harness.get_by_label("“harsh on the joint”");
    press(&mut harness, Modifiers::NONE, Key::O);
    press(&mut harness, Modifiers::NONE, Key::L);
    let asked: Vec<Command> =
        harness.state().commands.iter().filter(|c| !matches!(c, Command::Request(_))).cloned().collect();
    assert_eq!(asked, [Command::ReopenRun(1), Command::AttachLog(1)]);
    press(&mut harness, Modifiers::NONE, Key::Enter);
    press(&mut harness, Modifiers::NONE, Key::Enter);
    press(&mut harness, Modifiers::NONE, Key::ArrowUp);
    press(&mut harness, Modifiers::COMMAND, Key::Enter);
    let changed = &harness.state().session.logbook[1];
    assert_eq!((changed.verdicts.len(), changed.verdicts[0].rating), (1, 6.5));
    assert_eq!((changed.time.as_str(), changed.tyre_pressures_bar.front_left), ("2026-11-25 09:40", Some(2.4)));
    press(&mut harness, Modifiers::NONE, Key::Delete);
    assert_eq!(edits(&harness).last(), Some(&Edit::DeleteRun { run: 1 }));
    assert_eq!(harness.state().session.logbook.len(), 2);
}

#[test]
fn the_mode_driven_goes_side_by_side_as_it_was() {
    let mut harness = desk().open();
    press(&mut harness, Modifiers::NONE, Key::ArrowDown);
    press(&mut harness, Modifiers::NONE, Key::ArrowDown);
    click(&mut harness, "Put side by side");
    assert_eq!(harness.state().view.place, Place::SideBySide);
    harness.get_by_label("column firm · 7F3A");
}

#[test]
fn a_run_without_a_set_cannot_be_reopened_and_says_so() {
    let mut harness = desk().open();
    press(&mut harness, Modifiers::NONE, Key::ArrowDown);
    harness.get_by_label("no set noted");
    let button = harness.get_by_label("Reopen as it was");
    assert!(button.accesskit_node().is_disabled());
}

#[test]
fn the_logbook_goes_to_a_file_with_every_figure() {
    let mut harness = desk().open();
    click(&mut harness, "save logbook as CSV");
    let saved = harness.state().commands.iter().find_map(|c| match c {
        Command::SaveText { name, text } => Some((name.clone(), text.clone())),
        _ => None,
    });
    let (name, text) = saved.unwrap();
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!((name.as_str(), lines.len()), ("logbook.csv", 4));
    assert!(lines[0].starts_with("time,set identity,mode,event,load case,\"body control, 1 to 10\""), "{}", lines[0]);
    assert!(lines[3].contains("\"busy, on the patched road\",2.4,,,,11.5,,,"), "{}", lines[3]);
}

#[test]
fn attributes_are_renamed_ordered_added_and_taken_out() {
    let mut harness = desk().open();
    click(&mut harness, "Logbook: attributes judged");
    click(&mut harness, "move ride comfort up");
    click(&mut harness, "Add an attribute");
    click(&mut harness, "take out impacts");
    let attributes = &harness.state().session.verdict_attributes;
    assert_eq!(attributes[..], ["ride comfort", "body control", "steering and roll", "new attribute"]);
    harness.get_by_label("Attribute 1").focus();
    harness.step();
    press(&mut harness, Modifiers::COMMAND, Key::A);
    type_text(&mut harness, "comfort");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    assert_eq!(harness.state().session.verdict_attributes[0], "comfort");
    assert_eq!(harness.state().session.logbook[0].verdicts[0].attribute, "comfort");
}

#[test]
fn a_copy_says_what_it_is_and_leads_back() {
    let mut desk = desk();
    desk.reopened = Some(Reopened {
        behind: "test car".into(),
        identity: "7f3ac2d1".repeat(8),
        time: "2026-11-25T09:00:00Z".into(),
        is_whole: false,
    });
    let mut harness = desk.open();
    harness.get_by_label_contains("the session as it was at set 7F3A-C2D1");
    press(&mut harness, Modifiers::ALT, Key::ArrowLeft);
    click(&mut harness, "Back to the session that waits");
    let asked = harness.state().commands.iter().filter(|c| **c == Command::GoBack).count();
    assert_eq!(asked, 2);
}

#[test]
fn sets_lead_to_side_by_side_and_back_in_time() {
    let mut harness = desk().open();
    click(&mut harness, "Logbook: sets handed over");
    click(&mut harness, "reopen 7F3A-C2D1");
    assert!(harness.state().commands.contains(&Command::ReopenSet(0)));
    click(&mut harness, "side by side 7F3A-C2D1");
    assert_eq!(harness.state().view.place, Place::SideBySide);
}

#[test]
fn an_empty_logbook_says_what_to_do() {
    let mut desk = Desk::new();
    desk.view.place = Place::Logbook;
    let harness = desk.open();
    harness.get_by_label_contains("After a run press N");
}

#[test]
fn a_log_file_stands_beside_what_was_predicted_and_sets_form_a_tree() {
    let mut desk = desk();
    desk.session.logbook[0].log_file = "run.csv".into();
    let figure = MeasuredFigure {
        metric: MetricId::WEIGHTED_ACCELERATION,
        channel: "seat_z_m_per_s2".into(),
        measured: 0.63,
        predicted: Some(0.6),
    };
    desk.measured = vec![Some(Ok(MeasuredView { figures: vec![figure], note: String::new() })), None, None];
    let mut harness = desk.open();
    assert!(harness.get_all_by_label_contains("+5 %").count() >= 1);
    // A set and one that went on from it.
    let older = common::older_set(&harness.state().session);
    let mut newer = older.clone();
    newer.identity = "aaaabbbb".repeat(8);
    newer.parent = Some(older.identity.clone());
    newer.modes = harness.state().session.modes.clone().into();
    harness.state_mut().session.handed_over = vec![older, newer];
    click(&mut harness, "Logbook: sets handed over");
    harness.get_by_label("1 difference to 7F3A-C2D1");
    click(&mut harness, "go on from 7F3A-C2D1");
    assert!(edits(&harness).contains(&Edit::StartFromSet { set: 0 }));
    assert_eq!(harness.state().session.modes[0].heave.values_n_s_per_m[1][1], 1000.0);
    click(&mut harness, "compare all with AAAA-BBBB");
    harness.get_by_label("1 difference to AAAA-BBBB");
}
