//! The car with a load aboard: mass, centre of gravity, inertias, lever arms, static wheel loads and deflections.

use crate::vehicle::{GRAVITY_M_PER_S2, LoadCase, Stop, Vehicle};
use nalgebra::{SMatrix, SVector};

/// The car in one load case. Corner order: front left, front right, rear left, rear right.
#[derive(Clone, Debug, PartialEq)]
pub struct Loaded {
    /// Mass of body and load, kg.
    pub mass_kg: f64,
    /// Roll inertia about the new centre of gravity, kg m^2.
    pub roll_inertia_kg_m2: f64,
    /// Pitch inertia about the new centre of gravity, kg m^2.
    pub pitch_inertia_kg_m2: f64,
    /// Centre of gravity above ground, m.
    pub cg_height_m: f64,
    /// Forward lever arm of each axle from the centre of gravity, m (front positive, rear negative).
    pub axle_x_m: [f64; 2],
    /// Left lever arm of each corner, m.
    pub corner_y_m: [f64; 4],
    /// Height of the centre of gravity above the roll axis, m.
    pub roll_arm_m: f64,
    /// Seat from the new centre of gravity: forward, left, m.
    pub seat_m: [f64; 2],
    /// Static wheel load, N.
    pub wheel_load_n: [f64; 4],
    /// Suspension deflection against the car as described, m (compression negative); zero where levelled.
    pub deflection_m: [f64; 4],
}

/// Force of a stop at deflection `e` measured from the car as described, in the sense of model equation
/// `F_i = ... - F_stop(e)`: negative in compression, positive in rebound.
pub fn stop_force(bump: Option<Stop>, rebound: Option<Stop>, e: f64) -> f64 {
    let force = |s: Stop, x: f64| {
        if x > 0.0 { x * (s.rate_n_per_m + s.progression_n_per_m3 * (x * x)) + s.ramps.force(x) } else { 0.0 }
    };
    rebound.map_or(0.0, |s| force(s, e - s.gap_m)) - bump.map_or(0.0, |s| force(s, -e - s.gap_m))
}

fn stop_rate(bump: Option<Stop>, rebound: Option<Stop>, e: f64) -> f64 {
    let slope = |s: Stop, x: f64| {
        if x > 0.0 { s.rate_n_per_m + 3.0 * s.progression_n_per_m3 * (x * x) + s.ramps.rate(x) } else { 0.0 }
    };
    rebound.map_or(0.0, |s| slope(s, e - s.gap_m)) + bump.map_or(0.0, |s| slope(s, -e - s.gap_m))
}

impl Loaded {
    /// Puts a load into a car. The static position is found with springs, bars, stops and tyres together, because a
    /// load beside the centre line is carried by whatever resists roll.
    pub fn new(vehicle: &Vehicle, case: &LoadCase) -> Self {
        let load: f64 = case.items.iter().map(|i| i.mass_kg).sum();
        let mass_kg = vehicle.body_mass_kg + load;
        let moment = |f: fn(&crate::vehicle::LoadItem) -> f64| case.items.iter().map(|i| i.mass_kg * f(i)).sum::<f64>();
        let (cg_x, cg_y) = (moment(|i| i.x_m) / mass_kg, moment(|i| i.y_m) / mass_kg);
        let cg_height_m = (vehicle.body_mass_kg * vehicle.cg_height_m + moment(|i| i.z_m)) / mass_kg;
        // Parallel axes: the body's own inertia moved to the new centre, the items as points.
        let about = |a: f64, b: f64| a * a + b * b;
        let down = vehicle.cg_height_m - cg_height_m;
        let mut roll_inertia_kg_m2 = vehicle.roll_inertia_kg_m2 + vehicle.body_mass_kg * about(cg_y, down);
        let mut pitch_inertia_kg_m2 = vehicle.pitch_inertia_kg_m2 + vehicle.body_mass_kg * about(cg_x, down);
        for i in &case.items {
            roll_inertia_kg_m2 += i.mass_kg * about(i.y_m - cg_y, i.z_m - cg_height_m);
            pitch_inertia_kg_m2 += i.mass_kg * about(i.x_m - cg_x, i.z_m - cg_height_m);
        }
        let front_x = vehicle.cg_to_front_axle_m;
        let axle_x = [front_x, front_x - vehicle.wheelbase_m];
        let axle_x_m = [axle_x[0] - cg_x, axle_x[1] - cg_x];
        let corner_y: [f64; 4] =
            std::array::from_fn(|c| vehicle.axles[c / 2].track_m * if c % 2 == 0 { 0.5 } else { -0.5 });
        let corner_y_m = corner_y.map(|y| y - cg_y);
        let heights = [vehicle.axles[0].roll_centre_height_m, vehicle.axles[1].roll_centre_height_m];
        let roll_axis_m = heights[0] + (heights[1] - heights[0]) * (axle_x_m[0] / vehicle.wheelbase_m);

        let (deflection, tyre) = static_position(vehicle, &axle_x, &corner_y, case);
        let body_share = [-axle_x[1] / vehicle.wheelbase_m, axle_x[0] / vehicle.wheelbase_m];
        let wheel_load_n = std::array::from_fn(|c| {
            let axle = &vehicle.axles[c / 2];
            let bare = 0.5 * vehicle.body_mass_kg * body_share[c / 2] + axle.wheel_mass_kg;
            bare * GRAVITY_M_PER_S2 - axle.tyre_rate_n_per_m * tyre[c]
        });
        Loaded {
            mass_kg,
            roll_inertia_kg_m2,
            pitch_inertia_kg_m2,
            cg_height_m,
            axle_x_m,
            corner_y_m,
            roll_arm_m: cg_height_m - roll_axis_m,
            seat_m: [vehicle.seat_m[0] - cg_x, vehicle.seat_m[1] - cg_y],
            wheel_load_n,
            deflection_m: if case.levelled { [0.0; 4] } else { deflection },
        }
    }

    /// Share of the body's mass on each axle.
    pub fn axle_share(&self) -> [f64; 2] {
        let wheelbase = self.axle_x_m[0] - self.axle_x_m[1];
        [-self.axle_x_m[1] / wheelbase, self.axle_x_m[0] / wheelbase]
    }
}

/// Deflection of suspension and tyre (wheel height) at the four corners under the load, against the car as described.
fn static_position(vehicle: &Vehicle, axle_x: &[f64; 2], corner_y: &[f64; 4], case: &LoadCase) -> ([f64; 4], [f64; 4]) {
    if case.items.is_empty() {
        return ([0.0; 4], [0.0; 4]);
    }
    // Unknowns: heave, roll, pitch about the old centre of gravity, four wheel heights.
    let lever: [SVector<f64, 7>; 4] = std::array::from_fn(|c| {
        let mut row = SVector::<f64, 7>::zeros();
        (row[0], row[1], row[2], row[3 + c]) = (1.0, corner_y[c], -axle_x[c / 2], -1.0);
        row
    });
    let mut weight = SVector::<f64, 7>::zeros();
    for i in &case.items {
        let force = -i.mass_kg * GRAVITY_M_PER_S2;
        weight[0] += force;
        weight[1] += i.y_m * force;
        weight[2] -= i.x_m * force;
    }
    let mut position = SVector::<f64, 7>::zeros();
    // Newton: one step without stops, a few more where a stop carries part of the load.
    for _ in 0..50 {
        let mut rate = SMatrix::<f64, 7, 7>::zeros();
        let mut residual = weight;
        for c in 0..4 {
            let axle = &vehicle.axles[c / 2];
            let e = lever[c].dot(&position);
            // Levelling keeps the car off its stops.
            let (stop_n, stop_k) = if case.levelled {
                (0.0, 0.0)
            } else {
                (
                    stop_force(axle.bump_stop, axle.rebound_stop, e)
                        - stop_force(axle.bump_stop, axle.rebound_stop, 0.0),
                    stop_rate(axle.bump_stop, axle.rebound_stop, e),
                )
            };
            rate += lever[c] * lever[c].transpose() * (axle.spring_rate_n_per_m + stop_k);
            residual -= lever[c] * (axle.spring_rate_n_per_m * e + stop_n);
            rate[(3 + c, 3 + c)] += axle.tyre_rate_n_per_m;
            residual[3 + c] -= axle.tyre_rate_n_per_m * position[3 + c];
        }
        for a in 0..2 {
            let twist = lever[2 * a] - lever[2 * a + 1];
            let k = vehicle.axles[a].anti_roll_rate_n_m_per_rad / vehicle.axles[a].track_m.powi(2);
            rate += twist * twist.transpose() * k;
            residual -= twist * (k * twist.dot(&position));
        }
        // Springs and tyres have positive rates by the limits of the document, so the matrix can be factored.
        let Some(step) = rate.lu().solve(&residual) else { break };
        position += step;
        if step.amax() < 1e-12 {
            break;
        }
    }
    (std::array::from_fn(|c| lever[c].dot(&position)), std::array::from_fn(|c| position[3 + c]))
}
