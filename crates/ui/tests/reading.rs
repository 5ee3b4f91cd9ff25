//! Reading what is shown: cursors by key, the moment of the event with chain and car, fences from the scorecard.

mod common;

use common::{Desk, click, edits, press};
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use std::sync::Arc;
use washboard_session::{Edit, Fence};
use washboard_study::{Model, Title, Trace};
use washboard_ui::{Place, PlotName, Theme};

/// A run in which the front left wants force of the wrong sign and the rear right is in the air.
fn trace(model: Model, mode: usize) -> Trace {
    let time_s: Vec<f64> = (0..6001).map(|i| f64::from(i) * 0.001).collect();
    let n = time_s.len();
    let mut channels = Vec::new();
    let mut put = |name: String, values: Vec<f64>| {
        channels.push((Title { label: name.clone(), name, unit: "" }, values));
    };
    let wave = |a: f64| time_s.iter().map(|t| a * (t * 9.0 + mode as f64 * 0.3).sin()).collect::<Vec<f64>>();
    put("body_heave_m".into(), wave(0.02));
    if model.rolls() {
        put("roll_rad".into(), wave(0.03));
    }
    if model.pitches() {
        put("pitch_rad".into(), wave(0.01));
    }
    put("speed_m_per_s".into(), vec![80.0 / 3.6; n]);
    put("distance_m".into(), time_s.iter().map(|t| t * 80.0 / 3.6).collect());
    for name in ["lateral_acceleration_m_per_s2", "lateral_demand_m_per_s2"] {
        put(name.into(), vec![2.0; n]);
    }
    for name in ["longitudinal_acceleration_m_per_s2", "longitudinal_demand_m_per_s2"] {
        put(name.into(), vec![0.0; n]);
    }
    for corner in model.corner_names() {
        let mut of = |name: &str, value: f64| put(format!("{corner}_{name}"), vec![value; n]);
        of("road_height_m", 0.01);
        of("wheel_height_m", 0.015);
        of("travel_m", 0.005);
        of("travel_rate_m_per_s", 0.2);
        of("wanted_force_n", if *corner == "front_left" { -500.0 } else { 400.0 });
        of("soft_force_n", 100.0);
        of("firm_force_n", 900.0);
        of("wanted_current_a", 0.6);
        of("asked_current_a", 0.6);
        of("command_a", 0.6);
        of("arrived_command_a", 0.6);
        of("current_a", if *corner == "rear_left" { 0.3 } else { 0.6 });
        of("damper_force_n", 390.0);
        of("roughness_m_per_s2", 4.0);
        let mut load = vec![if *corner == "rear_right" { 0.0 } else { 3900.0 }; n];
        load[0] = 4100.0;
        put(format!("{corner}_wheel_load_n"), load);
    }
    Trace::of_channels(time_s, channels)
}

fn desk() -> Desk {
    let mut desk = Desk::new();
    let board = desk.board.as_mut().expect("a board");
    board.traces = (0..2).map(|m| Arc::new(trace(Model::Full, m))).collect();
    desk
}

fn focus(harness: &mut Harness<'_, Desk>, name: &str) {
    harness.get_by_label(name).focus();
    harness.step();
    harness.step();
}

fn value(harness: &Harness<'_, Desk>, name: &str) -> String {
    harness.get_by_label(name).accesskit_node().value().unwrap_or_default()
}

#[test]
fn arrows_read_every_curve_with_its_unit_where_a_plot_has_the_keyboard() {
    let mut harness = desk().open();
    focus(&mut harness, "plot transmissibility");
    assert_eq!(value(&harness, "plot transmissibility"), "");
    press(&mut harness, Modifiers::NONE, Key::ArrowRight);
    let read = value(&harness, "plot transmissibility");
    // The middle of 0.3 to 30 Hz on a logarithmic axis.
    assert!(read.starts_with("3.00 Hz: ") && read.contains("gentle") && read.contains("firm"), "{read}");
    press(&mut harness, Modifiers::SHIFT, Key::ArrowRight);
    // A tenth of the two decades on: 3 times ten to the 0.2.
    assert!(value(&harness, "plot transmissibility").starts_with("4.75 Hz: "));
    focus(&mut harness, "plot wheel load");
    press(&mut harness, Modifiers::NONE, Key::ArrowLeft);
    assert!(value(&harness, "plot wheel load").contains("kN·s/m"));
}

#[test]
fn keys_look_closer_and_see_all_of_it_again() {
    let mut harness = desk().open();
    focus(&mut harness, "plot transmissibility");
    press(&mut harness, Modifiers::NONE, Key::ArrowRight);
    for _ in 0..4 {
        press(&mut harness, Modifiers::NONE, Key::ArrowUp);
    }
    press(&mut harness, Modifiers::NONE, Key::ArrowRight);
    // A hundredth of what is seen is now less than half of what it was: 3 times ten to the 0.02 / 1.25^4.
    let near = value(&harness, "plot transmissibility");
    assert!(near.starts_with("3.06 Hz: "), "{near}");
    press(&mut harness, Modifiers::NONE, Key::Home);
    press(&mut harness, Modifiers::NONE, Key::ArrowRight);
    let far = value(&harness, "plot transmissibility");
    assert!(far.starts_with("3.20 Hz: "), "{far}");
}

#[test]
fn a_drag_looks_into_a_box_and_a_double_click_sees_all_again() {
    let mut harness = desk().open_at(1280.0, 800.0, 0.02);
    let rect = harness.get_by_label("plot transmissibility").rect();
    let at = |x: f32, y: f32| rect.lerp_inside(egui::vec2(x, y));
    harness.drag_at(at(0.25, 0.2));
    harness.step();
    harness.hover_at(at(0.5, 0.5));
    harness.step();
    harness.drop_at(at(0.75, 0.8));
    harness.step();
    harness.event(egui::Event::PointerGone);
    harness.step();
    focus(&mut harness, "plot transmissibility");
    press(&mut harness, Modifiers::NONE, Key::ArrowRight);
    press(&mut harness, Modifiers::SHIFT, Key::ArrowRight);
    let near: f64 =
        value(&harness, "plot transmissibility").split(' ').next().and_then(|t| t.parse().ok()).unwrap_or(0.0);
    // A tenth of one decade: 10^0.1, from the middle of the box.
    assert!((near / 3.0 - 10f64.powf(0.1)).abs() < 0.05, "{near}");
    harness.hover_at(at(0.5, 0.5));
    harness.step();
    for pressed in [true, false, true, false] {
        let (pos, button) = (at(0.5, 0.5), egui::PointerButton::Primary);
        harness.event(egui::Event::PointerButton { pos, button, pressed, modifiers: Modifiers::NONE });
        harness.step();
    }
    harness.step();
    harness.event(egui::Event::PointerGone);
    harness.step();
    press(&mut harness, Modifiers::SHIFT, Key::ArrowRight);
    let far: f64 =
        value(&harness, "plot transmissibility").split(' ').next().and_then(|t| t.parse().ok()).unwrap_or(0.0);
    assert!((far / 3.0 - 10f64.powf(0.2)).abs() < 0.08, "{far}");
}

#[test]
fn enter_makes_a_plot_large_and_small_again_and_keeps_the_keyboard() {
    let mut harness = desk().open();
    focus(&mut harness, "plot comfort");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    assert_eq!(harness.state().view.enlarged, Some(PlotName::Comfort));
    harness.step();
    press(&mut harness, Modifiers::NONE, Key::ArrowRight);
    let read = value(&harness, "plot comfort");
    assert!(read.contains("firm") && read.contains("m/s²"), "{read}");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    assert_eq!(harness.state().view.enlarged, None);
}

#[test]
fn the_moment_is_moved_by_arrows_played_by_space_and_stands_still_when_stopped() {
    let mut harness = desk().open();
    focus(&mut harness, "plot event load");
    press(&mut harness, Modifiers::NONE, Key::ArrowRight);
    assert_eq!(harness.state().view.moment.at_s, Some(3.0));
    press(&mut harness, Modifiers::NONE, Key::Period);
    assert!(harness.state().view.moment.at_s.is_some_and(|t| (t - 3.01).abs() < 1e-9));
    press(&mut harness, Modifiers::NONE, Key::Space);
    assert!(harness.state().view.moment.plays);
    let before = harness.state().view.moment.at_s;
    for _ in 0..5 {
        harness.step();
    }
    assert!(harness.state().view.moment.at_s > before, "time goes on");
    press(&mut harness, Modifiers::NONE, Key::S);
    assert!(harness.state().view.moment.is_slow);
    press(&mut harness, Modifiers::NONE, Key::Space);
    assert!(!harness.state().view.moment.plays);
    // Idle means that nothing is drawn again.
    harness.try_run().expect("the window comes to rest");
    let rest = harness.state().view.moment.at_s;
    for _ in 0..3 {
        harness.step();
    }
    assert_eq!(harness.state().view.moment.at_s, rest);
}

#[test]
fn the_event_plays_to_its_end_and_from_its_start_again() {
    let mut desk = desk();
    desk.view.enlarged = Some(PlotName::Event);
    desk.view.moment.at_s = Some(5.95);
    let mut harness = desk.open();
    click(&mut harness, "play the event");
    for _ in 0..20 {
        harness.step();
    }
    assert!(!harness.state().view.moment.plays);
    assert_eq!(harness.state().view.moment.at_s, Some(6.0));
    click(&mut harness, "play the event");
    assert!(harness.state().view.moment.at_s.is_some_and(|t| t < 1.0));
}

#[test]
fn the_large_event_says_what_limits_each_corner_and_which_wheel_is_lifted() {
    for theme in Theme::ALL {
        let mut desk = desk();
        desk.view.theme = theme;
        desk.view.enlarged = Some(PlotName::Event);
        desk.view.moment.at_s = Some(2.0);
        let harness = desk.open();
        harness.get_by_label("front left: wrong sign: soft end");
        harness.get_by_label("front right: as wanted");
        harness.get_by_label("rear left: waits for the lag");
        harness.get_by_label_contains("80 km/h, lateral 2.0 m/s² · lifted: rear right");
        harness.get_by_label("plot event roll");
    }
}

#[test]
fn every_model_shows_its_own_corners_in_the_large_event() {
    for model in Model::ALL {
        let mut desk = desk();
        let board = desk.board.as_mut().expect("a board");
        board.request.model = model;
        board.traces = (0..2).map(|m| Arc::new(trace(model, m))).collect();
        desk.view.enlarged = Some(PlotName::Event);
        let harness = desk.open();
        for corner in model.corner_names().iter().filter(|c| !c.contains('_')) {
            harness.get_by_label(&format!("{corner}: as wanted"));
        }
        harness.get_by_label_contains("the car in motion: 80 km/h");
    }
}

#[test]
fn a_trace_that_tells_less_leaves_the_rest_standing() {
    // Channels as an older file of results might have them.
    let mut desk = Desk::new();
    desk.view.enlarged = Some(PlotName::Event);
    desk.view.moment.at_s = Some(900.0);
    let harness = desk.open();
    harness.get_by_label("plot event body");
    assert!(harness.state().view.moment.at_s.is_some_and(|t| t < 20.0), "held within the run");
}

const ROW: &str = "row Weighted acceleration, m/s²";

fn fences(harness: &Harness<'_, Desk>) -> Vec<Fence> {
    let last = edits(harness).pop();
    if let Some(Edit::SetFences(fences)) = last { fences } else { Vec::new() }
}

#[test]
fn one_key_holds_a_mode_to_its_reference_and_another_lets_it_go() {
    let mut desk = desk();
    desk.view.mode = 1;
    let mut harness = desk.open();
    focus(&mut harness, ROW);
    press(&mut harness, Modifiers::NONE, Key::F);
    let held = fences(&harness);
    assert_eq!(held.len(), 2, "the one that was there stays");
    assert_eq!(
        held[1],
        Fence {
            metric: "weighted_acceleration_m_per_s2".into(),
            at_most: Some(1.0),
            at_least: None,
            relative_to: Some("gentle".into()),
            event: None,
            modes: vec!["firm".into()],
        }
    );
    // The same again changes nothing; Delete takes it away.
    press(&mut harness, Modifiers::NONE, Key::F);
    assert_eq!(fences(&harness).len(), 2);
    press(&mut harness, Modifiers::NONE, Key::Delete);
    assert_eq!(fences(&harness).len(), 1);
}

#[test]
fn the_menu_of_a_row_offers_room_places_and_all_fences() {
    let mut desk = desk();
    desk.view.mode = 1;
    let mut harness = desk.open();
    harness.get_by_label(ROW).click_secondary();
    harness.step();
    harness.step();
    harness.get_all_by_label("at most 5 % worse than gentle").next().expect("over all events").click();
    harness.step();
    harness.step();
    assert_eq!(fences(&harness)[1].at_most, Some(1.05));
    harness.get_by_label(ROW).click_secondary();
    harness.step();
    harness.step();
    click(&mut harness, "All fences");
    assert_eq!(harness.state().view.place, Place::SideBySide);
    harness.get_by_label("add a fence");
}

#[test]
fn a_crossed_fence_is_marked_on_the_chip_of_its_mode() {
    let harness = desk().open();
    harness.get_by_label("mode 1 gentle, reference");
    harness.get_by_label("mode 2 firm, 1 fence crossed");
}

#[test]
fn a_fence_that_cannot_be_judged_is_said() {
    let mut desk = desk();
    let fence = |metric: &str| Fence {
        metric: metric.into(),
        at_most: Some(1.0),
        at_least: None,
        relative_to: None,
        event: None,
        modes: Vec::new(),
    };
    desk.session.fences.extend([fence("roll_overshoot_share"), fence("bounciness")]);
    let mut harness = desk.open();
    harness.get_by_label("✕ fences: 1 crossed, 1 kept, 2 not judged");
    harness.state_mut().view.place = Place::SideBySide;
    harness.step();
    harness.step();
    click(&mut harness, "Side by side: fences");
    assert_eq!(value(&harness, "Metric of fence 3"), "✕ unknown: bounciness");
}

#[test]
fn a_fence_holds_for_the_modes_that_are_ticked() {
    let mut harness = desk().open();
    harness.state_mut().view.place = Place::SideBySide;
    harness.step();
    harness.step();
    click(&mut harness, "Side by side: fences");
    click(&mut harness, "Modes of fence 1");
    let tick = harness.get_all_by_label("firm").last().expect("a tick for firm");
    tick.click();
    harness.step();
    harness.step();
    assert_eq!(fences(&harness)[0].modes, ["firm"]);
}
