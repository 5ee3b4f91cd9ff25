//! The load that stands on each axle, as scales show it: another way to write mass and centre of gravity.

use crate::{Fault, Vehicle, edit::End, fault::with_unit};

/// Mass that stands on an axle with both its wheels, the car as described, kg.
pub fn axle_load_kg(vehicle: &Vehicle, end: End) -> f64 {
    let behind = vehicle.cg_to_front_axle_m / vehicle.wheelbase_m;
    match end {
        End::Front => vehicle.body_mass_kg * (1.0 - behind) + 2.0 * vehicle.front.wheel_mass_kg,
        End::Rear => vehicle.body_mass_kg * behind + 2.0 * vehicle.rear.wheel_mass_kg,
    }
}

/// Puts a load on one axle and leaves that on the other: body mass and centre of gravity follow.
pub(crate) fn set_axle_load(vehicle: &mut Vehicle, end: End, load_kg: f64) -> Result<(), Fault> {
    let loads = End::ALL.map(|e| if e == end { load_kg } else { axle_load_kg(vehicle, e) });
    let wheels = [2.0 * vehicle.front.wheel_mass_kg, 2.0 * vehicle.rear.wheel_mass_kg];
    let at = usize::from(end == End::Rear);
    if !(loads[at].is_finite() && loads[at] > wheels[at]) {
        let bound = format!("it must be more than its two wheels ({})", with_unit(wheels[at], "kg"));
        return Err(Fault::new(format!("vehicle.{}", end.field()), "axle load", with_unit(load_kg, "kg"), bound));
    }
    let body = [loads[0] - wheels[0], loads[1] - wheels[1]];
    let mass = body[0] + body[1];
    // Digits that no scale shows would only be read as precision.
    vehicle.body_mass_kg = (mass * 1e6).round() / 1e6;
    vehicle.cg_to_front_axle_m = (vehicle.wheelbase_m * body[1] / mass * 1e9).round() / 1e9;
    Ok(())
}
