//! The links between wanted and given force in a trace, each against its closed form; the pose of the car beside them.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use common::{quarter, sine};
use washboard_session::{CurrentMap, MapName};
use washboard_study::{Link, Model, Profiles, Progress, Study, Trace};

/// The damper is linear in rate and current: F = (300 + 3600 I) v.
const SOFT: f64 = 300.0;
const PER_A: f64 = 3600.0;
const DEAD_S: f64 = 0.003;
const RISE_S: f64 = 0.008;
const FALL_S: f64 = 0.005;
const SLEW_A_PER_S: f64 = 40.0;

/// Five seconds of a sine of 1.6 Hz under a skyhook gain of 2000 N s/m, one millisecond a sample.
fn trace() -> Trace {
    let mut session = quarter(SOFT, SOFT + PER_A, &[]);
    session.events.push(sine(1.6, 0.015, 5.0));
    let damper = &mut session.dampers[0];
    (damper.dead_time_s, damper.rise_s, damper.fall_s) = (DEAD_S, RISE_S, FALL_S);
    session.modes[0].slew_a_per_s = Some(SLEW_A_PER_S);
    Study::new(&session, &Profiles::default()).unwrap().trace(Model::QuarterFront, 0, 0, 0)
}

#[test]
fn every_link_of_a_trace_follows_its_closed_form() {
    let trace = trace();
    let step_s = trace.time_s[1] - trace.time_s[0];
    assert!((step_s - 0.001).abs() < 1e-12);
    let chains: Vec<_> = (0..trace.time_s.len()).map(|i| trace.chain("front", i).unwrap()).collect();
    let heave_rate = trace.channel("body_heave_rate_m_per_s").unwrap().values;
    let close = |what: &str, i: usize, got: f64, want: f64| {
        let room = 1e-6 + 1e-6 * want.abs();
        assert!((got - want).abs() < room, "{what} at {} s: {got}, but the closed form is {want}", trace.time_s[i]);
    };
    for (i, c) in chains.iter().enumerate() {
        let v = c.rate_m_per_s;
        close("wanted force", i, c.wanted_n, 2000.0 * heave_rate[i]);
        close("force of the soft end", i, c.soft_n, SOFT * v);
        close("force of the firm end", i, c.firm_n, (SOFT + PER_A) * v);
        if c.wanted_n * v > 1e-3 {
            close("current for the wanted force", i, c.wanted_a, ((c.wanted_n / v - SOFT) / PER_A).clamp(0.0, 1.0));
        } else if c.wanted_n * v < 0.0 {
            close("current of the wrong sign", i, c.wanted_a, 0.0);
        }
        close("given force", i, c.given_n, (SOFT + PER_A * c.current_a) * v);
    }
    for i in 3..chains.len() - 1 {
        let (before, c, next) = (&chains[i - 1], &chains[i], &chains[i + 1]);
        let most = SLEW_A_PER_S * step_s;
        let reached = c.asked_a.clamp(before.command_a - most, before.command_a + most);
        close("command within the slew limit", i, c.command_a, reached);
        close("command after the dead time", i, c.arrived_a, chains[i - 3].command_a);
        let tau_s = if c.arrived_a > c.current_a { RISE_S } else { FALL_S };
        let lagged = c.arrived_a + (c.current_a - c.arrived_a) * (-step_s / tau_s).exp();
        close("current after the lag", i + 1, next.current_a, lagged);
    }
}

#[test]
fn every_kind_of_limit_is_met_and_told_apart() {
    let trace = trace();
    let count = |link: Link| {
        (0..trace.time_s.len()).filter(|i| trace.chain("front", *i).unwrap().limits.contains(&link)).count()
    };
    for link in [Link::WrongSign, Link::SoftEnd, Link::FirmEnd, Link::Slew, Link::DeadTime, Link::Lag] {
        assert!(count(link) > 20, "{link:?}: {} samples", count(link));
    }
    // Neither floor nor end stop nor another law is there.
    assert_eq!(count(Link::OtherRule), 0);
    assert!(trace.chain("rear", 0).is_none(), "the model has no such corner");
}

#[test]
fn the_pose_is_what_the_channels_say_and_the_road_lies_where_it_is_driven() {
    let trace = trace();
    let i = trace.index_at(2.0).unwrap();
    let pose = trace.pose(&["front"], i).unwrap();
    // 72 km/h.
    assert!((pose.distance_m - 40.0).abs() < 1e-6, "{}", pose.distance_m);
    assert_eq!(pose.heave_m, trace.value("body_heave_m", i).unwrap());
    let (name, wheel) = pose.wheels[0];
    assert_eq!(name, "front");
    // 400 kg of body and 50 kg of wheel.
    assert!((wheel.static_load_n - 450.0 * 9.80665).abs() < 1.0, "{}", wheel.static_load_n);
    assert!(!wheel.is_lifted());
    let road = trace.road_around("front", i, -2.0, 3.0);
    assert!((road[0][0] + 2.0).abs() < 0.021 && (road.last().unwrap()[0] - 3.0).abs() < 0.021);
    for [ahead_m, height_m] in road {
        // A sine of 1.6 Hz and 15 mm, driven over at 20 m/s.
        let want = 0.015 * (std::f64::consts::TAU * 1.6 * (2.0 + ahead_m / 20.0)).sin();
        assert!((height_m - want).abs() < 1e-6, "{ahead_m} m ahead: {height_m}, but the sine is {want}");
    }
    assert!(trace.pose(&["rear"], i).is_none());
}

#[test]
fn the_place_on_a_map_reads_the_gain_that_the_law_went_by() {
    let mut session = quarter(SOFT, SOFT + PER_A, &[3]);
    let heave = &mut session.modes[0].heave;
    (heave.rows, heave.columns) = (vec![20.0, 60.0, 90.0], vec![0.0, 1.5, 4.0, 9.0]);
    heave.values_n_s_per_m = vec![
        vec![900.0, 1500.0, 1100.0, 700.0],
        vec![2500.0, 1900.0, 1300.0, 800.0],
        vec![3100.0, 2700.0, 2000.0, 600.0],
    ];
    let study = Study::new(&session, &Profiles::default()).unwrap();
    let trace = study.trace(Model::QuarterFront, 0, 0, 0);
    let map = session.modes[0].map(MapName::Heave).unwrap();
    let mut columns = std::collections::BTreeSet::new();
    for i in (0..trace.time_s.len()).step_by(50) {
        let places = trace.on_map(Model::QuarterFront, MapName::Heave, &map, i);
        assert_eq!(places.len(), 1, "one axle reads the map");
        let place = &places[0];
        let gain: f64 = place.weights.iter().map(|(r, c, w)| map.values[*r][*c] * w).sum();
        let rate = trace.value("body_heave_rate_m_per_s", i).unwrap();
        let wanted = trace.value("front_wanted_force_n", i).unwrap();
        assert!((wanted - gain * rate).abs() < 1e-6 + 1e-9 * wanted.abs(), "{wanted} N, but {gain} times {rate} m/s");
        columns.extend(place.weights.iter().map(|w| w.1));
    }
    assert!(columns.len() >= 3, "the road leads over the map: {columns:?}");
}

/// Looks are a hundred a second: every tenth sample, counted from the first one, of those after the run has settled.
#[test]
fn visit_shares_are_the_mean_of_the_places_at_the_looks() {
    let mut session = washboard_session::parse_ron(include_str!("../../../demo-sessions/estate.ron")).unwrap();
    session.events.retain(|e| ["patched road", "lateral step", "braking"].contains(&e.name.as_str()));
    session.fences.clear();
    for event in &mut session.events {
        (event.duration_s, event.settle_s) = (4.0, 0.5);
    }
    // One map with breakpoints of its own beside the others over roughness.
    session.modes[0].base.columns[1] *= 1.1;
    // And a floor in one mode alone.
    session.modes[1].floor = Some(CurrentMap {
        rows: vec![30.0, 90.0],
        columns: vec![0.0, 0.4, 3.0],
        values_a: vec![vec![0.0, 0.05, 0.2], vec![0.1, 0.15, 0.3]],
    });
    let study = Study::new(&session, &Profiles::default()).unwrap();
    let mut maps_seen = 0;
    for (model, event) in [(Model::Pitch, 0), (Model::Full, 1), (Model::QuarterRear, 2)] {
        let name = session.events[event].name.as_str();
        let selection = study.selection(model, &[], &[name], &["as described"]).unwrap();
        let (_, visits) = study.evaluate_with_visits(&selection, true, &Progress::new()).unwrap();
        for (mode, visits) in visits.iter().enumerate() {
            let trace = study.trace(model, mode, event, 0);
            let looks = (9..trace.time_s.len()).step_by(10).filter(|i| trace.time_s[*i] >= 0.5);
            for map_name in MapName::ALL {
                let Some(map) = session.modes[mode].map(map_name) else {
                    assert!(visits.of(map_name).is_none());
                    continue;
                };
                let mut want = vec![vec![0.0; map.columns.len()]; map.rows.len()];
                let mut places = 0.0;
                for place in looks.clone().flat_map(|i| trace.on_map(model, map_name, &map, i)) {
                    places += 1.0;
                    place.weights.iter().for_each(|(r, c, weight)| want[*r][*c] += weight);
                }
                let got = visits.of(map_name).unwrap();
                assert_eq!(got.len(), want.len());
                for (got, want) in got.iter().flatten().zip(want.iter().flatten()) {
                    let what = format!("{model:?}, {name}, mode {mode}, {map_name:?}");
                    // What is left is the rounding of speeds in m/s and km/h.
                    assert!((got - want / places).abs() < 1e-12, "{what}: {got} instead of {}", want / places);
                }
                maps_seen += 1;
            }
        }
    }
    assert_eq!(maps_seen, 3 * (5 * session.modes.len() + 1));
}
