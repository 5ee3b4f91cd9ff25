//! Levers: what a cell is said to do is what an evaluation of the edited session says, and so is what a step is said to do.

#![allow(clippy::unwrap_used)] // a test fails by panicking

use std::path::Path;
use washboard_metrics::MetricId;
use washboard_session::complaints::{Complaints, MapAxis, MapPick, Wanted};
use washboard_session::{Fence, MapName, Session};
use washboard_study::{LeverRequest, Levers, Model, Profiles, Progress, Study, check_complaints};

/// The demo with a short road, the crest and the braking.
fn session() -> Session {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-sessions/estate.ron");
    let mut session = washboard_session::parse_ron(&std::fs::read_to_string(path).unwrap()).unwrap();
    session.events.retain(|e| ["country road", "crest", "braking"].contains(&e.name.as_str()));
    session.fences.clear();
    for event in &mut session.events {
        event.duration_s = event.duration_s.min(5.0);
        event.settle_s = 0.5;
    }
    session
}

fn study(session: &Session) -> Study {
    Study::new(session, &Profiles::default()).unwrap()
}

fn request(session: &Session) -> LeverRequest {
    let both = vec![MapAxis::Speed, MapAxis::Second];
    LeverRequest {
        model: Model::Pitch,
        load_case: 0,
        mode: 1,
        metric: MetricId::BODY_MOTION_RMS,
        wanted: Wanted::Less,
        events: vec![session.events.iter().position(|e| e.name == "crest").unwrap()],
        maps: [MapName::Heave, MapName::Base].map(|map| MapPick { map, along: both.clone() }).to_vec(),
        others: vec![MetricId::WEIGHTED_ACCELERATION, MetricId::PITCH_PEAK],
        with_steps: true,
    }
}

fn levers(session: &Session, request: &LeverRequest) -> Levers {
    study(session).levers(request, &Progress::new(), |_| {}).unwrap()
}

/// A metric on one event and another over all events.
fn figures(session: &Session, request: &LeverRequest, other: MetricId) -> (f64, f64) {
    let study = study(session);
    let selection = study.selection(request.model, &[], &[], &["as described"]).unwrap();
    let found = study.evaluate(&selection, &Progress::new()).unwrap();
    let run = found.runs.iter().find(|r| r.mode == request.mode && r.event == request.events[0]).unwrap();
    let overall = found.overall.iter().find(|o| o.mode == request.mode).unwrap();
    (run.card.mean(request.metric).unwrap(), overall.card.mean(other).unwrap())
}

#[test]
fn a_lever_is_the_difference_that_the_edit_makes() {
    let session = session();
    let request = LeverRequest { with_steps: false, ..request(&session) };
    let mut grown = Vec::new();
    let levers = study(&session).levers(&request, &Progress::new(), |l| grown.push(l.cells.len())).unwrap();
    assert!(levers.is_whole && levers.cells.len() == levers.visited && levers.visited > 4);
    assert!(grown.windows(2).all(|w| w[0] < w[1]) && !grown.is_empty(), "{grown:?}");
    assert!(levers.cells.windows(2).all(|w| w[0].visit_share >= w[1].visit_share));
    let cell = levers.cells.iter().max_by(|a, b| a.change_per_unit.abs().total_cmp(&b.change_per_unit.abs())).unwrap();
    assert_eq!(cell.change_per_unit.abs(), levers.largest());
    // The trial is 5 % of the largest gain looked at.
    let own = &session.modes[1];
    let gains = own.heave.values_n_s_per_m.iter().chain(&own.base.values_n_s_per_m).flatten();
    let trial = 0.05 * gains.fold(0.0_f64, |most, v| most.max(*v));
    let mut edited = session.clone();
    edited.modes[1].map_mut(cell.map).unwrap().values[cell.row][cell.column] += trial;
    let (before, after) = (figures(&session, &request, request.metric).0, figures(&edited, &request, request.metric).0);
    assert_eq!(levers.now, Some(before));
    assert_eq!(cell.change_per_unit, (after - before) / trial);
}

#[test]
fn a_step_does_what_it_was_said_to_do() {
    let session = session();
    let request = request(&session);
    let levers = levers(&session, &request);
    let best = levers.steps.first().unwrap();
    assert!(best.effect.after < best.effect.before && best.crossed.is_empty());
    assert!(best.effect.share().unwrap() < -0.005, "{:?}", best.effect);
    let mut edited = session.clone();
    for &(r, c, value) in &best.cells {
        edited.modes[1].map_mut(best.map).unwrap().values[r][c] = value;
        assert!(levers.of(best.map, r, c).is_some(), "only cells in use are stepped");
    }
    let other = best.others.iter().find(|c| c.metric == MetricId::WEIGHTED_ACCELERATION).unwrap();
    assert_eq!(figures(&session, &request, other.metric), (best.effect.before, other.before));
    assert_eq!(figures(&edited, &request, other.metric), (best.effect.after, other.after));
    let effects: Vec<f64> = levers.steps.iter().map(|s| s.effect.before - s.effect.after).collect();
    assert!(effects.windows(2).all(|w| w[0] >= w[1]) && effects.iter().all(|e| *e > 0.0), "{effects:?}");
}

#[test]
fn a_step_that_would_cross_a_fence_says_so() {
    let mut session = session();
    let request = request(&session);
    let free = levers(&session, &request);
    let best = &free.steps[0];
    let cost = best.others.iter().find(|c| c.metric == MetricId::WEIGHTED_ACCELERATION).unwrap();
    assert!(cost.after > cost.before, "the step costs comfort: {cost:?}");
    session.fences.push(Fence {
        metric: "weighted_acceleration_m_per_s2".into(),
        at_most: Some(0.5 * (cost.before + cost.after)),
        at_least: None,
        relative_to: None,
        event: None,
        modes: vec![session.modes[1].name.clone()],
    });
    let fenced = levers(&session, &request);
    let same = fenced.steps.iter().find(|s| (s.map, s.size) == (best.map, best.size)).unwrap();
    assert_eq!(same.crossed.len(), 1);
    assert_eq!((same.crossed[0].mode, same.crossed[0].kept), (1, false));
    assert!(fenced.steps.iter().any(|s| s.crossed.is_empty()), "smaller steps stay inside");
}

#[test]
fn a_metric_that_no_event_carries_has_no_lever() {
    let session = session();
    let request = LeverRequest { metric: MetricId::ROLL_SETTLING, ..request(&session) };
    let levers = levers(&session, &request);
    assert_eq!((levers.now, levers.cells.len(), levers.steps.len(), levers.is_whole), (None, 0, 0, true));
}

#[test]
fn stopped_work_comes_back_without_a_result() {
    let session = session();
    let progress = Progress::new();
    let stopped = study(&session).levers(&request(&session), &progress, |_| progress.cancel());
    assert!(stopped.is_err());
}

#[test]
fn the_table_of_the_program_names_metrics_there_are() {
    let mut table = Complaints::built_in();
    check_complaints(&table).unwrap();
    table.complaints[1].metric = "comfort".into();
    let sentence = check_complaints(&table).unwrap_err().to_string();
    assert!(sentence.contains("\"comfort\""), "{sentence}");
}
