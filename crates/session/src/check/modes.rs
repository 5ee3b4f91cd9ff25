//! Modes: maps, current limits inside the dampers' tables, and the sets that were handed over.

use super::Checker;
use crate::{
    Mode,
    fault::{quoted, with_unit},
    limits::{MOST_HANDED_OVER, MOST_MODES, MOST_RUNS},
    map::MapName,
    place::Place,
};

impl Checker<'_> {
    pub(super) fn modes(&mut self) {
        let (session, top) = (self.session, Place::Top);
        for (index, mode) in session.modes.iter().enumerate() {
            let place = top.item("modes", index);
            self.mode(&place, mode);
            self.inside_dampers(&place, mode);
            let axles = [&session.vehicle.front, &session.vehicle.rear];
            if mode.end_stop.is_some() && axles.iter().all(|a| a.bump_stop.is_none() && a.rebound_stop.is_none()) {
                let bound = "the car must have a stop fitted for it to act before";
                self.fault(&place, "end_stop", "an end stop", bound);
            }
        }
    }

    /// What holds for a mode by itself; its single numbers are checked elsewhere.
    fn mode(&mut self, place: &Place<'_>, mode: &Mode) {
        for name in MapName::ALL {
            let Some(map) = mode.map(name) else { continue };
            let place = place.field(name.field());
            self.axis(&place, "rows", name.row_limit(), map.rows, 1);
            self.axis(&place, "columns", name.column_limit(), map.columns, 1);
            let sizes = (("rows", map.rows.len()), ("columns", map.columns.len()));
            self.table(&place, name.values_field(), name.value_limit(), map.values, sizes.0, sizes.1);
        }
        let (least, most) = (mode.current_min_a, mode.current_max_a);
        if least > most {
            let bound = format!("it must not be above current_max_a ({})", with_unit(most, "A"));
            self.fault(place, "current_min_a", with_unit(least, "A"), bound);
        }
        let Some(floor) = &mode.floor else { return };
        for (row, line) in floor.values_a.iter().enumerate() {
            for (column, &value) in line.iter().enumerate() {
                if value > most {
                    let bound = format!("it must not be above current_max_a ({})", with_unit(most, "A"));
                    let field = format!("values_a[{row}][{column}]");
                    self.fault(&place.field("floor"), field, with_unit(value, "A"), bound);
                }
            }
        }
    }

    /// Current limits must lie where every damper fitted was measured.
    fn inside_dampers(&mut self, place: &Place<'_>, mode: &Mode) {
        let vehicle = &self.session.vehicle;
        for (field, current) in [("current_min_a", mode.current_min_a), ("current_max_a", mode.current_max_a)] {
            for damper in &self.session.dampers {
                let fitted = damper.name == vehicle.front.damper || damper.name == vehicle.rear.damper;
                let (Some(&first), Some(&last)) = (damper.current_a.first(), damper.current_a.last()) else { continue };
                if fitted && (current < first || current > last) {
                    let bound = format!(
                        "it must be inside the currents of damper {} ({first} to {last} A)",
                        quoted(&damper.name)
                    );
                    self.fault(place, field, with_unit(current, "A"), bound);
                    break;
                }
            }
        }
    }

    /// Runs: how many, and that set identities are what they claim.
    pub(super) fn logbook(&mut self) {
        let (session, top) = (self.session, Place::Top);
        self.count(&top, "logbook", session.logbook.len(), 0, MOST_RUNS);
        for (index, run) in session.logbook.iter().enumerate() {
            let place = top.item("logbook", index);
            if !run.set_identity.chars().all(|sign| sign.is_ascii_hexdigit()) {
                let bound = "an identity must be hexadecimal digits";
                self.fault(&place, "set_identity", quoted(&run.set_identity), bound);
            }
            for (index, verdict) in run.verdicts.iter().enumerate() {
                if verdict.attribute.trim().is_empty() {
                    let bound = "it must say what was judged";
                    self.fault(&place.item("verdicts", index), "attribute", quoted(&verdict.attribute), bound);
                }
            }
        }
    }

    /// Sets handed over: their modes hold by themselves; the dampers may have changed since.
    pub(super) fn handed_over(&mut self) {
        let (session, top) = (self.session, Place::Top);
        self.count(&top, "handed_over", session.handed_over.len(), 0, MOST_HANDED_OVER);
        for (index, set) in session.handed_over.iter().enumerate() {
            let place = top.item("handed_over", index);
            let hexadecimal = set.identity.chars().all(|sign| sign.is_ascii_hexdigit());
            if set.identity.is_empty() || !hexadecimal {
                let bound = "an identity must be hexadecimal digits";
                self.fault(&place, "identity", quoted(&set.identity), bound);
            }
            self.count(&place, "modes", set.modes.len(), 1, MOST_MODES);
            self.unique(&place, "modes", set.modes.iter().map(|mode| mode.name.as_str()));
            for (index, mode) in set.modes.iter().enumerate() {
                let place = place.item("modes", index);
                self.numbers_of(&place, mode);
                self.numbers_of(&place.field("front"), &mode.front);
                self.numbers_of(&place.field("rear"), &mode.rear);
                if let crate::Law::Mixed(mixed) = &mode.law {
                    self.numbers_of(&place.field("law"), mixed);
                }
                if let Some(end_stop) = &mode.end_stop {
                    self.numbers_of(&place.field("end_stop"), end_stop);
                }
                self.mode(&place, mode);
            }
        }
    }
}
