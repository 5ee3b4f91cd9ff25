//! Proposed damper tables: digressive, rebound 2.4 times compression, soft and firm end by damping ratio.

use super::{critical_n_s_per_m, mark};
use crate::{Damper, Session};
use std::collections::HashSet;

const VELOCITIES: [f64; 15] = [-1.5, -1.0, -0.6, -0.3, -0.15, -0.1, -0.05, 0.0, 0.05, 0.1, 0.15, 0.3, 0.6, 1.0, 1.5];
const CURRENTS: [f64; 5] = [0.3, 0.6, 0.9, 1.2, 1.6];
/// Damping ratio over ±0.1 m/s at the soft end, and what the firm end adds.
const SOFT: f64 = 0.16;
const ADDED: f64 = 0.6;
/// Sizes in rebound and compression over their mean.
const REBOUND: f64 = 1.4;
const COMPRESSION: f64 = 0.6;

/// A damper that `follow` fills.
pub(super) fn bare(name: &str) -> Damper {
    table(name, 6500.0, 0.95)
}

/// Gives every damper that is marked and fitted the table that follows from the car.
pub(super) fn follow(session: &mut Session, marks: &HashSet<String>) {
    let critical = critical_n_s_per_m(&session.vehicle);
    // One damper for both axles follows the front.
    for (axle, critical) in [(&session.vehicle.rear, critical[1]), (&session.vehicle.front, critical[0])] {
        if !marks.contains(&mark("dampers", &axle.damper)) {
            continue;
        }
        if let Some(damper) = session.dampers.iter_mut().find(|it| it.name == axle.damper) {
            *damper = table(&axle.damper, critical, axle.motion_ratio);
        }
    }
}

/// Force over velocity and current for critical damping at the wheel, N s/m, and a motion ratio.
fn table(name: &str, critical_n_s_per_m: f64, motion_ratio: f64) -> Damper {
    // At the wheel the ratio counts twice: in the velocity and in the force.
    let at_damper = critical_n_s_per_m / (motion_ratio * motion_ratio);
    let force = |velocity: f64, share: f64| {
        let speed = velocity.abs();
        let soft = SOFT * 1.03 * speed / (1.0 + 0.3 * speed);
        let added = ADDED * share.powf(1.5) * 0.2 * speed / (speed + 0.1);
        let side = if velocity > 0.0 { REBOUND } else { -COMPRESSION };
        // Whole newtons; limits of the document lie far above what the limits of a car give.
        (side * at_damper * (soft + added)).round().clamp(-2e5, 2e5) + 0.0
    };
    let (first, last) = (CURRENTS[0], CURRENTS[CURRENTS.len() - 1]);
    let row = |v: f64| CURRENTS.iter().map(|a| force(v, (a - first) / (last - first))).collect();
    Damper {
        name: name.to_owned(),
        velocity_m_per_s: VELOCITIES.to_vec(),
        current_a: CURRENTS.to_vec(),
        force_n: VELOCITIES.iter().map(|v| row(*v)).collect(),
        dead_time_s: 0.003,
        rise_s: 0.007,
        fall_s: 0.005,
        friction_n: 0.0,
        friction_velocity_m_per_s: 0.01,
        supply_lost: None,
        temperature: None,
    }
}
