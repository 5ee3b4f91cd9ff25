//! Candidates and influences are what an evaluation of the edited session says.

#![allow(clippy::unwrap_used)] // a test fails by panicking

use washboard_metrics::{MetricId, Scorecard};
use washboard_session::{MapName, Session};
use washboard_study::{
    Cancelled, Influence, InfluenceRequest, Memory, Model, Precision, Profiles, Progress, Study, Trial, VISITED_SHARE,
};

/// The demo with two short random roads.
fn session() -> Session {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-sessions/estate.ron")).unwrap();
    let mut session = washboard_session::parse_ron(&text).unwrap();
    session.events.retain(|e| ["country road", "farm track"].contains(&e.name.as_str()));
    session.fences.retain(|f| f.event.is_none());
    for event in &mut session.events {
        event.duration_s = 3.0;
        event.settle_s = 0.5;
    }
    session
}

fn study(session: &Session) -> Study {
    Study::new(session, &Profiles::default()).unwrap()
}

/// The weighted mean of the second mode.
fn overall(session: &Session) -> Scorecard {
    let study = study(session);
    let selection = study.selection(Model::Pitch, &[], &[], &["as described"]).unwrap();
    study.evaluate(&selection, &Progress::new()).unwrap().overall[1].card.clone()
}

fn request(study: &Study) -> InfluenceRequest {
    InfluenceRequest {
        trial: study.trial(Model::Pitch, 0),
        mode: 1,
        metric: MetricId::WEIGHTED_ACCELERATION,
        beside: vec![MetricId::DYNAMIC_LOAD_COEFFICIENT, MetricId::LIFT_TIME],
        step_n_s_per_m: 100.0,
    }
}

#[test]
fn a_candidate_scores_what_it_scores_as_a_mode() {
    let session = session();
    let study = study(&session);
    let mut modes = session.modes.clone();
    modes.extend(session.modes.iter().cycle().take(70).cloned());
    let mut found = Vec::new();
    let trial = study.trial(Model::Pitch, 0);
    study.candidates(&trial, Precision::Double, &modes, &Progress::new(), |candidate| found.push(candidate)).unwrap();
    assert_eq!(found.iter().map(|f| f.index).collect::<Vec<_>>(), (0..modes.len()).collect::<Vec<_>>());
    let selection = study.selection(Model::Pitch, &[], &[], &["as described"]).unwrap();
    let evaluation = study.evaluate(&selection, &Progress::new()).unwrap();
    for candidate in &found {
        let mode = if candidate.index < 3 { candidate.index } else { (candidate.index - 3) % 3 };
        assert_eq!(candidate.overall, evaluation.overall[mode].card, "candidate {}", candidate.index);
        for (event, card) in candidate.of_events.iter().enumerate() {
            assert_eq!(*card, evaluation.runs[2 * mode + event].card);
        }
    }
}

#[test]
fn a_trial_drives_the_events_it_names_and_weighs_them() {
    let session = session();
    let study = study(&session);
    let score = |events: &[(usize, f64)]| {
        let trial = Trial { model: Model::Pitch, load_case: 0, events: events.to_vec() };
        let mut found = Vec::new();
        study.candidates(&trial, Precision::Double, &session.modes[..1], &Progress::new(), |c| found.push(c)).unwrap();
        (found[0].overall.mean(MetricId::WEIGHTED_ACCELERATION).unwrap(), found[0].of_events.len())
    };
    let (first, second) = (score(&[(0, 1.0)]), score(&[(1, 5.0), (0, 0.0)]));
    assert_eq!((first.1, second.1), (1, 1), "an event without weight is not driven");
    let both = score(&[(0, 3.0), (1, 1.0)]);
    assert!((both.0 - (3.0 * first.0 + second.0) / 4.0).abs() < 1e-12);
}

#[test]
fn an_influence_is_the_difference_that_the_edit_makes() {
    let session = session();
    let study = study(&session);
    let request = request(&study);
    let whole = study.influence(&request, &Progress::new(), |_| ()).unwrap();
    assert!(whole.is_whole() && whole.visited > 4);
    let before = overall(&session);
    assert_eq!(whole.value, before.mean(request.metric));
    let heave = whole.maps.iter().find(|m| m.map == MapName::Heave).unwrap();
    let mut compared = 0;
    for (row, cells) in heave.cells.iter().enumerate() {
        for (column, cell) in cells.iter().enumerate() {
            assert_eq!(cell.effect.is_some(), cell.visit_share >= VISITED_SHARE);
            let Some(effect) = &cell.effect else { continue };
            let mut edited = session.clone();
            edited.modes[1].heave.values_n_s_per_m[row][column] += 100.0;
            let after = overall(&edited);
            let change = |metric| (after.mean(metric).unwrap() - before.mean(metric).unwrap()) / 100.0;
            assert_eq!(effect.per_unit, Some(change(request.metric)), "row {row}, column {column}");
            let beside: Vec<_> = request.beside.iter().map(|&m| Some(change(m))).collect();
            assert_eq!(effect.beside_per_unit, beside);
            compared += 1;
        }
    }
    assert!(compared > 2);
}

#[test]
fn an_influence_grows_from_the_most_used_cells_and_can_be_stopped() {
    let study = study(&session());
    let request = request(&study);
    let mut seen: Vec<Influence> = Vec::new();
    let whole = study.influence(&request, &Progress::new(), |now| seen.push(now.clone())).unwrap();
    assert_eq!((seen[0].known, seen.last().unwrap()), (0, &whole));
    assert!(seen.windows(2).all(|pair| pair[0].known < pair[1].known) && seen.len() > 2);
    let cells = |now: &Influence| now.maps.iter().flat_map(|m| &m.cells).flatten().cloned().collect::<Vec<_>>();
    let first = cells(&seen[1]);
    let known = first.iter().filter(|c| c.effect.is_some()).map(|c| c.visit_share).fold(1.0, f64::min);
    let waiting = first.iter().filter(|c| c.effect.is_none()).map(|c| c.visit_share).fold(0.0, f64::max);
    assert!(known >= waiting, "the most used first: {known} against {waiting}");

    let progress = Progress::new();
    let mut batches = 0;
    let stopped = study.influence(&request, &progress, |now| {
        batches += 1;
        if now.known > 0 {
            progress.cancel();
        }
    });
    assert_eq!((stopped, batches), (Err(Cancelled), 2));
}

#[test]
fn fences_of_a_candidate_are_those_of_the_edited_session() {
    let session = session();
    assert!(!session.fences.is_empty(), "the demo has fences over all events");
    let memory = Memory::default();
    let study = study(&session).sharing(&memory);
    let mut candidate = session.modes[1].clone();
    candidate.base.values_n_s_per_m.iter_mut().flatten().for_each(|v| *v += 800.0);
    let trial = study.trial(Model::Pitch, 0);
    let candidates = [session.modes[1].clone(), candidate.clone()];
    let found = study.fences_in_place_of(1, &trial, &candidates, &Progress::new()).unwrap();
    for (candidate, found) in candidates.iter().zip(found) {
        let mut edited = session.clone();
        edited.modes[1] = candidate.clone();
        let selection = study.selection(Model::Pitch, &[], &[], &["as described"]).unwrap();
        let evaluation =
            Study::new(&edited, &Profiles::default()).unwrap().evaluate(&selection, &Progress::new()).unwrap();
        let expected: Vec<_> = evaluation.fences.into_iter().filter(|f| f.mode == 1).collect();
        assert_eq!(found, expected);
        assert!(!found.is_empty());
    }
}
