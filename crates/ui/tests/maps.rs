//! Maps in Tune: operators on ranges, locks, breakpoints, blocks from a spreadsheet, and from the complaint to the lever.

mod common;

use common::{Desk, click, edits, press, type_text};
use egui::{Event, Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use washboard_metrics::MetricId;
use washboard_session::complaints::Complaints;
use washboard_session::shape::MapAxis;
use washboard_session::{Edit, EventKind, MapName, Run, Session};
use washboard_study::{
    Amount, BoardRequest, CellEffect, CellInfluence, Change, Influence, LeverStep, Levers, MapInfluence, Model,
};
use washboard_ui::{Aside, Command, LeverForm, Place, View, lever_wish};

const CELL: &str = "heave, 80 km/h, roughness 4 m/s², 900 N·s/m";

fn heave(harness: &Harness<'_, Desk>) -> Vec<Vec<f64>> {
    harness.state().session.modes[0].heave.values_n_s_per_m.clone()
}

/// Chooses the whole map: 3 x 3 cells.
fn choose_all(harness: &mut Harness<'_, Desk>) {
    click(harness, CELL);
    press(harness, Modifiers::COMMAND, Key::A);
}

fn paste(harness: &mut Harness<'_, Desk>, text: &str) {
    harness.event(Event::Paste(text.to_owned()));
    harness.step();
    harness.step();
}

fn message(harness: &Harness<'_, Desk>) -> String {
    harness.state().view.cells.message.clone().unwrap_or_default()
}

#[test]
fn smoothing_and_ramps_are_one_step_each() {
    let mut harness = Desk::new().open();
    choose_all(&mut harness);
    press(&mut harness, Modifiers::ALT, Key::V);
    // 500, 1000, 1200 in the first column: a quarter of each neighbour.
    assert_eq!(heave(&harness).iter().map(|row| row[0]).collect::<Vec<_>>(), [625.0, 925.0, 1150.0]);
    let gestures =
        |h: &Harness<'_, Desk>| h.state().commands.iter().filter(|c| matches!(c, Command::BeginGesture(_))).count();
    assert_eq!(gestures(&harness), 1);
    press(&mut harness, Modifiers::COMMAND, Key::A);
    press(&mut harness, Modifiers::ALT, Key::R);
    assert_eq!(gestures(&harness), 2);
    let now = heave(&harness);
    // 80 lies at 60 of 140 km/h between the ends.
    let expected = now[0][0] + (now[2][0] - now[0][0]) * 60.0 / 140.0;
    assert!((now[1][0] - expected).abs() < 0.1, "{now:?}");
    click(&mut harness, &format!("heave, 20 km/h, roughness 0 m/s², {} N·s/m", now[0][0]));
    press(&mut harness, Modifiers::ALT, Key::R);
    assert!(message(&harness).contains("needs a range"));
}

#[test]
fn locked_cells_stay_and_the_rest_goes_on() {
    let mut harness = Desk::new().open();
    click(&mut harness, CELL);
    press(&mut harness, Modifiers::COMMAND, Key::L);
    harness.get_by_label(&format!("{CELL}, locked"));
    type_text(&mut harness, "2400");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    assert!(message(&harness).contains("Locked"), "{}", message(&harness));
    press(&mut harness, Modifiers::NONE, Key::Escape);
    press(&mut harness, Modifiers::COMMAND, Key::A);
    type_text(&mut harness, "*2");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    let now = heave(&harness);
    assert_eq!((now[1][1], now[1][0], now[0][1]), (900.0, 2000.0, 900.0), "only the locked cell stays");
    assert!(message(&harness).contains("1 cell stays locked"), "{}", message(&harness));
    // All are locked by the first press, as not all were; the next one unlocks them.
    press(&mut harness, Modifiers::COMMAND, Key::L);
    assert_eq!(harness.state().session.modes[0].locked.heave.len(), 9);
    press(&mut harness, Modifiers::COMMAND, Key::L);
    assert!(harness.state().session.modes[0].locked.heave.is_empty());
}

#[test]
fn a_block_of_a_spreadsheet_goes_in_from_the_upper_left_and_out_again() {
    let mut harness = Desk::new().open();
    click(&mut harness, CELL);
    paste(&mut harness, "1100\t1 200,5\r\n\t1300\r\n".replace(' ', "").as_str());
    let now = heave(&harness);
    assert_eq!((now[1][1], now[1][2], now[2][1], now[2][2]), (1100.0, 1200.5, 1100.0, 1300.0), "an empty cell stays");
    assert_eq!(edits(&harness).len(), 1);
    paste(&mut harness, "1\t2\t3");
    assert!(message(&harness).contains("larger than the 2 × 2 cells"), "{}", message(&harness));
    paste(&mut harness, "1\tmany");
    assert!(message(&harness).contains("“many”, is no number"), "{}", message(&harness));
    assert_eq!(edits(&harness).len(), 1, "a block with a slip changes nothing");
    press(&mut harness, Modifiers::COMMAND, Key::A);
    harness.event(Event::Copy);
    harness.step();
    let copied = harness.state().commands.iter().find_map(|c| match c {
        Command::CopyText(text) => Some(text.clone()),
        _ => None,
    });
    assert_eq!(copied.as_deref(), Some("500\t450\t350\n1000\t1100\t1200.5\n1200\t1100\t1300"));
}

#[test]
fn cells_are_copied_from_the_set_in_the_car() {
    let mut desk = Desk::new();
    desk.in_car = Some(common::older_set(&desk.session));
    let mut harness = desk.open();
    click(&mut harness, CELL);
    type_text(&mut harness, "=car");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    assert_eq!(heave(&harness)[1][1], 1000.0);
    type_text(&mut harness, "=abcd");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    assert!(message(&harness).contains("no mode or set “abcd”"), "{}", message(&harness));
}

#[test]
fn edited_cells_that_nobody_visits_are_listed_and_lead_there() {
    let mut desk = Desk::new();
    desk.in_car = Some(common::older_set(&desk.session));
    let heave = &mut desk.board.as_mut().unwrap().visits[0].maps[0].1;
    heave[1][1] = 0.0;
    let mut harness = desk.open();
    click(&mut harness, "1 edited cell never visited");
    harness.get_by_label("gentle: heave gain at 80 km/h, 4 m/s^2: 1000 N s/m → 900 N s/m").click();
    harness.step();
    harness.step();
    assert_eq!(harness.state().view.cells.cursor, (1, 1));
}

#[test]
fn breakpoints_go_in_and_out_by_keyboard() {
    let mut harness = Desk::new().open();
    press(&mut harness, Modifiers::ALT, Key::B);
    assert_eq!(harness.state().view.aside, Some(Aside::Breakpoints));
    harness.get_by_label("New breakpoint, speed, km/h").focus();
    harness.step();
    type_text(&mut harness, "50");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    let insert = Edit::InsertBreakpoint { mode: 0, map: MapName::Heave, axis: MapAxis::Speed, at: 50.0 };
    assert_eq!(edits(&harness), [insert]);
    assert_eq!(heave(&harness)[1], [750.0, 675.0, 525.0], "midway between its neighbours");
    click(&mut harness, "take out speed 50 km/h");
    assert_eq!(heave(&harness).len(), 3);
    harness.get_by_label("New breakpoint, roughness, m/s²").focus();
    harness.step();
    type_text(&mut harness, "4");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    harness.get_by_label_contains("the axis has it already");
    assert_eq!(edits(&harness).len(), 2);
}

#[test]
fn scales_of_the_axles_are_in_reach() {
    let mut harness = Desk::new().open();
    press(&mut harness, Modifiers::ALT, Key::A);
    harness.get_by_label("rebound scale, rear axle").focus();
    harness.step();
    press(&mut harness, Modifiers::COMMAND, Key::A);
    type_text(&mut harness, "1.2");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    assert_eq!(harness.state().session.modes[0].rear.rebound, 1.2);
}

#[test]
fn gains_read_and_type_as_damping_ratio() {
    let mut harness = Desk::new().open();
    click(&mut harness, CELL);
    press(&mut harness, Modifiers::ALT, Key::D);
    assert!(harness.state().view.as_ratio);
    // The desk's car: 6000 N·s/m is a damping ratio of 1.
    type_text(&mut harness, "0.25");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    assert_eq!(heave(&harness)[1][1], 1500.0, "the session keeps the gain");
    type_text(&mut harness, "+10%");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    assert_eq!(heave(&harness)[1][1], 1650.0);
}

/// The session of the desk with a crest and a run that speaks of it.
fn with_crest() -> Desk {
    let mut desk = Desk::new();
    let crest = EventKind::CosineBump { height_m: 0.12, length_m: 30.0, lead_m: 10.0, side: Default::default() };
    desk.session.events.push(washboard_session::Event::new("crest", 90.0, 8.0, crest));
    let remark = "floats over the crest, otherwise good".to_owned();
    let run = Run { mode: "firm".into(), event: "crest".into(), remark, ..Run::default() };
    desk.session.logbook.push(run);
    desk.board = Some(common::board(&desk.session));
    desk
}

/// Levers made by hand: body motion falls with the heave cell at 80 km/h and roughness 4.
fn levers(session: &Session, request: &washboard_study::LeverRequest) -> Levers {
    let cells = vec![vec![CellInfluence::default(); 3]; 3];
    let mut maps: Vec<MapInfluence> = [MapName::Heave, MapName::Wheel, MapName::Base, MapName::Roll, MapName::Pitch]
        .map(|map| MapInfluence { map, cells: cells.clone() })
        .to_vec();
    let effect = CellEffect { per_unit: Some(-1e-6), beside_per_unit: vec![None; request.influence.beside.len()] };
    maps[0].cells[1][1] = CellInfluence { visit_share: 0.5, effect: Some(effect) };
    let influence = Influence {
        request: request.influence.clone(),
        value: Some(0.010),
        beside: vec![None; request.influence.beside.len()],
        maps,
        known: 1,
        visited: 1,
    };
    let step = |size: usize, share: f64, crossed: bool| LeverStep {
        map: MapName::Heave,
        rows: (1, 1),
        columns: (1, 1),
        size,
        amount: Amount::Share(share),
        cells: vec![(1, 1, 1800.0 * (1.0 + share))],
        locked: 0,
        effect: Change { metric: MetricId::BODY_MOTION_RMS, before: 0.010, after: 0.010 - 0.001 * share * 10.0 },
        beside: vec![Change { metric: MetricId::WEIGHTED_ACCELERATION, before: 0.35, after: 0.3521 }],
        crossed: if crossed { vec![common::board(session).evaluation.fences[1].clone()] } else { Vec::new() },
    };
    Levers { influence, steps: vec![step(2, 0.2, true), step(1, 0.1, false)], is_whole: true }
}

fn board_request() -> BoardRequest {
    BoardRequest { model: Model::Full, load_case: 0, event: 0, speed_km_h: 80.0, roughness_m_per_s2: 4.0, reference: 0 }
}

#[test]
fn from_the_last_verdict_to_a_step_in_three_moves() {
    let mut harness = with_crest().open();
    // One click on what the driver said: mode and event are those of the run.
    click(&mut harness, "→ Floats over the crest");
    let view = &harness.state().view;
    assert_eq!((view.mode, view.lever.event.as_deref()), (1, Some("crest")));
    let request = lever_wish(view, &harness.state().session, &Complaints::built_in(), &board_request()).unwrap();
    assert_eq!(request.influence.trial.events, [(2, 1.0)]);
    assert_eq!((request.influence.metric, request.influence.mode), (MetricId::BODY_MOTION_RMS, 1));
    let found = levers(&harness.state().session, &request);
    harness.state_mut().levers = Some(found);
    harness.step();
    harness.get_by_label_contains("suggestion: heave · 80 km/h · roughness 4 +10 %, −10.0 %");
    press(&mut harness, Modifiers::COMMAND, Key::Enter);
    assert_eq!(edits(&harness), [Edit::cell(1, MapName::Heave, 1, 1, 1800.0 * 1.1)]);
    let gesture = harness.state().commands.iter().find_map(|c| match c {
        Command::BeginGesture(name) => Some(name.clone()),
        _ => None,
    });
    assert_eq!(gesture.as_deref(), Some("step for “Floats over the crest”: heave · 80 km/h · roughness 4 +10 %"));
    // The larger step crosses a fence: it is shown, said and not to be taken.
    press(&mut harness, Modifiers::COMMAND, Key::ArrowRight);
    press(&mut harness, Modifiers::COMMAND, Key::Enter);
    assert_eq!(edits(&harness).len(), 1);
    assert!(harness.get_by_label("take step 1").accesskit_node().is_disabled());
    press(&mut harness, Modifiers::NONE, Key::Escape);
    assert_eq!(harness.state().view.lever.said, None, "back to the scorecard");
}

#[test]
fn what_the_driver_said_is_found_by_its_words() {
    let mut harness = with_crest().open();
    press(&mut harness, Modifiers::COMMAND, Key::J);
    assert_eq!(harness.state().view.aside, Some(Aside::Complaints));
    type_text(&mut harness, "dive");
    press(&mut harness, Modifiers::NONE, Key::Enter);
    let view = &harness.state().view;
    assert_eq!((view.aside, view.lever.said.as_deref()), (None, Some("Dives on the brake")));
    // No braking among the events: all of them stand in, and that is said.
    harness.get_by_label("“Dives on the brake”");
    let request = lever_wish(view, &harness.state().session, &Complaints::built_in(), &board_request()).unwrap();
    assert_eq!(request.influence.trial.events.len(), 3);
}

#[test]
fn dots_walk_through_the_metrics_and_are_asked_for_in_tune_only() {
    let mut harness = Desk::new().open();
    let wish = |view: &View, session: &Session| lever_wish(view, session, &Complaints::built_in(), &board_request());
    let of = |h: &Harness<'_, Desk>| wish(&h.state().view, &h.state().session);
    assert!(of(&harness).is_none(), "nothing is computed that nobody looks at");
    press(&mut harness, Modifiers::ALT, Key::I);
    let request = of(&harness).unwrap();
    assert_eq!(request.influence.metric, MetricId::WEIGHTED_ACCELERATION);
    assert!(request.maps.is_empty() && !request.influence.beside.contains(&request.influence.metric));
    press(&mut harness, Modifiers::ALT, Key::I);
    assert_eq!(of(&harness).unwrap().influence.metric, MetricId::BODY_MOTION_RMS);
    harness.state_mut().view.place = Place::Roads;
    assert!(of(&harness).is_none());
    harness.state_mut().view.lever = LeverForm::default();
}
