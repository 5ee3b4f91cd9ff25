//! Proposed driving modes: three steps of firmness, gains as shares of critical damping.

use super::{critical_n_s_per_m, to_digits};
use crate::{AxleScales, GainMap, Law, Mode, Session};

/// The modes in the order of firmness.
pub(super) const NAMES: [&str; 3] = ["calm", "everyday", "firm"];
/// The one that the others are compared with.
pub(super) const REFERENCE: &str = "everyday";

const SPEEDS_KM_H: [f64; 5] = [20.0, 50.0, 80.0, 110.0, 160.0];
/// Skyhook gains grow with speed.
const OVER_SPEED: [f64; 5] = [0.45, 0.65, 0.85, 1.0, 1.0];
const ROUGHNESS_M_PER_S2: [f64; 5] = [0.0, 2.0, 4.0, 8.0, 12.0];
/// They give way on rough roads.
const OVER_ROUGHNESS: [f64; 5] = [1.0, 0.93, 0.85, 0.7, 0.55];
const DEMAND_M_PER_S2: [f64; 5] = [0.0, 1.0, 2.0, 4.0, 8.0];
const OVER_DEMAND: [f64; 5] = [0.6, 0.7, 0.8, 1.0, 1.0];
const EVEN: [f64; 5] = [1.0; 5];

/// Shares of critical damping: heave, wheel, base, roll, pitch.
struct Shares(f64, f64, f64, f64, f64);

/// The mode of that name for the car, if it is one of those proposed.
pub(super) fn of(name: &str, session: &Session) -> Option<Mode> {
    let (purpose, shares) = match name {
        "calm" => ("long distances and poor roads", Shares(0.35, 0.035, 0.02, 0.15, 0.27)),
        "everyday" => ("the middle of the car", Shares(0.46, 0.045, 0.03, 0.22, 0.36)),
        "firm" => ("winding roads, driver alone", Shares(0.6, 0.06, 0.06, 0.36, 0.5)),
        _ => return None,
    };
    let critical = critical_n_s_per_m(&session.vehicle);
    let critical = 0.5 * (critical[0] + critical[1]);
    let map = |share: f64, rows: &[f64; 5], columns: &[f64; 5], over_columns: &[f64; 5]| {
        let gain = |r: f64, c: f64| to_digits(share * critical * r * c, 3).min(1e5);
        GainMap {
            rows: SPEEDS_KM_H.to_vec(),
            columns: columns.to_vec(),
            values_n_s_per_m: rows.iter().map(|r| over_columns.iter().map(|c| gain(*r, *c)).collect()).collect(),
        }
    };
    let (current_min_a, current_max_a) = currents(session);
    Some(Mode {
        name: name.to_owned(),
        rests_on: None,
        purpose: purpose.to_owned(),
        law: Law::Continuous,
        heave: map(shares.0, &OVER_SPEED, &ROUGHNESS_M_PER_S2, &OVER_ROUGHNESS),
        wheel: map(shares.1, &EVEN, &ROUGHNESS_M_PER_S2, &EVEN),
        base: map(shares.2, &EVEN, &ROUGHNESS_M_PER_S2, &EVEN),
        roll: map(shares.3, &OVER_SPEED, &DEMAND_M_PER_S2, &OVER_DEMAND),
        pitch: map(shares.4, &OVER_SPEED, &DEMAND_M_PER_S2, &OVER_DEMAND),
        floor: None,
        end_stop: None,
        front: AxleScales::default(),
        rear: AxleScales::default(),
        current_min_a,
        current_max_a,
        slew_a_per_s: Some(250.0),
        locked: Default::default(),
    })
}

/// Currents that every damper fitted was measured at; of the first one where they have none in common.
fn currents(session: &Session) -> (f64, f64) {
    let vehicle = &session.vehicle;
    let fitted = session.dampers.iter().filter(|it| it.name == vehicle.front.damper || it.name == vehicle.rear.damper);
    let ranges = fitted.filter_map(|it| Some((*it.current_a.first()?, *it.current_a.last()?)));
    let common = ranges.clone().reduce(|a, b| (a.0.max(b.0), a.1.min(b.1)));
    let first = ranges.into_iter().next();
    common.filter(|(least, most)| least <= most).or(first).unwrap_or((0.0, 0.0))
}
