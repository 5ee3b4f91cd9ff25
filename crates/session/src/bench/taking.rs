//! Takes a damper made from bench data into a session: which edit, and what else has to move with it.

use super::Reduced;
use crate::{Damper, Edit, Session, check::free_name, proposal};

/// Nobody measures friction more finely, N.
fn tenth(force_n: f64) -> f64 {
    (force_n * 10.0).round() / 10.0
}

/// The edit that puts a table from the bench in the place of a damper (or adds it under a name of its own), with a
/// sentence for whatever else changes: current limits of modes must lie where every damper fitted was measured.
///
/// The damper replaced keeps its name and valve times. Proposed modes follow by themselves.
/// With `friction` the friction that was taken out of the table becomes the damper's own.
pub fn taking(
    session: &Session,
    reduced: &Reduced,
    at: Option<usize>,
    new_name: &str,
    friction: bool,
) -> (Edit, Vec<String>) {
    let old = at.and_then(|at| session.dampers.get(at).map(|damper| (at, damper)));
    let Some((at, old)) = old else {
        let name = free_name(new_name, session.dampers.iter().map(|it| it.name.as_str()));
        let new = reduced.damper(name);
        let friction_n = if friction { tenth(reduced.friction_n) } else { new.friction_n };
        return (Edit::AddDamper(Box::new(Damper { friction_n, ..new })), Vec::new());
    };
    // Only the table is new: valve times and whatever else is known of the damper stay.
    let with = Damper {
        velocity_m_per_s: reduced.velocity_m_per_s.clone(),
        current_a: reduced.current_a.clone(),
        force_n: reduced.force_n.clone(),
        friction_n: if friction { tenth(reduced.friction_n) } else { old.friction_n },
        ..old.clone()
    };
    let mut edits = vec![Edit::ReplaceDamper { damper: at, with: Box::new(with.clone()) }];
    let mut sentences = Vec::new();
    let vehicle = &session.vehicle;
    let fitted = session
        .dampers
        .iter()
        .enumerate()
        .filter(|(_, it)| it.name == vehicle.front.damper || it.name == vehicle.rear.damper);
    let ranges = fitted.filter_map(|(i, it)| {
        let currents = if i == at { &with.current_a } else { &it.current_a };
        Some((*currents.first()?, *currents.last()?))
    });
    // Without a current that both were measured at the edit will be refused, and the fault says so.
    let common = ranges.reduce(|a, b| (a.0.max(b.0), a.1.min(b.1))).filter(|(least, most)| least <= most);
    for (index, mode) in session.modes.iter().enumerate() {
        let Some((least, most)) = common else { break };
        if proposal::is_proposed(session, &proposal::mark("modes", &mode.name)) {
            continue;
        }
        let (least_a, most_a) = (mode.current_min_a.clamp(least, most), mode.current_max_a.clamp(least, most));
        if (least_a, most_a) != (mode.current_min_a, mode.current_max_a) {
            edits.push(Edit::SetCurrentLimits { mode: index, least_a, most_a });
            sentences.push(format!(
                "The current limits of {} go from {} to {} A to {least_a} to {most_a} A, where the dampers fitted were measured.",
                mode.name, mode.current_min_a, mode.current_max_a
            ));
        }
    }
    let label = format!("take bench data for {}", old.name);
    (Edit::Several { label, edits }, sentences)
}
