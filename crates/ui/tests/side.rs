//! Side by side through its accessibility tree: columns by pointer and keyboard, figures, maps, steps, pictures.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use common::{Desk, click, press, type_text};
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use washboard_metrics::{MetricId, Scorecard};
use washboard_study::{Difference, ModePoint, Model, SideBoard, SideRequest, Step};
use washboard_ui::{ColumnKey, Command, OpenedSet, Place, PlotName, Theme, side_columns};

/// Results of columns made by hand: each scores a fifth more than the one before.
fn computed(desk: &Desk, keys: Vec<ColumnKey>, reference: usize) -> (SideBoard, Vec<ColumnKey>) {
    let of_board = desk.board.as_ref().unwrap();
    let factor = |c: usize| 1.0 + 0.2 * c as f64;
    let card = |c: usize| {
        let mut card = Scorecard::new(Model::Full.corner_names());
        card.set_one(MetricId::WEIGHTED_ACCELERATION, 0.35 * factor(c));
        card.set_one(MetricId::ROLL_RATE_PEAK, 0.1 / factor(c));
        card
    };
    let difference = |from: usize, to: usize, metric: MetricId, size: f64| Difference {
        mode: to,
        metric,
        value: 1.0 + size,
        reference: 1.0,
        share: size * (to as f64 - from as f64),
        half_width: Some(0.01),
    };
    let columns = keys.len();
    let differences: Vec<Difference> = (0..columns)
        .flat_map(|c| {
            [(MetricId::WEIGHTED_ACCELERATION, 0.2), (MetricId::ROLL_RATE_PEAK, -0.18)]
                .map(|(metric, size)| difference(reference, c, metric, size))
        })
        .collect();
    let steps = (1..columns)
        .map(|to| Step {
            from: to - 1,
            is_felt: to == 1,
            difference: difference(to - 1, to, MetricId::ROLL_RATE_PEAK, if to == 1 { -0.18 } else { 0.03 }),
        })
        .collect();
    let board = SideBoard {
        request: SideRequest { model: Model::Full, load_case: 0, speed_km_h: 80.0, roughness_m_per_s2: 4.0, reference },
        draws: 4,
        overall: (0..columns).map(card).collect(),
        of_events: (0..columns).map(|c| vec![card(c); 2]).collect(),
        event_differences: vec![differences.clone(); 2],
        differences,
        responses: (0..columns).map(|c| of_board.responses[c % 2].clone()).collect(),
        points: (0..columns)
            .map(|mode| ModePoint {
                mode,
                weighted_acceleration_m_per_s2: 0.3 * factor(mode),
                dynamic_load_coefficient: 0.12,
            })
            .collect(),
        steps,
        fences: Vec::new(),
    };
    (board, keys)
}

/// Two modes of the session, one set in the car, one read from its folder.
fn desk() -> Desk {
    let mut desk = Desk::new();
    let set = common::older_set(&desk.session);
    desk.session.handed_over.push(set.clone());
    desk.in_car = Some(set);
    let mut mode = desk.session.modes[1].clone();
    mode.name = "wet".into();
    desk.opened_sets = vec![OpenedSet { identity: "ab12cd34".repeat(8), note: "rain".into(), modes: vec![mode] }];
    desk.view.place = Place::SideBySide;
    let keys = vec![ColumnKey::Own("gentle".into()), ColumnKey::Own("firm".into())];
    desk.side = Some(computed(&desk, keys, 0));
    desk
}

fn keys(harness: &Harness<'_, Desk>) -> (Vec<ColumnKey>, usize) {
    let desk = harness.state();
    let (columns, reference) = side_columns(&desk.view.side, &desk.session, &desk.opened_sets);
    (columns.into_iter().map(|(key, _)| key).collect(), reference)
}

fn own(name: &str) -> ColumnKey {
    ColumnKey::Own(name.into())
}

fn of_set(identity: &str, mode: &str) -> ColumnKey {
    ColumnKey::OfSet { identity: identity.repeat(8), mode: mode.into() }
}

#[test]
fn columns_are_chosen_with_the_pointer() {
    let mut harness = desk().open();
    assert_eq!(keys(&harness), (vec![own("gentle"), own("firm")], 0));
    click(&mut harness, "column firm · 7F3A");
    click(&mut harness, "column wet · AB12");
    click(&mut harness, "column gentle, reference");
    let expected = vec![own("firm"), of_set("7f3ac2d1", "firm"), of_set("ab12cd34", "wet")];
    assert_eq!(keys(&harness), (expected, 0));
    click(&mut harness, "compare with wet · AB12");
    assert_eq!(keys(&harness).1, 2);
    click(&mut harness, "Read a set from its folder …");
    assert!(harness.state().commands.contains(&Command::ReadSet));
}

#[test]
fn columns_and_the_reference_are_chosen_with_the_keyboard() {
    let mut harness = desk().open();
    harness.get_by_label("column firm · 7F3A").focus();
    harness.step();
    press(&mut harness, Modifiers::NONE, Key::Space);
    assert_eq!(keys(&harness).0.len(), 3);
    press(&mut harness, Modifiers::NONE, Key::R);
    assert_eq!(keys(&harness), (vec![own("gentle"), own("firm"), of_set("7f3ac2d1", "firm")], 2));
    press(&mut harness, Modifiers::NONE, Key::Space);
    assert_eq!(keys(&harness), (vec![own("gentle"), own("firm")], 0), "without its column the reference is as before");
}

#[test]
fn a_sentence_and_the_differences_stand_for_each_column() {
    let mut harness = desk().open();
    harness.get_by_label("firmer than gentle in roll by 18 %, less comfortable by 20 %.");
    click(&mut harness, "copy scorecard side by side");
    let copied = harness.state().commands.iter().find_map(|c| match c {
        Command::CopyText(text) => Some(text.clone()),
        _ => None,
    });
    let copied = copied.unwrap();
    assert!(
        copied.starts_with("metric\tunit\tgentle\tfirm\tfirm: difference, %\tfirm: 95 % interval, ± %\n"),
        "{copied}"
    );
    let roll = copied.lines().find(|l| l.starts_with("roll_rate_peak")).unwrap();
    assert!(roll.contains("rad/s\t0.1\t") && roll.ends_with("\t-18\t1"), "{roll}");
}

#[test]
fn maps_of_two_columns_differ_cell_by_cell() {
    let mut harness = desk().open();
    click(&mut harness, "Side by side: map difference");
    // gentle is firm at half the gains: the largest cell is 2400 against 1200 at 160 km/h on a smooth road.
    harness.get_by_label_contains("Largest: +1200 N·s/m (+100 %) at 160 km/h and 0 m/s² of roughness");
    harness.get_by_label("80 km/h, 4 m/s²: 900 → 1800 N·s/m");
    click(&mut harness, "copy map difference");
    assert!(
        harness
            .state()
            .commands
            .iter()
            .any(|c| matches!(c, Command::CopyText(t) if t.contains("80\t4\t900\t1800\t900")))
    );
}

#[test]
fn steps_say_what_is_felt_and_whether_they_lead_one_way() {
    let mut desk = desk();
    let keys = vec![own("gentle"), own("firm"), of_set("ab12cd34", "wet")];
    desk.side = Some(computed(&desk, keys, 0));
    let mut harness = desk.open();
    click(&mut harness, "Side by side: steps between columns");
    harness.get_by_label("● felt");
    harness.get_by_label("○ not felt");
    harness.get_by_label("✕ turns back");
    harness.get_by_label_contains("common practice, no source");
}

#[test]
fn every_sheet_renders_in_every_theme_and_size_with_and_without_results() {
    for theme in Theme::ALL {
        for (width, height) in [(1280.0, 800.0), (1920.0, 1080.0), (960.0, 600.0)] {
            for has_results in [true, false] {
                let mut desk = desk();
                desk.view.theme = theme;
                if !has_results {
                    desk.side = None;
                }
                let mut harness = desk.open_sized(width, height);
                for sheet in ["scorecard", "curves", "map difference", "steps between columns", "fences"] {
                    click(&mut harness, &format!("Side by side: {sheet}"));
                }
            }
        }
    }
}

#[test]
fn plots_are_enlarged_and_saved_as_pictures() {
    let mut harness = desk().open();
    click(&mut harness, "Side by side: curves");
    click(&mut harness, "Enlarge body transmissibility side by side");
    assert_eq!(harness.state().view.enlarged, Some(PlotName::SideTransmissibility));
    press(&mut harness, Modifiers::NONE, Key::Escape);
    assert_eq!(harness.state().view.enlarged, None);
    click(&mut harness, "Take along wheel-load variation side by side");
    click(&mut harness, "Save picture…");
    assert!(harness.state().commands.contains(&Command::SavePicture(PlotName::SideWheelLoad)));
}

#[test]
fn without_a_second_column_every_sheet_says_what_to_do() {
    let mut desk = desk();
    desk.session.handed_over.clear();
    desk.opened_sets.clear();
    desk.side = Some(computed(&desk, vec![own("gentle")], 0));
    let mut harness = desk.open();
    click(&mut harness, "column firm");
    harness.get_by_label("None yet: hand one over, or read one from its folder.");
    for sheet in ["map difference", "steps between columns"] {
        click(&mut harness, &format!("Side by side: {sheet}"));
        assert!(harness.query_all_by_label_contains("Tick a second").count() >= 1);
    }
    let missing = harness.query_by_label("column firm").unwrap();
    assert_eq!(missing.accesskit_node().toggled(), Some(egui::accesskit::Toggled::False));
}

#[test]
fn a_bound_is_typed_and_shown_in_the_unit_its_metric_is_read_in() {
    let mut desk = desk();
    let fence = |metric: &str, at_most: f64| washboard_session::Fence {
        metric: metric.to_owned(),
        at_most: Some(at_most),
        at_least: None,
        relative_to: None,
        event: None,
        modes: Vec::new(),
    };
    desk.session.fences =
        vec![fence("roll_rate_peak_rad_per_s", 0.1), fence("dynamic_load_coefficient", 0.085), fence("dive_m", 0.04)];
    desk.board.as_mut().unwrap().evaluation.fences.clear();
    let mut harness = desk.open_sized(1600.0, 900.0);
    click(&mut harness, "Side by side: fences");
    let shown = |harness: &Harness<'_, Desk>, name: &str| {
        harness.get_by(|node| node.label().is_some_and(|l| l == name)).value().unwrap_or_default()
    };
    assert_eq!(shown(&harness, "upper bound of fence 1, °/s"), "5.729578");
    assert_eq!(shown(&harness, "upper bound of fence 2, % of static"), "8.5");
    assert_eq!(shown(&harness, "upper bound of fence 3, mm"), "40");
    for (name, typed, path, si) in [
        ("upper bound of fence 1, °/s", "6", "fences[0].at_most", 6.0_f64.to_radians()),
        ("upper bound of fence 3, mm", "35", "fences[2].at_most", 0.035),
    ] {
        click(&mut harness, name);
        press(&mut harness, Modifiers::COMMAND, Key::A);
        type_text(&mut harness, typed);
        press(&mut harness, Modifiers::NONE, Key::Enter);
        let number = washboard_session::number(&harness.state().session, path).unwrap();
        assert!((number.value.unwrap() - si).abs() < 1e-12, "{number:?}");
        assert_eq!(shown(&harness, name), typed);
    }
}
