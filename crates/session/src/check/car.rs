//! The car: what binds its masses and geometry together, empty and with every load case.

use super::Checker;
use crate::{
    Axle, LoadCase, StopCurve, Vehicle,
    fault::with_unit,
    limits::{MOST_STOP_POINTS, STOP_FORCE, STOP_TRAVEL},
    place::Place,
};

impl Checker<'_> {
    pub(super) fn car(&mut self) {
        let vehicle = &self.session.vehicle;
        let (top, wheelbase) = (Place::Top, vehicle.wheelbase_m);
        let place = top.field("vehicle");
        let to_front = vehicle.cg_to_front_axle_m;
        if to_front.is_finite() && wheelbase.is_finite() && !(to_front > 0.0 && to_front < wheelbase) {
            let bound = format!(
                "it must be more than 0 and less than wheelbase_m ({}), so that both axles carry load",
                with_unit(wheelbase, "m")
            );
            self.fault(&place, "cg_to_front_axle_m", with_unit(to_front, "m"), bound);
        }
        for (name, axle) in [("front", &vehicle.front), ("rear", &vehicle.rear)] {
            let (roll_centre, height) = (axle.roll_centre_height_m, vehicle.cg_height_m);
            if roll_centre > height {
                let bound = format!("it must not be above cg_height_m ({})", with_unit(height, "m"));
                self.fault(&place.field(name), "roll_centre_height_m", with_unit(roll_centre, "m"), bound);
            }
        }
        for (name, axle) in [("front", &vehicle.front), ("rear", &vehicle.rear)] {
            for (field, stop) in [("bump_stop", &axle.bump_stop), ("rebound_stop", &axle.rebound_stop)] {
                if let Some(curve) = stop.as_ref().and_then(|s| s.curve.as_ref()) {
                    self.stop_curve(&place.field(name).field(field).field("curve"), curve);
                }
            }
        }
        for (index, case) in vehicle.load_cases.iter().enumerate() {
            self.loaded(&place.item("load_cases", index), vehicle, case);
        }
    }

    /// A measured stop begins at its first contact without force and never pulls.
    fn stop_curve(&mut self, place: &Place<'_>, curve: &StopCurve) {
        let (travels, forces) = (&curve.travel_m, &curve.force_n);
        if !self.count(place, "travel_m", travels.len(), 2, MOST_STOP_POINTS)
            || !self.axis(place, "travel_m", &STOP_TRAVEL, travels, 2)
            || !self.row(place, "force_n", &STOP_FORCE, forces, ("travels", travels.len()))
        {
            return;
        }
        for (field, value, unit) in [("travel_m[0]", travels[0], "m"), ("force_n[0]", forces[0], "N")] {
            if value != 0.0 {
                self.fault(
                    place,
                    field,
                    with_unit(value, unit),
                    "a stop begins at its gap, without force: it must be 0",
                );
            }
        }
        for (index, pair) in forces.windows(2).enumerate() {
            if pair[1] < pair[0] {
                let bound = format!("it must not fall (the one before is {})", with_unit(pair[0], "N"));
                self.fault(place, format!("force_n[{}]", index + 1), with_unit(pair[1], "N"), bound);
            }
        }
    }

    /// The body with a load case aboard must still stand on all four wheels and above its roll centres.
    fn loaded(&mut self, place: &Place<'_>, vehicle: &Vehicle, case: &LoadCase) {
        let items = &case.items;
        let mass: f64 = vehicle.body_mass_kg + items.iter().map(|item| item.mass_kg).sum::<f64>();
        if !(mass.is_finite() && mass > 0.0) {
            return; // a mass by itself is wrong, and that has been said
        }
        let forward = items.iter().map(|item| item.mass_kg * item.x_m).sum::<f64>() / mass;
        let left = items.iter().map(|item| item.mass_kg * item.y_m).sum::<f64>() / mass;
        let height = (vehicle.body_mass_kg * vehicle.cg_height_m
            + items.iter().map(|item| item.mass_kg * item.z_m).sum::<f64>())
            / mass;
        let to_front = vehicle.cg_to_front_axle_m - forward;
        let described_inside = vehicle.cg_to_front_axle_m > 0.0 && vehicle.cg_to_front_axle_m < vehicle.wheelbase_m;
        if described_inside && !(to_front > 0.0 && to_front < vehicle.wheelbase_m) {
            let value = format!("a load that puts the centre of gravity {to_front:.3} m behind the front axle");
            let bound =
                format!("it must stay between the axles (wheelbase_m is {})", with_unit(vehicle.wheelbase_m, "m"));
            self.fault(place, "items", value, bound);
        }
        let half_track = vehicle.front.track_m.min(vehicle.rear.track_m) / 2.0;
        if left.abs() >= half_track {
            let value = format!("a load that puts the centre of gravity {left:.3} m left of the middle");
            let bound = format!("it must stay between the wheels (half the narrower track is {half_track} m)");
            self.fault(place, "items", value, bound);
        }
        let above =
            |axle: &Axle| axle.roll_centre_height_m <= vehicle.cg_height_m && axle.roll_centre_height_m > height;
        for (name, axle) in [("front", &vehicle.front), ("rear", &vehicle.rear)] {
            if above(axle) {
                let value = format!("a load that puts the centre of gravity {height:.3} m above ground");
                let roll_centre = with_unit(axle.roll_centre_height_m, "m");
                self.fault(
                    place,
                    "items",
                    value,
                    format!("it must not be below the {name} roll centre ({roll_centre})"),
                );
            }
        }
    }
}
