//! One model is another where theory says so: decoupled half car and quarter cars, symmetric full car and pitch half car.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use common::{progress, quarter};
use washboard_metrics::MetricId;
use washboard_session::{Event, EventKind, Session, Side};
use washboard_study::{Model, Profiles, Study};

/// Largest relative difference that rounding may make: the same equations in another order of adding.
const ROUNDING: f64 = 1e-9;
/// Where the car stands still before an obstacle, rounding decides whether the inversion sees a rate, and so with which
/// current the obstacle is met; what is left of that after the valve's lag.
const AFTER_REST: f64 = 1e-6;

const FIGURES: [MetricId; 5] = [
    MetricId::WHEEL_LOAD_VARIATION_RMS,
    MetricId::SUSPENSION_TRAVEL_RMS,
    MetricId::SUSPENSION_TRAVEL_PEAK,
    MetricId::DAMPER_POWER,
    MetricId::LEAST_WHEEL_LOAD,
];

fn event(name: &str, speed_km_h: f64, duration_s: f64, kind: EventKind) -> Event {
    Event { name: name.into(), speed_km_h, duration_s, settle_s: 0.0, weight: 1.0, speed_change: None, kind }
}

/// Axles that differ, a road, a bump and a stop on the brakes.
fn session() -> Session {
    let mut session = quarter(300.0, 3900.0, &[3]);
    session.events[0].duration_s = 10.0;
    session.events.push(event(
        "bump",
        35.0,
        2.0,
        EventKind::CosineBump { height_m: 0.06, length_m: 1.5, lead_m: 2.0, side: Side::Both },
    ));
    let v = &mut session.vehicle;
    v.cg_to_front_axle_m = 1.2;
    v.front.motion_ratio = 0.8;
    (v.rear.spring_rate_n_per_m, v.rear.wheel_mass_kg, v.rear.track_m) = (26_000.0, 44.0, 1.6);
    v.front.anti_roll_rate_n_m_per_rad = 20_000.0;
    session
}

#[test]
fn a_half_car_without_coupling_is_two_quarter_cars() {
    // With I = m a b the ends of the body move independently (textbook: dynamic index 1); passive damping keeps them so.
    let mut session = session();
    let fill = |map: &mut washboard_session::GainMap, gain: f64| {
        map.values_n_s_per_m.iter_mut().flatten().for_each(|v| *v = gain);
    };
    fill(&mut session.modes[0].heave, 0.0);
    fill(&mut session.modes[0].base, 1400.0);
    let v = &mut session.vehicle;
    v.pitch_inertia_kg_m2 = v.body_mass_kg * v.cg_to_front_axle_m * (v.wheelbase_m - v.cg_to_front_axle_m);
    let study = Study::new(&session, &Profiles::default()).unwrap();
    let run = |model: Model| {
        let selection = study.selection(model, &[], &[], &["as described"]).unwrap();
        study.evaluate(&selection, &progress()).unwrap().runs
    };
    let (pitch, front, rear) = (run(Model::Pitch), run(Model::QuarterFront), run(Model::QuarterRear));
    // The plant step is the same, for the guard of the pitch model sees the same corner.
    for ((half, front), rear) in pitch.iter().zip(&front).zip(&rear) {
        let bound = if half.event == 0 { ROUNDING } else { AFTER_REST };
        for metric in FIGURES {
            for (corner, quarter) in [("front", front), ("rear", rear)] {
                let (got, want) = (half.card.at(metric, corner).unwrap(), quarter.card.at(metric, corner).unwrap());
                assert!((got / want - 1.0).abs() < bound, "{} {corner}: {got} against {want}", metric.name());
            }
        }
    }
}

#[test]
fn a_full_car_on_even_tracks_is_the_pitch_half_car() {
    let mut session = session();
    session.events.remove(0); // random roads have two tracks in a full car
    session.events.push(event(
        "brake",
        90.0,
        3.0,
        EventKind::Braking { deceleration_m_per_s2: 6.0, rise_s: 0.3, start_s: 0.2, hold_s: None },
    ));
    let study = Study::new(&session, &Profiles::default()).unwrap();
    let run = |model: Model| {
        let selection = study.selection(model, &[], &[], &["as described"]).unwrap();
        study.evaluate(&selection, &progress()).unwrap().runs
    };
    for (full, half) in run(Model::Full).iter().zip(&run(Model::Pitch)) {
        for metric in FIGURES {
            for (corner, of_half) in [("front_left", "front"), ("front_right", "front"), ("rear_left", "rear")] {
                let (got, want) = (full.card.at(metric, corner).unwrap(), half.card.at(metric, of_half).unwrap());
                assert!((got / want - 1.0).abs() < ROUNDING, "{} {corner}: {got} against {want}", metric.name());
            }
        }
        let body = |r: &washboard_study::RunFigures| r.card.mean(MetricId::BODY_ACCELERATION_RMS).unwrap();
        assert!((body(full) / body(half) - 1.0).abs() < ROUNDING);
        assert!(full.card.mean(MetricId::ROLL_PEAK).unwrap() < 1e-9, "even tracks do not roll the car");
    }
}
