//! What is looked at before a set leaves for the car, each with its outcome and reason.

use serde::{Deserialize, Serialize};
use washboard_session::{GainMap, Session};

use crate::inverse::{Reproduction, reproduction};
use crate::parts::{settings, tables};
use crate::set::CarSet;

/// Largest error of an inverse damper table that passes, as a share of the largest force within the current limits.
const REPRODUCTION_BOUND: f64 = 0.05;
/// Neighbouring cells that differ by more than this factor are pointed out: one zero too many is a factor of ten.
const STEP_FACTOR: f64 = 5.0;
/// Gains below this are taken as this when steps are judged, N s/m: nobody feels a step from 1 to 10.
const STEP_FLOOR_N_S_PER_M: f64 = 100.0;

/// One check before a hand-over.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct PreCheck {
    /// Short name for waivers, in lower case with dashes.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub id: String,
    /// What was looked at.
    pub name: String,
    /// True where nothing was found.
    pub passed: bool,
    /// True where a failure forbids the hand-over; else it asks for a look.
    pub forbids: bool,
    /// What was found, in a sentence or more.
    pub reason: String,
    /// Why it goes out all the same, in a sentence of the engineer's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waiver: Option<String>,
}

impl PreCheck {
    /// True where nothing stands in the way of a set that is more than a draft.
    pub fn is_settled(&self) -> bool {
        self.passed || (self.waiver.is_some() && !self.forbids)
    }

    /// `passed`, `waived` or `look at this`.
    pub fn outcome(&self) -> &'static str {
        match (self.passed, &self.waiver) {
            (true, _) => "passed",
            (false, Some(_)) => "waived",
            (false, None) => "look at this",
        }
    }

    /// What to do where it does not pass, in a sentence.
    pub fn what_to_do(&self) -> &'static str {
        match self.id.as_str() {
            "session" => "Mend the value it names; undo takes the last edits back.",
            "numbers" => "Mend the table or axis it names.",
            "currents" => "Set the mode's current limits and floor within what the bench data of both dampers hold.",
            "inverse-tables" => {
                "Give the inverse table of the controller more velocities and forces, or bench data without kinks."
            }
            "steps" => "Look at the cells it names: a zero too many, or a step that the driver is meant to feel?",
            "layout" => "Widen the number's range in the layout, bring the value into it, or choose other modes.",
            "fences" => "Bring the figure back within its fence, or move the fence if it asks for too much.",
            "unvisited" => {
                "Add an event that drives through those cells, or take their edits back: nobody knows what they do."
            }
            "supply-lost" => {
                "Look at the events it names without supply; measure the damper without supply if that was not done."
            }
            "caution" => "Read the cautions and acknowledge them.",
            "responsible" => "Give the name of who answers for the set and the purpose it is for.",
            _ => "Look at what it names.",
        }
    }

    pub(crate) fn new(id: &str, name: &str, forbids: bool, outcome: Result<String, String>) -> Self {
        let (passed, reason) = match outcome {
            Ok(reason) => (true, reason),
            Err(reason) => (false, reason),
        };
        PreCheck { id: id.to_owned(), name: name.to_owned(), passed, forbids, reason, waiver: None }
    }
}

/// Checks of the chosen modes (indices into the session) before they go to a car.
pub fn pre_checks(session: &Session, modes: &[usize]) -> Vec<PreCheck> {
    match CarSet::from_session(session, modes) {
        Err(fault) => vec![PreCheck::new("session", "Session valid", true, Err(fault.to_string()))],
        Ok(set) => set_checks(&set),
    }
}

/// The checks of a set that was made from a valid session.
pub(crate) fn set_checks(set: &CarSet) -> Vec<PreCheck> {
    vec![
        PreCheck::new(
            "session",
            "Session valid",
            true,
            Ok("Every number of the session lies within its limits, every name it refers to is there.".to_owned()),
        ),
        PreCheck::new("numbers", "Numbers and axes", true, shape(set)),
        PreCheck::new("currents", "Currents within the dampers'", true, currents(set)),
        PreCheck::new("inverse-tables", "Inverse damper tables give the wanted force", false, inverse_tables(set)),
        PreCheck::new("steps", "Steps between neighbouring cells", false, steps(set)),
    ]
}

fn shape(set: &CarSet) -> Result<String, String> {
    let faults = set.faults();
    if !faults.is_empty() {
        return Err(format!("Not fit for a car: {}.", faults.join("; ")));
    }
    let tables = tables(set);
    let cells: usize = tables.iter().map(|t| t.values.iter().map(Vec::len).sum::<usize>()).sum();
    Ok(format!(
        "{} tables with {cells} cells and {} settings: all finite, every axis rises, every table is full.",
        tables.len(),
        settings(set).len()
    ))
}

fn currents(set: &CarSet) -> Result<String, String> {
    let mut faults = Vec::new();
    for mode in &set.modes {
        for (axle, side) in [("front", &set.front), ("rear", &set.rear)] {
            let (Some(&low), Some(&high)) = (side.bench.current_a.first(), side.bench.current_a.last()) else {
                faults.push(format!("The {axle} damper has no currents."));
                continue;
            };
            if mode.current_min_a < low || mode.current_max_a > high || mode.current_min_a > mode.current_max_a {
                faults.push(format!(
                    "Mode \"{}\" commands {} to {} A, but the {axle} damper was measured from {low} to {high} A.",
                    mode.name, mode.current_min_a, mode.current_max_a
                ));
            }
        }
        for &floor in mode.floor.iter().flat_map(|floor| floor.values_a.iter().flatten()) {
            if floor > mode.current_max_a {
                faults.push(format!(
                    "The floor map of mode \"{}\" holds {floor} A, above its most current of {} A.",
                    mode.name, mode.current_max_a
                ));
                break;
            }
        }
    }
    if faults.is_empty() {
        Ok("Every current limit lies within what the damper was measured at, no floor is above its mode's most current.".to_owned())
    } else {
        Err(faults.join(" "))
    }
}

fn inverse_tables(set: &CarSet) -> Result<String, String> {
    let mut worst: Option<(String, Reproduction, f64)> = None;
    let (mut number, mut beyond) = (0, 0);
    for mode in &set.modes {
        for (axle, inverse, side) in
            [("front", &mode.inverse_front, &set.front), ("rear", &mode.inverse_rear, &set.rear)]
        {
            let found = reproduction(inverse, &side.bench);
            let share = if found.largest_force_n > 0.0 { found.largest_error_n / found.largest_force_n } else { 0.0 };
            number += 1;
            beyond += usize::from(share > REPRODUCTION_BOUND);
            if worst.as_ref().is_none_or(|(_, _, most)| share > *most) {
                worst = Some((format!("mode \"{}\", {axle} axle", mode.name), found, share));
            }
        }
    }
    let Some((place, found, share)) = worst else {
        return Err("There is no inverse damper table.".to_owned());
    };
    let words = format!(
        "Largest error: {place}, {:.0} N or {:.1} % of the largest force ({:.0} N), at {:.3} m/s and {:.0} N wanted; \
         r.m.s. {:.0} N there over {} points.",
        found.largest_error_n,
        share * 100.0,
        found.largest_force_n,
        found.velocity_m_per_s,
        found.wanted_n,
        found.rms_error_n,
        found.points
    );
    let bound = REPRODUCTION_BOUND * 100.0;
    if beyond == 0 {
        Ok(format!("All {number} within {bound} %. {words}"))
    } else {
        Err(format!("{beyond} of {number} beyond {bound} %: enlarge `inverse_table` in the controller. {words}"))
    }
}

fn steps(set: &CarSet) -> Result<String, String> {
    let mut largest: f64 = 1.0;
    let mut found = Vec::new();
    let mut count = 0;
    for mode in &set.modes {
        for (word, map) in [
            ("heave", &mode.heave),
            ("wheel", &mode.wheel),
            ("base", &mode.base),
            ("roll", &mode.roll),
            ("pitch", &mode.pitch),
        ] {
            for step in steps_of(map) {
                largest = largest.max(step.factor);
                if step.factor > STEP_FACTOR {
                    count += 1;
                    if found.len() < 5 {
                        found.push(format!("mode \"{}\", {word} map {}", mode.name, step.words));
                    }
                }
            }
        }
    }
    if count == 0 {
        return Ok(format!(
            "No step between neighbouring cells exceeds a factor of {STEP_FACTOR} (the largest is {largest:.1}; gains \
             below {STEP_FLOOR_N_S_PER_M} N s/m count as that)."
        ));
    }
    let more = if count > found.len() { format!(" and {} more", count - found.len()) } else { String::new() };
    Err(format!("{count} above a factor of {STEP_FACTOR}; is a zero too many or too few? {}{more}.", found.join("; ")))
}

struct Step {
    factor: f64,
    /// Empty where the factor is within bounds.
    words: String,
}

/// The steps of a map to the next row and to the next column.
fn steps_of(map: &GainMap) -> impl Iterator<Item = Step> {
    let cell = |row: usize, column: usize| map.values_n_s_per_m.get(row).and_then(|r| r.get(column)).copied();
    let mut steps = Vec::new();
    for (row, speed) in map.rows.iter().enumerate() {
        for (column, across) in map.columns.iter().enumerate() {
            for (next_row, next_column) in [(row + 1, column), (row, column + 1)] {
                let (Some(a), Some(b)) = (cell(row, column), cell(next_row, next_column)) else { continue };
                let size = |gain: f64| gain.abs().max(STEP_FLOOR_N_S_PER_M);
                let factor = size(a).max(size(b)) / size(a).min(size(b));
                let (speed2, across2) = (map.rows[next_row], map.columns[next_column]);
                let words = if factor <= STEP_FACTOR {
                    String::new()
                } else {
                    format!("from {a} N s/m at {speed} km/h, {across} m/s^2 to {b} at {speed2}, {across2}")
                };
                steps.push(Step { factor, words });
            }
        }
    }
    steps.into_iter()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    fn check<'a>(checks: &'a [PreCheck], name: &str) -> &'a PreCheck {
        checks.iter().find(|check| check.name.starts_with(name)).unwrap()
    }

    #[test]
    fn a_zero_too_many_is_pointed_out_with_its_place() {
        let mut session = fixture::session();
        let smooth = pre_checks(&session, &[0, 1]);
        assert!(check(&smooth, "Steps").passed, "{smooth:?}");
        session.modes[0].wheel.values_n_s_per_m[1][1] = 6210.0;
        let checks = pre_checks(&session, &[0, 1]);
        let steps = check(&checks, "Steps");
        assert!(!steps.passed && !steps.forbids);
        assert!(
            steps.reason.contains("mode \"soft/1\", wheel map from 521 N s/m at 0 km/h, 1.5 m/s^2 to 6210"),
            "{}",
            steps.reason
        );
        assert!(check(&pre_checks(&session, &[1]), "Steps").passed, "only the chosen modes are looked at");
    }

    #[test]
    fn a_coarse_inverse_table_is_pointed_out_and_a_fine_one_is_not() {
        let mut session = fixture::session();
        let passed = |session: &Session| check(&pre_checks(session, &[0, 1]), "Inverse").passed;
        session.controller.inverse_table = washboard_session::InverseTable { velocities: 3, forces: 3 };
        assert!(!passed(&session));
        // The default size suffices for a damper as strongly digressive as the fixture's.
        session.controller.inverse_table = washboard_session::InverseTable::default();
        assert!(passed(&session), "{:?}", pre_checks(&session, &[0, 1]));
    }

    #[test]
    fn a_session_that_breaks_a_rule_is_one_failed_check() {
        let mut session = fixture::session();
        session.modes[0].current_max_a = 3.0;
        let checks = pre_checks(&session, &[0]);
        assert_eq!(checks.len(), 1);
        assert!(!checks[0].passed && checks[0].forbids && checks[0].reason.contains("current_max_a"), "{checks:?}");
    }
}
