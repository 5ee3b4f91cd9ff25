//! The workloads that the goals of speed speak of, made from the demo car and its three modes.

#![allow(dead_code, clippy::unwrap_used)] // each bench uses some of them, and stops where a workload is broken

pub mod half_car;

use washboard_metrics::{MetricId, Scorecard};
use washboard_session::{AxleScales, Event, EventKind, Session};
use washboard_study::{Profiles, Study};

/// The demo with other events.
fn with_events(events: Vec<Event>) -> Session {
    let mut session = washboard_session::parse_ron(include_str!("../../../../demo-sessions/estate.ron")).unwrap();
    session.events = events;
    session.fences.clear();
    session
}

fn event(name: &str, duration_s: f64, kind: &str) -> Event {
    let text =
        format!(r#"{{"name": "{name}", "speed_km_h": 80, "duration_s": {duration_s}, "settle_s": 1, "kind": {kind}}}"#);
    serde_json::from_str(&text).unwrap()
}

fn random(class: char, seed: u64, duration_s: f64) -> Event {
    let kind = format!(r#"{{"RandomRoad": {{"class": "{class}", "seed": {seed}}}}}"#);
    event(&format!("class {class}, seed {seed}"), duration_s, &kind)
}

/// One mode over one random road of 30 s.
pub fn one_run() -> Session {
    let mut session = with_events(vec![random('C', 1, 30.0)]);
    session.modes.truncate(1);
    session.reference_mode = None;
    session
}

/// The same with what an integrator of another library can be given in a few lines: a law at one operating point, acting
/// through the currents' lag alone.
pub fn plain(duration_s: f64) -> Session {
    let mut session = with_events(vec![random('C', 1, duration_s)]);
    session.modes.truncate(1);
    session.reference_mode = None;
    let mode = &mut session.modes[0];
    for map in [&mut mode.heave, &mut mode.wheel, &mut mode.base, &mut mode.roll, &mut mode.pitch] {
        // About where 80 km/h on a road of class C lies.
        let gain = map.values_n_s_per_m[3][2];
        map.values_n_s_per_m.iter_mut().flatten().for_each(|value| *value = gain);
    }
    (mode.front, mode.rear) = (AxleScales::default(), AxleScales::default());
    (mode.slew_a_per_s, mode.floor, mode.end_stop) = (None, None, None);
    for axle in [&mut session.vehicle.front, &mut session.vehicle.rear] {
        (axle.bump_stop, axle.rebound_stop) = (None, None);
    }
    for damper in &mut session.dampers {
        damper.dead_time_s = 0.0;
    }
    session
}

/// What the program computes of a run, as [`half_car::Figures`].
pub fn figures(card: &Scorecard) -> half_car::Figures {
    let numbers = |metric: MetricId| card.get(metric).unwrap().numbers().collect::<Vec<f64>>();
    let (loads, travels) = (numbers(MetricId::WHEEL_LOAD_VARIATION_RMS), numbers(MetricId::SUSPENSION_TRAVEL_RMS));
    [numbers(MetricId::BODY_ACCELERATION_RMS)[0], loads[0], loads[1], travels[0], travels[1]]
}

/// Three modes over eight events of 20 s: five random roads, a sweep, a bump and a braking.
pub fn three_modes_eight_events() -> Session {
    let mut events: Vec<Event> =
        [('A', 1), ('B', 2), ('C', 3), ('C', 4), ('D', 5)].map(|(class, seed)| random(class, seed, 20.0)).to_vec();
    events.push(event("sweep", 20.0, r#"{"Sweep": {"from_hz": 0.5, "to_hz": 20, "velocity_amplitude_m_per_s": 0.1}}"#));
    events.push(event("bump", 20.0, r#"{"CosineBump": {"height_m": 0.06, "length_m": 3}}"#));
    events.push(event(
        "braking",
        20.0,
        r#"{"Braking": {"deceleration_m_per_s2": 5, "rise_s": 0.2, "start_s": 1, "hold_s": 2}}"#,
    ));
    with_events(events)
}

/// One mode over a number of random roads of some length.
pub fn random_roads(count: usize, duration_s: f64) -> Session {
    let mut session = with_events((0..count).map(|i| random('C', i as u64 + 1, duration_s)).collect());
    session.modes.truncate(1);
    session
}

/// Compiles a session without profiles.
pub fn compiled(session: &Session) -> Study {
    debug_assert!(!session.events.iter().any(|e| matches!(e.kind, EventKind::Profile { .. })));
    let session = Session { reference_mode: None, ..session.clone() };
    Study::new(&session, &Profiles::default()).unwrap()
}
