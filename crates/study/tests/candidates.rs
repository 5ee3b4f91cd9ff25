//! Candidates and influences are what an evaluation of the edited session says.

#![allow(clippy::unwrap_used)] // a test fails by panicking

use washboard_metrics::MetricId;
use washboard_session::{MapName, Session};
use washboard_study::{Model, Profiles, Progress, Study};

/// The demo with two short random roads.
fn session() -> Session {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-sessions/estate.ron")).unwrap();
    let mut session = washboard_session::parse_ron(&text).unwrap();
    session.events.retain(|e| ["country road", "farm track"].contains(&e.name.as_str()));
    session.fences.clear();
    for event in &mut session.events {
        event.duration_s = 3.0;
        event.settle_s = 0.5;
    }
    session
}

fn study(session: &Session) -> Study {
    Study::new(session, &Profiles::default()).unwrap()
}

#[test]
fn a_candidate_scores_what_it_scores_as_a_mode() {
    let session = session();
    let study = study(&session);
    let mut modes = session.modes.clone();
    modes.extend(session.modes.iter().cycle().take(70).cloned());
    let mut found = Vec::new();
    study.candidates(Model::Pitch, 0, &modes, &Progress::new(), |index, card| found.push((index, card))).unwrap();
    assert_eq!(found.iter().map(|f| f.0).collect::<Vec<_>>(), (0..modes.len()).collect::<Vec<_>>());
    let selection = study.selection(Model::Pitch, &[], &[], &["as described"]).unwrap();
    let evaluation = study.evaluate(&selection, &Progress::new()).unwrap();
    for (index, card) in &found {
        let mode = if *index < 3 { *index } else { (index - 3) % 3 };
        assert_eq!(*card, evaluation.overall[mode].card, "candidate {index}");
    }
}

#[test]
fn an_influence_is_the_difference_that_the_edit_makes() {
    let session = session();
    let metric = MetricId::WEIGHTED_ACCELERATION;
    let overall = |session: &Session| {
        let study = study(session);
        let selection = study.selection(Model::Pitch, &[], &[], &["as described"]).unwrap();
        study.evaluate(&selection, &Progress::new()).unwrap().overall[1].card.mean(metric).unwrap()
    };
    let mut cells = Vec::new();
    study(&session).influence(Model::Pitch, 1, 0, metric, 100.0, &Progress::new(), |cell| cells.push(cell)).unwrap();
    assert!(cells.iter().any(|c| c.change_per_unit != 0.0) && cells.iter().all(|c| c.visit_share >= 1e-3));
    let most = cells.iter().filter(|c| c.map == MapName::Heave).max_by(|a, b| a.visit_share.total_cmp(&b.visit_share));
    let cell = most.unwrap();
    let mut edited = session.clone();
    edited.modes[1].heave.values_n_s_per_m[cell.row][cell.column] += 100.0;
    assert_eq!(cell.change_per_unit, (overall(&edited) - overall(&session)) / 100.0);
}
