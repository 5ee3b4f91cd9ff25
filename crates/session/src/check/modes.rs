//! Modes: maps, and current limits inside the dampers' tables.

use super::Checker;
use crate::{
    Mode,
    fault::{quoted, with_unit},
    map::MapName,
    place::Place,
    resting,
};

impl Checker<'_> {
    pub(super) fn modes(&mut self) {
        let (session, top) = (self.session, Place::Top);
        for (index, mode) in session.modes.iter().enumerate() {
            let place = top.item("modes", index);
            self.mode(&place, mode);
            self.inside_dampers(&place, mode);
            if let Some((value, bound)) = resting::fault_of(session, index) {
                self.fault(&place, "rests_on", value, bound);
            }
            let axles = [&session.vehicle.front, &session.vehicle.rear];
            if mode.end_stop.is_some() && axles.iter().all(|a| a.bump_stop.is_none() && a.rebound_stop.is_none()) {
                let bound = "the car must have a stop fitted for it to act before";
                self.fault(&place, "end_stop", "an end stop", bound);
            }
        }
    }

    /// What holds for a mode by itself; its single numbers are checked elsewhere.
    pub(super) fn mode(&mut self, place: &Place<'_>, mode: &Mode) {
        for name in MapName::ALL {
            let Some(map) = mode.map(name) else { continue };
            let place = place.field(name.field());
            self.axis(&place, "rows", name.row_limit(), map.rows, 1);
            self.axis(&place, "columns", name.column_limit(), map.columns, 1);
            let sizes = (("rows", map.rows.len()), ("columns", map.columns.len()));
            self.table(&place, name.values_field(), name.value_limit(), map.values, sizes.0, sizes.1);
        }
        self.locked(place, mode);
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

    /// Locked cells must be there, each once.
    fn locked(&mut self, place: &Place<'_>, mode: &Mode) {
        for name in MapName::ALL {
            let size = mode.map(name).map_or((0, 0), |map| (map.rows.len(), map.columns.len()));
            let cells = mode.locked.of(name);
            for (index, &(row, column)) in cells.iter().enumerate() {
                let bound = if row >= size.0 || column >= size.1 {
                    format!("the {} map has {} rows and {} columns, counted from 0", name.field(), size.0, size.1)
                } else if cells[..index].contains(&(row, column)) {
                    "it stands here a second time".to_owned()
                } else {
                    continue;
                };
                let field = format!("{}[{index}]", name.field());
                self.fault(&place.field("locked"), field, format!("row {row}, column {column}"), bound);
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
}
