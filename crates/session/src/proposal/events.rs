//! Proposed events: a fast road, a country road, a poor one, and the obstacles and manoeuvres that show the rest.

use crate::{Event, EventKind, RoadClass, Side};

/// All of them; they do not depend on the car.
pub(super) fn all() -> Vec<Event> {
    let event = |name: &str, speed_km_h: f64, duration_s: f64, kind: EventKind| Event {
        name: name.to_owned(),
        speed_km_h,
        duration_s,
        settle_s: 0.0,
        weight: 1.0,
        speed_change: None,
        kind,
    };
    let road = |name: &str, speed_km_h: f64, class: RoadClass, seed: u64| {
        let kind = EventKind::RandomRoad { class, seed, from_cycles_per_m: 0.011, to_cycles_per_m: 2.83, ramp_m: 10.0 };
        Event { settle_s: 2.0, ..event(name, speed_km_h, 20.0, kind) }
    };
    let bump =
        |height_m: f64, length_m: f64| EventKind::CosineBump { height_m, length_m, lead_m: 10.0, side: Side::Both };
    vec![
        road("motorway", 130.0, RoadClass::A, 1),
        road("country road", 80.0, RoadClass::B, 2),
        road("patched road", 60.0, RoadClass::C, 3),
        event("crest", 90.0, 8.0, bump(0.12, 30.0)),
        event("expansion joint", 100.0, 3.0, bump(0.012, 0.35)),
        event(
            "lane change",
            80.0,
            6.0,
            EventKind::LaneChange { acceleration_m_per_s2: 4.0, period_s: 2.2, start_s: 0.5 },
        ),
        event(
            "braking",
            80.0,
            4.0,
            EventKind::Braking { deceleration_m_per_s2: 6.0, rise_s: 0.3, start_s: 0.5, hold_s: None },
        ),
    ]
}
