//! Damper bench data: a damper can only resist, and its current works one way.

use super::Checker;
use crate::{
    Damper, ForceCurve,
    fault::with_unit,
    limits::{BENCH_CURRENT, BENCH_FORCE, BENCH_VELOCITY, LOST_FORCE, LOST_VELOCITY, TEMPERATURE, TEMPERATURE_SCALE},
    place::Place,
};

impl Checker<'_> {
    pub(super) fn dampers(&mut self) {
        let top = Place::Top;
        for (index, damper) in self.session.dampers.iter().enumerate() {
            let place = top.item("dampers", index);
            self.damper(&place, damper);
            if let Some(curve) = &damper.supply_lost {
                self.supply_lost(&place.field("supply_lost"), curve);
            }
            if let Some(scale) = &damper.temperature {
                let place = place.field("temperature");
                self.axis(&place, "temperature_c", &TEMPERATURE, &scale.temperature_c, 1);
                let sizes = ("temperatures", scale.temperature_c.len());
                self.row(&place, "force_scale", &TEMPERATURE_SCALE, &scale.force_scale, sizes);
            }
            self.known_under_conditions(&place, damper);
        }
    }

    /// A scenario needs what it says of every damper fitted.
    fn known_under_conditions(&mut self, place: &Place<'_>, damper: &Damper) {
        let (vehicle, conditions) = (&self.session.vehicle, &self.session.conditions);
        if damper.name != vehicle.front.damper && damper.name != vehicle.rear.damper {
            return;
        }
        if conditions.supply_lost && damper.supply_lost.is_none() {
            let bound = "conditions.supply_lost needs the force without supply of every damper fitted";
            self.fault(place, "supply_lost", "absent", bound);
        }
        if conditions.damper_temperature_c.is_some() && damper.temperature.is_none() {
            let bound = "conditions.damper_temperature_c needs the scale over temperature of every damper fitted";
            self.fault(place, "temperature", "absent", bound);
        }
    }

    /// A force curve over velocity obeys what a column of the bench data does.
    fn supply_lost(&mut self, place: &Place<'_>, curve: &ForceCurve) {
        let velocities = &curve.velocity_m_per_s;
        let axis = self.axis(place, "velocity_m_per_s", &LOST_VELOCITY, velocities, 3);
        let row = self.row(place, "force_n", &LOST_FORCE, &curve.force_n, ("velocities", velocities.len()));
        if !(axis && row) {
            return;
        }
        let (first, last) = (velocities[0], velocities[velocities.len() - 1]);
        if !(velocities.contains(&0.0) && first < 0.0 && last > 0.0) {
            let value = format!("a list from {first} to {last} m/s");
            let bound = "it must hold 0 m/s and velocities below (compression) and above it (rebound)";
            self.fault(place, "velocity_m_per_s", value, bound);
        }
        for (index, (&velocity, &force)) in velocities.iter().zip(&curve.force_n).enumerate() {
            let field = format!("force_n[{index}]");
            if velocity * force < 0.0 || (velocity == 0.0 && force != 0.0) {
                let bound = format!("it must have the sign of the velocity ({})", with_unit(velocity, "m/s"));
                self.fault(place, field, with_unit(force, "N"), bound);
            } else if index > 0 && force < curve.force_n[index - 1] {
                let before = with_unit(curve.force_n[index - 1], "N");
                let bound = format!("it must not fall as velocity rises (the one before is {before})");
                self.fault(place, field, with_unit(force, "N"), bound);
            }
        }
    }

    fn damper(&mut self, place: &Place<'_>, damper: &Damper) {
        let (velocities, currents) = (&damper.velocity_m_per_s, &damper.current_a);
        let axes = self.axis(place, "velocity_m_per_s", &BENCH_VELOCITY, velocities, 3)
            & self.axis(place, "current_a", &BENCH_CURRENT, currents, 1);
        let sizes = (("velocities", velocities.len()), ("currents", currents.len()));
        let table = self.table(place, "force_n", &BENCH_FORCE, &damper.force_n, sizes.0, sizes.1);
        if !(axes && table) {
            return; // what follows would only repeat it
        }
        let (first, last) = (velocities[0], velocities[velocities.len() - 1]);
        if !velocities.contains(&0.0) {
            let value = format!("a list from {first} to {last} m/s");
            self.fault(place, "velocity_m_per_s", value, "0 m/s must be among them");
        }
        if !(first < 0.0 && last > 0.0) {
            let value = format!("a list from {first} to {last} m/s");
            let bound = "it must hold velocities below zero (compression) and above zero (rebound)";
            self.fault(place, "velocity_m_per_s", value, bound);
        }
        self.signs(place, damper);
        self.over_velocity(place, damper);
        self.over_current(place, damper);
    }

    fn signs(&mut self, place: &Place<'_>, damper: &Damper) {
        for (row, (&velocity, forces)) in damper.velocity_m_per_s.iter().zip(&damper.force_n).enumerate() {
            for (column, &force) in forces.iter().enumerate() {
                let bound = if velocity == 0.0 && force != 0.0 {
                    "it must be 0 N at 0 m/s".to_owned()
                } else if velocity * force < 0.0 {
                    format!("it must have the sign of the velocity ({})", with_unit(velocity, "m/s"))
                } else {
                    continue;
                };
                self.fault(place, format!("force_n[{row}][{column}]"), with_unit(force, "N"), bound);
            }
        }
    }

    fn over_velocity(&mut self, place: &Place<'_>, damper: &Damper) {
        for (row, pair) in damper.force_n.windows(2).enumerate() {
            for (column, (&before, &force)) in pair[0].iter().zip(&pair[1]).enumerate() {
                if force < before {
                    let bound =
                        format!("it must not fall as velocity rises (the row before has {})", with_unit(before, "N"));
                    let field = format!("force_n[{}][{column}]", row + 1);
                    self.fault(place, field, with_unit(force, "N"), bound);
                }
            }
        }
    }

    /// Force sizes over current: all rising or all falling, the same way in every row; equal forces fit both.
    fn over_current(&mut self, place: &Place<'_>, damper: &Damper) {
        let mut way = None;
        for (row, forces) in damper.force_n.iter().enumerate() {
            for (column, pair) in forces.windows(2).enumerate() {
                let (before, size) = (pair[0].abs(), pair[1].abs());
                if before == size {
                    continue;
                }
                let rising = size > before;
                let (first_row, first_rising) = *way.get_or_insert((row, rising));
                if rising != first_rising {
                    let (does, must) = if rising { ("larger", "fall") } else { ("smaller", "grow") };
                    let bound = format!(
                        "its size is {does} than at the current before ({}) and damping must {must} with current everywhere, as it does in force_n[{first_row}]",
                        with_unit(pair[0], "N")
                    );
                    let field = format!("force_n[{row}][{}]", column + 1);
                    self.fault(place, field, with_unit(pair[1], "N"), bound);
                }
            }
        }
    }
}
