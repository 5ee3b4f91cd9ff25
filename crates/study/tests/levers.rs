//! Levers: what a cell is said to do is what an evaluation of the edited session says, and so is what a step is said to do.

#![allow(clippy::unwrap_used)] // a test fails by panicking

use std::path::Path;
use washboard_metrics::MetricId;
use washboard_session::complaints::{Complaints, MapAxis, MapPick, Wanted};
use washboard_session::{Fence, MapName, Session};
use washboard_study::{
    InfluenceRequest, LeverRequest, Levers, Model, Profiles, Progress, Study, Trial, check_complaints,
    trial_step_n_s_per_m,
};

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
    let crest = session.events.iter().position(|e| e.name == "crest").unwrap();
    LeverRequest {
        influence: InfluenceRequest {
            trial: Trial { model: Model::Pitch, load_case: 0, events: vec![(crest, 1.0)] },
            mode: 1,
            metric: MetricId::BODY_MOTION_RMS,
            beside: vec![MetricId::WEIGHTED_ACCELERATION, MetricId::PITCH_PEAK],
            step_n_s_per_m: trial_step_n_s_per_m(&session.modes[1]),
        },
        wanted: Wanted::Less,
        maps: [MapName::Heave, MapName::Base].map(|map| MapPick { map, along: both.clone() }).to_vec(),
    }
}

fn levers(session: &Session, request: &LeverRequest) -> Levers {
    study(session).levers(request, &Progress::new(), |_| {}).unwrap()
}

/// Body motion over the crest and a metric over all events, of the second mode.
fn figures(session: &Session, other: MetricId) -> (f64, f64) {
    let study = study(session);
    let selection = study.selection(Model::Pitch, &[], &[], &["as described"]).unwrap();
    let found = study.evaluate(&selection, &Progress::new()).unwrap();
    let crest = session.events.iter().position(|e| e.name == "crest").unwrap();
    let run = found.runs.iter().find(|r| r.mode == 1 && r.event == crest).unwrap();
    let overall = found.overall.iter().find(|o| o.mode == 1).unwrap();
    (run.card.mean(MetricId::BODY_MOTION_RMS).unwrap(), overall.card.mean(other).unwrap())
}

#[test]
fn a_step_does_what_it_was_said_to_do() {
    let session = session();
    let mut grown = Vec::new();
    let levers =
        study(&session).levers(&request(&session), &Progress::new(), |l| grown.push(l.influence.known)).unwrap();
    assert!(levers.is_whole && levers.influence.is_whole() && levers.largest(MapName::Heave) > 0.0);
    assert!(grown.windows(2).all(|w| w[0] < w[1]) && grown.len() > 1, "{grown:?}");
    let best = levers.steps.first().unwrap();
    assert!(best.effect.after < best.effect.before && best.crossed.is_empty());
    assert!(best.effect.share().unwrap() < -0.005, "{:?}", best.effect);
    let mut edited = session.clone();
    for &(r, c, value) in &best.cells {
        edited.modes[1].map_mut(best.map).unwrap().values[r][c] = value;
        assert!(levers.influence.cell(best.map, r, c).unwrap().is_visited(), "only cells in use are stepped");
    }
    let other = best.beside.iter().find(|c| c.metric == MetricId::WEIGHTED_ACCELERATION).unwrap();
    assert_eq!(figures(&session, other.metric), (best.effect.before, other.before));
    assert_eq!(figures(&edited, other.metric), (best.effect.after, other.after));
    let effects: Vec<f64> = levers.steps.iter().map(|s| s.effect.before - s.effect.after).collect();
    assert!(effects.windows(2).all(|w| w[0] >= w[1]) && effects.iter().all(|e| *e > 0.0), "{effects:?}");
}

#[test]
fn a_step_that_would_cross_a_fence_says_so() {
    let mut session = session();
    let request = request(&session);
    let free = levers(&session, &request);
    let best = &free.steps[0];
    let cost = best.beside.iter().find(|c| c.metric == MetricId::WEIGHTED_ACCELERATION).unwrap();
    assert!(cost.after != cost.before, "the step moves comfort: {cost:?}");
    // Halfway to where the step leads, on the side it comes from.
    let halfway = Some(0.5 * (cost.before + cost.after));
    let (at_most, at_least) = if cost.after > cost.before { (halfway, None) } else { (None, halfway) };
    session.fences.push(Fence {
        metric: "weighted_acceleration_m_per_s2".into(),
        at_most,
        at_least,
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
fn locked_cells_stay_out_of_every_step() {
    let mut session = session();
    let request = request(&session);
    let best = levers(&session, &request).steps.swap_remove(0);
    let (row, column, _) = best.cells[0];
    session.modes[1].locked.set(best.map, &[(row, column)], true);
    let with_lock = levers(&session, &request);
    let same = with_lock.steps.iter().find(|s| (s.map, s.size) == (best.map, best.size)).unwrap();
    assert_eq!(same.locked, 1);
    assert!(same.cells.iter().all(|c| (c.0, c.1) != (row, column)));
    assert_eq!(same.cells.len(), best.cells.len() - 1);
}

#[test]
fn a_metric_that_no_event_carries_has_no_lever() {
    let session = session();
    let mut request = request(&session);
    request.influence.metric = MetricId::ROLL_SETTLING;
    let levers = levers(&session, &request);
    assert_eq!((levers.influence.value, levers.steps.len(), levers.is_whole), (None, 0, true));
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

#[test]
fn a_floor_is_visited_where_the_roll_map_of_its_axes_is_and_its_cells_are_told_per_ampere() {
    let mut session = session();
    let roll = session.modes[1].roll.clone();
    // High enough that the law alone seldom asks for more.
    let values_a = vec![vec![0.6; roll.columns.len()]; roll.rows.len()];
    let floor = washboard_session::CurrentMap { rows: roll.rows.clone(), columns: roll.columns.clone(), values_a };
    session.modes[1].floor = Some(floor);
    session.modes[0].floor = None;
    let study_of = study(&session);
    let selection = study_of.selection(Model::Pitch, &[], &[], &["as described"]).unwrap();
    let (_, visits) = study_of.evaluate_with_visits(&selection, true, &Progress::new()).unwrap();
    assert_eq!(visits[1].of(MapName::Floor), visits[1].of(MapName::Roll));
    let sum: f64 = visits[1].of(MapName::Floor).unwrap().iter().flatten().sum();
    assert!((sum - 1.0).abs() < 1e-9, "{sum}");
    assert!(visits[0].of(MapName::Floor).is_none(), "where there is no floor nothing is told of one");

    let mut request = request(&session);
    request.maps.clear();
    let levers = levers(&session, &request);
    let known = levers.influence.maps.iter().find(|m| m.map == MapName::Floor).unwrap();
    let (row, column, slope) = (0..known.cells.len())
        .flat_map(|r| (0..known.cells[r].len()).map(move |c| (r, c)))
        .filter_map(|(r, c)| Some((r, c, known.cells[r][c].effect.as_ref()?.per_unit?)))
        .max_by(|a, b| a.2.abs().total_cmp(&b.2.abs()))
        .unwrap();
    assert!(slope != 0.0 && levers.largest(MapName::Floor) == slope.abs());
    // Told per ampere: the cell moved by hand does as much.
    let (before, _) = figures(&session, MetricId::PITCH_PEAK);
    session.modes[1].floor.as_mut().unwrap().values_a[row][column] += 0.05;
    let (after, _) = figures(&session, MetricId::PITCH_PEAK);
    assert!(((after - before) - slope * 0.05).abs() <= 1e-9 * before.abs(), "{before} {after} {slope}");
}
