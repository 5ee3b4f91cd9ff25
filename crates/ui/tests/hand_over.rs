//! Hand over: checks, waivers, status, cautions, what the control unit will hold, and what was read back.

mod common;

use common::{Desk, check, click, edits, type_text};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use washboard_handover::layout::TableName;
use washboard_handover::{CarSet, Layout, TableError, Verdict, Width, quantise};
use washboard_metrics::MetricId;
use washboard_session::{Edit, Release, SetStatus};
use washboard_ui::{
    Command, HandOverSheet, Held, HeldFigure, LayoutView, Place, ProposalForm, ProposedLayout, ReadBackView, Theme,
};

const BUTTON: &str = "Hand over to the car";
const CAUTION: &str = "I have read this and take it into account.";

fn desk() -> Desk {
    let mut desk = Desk::new();
    desk.view.place = Place::HandOver;
    desk
}

fn acknowledged() -> Release {
    Release { caution_acknowledged: true, ..Release::default() }
}

fn is_held_back(harness: &Harness<'_, Desk>) -> bool {
    harness.get_by_label(BUTTON).accesskit_node().is_disabled()
}

fn handed(harness: &Harness<'_, Desk>) -> Vec<Command> {
    harness.state().commands.iter().filter(|c| matches!(c, Command::HandOver { .. })).cloned().collect()
}

#[test]
fn the_caution_holds_track_use_back_once_and_is_remembered_in_the_session() {
    let mut desk = desk();
    desk.hand_over.checks.push(check("caution", "Caution acknowledged", false, "must be acknowledged first"));
    let mut harness = desk.open();
    assert!(is_held_back(&harness));
    click(&mut harness, BUTTON);
    assert!(handed(&harness).is_empty());
    harness.get_by_label_contains("acknowledge the caution");
    click(&mut harness, CAUTION);
    assert_eq!(edits(&harness), [Edit::SetRelease(Box::new(acknowledged()))]);
    assert!(harness.query_by_label(CAUTION).is_none(), "once is enough");
    // The program looks again with what the session holds now.
    harness.state_mut().hand_over.checks[1].passed = true;
    harness.step();
    click(&mut harness, BUTTON);
    let [Command::HandOver { modes, wish, .. }] = &handed(&harness)[..] else { panic!("not handed over") };
    assert_eq!((modes.as_slice(), wish.status, &wish.release), (&[0, 1][..], SetStatus::TrackOnly, &acknowledged()));
    click(&mut harness, "take it back");
    assert_eq!(harness.state().session.release, Some(Release::default()));
}

#[test]
fn a_draft_goes_out_with_open_questions_unless_a_check_forbids() {
    let mut desk = desk();
    desk.hand_over.checks.push(check("steps", "Steps", false, "is a zero too many?"));
    desk.hand_over.checks.push(check("caution", "Caution acknowledged", false, "nobody has acknowledged"));
    let mut harness = desk.open();
    assert!(is_held_back(&harness));
    click(&mut harness, "Status: draft");
    // A control unit takes a draft like any other set.
    assert!(is_held_back(&harness));
    harness.get_by_label_contains("acknowledge the caution");
    click(&mut harness, CAUTION);
    harness.state_mut().hand_over.checks[2].passed = true;
    harness.step();
    assert!(!is_held_back(&harness));
    harness.get_by_label_contains("For the bench");
    harness.state_mut().hand_over.checks[0].passed = false;
    harness.step();
    assert!(is_held_back(&harness));
    harness.get_by_label_contains("mend numbers and axes");
}

#[test]
fn a_waiver_is_a_sentence_that_belongs_to_one_set() {
    let mut desk = desk();
    desk.hand_over.checks.push(check("steps", "Steps", false, "is a zero too many?"));
    let mut harness = desk.open();
    harness.get_by_label_contains("mend or waive steps");
    let field = "Waiver of Steps";
    harness.get_by_label(field).focus();
    harness.step();
    type_text(&mut harness, "felt");
    harness.get_by_label_contains("8 letters");
    type_text(&mut harness, " and wanted");
    let wish = |harness: &Harness<'_, Desk>| harness.state().view.hand_over.wish(&harness.state().session);
    assert_eq!(wish(&harness).waivers[0].sentence, "felt and wanted");
    // The program looks again and finds it waived.
    harness.state_mut().hand_over.checks[1].waiver = Some("felt and wanted".into());
    harness.step();
    assert!(!is_held_back(&harness));
    click(&mut harness, BUTTON);
    assert_eq!(handed(&harness).len(), 1);
    assert!(wish(&harness).waivers.is_empty(), "the next set needs its own sentence");
    harness.state_mut().hand_over.checks[1].waiver = None;
    harness.step();
    assert!(is_held_back(&harness));
    click(&mut harness, "waive Steps as before");
    assert_eq!(wish(&harness).waivers[0].sentence, "felt and wanted");
    // A check that forbids has no such field.
    harness.state_mut().hand_over.checks[1].forbids = true;
    harness.step();
    assert!(harness.query_by_label(field).is_none());
}

#[test]
fn wider_use_asks_for_a_name_and_a_purpose_and_remembers_them() {
    let mut desk = desk();
    desk.session.release = Some(acknowledged());
    desk.hand_over.checks.push(check("responsible", "Name and purpose", false, "needs a name"));
    let mut harness = desk.open();
    click(&mut harness, "Status: wider use");
    assert!(is_held_back(&harness));
    harness.get_by_label_contains("give a name and a purpose");
    for (field, text) in [("Name for wider use", "A. Person"), ("Purpose for wider use", "fleet trial")] {
        harness.get_by_label(field).focus();
        harness.step();
        type_text(&mut harness, text);
    }
    common::press(&mut harness, egui::Modifiers::NONE, egui::Key::Enter);
    let release = harness.state().session.release.clone().unwrap_or_default();
    assert_eq!((release.name.as_str(), release.purpose.as_str()), ("A. Person", "fleet trial"));
    assert!(release.caution_acknowledged);
    harness.state_mut().hand_over.checks[1].passed = true;
    harness.step();
    click(&mut harness, BUTTON);
    let [Command::HandOver { wish, .. }] = &handed(&harness)[..] else { panic!("not handed over") };
    assert_eq!((wish.status, wish.release.name.as_str()), (SetStatus::WiderUse, "A. Person"));
}

#[test]
fn folder_modes_and_a_running_computation_are_waited_for() {
    type Spoil = fn(&mut Desk);
    let spoil: [(Spoil, &str); 4] = [
        (|d| d.hand_over.folder.clear(), "choose a folder"),
        (|d| d.hand_over.computing = Some((2, 40)), "wait for what the checks need"),
        (|d| d.hand_over.is_fresh = false, "wait for the checks"),
        (|d| d.view.hand_over.left_out = ["gentle".into(), "firm".into()].into(), "choose at least one mode"),
    ];
    for (spoil, words) in spoil {
        let mut desk = desk();
        spoil(&mut desk);
        let harness = desk.open();
        assert!(is_held_back(&harness), "{words}");
        harness.get_by_label_contains(words);
    }
    assert!(!is_held_back(&desk().open()));
}

fn layout() -> LayoutView {
    let error = TableError {
        place: "mode \"gentle\", heave map".into(),
        at: "80 km/h, 4 m/s^2".into(),
        cell: (1, 1),
        exact: 900.0,
        quantised: 904.0,
        half_step: 4.0,
        unit: "N s/m",
    };
    let figure = |metric, held| HeldFigure { mode: "gentle".into(), metric, exact: 0.35, held };
    LayoutView {
        file: "unit.ron".into(),
        name: "damper unit".into(),
        held: Some(Ok(Held { errors: vec![error], left_out: vec!["mode number 1, slew_a_per_s".into()] })),
        figures: Some(Ok(vec![
            figure(MetricId::WEIGHTED_ACCELERATION, 0.357),
            figure(MetricId::ROLL_RATE_PEAK, 0.385),
        ])),
        figures_are_fresh: true,
    }
}

#[test]
fn a_layout_shows_the_largest_errors_and_what_they_do_to_the_figures() {
    let mut desk = desk();
    desk.view.hand_over.sheet = HandOverSheet::ControlUnit;
    let mut harness = desk.open();
    click(&mut harness, "Choose a layout…");
    assert!(harness.state().commands.contains(&Command::ChooseLayout));
    harness.state_mut().hand_over.layout = Some(layout());
    harness.step();
    harness.step();
    harness.get_by_label("900 → 904 N·s/m");
    harness.get_by_label_contains("no place for 1 number or table");
    harness.get_by_label("0.350 → 0.357 (+2.0 %)");
    click(&mut harness, "copy figures in the car");
    let Some(Command::CopyText(text)) = harness.state().commands.last() else { panic!("nothing was copied") };
    assert!(text.lines().count() == 3 && text.contains("weighted_acceleration_m_per_s2\tm/s²\t0.35\t0.357"), "{text}");
    click(&mut harness, "no layout");
    assert!(harness.state().commands.contains(&Command::LeaveLayout));
}

#[test]
fn another_mean_current_in_the_car_is_explained() {
    let opened = |held_a| {
        let mut desk = desk();
        desk.view.hand_over.sheet = HandOverSheet::ControlUnit;
        let mut harness = desk.open();
        let current = HeldFigure { mode: "gentle".into(), metric: MetricId::MEAN_CURRENT, exact: 0.52, held: held_a };
        harness.state_mut().hand_over.layout = Some(LayoutView { figures: Some(Ok(vec![current])), ..layout() });
        harness.step();
        harness.step();
        harness
    };
    opened(0.45).get_by_label_contains("For heat and battery take the held figure");
    assert!(opened(0.521).query_by_label_contains("For heat and battery").is_none());
}

fn proposed(form: &ProposalForm) -> ProposedLayout {
    let set = CarSet::from_session(&common::session(), &[0, 1]).expect("the session of the tests makes a set");
    let layout = Layout::propose(&set, &form.wish).expect("and a layout can be proposed for it");
    let quantised = quantise(&set, &layout).expect("which holds it");
    ProposedLayout { layout, held: Held { errors: quantised.errors, left_out: quantised.left_out } }
}

#[test]
fn a_layout_is_proposed_shown_and_saved_from_the_window() {
    let mut desk = desk();
    desk.view.hand_over.sheet = HandOverSheet::ControlUnit;
    let mut harness = desk.open();
    click(&mut harness, "Propose a layout");
    let form = |harness: &Harness<'_, Desk>| harness.state().view.hand_over.proposal.clone().unwrap();
    harness.get_by_label_contains("Being worked out");
    let first = proposed(&form(&harness));
    harness.state_mut().hand_over.proposed = Some(Ok(first.clone()));
    harness.step();
    harness.get_by_label_contains(&format!("{} bytes, 0x0 to", first.layout.memory.bytes));
    assert!(harness.get_by_label("Save it as a file…").accesskit_node().is_disabled(), "not of what is on screen");
    harness.state_mut().hand_over.proposed_is_fresh = true;
    harness.step();
    click(&mut harness, "Save it as a file…");
    assert!(harness.state().commands.contains(&Command::SaveLayout));
    // The first address: what is no address is said, and nothing can be saved meanwhile.
    harness.get_by_label("First address of the layout").focus();
    harness.step();
    common::press(&mut harness, egui::Modifiers::COMMAND, egui::Key::A);
    type_text(&mut harness, "0x8004zz");
    harness.get_by_label_contains("must be a whole number of 32 bits");
    assert!(harness.get_by_label("Save it as a file…").accesskit_node().is_disabled());
    common::press(&mut harness, egui::Modifiers::COMMAND, egui::Key::A);
    type_text(&mut harness, "0x80040000");
    assert_eq!(form(&harness).wish.address, 0x8004_0000);
    click(&mut harness, "Equal axes stand in memory once");
    assert!(!form(&harness).wish.share_axes);
    // One kind of table in another type.
    click(&mut harness, "Numbers of heave");
    click(&mut harness, "8 bits");
    assert_eq!(form(&harness).wish.by_table, [(TableName::Heave, Width::Bits8)]);
    click(&mut harness, "leave the proposed layout");
    assert!(harness.state().view.hand_over.proposal.is_none());
    // Once a layout is chosen nothing is proposed any more.
    click(&mut harness, "Propose a layout");
    harness.state_mut().hand_over.layout = Some(layout());
    harness.step();
    assert!(harness.state().view.hand_over.proposal.is_none());
}

#[test]
fn what_was_read_back_is_told_cell_by_cell() {
    let mut desk = desk();
    desk.session.handed_over = vec![common::older_set(&desk.session)];
    desk.view.hand_over.sheet = HandOverSheet::ReadBack;
    desk.view.hand_over.read_against = Some("7f3ac2d1".repeat(8));
    let mut harness = desk.open();
    click(&mut harness, "Read a file or a dump…");
    assert!(harness.state().commands.contains(&Command::ReadBack { folder: false, against: Some(0) }));
    let line = "mode \"gentle\", heave map at 80 km/h, 4 m/s^2: 900 N s/m in the set meant, 904 N s/m in the file.";
    let verdict = Verdict { equal: false, identity: "ab".repeat(32), differences: vec![line.into()] };
    let read = |outcome| ReadBackView { place: "/car/dump.bin".into(), against: "set 7f3ac2d17f3a".into(), outcome };
    harness.state_mut().read_back = Some(read(Ok(verdict.clone())));
    harness.step();
    harness.get_by_label(line);
    click(&mut harness, "copy the differences");
    assert!(harness.state().commands.contains(&Command::CopyText(line.into())));
    harness.state_mut().read_back = Some(read(Ok(Verdict { equal: true, differences: vec![], ..verdict })));
    harness.step();
    harness.get_by_label_contains("✓ the same");
    harness.state_mut().read_back = Some(read(Err("There is no layout.".into())));
    harness.step();
    harness.get_by_label("There is no layout.");
}

#[test]
fn every_sheet_renders_in_every_theme() {
    for theme in Theme::ALL {
        for sheet in
            [HandOverSheet::Checks, HandOverSheet::Difference, HandOverSheet::ControlUnit, HandOverSheet::ReadBack]
        {
            let mut desk = desk();
            (desk.view.theme, desk.view.hand_over.sheet) = (theme, sheet);
            desk.hand_over.layout = Some(layout());
            desk.in_car = Some(common::older_set(&desk.session));
            desk.open();
            // And with a layout proposed, or why there is none.
            let form = ProposalForm::default();
            for found in [Ok(proposed(&form)), Err("There is no room.".to_owned())] {
                let mut desk = self::desk();
                (desk.view.theme, desk.view.hand_over.sheet) = (theme, sheet);
                desk.view.hand_over.proposal = Some(form.clone());
                desk.hand_over.proposed = Some(found);
                desk.open();
            }
        }
    }
}
