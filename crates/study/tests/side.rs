//! Columns of Side by side: the figures of a comparison, sets as they are, fences, steps and maps.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use washboard_metrics::{MetricId, Scorecard};
use washboard_session::{Event, EventKind, Fence, MapName, Mode, Session};
use washboard_study::{
    Cancelled, Difference, FELT, FELT_SHARE, MapDifference, Model, Profiles, SIDE_DRAWS, SideBoard, SideCache,
    SideColumn, SideRequest, Study,
};

/// Two random roads of different weight and a sine; three modes of which the second is firmer.
fn session() -> Session {
    let mut session = common::quarter(400.0, 3000.0, &[1, 2]);
    session.events.push(common::sine(1.5, 0.01, 5.0));
    for event in &mut session.events {
        event.duration_s = 12.0;
        event.settle_s = 2.0;
    }
    session.events[1].weight = 3.0;
    let mut firm = session.modes[0].clone();
    firm.name = "firm".into();
    firm.base.values_n_s_per_m = vec![vec![1500.0; 2]; 2];
    session.modes.push(firm);
    session
}

fn request(reference: usize) -> SideRequest {
    SideRequest { model: Model::QuarterFront, load_case: 0, speed_km_h: 72.0, roughness_m_per_s2: 2.0, reference }
}

fn own(session: &Session) -> Vec<SideColumn> {
    session.modes.iter().map(|mode| SideColumn { mode: mode.clone(), is_own: true }).collect()
}

fn set(mode: Mode) -> SideColumn {
    SideColumn { mode, is_own: false }
}

fn study(session: &Session) -> Study {
    Study::new(session, &Profiles::default()).unwrap()
}

fn side(session: &Session, columns: &[SideColumn], reference: usize) -> SideBoard {
    let mut cache = SideCache::default();
    study(session).side_by_side(columns, &request(reference), &mut cache, &common::progress()).unwrap().unwrap()
}

fn of(differences: &[Difference], mode: usize, metric: MetricId) -> &Difference {
    differences.iter().find(|d| d.mode == mode && d.metric == metric).unwrap()
}

#[test]
fn figures_are_means_over_roads_that_a_session_with_those_seeds_drives() {
    let session = session();
    let board = side(&session, &own(&session), 0);
    assert_eq!(board.draws, SIDE_DRAWS);
    // The same roads as sessions of their own: seeds lie 7919 apart.
    let cards: Vec<Vec<Scorecard>> = (0..SIDE_DRAWS as u64)
        .map(|draw| {
            let mut drawn = session.clone();
            let seeds = drawn.events.iter_mut().filter_map(|e: &mut Event| match &mut e.kind {
                EventKind::RandomRoad { seed, .. } => Some(seed),
                _ => None,
            });
            seeds.for_each(|seed| *seed += 7919 * draw);
            let study = study(&drawn);
            let all = study.selection(Model::QuarterFront, &[], &[], &["as described"]).unwrap();
            study.evaluate(&all, &common::progress()).unwrap().overall.into_iter().map(|o| o.card).collect()
        })
        .collect();
    for metric in [MetricId::WEIGHTED_ACCELERATION, MetricId::BODY_MOTION_RMS, MetricId::DYNAMIC_LOAD_COEFFICIENT] {
        let mean = |mode: usize| cards.iter().map(|c| c[mode].mean(metric).unwrap()).sum::<f64>() / cards.len() as f64;
        let d = of(&board.differences, 1, metric);
        approx::assert_relative_eq!(d.value, mean(1), max_relative = 1e-12);
        approx::assert_relative_eq!(d.reference, mean(0), max_relative = 1e-12);
        approx::assert_relative_eq!(d.share, (mean(1) - mean(0)) / mean(0), max_relative = 1e-9);
        approx::assert_relative_eq!(board.overall[1].mean(metric).unwrap(), mean(1), max_relative = 1e-12);
        assert!(d.half_width.unwrap() > 0.0);
    }
}

#[test]
fn columns_agree_with_the_comparison_of_the_verb() {
    let session = session();
    let board = side(&session, &own(&session), 1);
    let study = study(&session);
    let all = study.selection(Model::QuarterFront, &[], &[], &["as described"]).unwrap();
    let compared = study.compare(&all, 1, SIDE_DRAWS, &common::progress()).unwrap();
    assert_eq!(board.differences, compared.differences);
}

#[test]
fn a_set_is_driven_as_it_is_and_costs_its_own_runs_only() {
    let session = session();
    let study = study(&session);
    let mut cache = SideCache::default();
    let mut older = session.modes[1].clone();
    older.base.values_n_s_per_m = vec![vec![900.0; 2]; 2];
    let copy = Mode { purpose: "another word".into(), ..session.modes[1].clone() };
    let columns: Vec<SideColumn> = own(&session).into_iter().chain([set(copy), set(older)]).collect();
    let run = |columns: &[SideColumn], reference: usize, cache: &mut SideCache| {
        let progress = common::progress();
        let board = study.side_by_side(columns, &request(reference), cache, &progress).unwrap().unwrap();
        (board, progress.state().1)
    };
    let (board, pieces) = run(&columns[..2], 0, &mut cache);
    assert!(pieces > 0 && board.overall.len() == 2);
    let (board, pieces) = run(&columns[..3], 1, &mut cache);
    assert_eq!(pieces, 0, "the same calibration under another name needs no run, nor does another reference");
    let same = of(&board.differences, 2, MetricId::WEIGHTED_ACCELERATION);
    assert_eq!((same.share, same.half_width), (0.0, Some(0.0)));
    assert_eq!(board.responses[1], board.responses[2]);
    let (board, pieces) = run(&columns, 1, &mut cache);
    assert!(pieces > 0);
    assert!(of(&board.differences, 3, MetricId::WEIGHTED_ACCELERATION).share.abs() > 0.01);
    // As if the older mode were the session's own.
    let mut back = session.clone();
    back.modes[1] = columns[3].mode.clone();
    let expected = side(&back, &own(&back), 0);
    assert_eq!(board.overall[3], expected.overall[1]);
    assert_eq!(board.responses[3], expected.responses[1]);
}

#[test]
fn differences_on_one_event_have_an_interval_where_its_road_is_drawn() {
    let session = session();
    let board = side(&session, &own(&session), 0);
    let of_event = |e: usize| of(&board.event_differences[e], 1, MetricId::WEIGHTED_ACCELERATION);
    assert!(of_event(0).half_width.is_some() && of_event(2).half_width.is_none());
    let mean = board.of_events[1][0].mean(MetricId::WEIGHTED_ACCELERATION).unwrap();
    approx::assert_relative_eq!(of_event(0).value, mean, max_relative = 1e-12);
}

#[test]
fn steps_lead_from_each_column_to_the_next_and_small_ones_are_not_felt() {
    let session = session();
    let mut nearly = session.modes[1].clone();
    nearly.base.values_n_s_per_m = vec![vec![1501.0; 2]; 2];
    let columns: Vec<SideColumn> = own(&session).into_iter().chain([set(nearly)]).collect();
    let board = side(&session, &columns, 0);
    let step = |to: usize, metric: MetricId| {
        board.steps.iter().find(|s| s.difference.mode == to && s.difference.metric == metric).unwrap()
    };
    for metric in [MetricId::BODY_MOTION_RMS, MetricId::WEIGHTED_ACCELERATION] {
        assert!(FELT.contains(&metric));
        let (first, second) = (step(1, metric), step(2, metric));
        assert_eq!((first.from, second.from), (0, 1));
        assert!(second.difference.share.abs() < FELT_SHARE && !second.is_felt, "{second:?}");
        assert_eq!(first.is_felt, first.difference.share.abs() >= 0.08);
    }
    assert!(board.steps.iter().any(|s| s.is_felt), "firmer by four times is felt: {:?}", board.steps);
}

#[test]
fn fences_judge_columns_on_the_roads_of_the_session() {
    let mut session = session();
    let fence = |at_most: f64, relative_to: Option<&str>, modes: &[&str]| Fence {
        metric: "weighted_acceleration_m_per_s2".into(),
        at_most: Some(at_most),
        at_least: None,
        relative_to: relative_to.map(str::to_owned),
        event: None,
        modes: modes.iter().map(|m| (*m).to_owned()).collect(),
    };
    session.fences = vec![fence(1.0, Some("mode"), &["firm"]), fence(9.0, None, &[])];
    // The mode that the first fence is relative to has no column; a set's mode of the same name is not meant.
    let mut other = session.modes[1].clone();
    other.name = "mode".into();
    let columns = [SideColumn { mode: session.modes[1].clone(), is_own: true }, set(other)];
    let board = side(&session, &columns, 0);
    let study = study(&session);
    let all = study.selection(Model::QuarterFront, &[], &[], &["as described"]).unwrap();
    let expected = study.evaluate(&all, &common::progress()).unwrap().fences;
    let (relative, theirs) = (&board.fences[0], expected.iter().find(|f| f.fence == 0).unwrap());
    assert_eq!((relative.mode, relative.value, relative.bound), (0, theirs.value, theirs.bound));
    let judged: Vec<(usize, usize)> = board.fences.iter().map(|f| (f.fence, f.mode)).collect();
    assert_eq!(judged, [(0, 0), (1, 0), (1, 1)]);
}

#[test]
fn a_mode_that_does_not_fit_the_car_is_a_sentence_and_stopping_stops() {
    let session = session();
    let study = study(&session);
    let mut mode = session.modes[0].clone();
    mode.current_max_a = 4.0;
    let mut cache = SideCache::default();
    let progress = common::progress();
    let fault = study.side_by_side(&[set(mode)], &request(0), &mut cache, &progress).unwrap().unwrap_err();
    assert!(fault.to_string().contains("current_max_a is 4 A"), "{fault}");
    progress.cancel();
    let stopped = study.side_by_side(&own(&session), &request(0), &mut cache, &progress).err();
    assert_eq!(stopped, Some(Cancelled));
}

#[test]
fn maps_of_the_same_axes_differ_cell_by_cell() {
    let session = session();
    let (one, other) = (&session.modes[0], &session.modes[1]);
    let base = MapDifference::between(one, other, MapName::Base).unwrap();
    assert!(base.same_axes);
    assert_eq!((base.at(1, 1), base.count(), base.largest()), (1500.0, 4, Some((0, 0))));
    let heave = MapDifference::between(one, other, MapName::Heave).unwrap();
    assert_eq!((heave.count(), heave.largest()), (0, None));
    assert_eq!(MapDifference::between(one, other, MapName::Floor), None);
}

#[test]
fn maps_of_other_axes_are_read_at_the_breakpoints_of_both() {
    let mut session = session();
    session.modes[1].base = serde_json::from_str(
        r#"{"rows": [0, 50, 200], "columns": [0, 5], "values_n_s_per_m": [[0, 100], [0, 300], [0, 900]]}"#,
    )
    .unwrap();
    let d = MapDifference::between(&session.modes[0], &session.modes[1], MapName::Base).unwrap();
    assert!(!d.same_axes);
    assert_eq!((d.rows.as_slice(), d.columns.as_slice()), (&[0.0, 50.0, 100.0, 200.0][..], &[0.0, 5.0, 10.0][..]));
    // At 100 km/h a third of the way from 300 to 900; beyond the last column held.
    approx::assert_relative_eq!(d.at(2, 1), 500.0, max_relative = 1e-12);
    approx::assert_relative_eq!(d.at(2, 2), 500.0, max_relative = 1e-12);
    assert_eq!((d.at(3, 0), d.largest()), (0.0, Some((3, 1))));
}

#[test]
fn the_modes_of_a_new_session_stand_side_by_side_though_they_are_only_proposed() {
    let session = washboard_session::proposal::new_session();
    assert!(session.proposed.iter().any(|mark| mark.starts_with("modes/")), "{:?}", session.proposed);
    let study = Study::new(&session, &Profiles::default()).unwrap();
    assert!(study.with_modes(&session.modes).is_ok());
}
