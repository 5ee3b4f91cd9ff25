//! Every kind of event: it can be driven, gives the metrics that the trade reads from it, and can be looked at.

#![allow(clippy::unwrap_used)] // a test fails by panicking

use std::path::Path;
use std::sync::Arc;
use washboard_metrics::MetricId;
use washboard_session::{ConeCourse, Event, EventKind, RoadClass, Session, Side, SpeedChange};
use washboard_study::{Board, BoardRequest, EventView, Model, Profiles, Progress, Study, metrics_read};

fn estate(events: Vec<Event>) -> Session {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-sessions/estate.ron");
    let mut session = washboard_session::load(&path).unwrap();
    session.modes.truncate(1);
    session.reference_mode = None;
    session.fences.clear();
    session.events = events;
    session
}

/// One of each kind but the measured profile.
fn one_of_each() -> Vec<Event> {
    let (lead_m, side) = (5.0, Side::Both);
    let cones = |course| EventKind::ConeLaneChange { course, vehicle_width_m: 1.8, lead_m };
    let kinds = vec![
        EventKind::RandomRoad {
            class: RoadClass::C,
            seed: 1,
            from_cycles_per_m: 0.011,
            to_cycles_per_m: 2.83,
            ramp_m: 10.0,
        },
        EventKind::PatchedRoad { seed: 1, height_m: 0.012, length_m: 1.5, clear_m: 4.0, edge_m: 0.05, lead_m },
        EventKind::Undulation { height_m: 0.08, length_m: 20.0, waves: 2, right_lag_share: 0.5, lead_m },
        EventKind::CosineBump { height_m: 0.05, length_m: 0.8, lead_m, side: Side::Left },
        EventKind::CircularHump { height_m: 0.1, length_m: 3.7, lead_m, side },
        EventKind::Pothole { depth_m: 0.05, length_m: 0.8, edge_m: 0.1, lead_m, side },
        EventKind::RailwayCrossing {
            tracks: 1,
            track_spacing_m: 4.0,
            rail_height_m: 0.005,
            groove_width_m: 0.065,
            groove_depth_m: 0.04,
            edge_m: 0.01,
            lead_m,
        },
        EventKind::ExpansionJoints {
            spacing_m: 8.0,
            joints: 3,
            gap_m: 0.08,
            depth_m: 0.012,
            fault_m: 0.0,
            edge_m: 0.01,
            lead_m,
            side,
        },
        EventKind::Sweep {
            from_hz: 0.5,
            to_hz: 20.0,
            velocity_amplitude_m_per_s: 0.1,
            spacing: washboard_session::Spacing::Logarithmic,
        },
        EventKind::Harmonic { frequency_hz: 1.3, amplitude_m: 0.01 },
        EventKind::LateralStep { acceleration_m_per_s2: 4.0, rise_s: 0.3, start_s: 0.5 },
        EventKind::LaneChange { acceleration_m_per_s2: 4.0, period_s: 2.0, start_s: 0.5 },
        EventKind::StepSteer { acceleration_m_per_s2: 4.0, rise_s: 0.15, start_s: 0.5 },
        EventKind::SineSteer { acceleration_m_per_s2: 3.0, frequency_hz: 0.5, periods: 1, start_s: 0.5 },
        cones(ConeCourse::DoubleLaneChange),
        cones(ConeCourse::ObstacleAvoidance),
        EventKind::Slalom { spacing_m: 18.0, cones: 4, vehicle_width_m: 1.8, lead_m },
        EventKind::BrakeInBend {
            lateral_m_per_s2: 5.0,
            entry_s: 1.0,
            start_s: 0.5,
            deceleration_m_per_s2: 4.0,
            rise_s: 0.2,
            brake_s: 2.0,
        },
        EventKind::Braking { deceleration_m_per_s2: 5.0, rise_s: 0.3, start_s: 0.5, hold_s: None },
        EventKind::Drive { acceleration_m_per_s2: 3.0, rise_s: 0.3, start_s: 0.5, hold_s: None },
    ];
    kinds.into_iter().enumerate().map(|(i, kind)| Event::new(format!("event {i}"), 60.0, 8.0, kind)).collect()
}

fn study(events: Vec<Event>) -> Study {
    Study::new(&estate(events), &Profiles::default()).unwrap()
}

fn views(events: Vec<Event>) -> Vec<Arc<EventView>> {
    study(events).event_views(&[], &Progress::new()).unwrap()
}

#[test]
fn every_event_gives_the_metrics_that_are_read_from_it() {
    let mut events = one_of_each();
    // Fast enough not to stand still before the end: at rest there is no steady pitch to settle to.
    events[18].speed_km_h = 160.0;
    let study = study(events.clone());
    let selection = study.selection(Model::Full, &[], &[], &["as described"]).unwrap();
    let evaluation = study.evaluate(&selection, &Progress::new()).unwrap();
    // Absent where the body never settles or no after-shake dies out within the run.
    // A car that has stopped by the end of its run has no steady pitch to be over.
    let may_be_absent =
        [MetricId::ROLL_SETTLING, MetricId::PITCH_SETTLING, MetricId::PITCH_OVERSHOOT_SHARE, MetricId::AFTER_SHAKE];
    for (i, event) in events.iter().enumerate() {
        let card = &evaluation.runs.iter().find(|r| r.event == i).unwrap().card;
        let read = metrics_read(&event.kind);
        assert!(read.len() >= 6, "{:?}", event.kind);
        for (k, id) in read.iter().enumerate() {
            assert!(!read[..k].contains(id), "{} is named twice for {:?}", id.name(), event.kind);
            let found = card.mean(*id);
            assert!(found.is_some() || may_be_absent.contains(id), "{} is absent on {:?}", id.name(), event.kind);
            assert!(found.is_none_or(f64::is_finite));
        }
    }
}

/// Lateral manoeuvres must roll the car the way model.md has it (left-hand bend: left side up) and longitudinal ones
/// must not; one-sided roads roll it, others do not.
#[test]
fn events_move_the_car_in_the_degrees_of_freedom_they_ought_to() {
    let events = one_of_each();
    let study = study(events.clone());
    let selection = study.selection(Model::Full, &[], &[], &["as described"]).unwrap();
    let evaluation = study.evaluate(&selection, &Progress::new()).unwrap();
    for (i, event) in events.iter().enumerate() {
        let card = &evaluation.runs.iter().find(|r| r.event == i).unwrap().card;
        let rolls = card.mean(MetricId::ROLL_PEAK).unwrap() > 1e-4;
        let one_sided = matches!(
            event.kind,
            EventKind::RandomRoad { .. }
                | EventKind::PatchedRoad { .. }
                | EventKind::Undulation { .. }
                | EventKind::CosineBump { .. }
                | EventKind::LateralStep { .. }
                | EventKind::LaneChange { .. }
                | EventKind::BrakeInBend { .. }
        );
        assert_eq!(rolls, one_sided || event.kind.is_steered(), "{:?}", event.kind);
    }
}

/// Class C at 0.1 cycles/m is 256e-6 m^3, class bounds half and twice that (ISO 8608): a road of 1.3 km drawn for the
/// class is found to be of it, its waviness near 2.
#[test]
fn a_random_road_is_seen_to_be_of_its_class() {
    let mut event = one_of_each().remove(0);
    event.duration_s = 80.0;
    let view = &views(vec![event])[0];
    assert_eq!(view.road.tracks.len(), 2);
    for track in &view.road.tracks {
        let fit = track.density.as_ref().and_then(|d| d.fit).unwrap();
        assert_eq!(fit.class, 'C', "{fit:?}");
        assert!((1.8..2.2).contains(&fit.waviness), "{fit:?}");
        assert!(track.roughness_index_m_per_km.unwrap() > 1.0);
    }
    assert!(view.focus_m.is_none() && view.demands.lateral_m_per_s2.is_empty());
}

#[test]
fn an_obstacle_is_seen_where_it_lies_with_its_edges() {
    let events = one_of_each();
    let (bump, hump, rails) = (events[3].clone(), events[4].clone(), events[6].clone());
    let views = views(vec![bump, hump, rails]);
    let highest = |view: &EventView, track: usize| {
        let z = &view.road.tracks[track].height_m;
        z.iter().fold(f64::NEG_INFINITY, |most, z| most.max(*z))
    };
    assert!((highest(&views[0], 0) - 0.05).abs() < 1e-6 && highest(&views[0], 1) == 0.0);
    assert!((highest(&views[1], 0) - 0.1).abs() < 1e-6);
    let (from, to) = views[1].focus_m.unwrap();
    assert!(from < 5.0 && from > 2.0 && to > 8.7 && to < 12.0, "{from} to {to}");
    // Rails: 5 mm up and 40 mm down, edges of a centimetre are not lost between samples.
    let z = &views[2].road.tracks[0].height_m;
    assert!((highest(&views[2], 0) - 0.005).abs() < 1e-9);
    assert!((z.iter().fold(0.0_f64, |least, z| least.min(*z)) + 0.04).abs() < 1e-9);
    // The front axle is at 5 m after 5/(60/3.6) s.
    let track = &views[1].road.tracks[0];
    let at = track.distance_m.partition_point(|x| *x < 5.0);
    let expected_s = track.distance_m[at] / (60.0 / 3.6);
    assert!((views[1].road_time_s[0][at] - expected_s).abs() < 1e-9);
}

/// Braking: speed falls by deceleration times (time - half the rise), distance is its integral; the bend's lateral
/// acceleration falls with the square of speed.
#[test]
fn demands_are_those_of_mechanics() {
    let events = one_of_each();
    let views = views(vec![events[17].clone(), events[18].clone()]);
    let brake = &views[1].demands;
    let (n, end) = (brake.time_s.len(), *brake.time_s.last().unwrap());
    assert!((end - 8.0).abs() < 1e-9 && n == brake.distance_m.len());
    let speed = 60.0 / 3.6;
    let at = brake.time_s.partition_point(|t| *t < 3.0);
    let expected = speed - 5.0 * (brake.time_s[at] - 0.5 - 0.15);
    assert!((brake.speed_m_per_s[at] - expected).abs() < 1e-9);
    // Standstill after the way that uniform deceleration takes, plus what the rise costs.
    let after_rise = speed - 5.0 * 0.15;
    let way = speed * 0.8 - 5.0 * 0.3 * 0.3 / 6.0 + after_rise * after_rise / 10.0;
    assert!((brake.distance_m[n - 1] - way).abs() < 1e-3, "{} for {way}", brake.distance_m[n - 1]);
    let bend = &views[0].demands;
    let at = bend.time_s.partition_point(|t| *t < 4.0);
    let share = bend.speed_m_per_s[at] / speed;
    assert!((bend.lateral_m_per_s2[at] - 5.0 * share * share).abs() < 1e-9);
    assert!(views[0].remarks.iter().any(|r| r.contains("circle")));
}

#[test]
fn a_view_says_what_the_model_leaves_out() {
    let mut events = one_of_each();
    events[14].duration_s = 3.0;
    events[15].speed_km_h = 75.0;
    let said = |view: &EventView, part: &str| view.remarks.iter().any(|r| r.contains(part));
    let views = views(events);
    assert!(said(&views[14], "drive longer") && said(&views[14], "single-track"));
    assert!(said(&views[15], "do not give more than"), "{:?}", views[15].remarks);
    assert!(said(&views[6], "contact length"));
    assert!(views[9].remarks.is_empty(), "{:?}", views[9].remarks);
    assert!(views.iter().all(|v| v.simplified.ends_with('.')));
    assert!(views[5].simplified.contains("contact length") && views[10].simplified.contains("no tyre slip"));
    let cones = views[14].cones.as_ref().unwrap();
    assert_eq!(cones.lanes_m.len(), 3);
    assert!((cones.lanes_m[0][1] - cones.lanes_m[0][0] - 15.0).abs() < 1e-9);
    assert_eq!(views[16].cones.as_ref().unwrap().cones_m.len(), 4);
}

/// From 30 to 90 km/h within 6 s with half a second of rise and fall: uniform in between.
#[test]
fn speed_changes_on_the_way_as_asked() {
    let mut event = one_of_each().remove(0);
    event.speed_km_h = 30.0;
    event.speed_change = Some(SpeedChange { to_km_h: 90.0, start_s: 1.0, over_s: 6.0, rise_s: 0.5 });
    let view = &views(vec![event])[0];
    let demands = &view.demands;
    let last = demands.speed_m_per_s.len() - 1;
    assert!((demands.speed_m_per_s[0] - 30.0 / 3.6).abs() < 1e-9);
    assert!((demands.speed_m_per_s[last] - 90.0 / 3.6).abs() < 1e-9);
    let peak = demands.longitudinal_m_per_s2.iter().fold(0.0_f64, |most, a| most.max(*a));
    assert!((peak - 60.0 / 3.6 / 5.5).abs() < 1e-9, "{peak}");
}

#[test]
fn views_of_unchanged_events_are_taken_over() {
    let events = one_of_each();
    let mut session = estate(events);
    let study = |session: &Session| Study::new(session, &Profiles::default()).unwrap();
    let first = study(&session).event_views(&[], &Progress::new()).unwrap();
    session.modes[0].heave.values_n_s_per_m[0][0] += 100.0;
    session.events[3].weight = 2.0;
    session.events[4].speed_km_h = 20.0;
    let second = study(&session).event_views(&first, &Progress::new()).unwrap();
    for i in 0..first.len() {
        assert_eq!(Arc::ptr_eq(&first[i], &second[i]), i != 4, "event {i}");
    }
}

/// A tyre that averages over a length passes a sine of wavelength l on as sin(pi L/l)/(pi L/l) of it: a quarter car on
/// waves of 0.5 m with 0.25 m of contact meets 2/pi of them, and so does everything linear behind it.
#[test]
fn contact_length_softens_short_waves_by_its_closed_form() {
    let text = r#"{"name": "waves", "speed_km_h": 18, "duration_s": 6, "settle_s": 3,
        "kind": {"Undulation": {"height_m": 0.002, "length_m": 0.5, "waves": 100, "lead_m": 0.0}}}"#;
    let event: Event = serde_json::from_str(text).unwrap();
    let reference = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference/sessions/linear.json");
    let mut session = washboard_session::load(&reference).unwrap();
    session.events = vec![event];
    let load = |session: &Session| {
        let study = Study::new(session, &Profiles::default()).unwrap();
        let selection = study.selection(Model::by_name("quarter-front").unwrap(), &[], &[], &["as described"]).unwrap();
        let evaluation = study.evaluate(&selection, &Progress::new()).unwrap();
        evaluation.runs[0].card.mean(MetricId::WHEEL_LOAD_VARIATION_RMS).unwrap()
    };
    let point = load(&session);
    session.vehicle.front.contact_length_m = 0.25;
    let patch = load(&session);
    let expected = std::f64::consts::FRAC_2_PI;
    // What is left of the first blow after three seconds, and the plant step, take part of a per cent.
    assert!((patch / point - expected).abs() < 3e-3, "{} for {expected}", patch / point);
}

#[test]
fn the_board_shows_every_event() {
    let events = one_of_each();
    let study = study(events.clone());
    let request = BoardRequest {
        model: Model::by_name("quarter-front").unwrap(),
        load_case: 0,
        event: 0,
        speed_km_h: 60.0,
        roughness_m_per_s2: 1.0,
        reference: 0,
    };
    let board: Board = study.board(&request, None, &Progress::new()).unwrap();
    assert_eq!(board.events.len(), events.len());
    let again = study.board(&request, Some(&board), &Progress::new()).unwrap();
    assert!(board.events.iter().zip(&again.events).all(|(a, b)| Arc::ptr_eq(a, b)));
}
