//! Figures of the car that need no run: ride frequencies, damping ratios, roll gradient, per load case.

use crate::loaded::Loaded;
use crate::model::Model;
use crate::plant::Plant;
use crate::vehicle::Vehicle;
use nalgebra::DMatrix;
use std::f64::consts::TAU;

/// Rate at the wheel for which damping ratios are quoted, m/s.
pub const DAMPING_RATIO_RATE_M_PER_S: f64 = 0.1;

/// Static figures of one axle.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct AxleFigures {
    /// Ride rate: spring and tyre in series, N/m.
    pub ride_rate_n_per_m: f64,
    /// Body on ride rate: sqrt(ride rate / body mass on the wheel) / 2 pi, Hz.
    pub ride_frequency_hz: f64,
    /// Wheel between spring and tyre: sqrt((spring + tyre) / wheel mass) / 2 pi, Hz.
    pub wheel_hop_hz: f64,
    /// c / (2 sqrt(k m)) of the body mass on the wheel's spring, with c the chord of rebound and compression force over
    /// ±0.1 m/s at the wheel, at the soft end of the table.
    pub damping_ratio_soft: f64,
    /// The same at the firm end.
    pub damping_ratio_firm: f64,
    /// 1 / (2 sqrt(k m)) of the body mass on the wheel's spring: damping ratio over a damping coefficient, 1/(N s/m).
    pub damping_ratio_per_n_s_per_m: f64,
}

impl AxleFigures {
    /// Figures of one axle (0 front, 1 rear) between two currents, A.
    pub fn new(vehicle: &Vehicle, loaded: &Loaded, axle_index: usize, current_a: (f64, f64)) -> Self {
        let axle = &vehicle.axles[axle_index];
        let mass = 0.5 * loaded.mass_kg * loaded.axle_share()[axle_index];
        let (k, kt) = (axle.spring_rate_n_per_m, axle.tyre_rate_n_per_m);
        let ride_rate = k * kt / (k + kt);
        let critical = 2.0 * (k * mass).sqrt();
        let ratio = |current: f64| {
            let (r, v) = (axle.motion_ratio, DAMPING_RATIO_RATE_M_PER_S);
            let table = &axle.damper.table;
            let chord = r * (table.force(r * v, current) - table.force(-r * v, current)) / (2.0 * v);
            chord / critical
        };
        let (soft_a, firm_a) = axle.damper.table.soft_and_firm(current_a.0, current_a.1);
        AxleFigures {
            ride_rate_n_per_m: ride_rate,
            ride_frequency_hz: (ride_rate / mass).sqrt() / TAU,
            wheel_hop_hz: ((k + kt) / axle.wheel_mass_kg).sqrt() / TAU,
            damping_ratio_soft: ratio(soft_a),
            damping_ratio_firm: ratio(firm_a),
            damping_ratio_per_n_s_per_m: 1.0 / critical,
        }
    }
}

/// Undamped natural frequencies of a model, Hz, rising; overturning directions are left out.
pub fn natural_frequencies_hz(vehicle: &Vehicle, loaded: &Loaded, model: Model) -> Vec<f64> {
    match model.corners() {
        1 => frequencies(&Plant::<1>::new(vehicle, loaded, model)),
        2 => frequencies(&Plant::<2>::new(vehicle, loaded, model)),
        _ => frequencies(&Plant::<4>::new(vehicle, loaded, model)),
    }
}

fn frequencies<const C: usize>(plant: &Plant<C>) -> Vec<f64> {
    // M^-1/2 K M^-1/2 is symmetric; degrees of freedom that the model lacks have zero inverse inertia and drop out.
    let mut inverse: Vec<f64> = vec![plant.inverse_mass, plant.inverse_roll_inertia, plant.inverse_pitch_inertia];
    inverse.extend(plant.corners.iter().map(|c| c.inverse_wheel_mass));
    let root = DMatrix::from_diagonal(&nalgebra::DVector::from_vec(inverse.iter().map(|i| i.sqrt()).collect()));
    let scaled = &root * plant.stiffness() * &root;
    let mut found: Vec<f64> =
        scaled.symmetric_eigenvalues().iter().filter(|&&l| l > 1e-9).map(|l| l.sqrt() / TAU).collect();
    found.sort_by(f64::total_cmp);
    found
}

/// Roll stiffness of each axle, N m/rad: springs, bar and tyres, the tyres in series with the other two.
pub fn roll_stiffness_n_m_per_rad(vehicle: &Vehicle) -> [f64; 2] {
    std::array::from_fn(|a| {
        let axle = &vehicle.axles[a];
        let lever = 0.5 * axle.track_m * axle.track_m;
        let body = axle.spring_rate_n_per_m * lever + axle.anti_roll_rate_n_m_per_rad;
        let tyre = axle.tyre_rate_n_per_m * lever;
        body * tyre / (body + tyre)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vehicle::{Axle, LoadCase, LoadItem, Stop};
    use crate::{Damper, DamperTable};
    use std::sync::Arc;

    fn linear_damper(c: f64) -> Arc<Damper> {
        let table = DamperTable::new(
            vec![-2.0, 0.0, 2.0],
            vec![0.0, 1.0],
            &[vec![-2.0 * c; 2], vec![0.0; 2], vec![2.0 * c; 2]],
        );
        Arc::new(Damper::as_on_bench(table, 0.0, 0.0, 0.0))
    }

    fn car(spring: [f64; 2]) -> Vehicle {
        let axle = |k: f64| Axle {
            track_m: 1.6,
            wheel_mass_kg: 50.0,
            spring_rate_n_per_m: k,
            anti_roll_rate_n_m_per_rad: 0.0,
            tyre_rate_n_per_m: 250_000.0,
            tyre_damping_n_s_per_m: 0.0,
            motion_ratio: 1.0,
            top_mount_rate_n_per_m: None,
            roll_centre_height_m: 0.0,
            wheel_centre_height_m: 0.0,
            anti_pitch_braking_share: 0.0,
            anti_pitch_driving_share: 0.0,
            bump_stop: None,
            rebound_stop: None,
            damper: linear_damper(1500.0),
        };
        Vehicle {
            body_mass_kg: 1600.0,
            roll_inertia_kg_m2: 500.0,
            pitch_inertia_kg_m2: 2300.0,
            wheelbase_m: 2.7,
            cg_to_front_axle_m: 1.35,
            cg_height_m: 0.55,
            seat_m: [0.0, 0.0, 0.55],
            axles: [axle(spring[0]), axle(spring[1])],
        }
    }

    #[test]
    fn quarter_car_modes_equal_the_published_case() {
        // checks.json 07_modes: 400/50 kg, 20/250 kN/m; eigenvalues by an independent library.
        let vehicle = car([20_000.0; 2]);
        let loaded = Loaded::new(&vehicle, &LoadCase::default());
        let f = natural_frequencies_hz(&vehicle, &loaded, Model::QuarterFront);
        let check =
            |what, got, want| washboard_checks::relative(what, "checks 07: eigenvalues, closed forms", got, want, 1e-9);
        check("quarter car, first mode, Hz", f[0], 1.0825378399129073);
        check("quarter car, second mode, Hz", f[1], 11.699496764298964);
        let axle = AxleFigures::new(&vehicle, &loaded, 0, (0.0, 1.0));
        check("derived figure ride_rate_n_per_m", axle.ride_rate_n_per_m, 18518.51851851852);
        check("derived figure ride_frequency_hz", axle.ride_frequency_hz, 1.0829122239356612);
        check("derived figure wheel_hop_hz", axle.wheel_hop_hz, 11.695452018505144);
        check("derived figure damping_ratio_soft", axle.damping_ratio_soft, 0.2651650429449553);
        check("derived figure damping_ratio_firm", axle.damping_ratio_firm, 0.2651650429449553);
        // The published ratio is that of 1500 N s/m.
        check(
            "derived figure damping_ratio_per_n_s_per_m",
            axle.damping_ratio_per_n_s_per_m,
            0.2651650429449553 / 1500.0,
        );
        // Every figure there is, as the structure itself names them.
        let fields = format!("{axle:?}");
        let names: Vec<&str> =
            fields.split(['{', ',', '}']).filter_map(|f| Some(f.split_once(':')?.0.trim())).collect();
        assert!(names.len() >= 5, "{names:?}");
        names.iter().for_each(|name| washboard_checks::wanted("derived figure", name));
        // The axle of the book: 20.63 kN/m, 300 kN/m, 40 kg.
        let mut book = car([20_630.0; 2]);
        (book.axles[0].tyre_rate_n_per_m, book.axles[0].wheel_mass_kg) = (300_000.0, 40.0);
        let book = AxleFigures::new(&book, &loaded, 0, (0.0, 1.0));
        check("wheel hop of Barton and Fieldhouse 2018, p. 213, Hz", book.wheel_hop_hz, 14.249256803260558);
    }

    #[test]
    fn a_damping_ratio_is_the_coefficient_over_twice_the_root_of_rate_and_mass() {
        // c / (2 sqrt(k m)) with 400 kg on each of four equal corners, 1500 N s/m and 22 500 N/m: 1500 / 6000.
        let vehicle = car([22_500.0; 2]);
        let figures = AxleFigures::new(&vehicle, &Loaded::new(&vehicle, &LoadCase::default()), 0, (0.0, 1.0));
        let share = 2.0 * Loaded::new(&vehicle, &LoadCase::default()).axle_share()[0];
        let expected = 0.25 / share.sqrt();
        approx::assert_relative_eq!(figures.damping_ratio_soft, expected, max_relative = 1e-12);
        approx::assert_relative_eq!(1500.0 * figures.damping_ratio_per_n_s_per_m, expected, max_relative = 1e-12);
    }

    #[test]
    fn roll_gradient_equals_the_closed_form() {
        // m h / (K - m g h), checks.json 14_roll: 1280 kg, 0.365 m, 28 650 N m/rad; here with rigid tyres and standard
        // gravity instead of 9.81.
        let mut vehicle = car([1.0; 2]);
        vehicle.body_mass_kg = 1280.0;
        vehicle.cg_height_m = 0.365;
        for axle in &mut vehicle.axles {
            axle.spring_rate_n_per_m = 28_650.0 / 2.0 / (0.5 * 1.6 * 1.6);
            axle.tyre_rate_n_per_m = 1e12;
        }
        let loaded = Loaded::new(&vehicle, &LoadCase::default());
        let plant = Plant::<4>::new(&vehicle, &loaded, Model::Full);
        let g = crate::vehicle::GRAVITY_M_PER_S2;
        let expected = 1280.0 * 0.365 / (28_650.0 - 1280.0 * g * 0.365);
        let source = "checks 14: m h/(K - m g h) (Barton and Fieldhouse 2018), standard gravity";
        washboard_checks::relative("roll gradient, rad/(m/s²)", source, plant.roll_per_lateral, expected, 1e-6);
        washboard_checks::absolute(
            "roll gradient, 9.81 m/s²",
            "checks 14: closed form",
            expected,
            0.019412660644752965,
            1e-5,
        );
        // The steady load transfer a unit of lateral acceleration is m h_total / b over both axles together, plus gravity's
        // share through the roll angle.
        let transfer: f64 = plant.corners[1].load_per_lateral + plant.corners[3].load_per_lateral;
        let moment = 1280.0 * 0.365 * (1.0 + g * expected);
        approx::assert_relative_eq!(transfer * 1.6, moment, max_relative = 1e-6);
        assert!(plant.corners[0].load_per_lateral < 0.0, "the left wheel loses load in a left-hand bend");
    }

    #[test]
    fn brake_pitch_equals_the_closed_form() {
        // checks.json 15_brake_pitch: 1500 kg, 0.55 m, 2.7 m, 0.6 g (9.81), axle rates 44 and 48 kN/m, anti-dive 0.3,
        // anti-lift 0.4: front dive 28.6125 mm, rear lift 22.48125 mm, load transfer 1798.5 N.
        let mut vehicle = car([22_000.0, 24_000.0]);
        vehicle.body_mass_kg = 1500.0;
        for (axle, anti) in vehicle.axles.iter_mut().zip([0.3, 0.4]) {
            axle.tyre_rate_n_per_m = 1e12;
            axle.anti_pitch_braking_share = anti;
        }
        let loaded = Loaded::new(&vehicle, &LoadCase::default());
        let plant = Plant::<4>::new(&vehicle, &loaded, Model::Full);
        let ax = -0.6 * 9.81;
        let check = |what, got, want| {
            washboard_checks::relative(what, "checks 15: closed form after Gillespie 1992", got, want, 1e-5);
        };
        check("braking, load of the front axle, N", 2.0 * plant.corners[0].load_per_longitudinal * ax, 1798.5);
        check("braking, load of the rear axle, N", 2.0 * plant.corners[2].load_per_longitudinal * ax, -1798.5);
        let pitch = plant.pitch_per_longitudinal[0] * ax;
        check("brake pitch, degrees", pitch.to_degrees(), 1.0842430498135371);
        approx::assert_relative_eq!(pitch, (0.0286125 + 0.02248125) / 2.7, max_relative = 1e-5);
    }

    #[test]
    fn a_load_case_moves_mass_centre_inertia_and_wheel_loads() {
        let mut vehicle = car([20_000.0; 2]);
        vehicle.axles[1].bump_stop = Some(Stop { gap_m: 0.03, rate_n_per_m: 50_000.0, ..Stop::default() });
        let case = LoadCase {
            items: vec![
                LoadItem { mass_kg: 80.0, x_m: 0.2, y_m: 0.4, z_m: 0.6 },
                LoadItem { mass_kg: 300.0, x_m: -1.6, y_m: 0.0, z_m: 0.7 },
            ],
            levelled: false,
        };
        let loaded = Loaded::new(&vehicle, &case);
        let m = 1980.0;
        assert_eq!(loaded.mass_kg, m);
        let (x, y) = ((80.0 * 0.2 - 300.0 * 1.6) / m, 80.0 * 0.4 / m);
        approx::assert_relative_eq!(loaded.axle_x_m[0], 1.35 - x, max_relative = 1e-12);
        approx::assert_relative_eq!(loaded.corner_y_m[0], 0.8 - y, max_relative = 1e-12);
        // Equilibrium of forces and of both moments about the old centre, whatever the springs.
        let g = crate::vehicle::GRAVITY_M_PER_S2;
        let load = loaded.wheel_load_n;
        approx::assert_relative_eq!(load.iter().sum::<f64>(), (m + 200.0) * g, max_relative = 1e-9);
        let rolling = 0.8 * (load[0] + load[2] - load[1] - load[3]);
        approx::assert_relative_eq!(rolling, 80.0 * 0.4 * g, max_relative = 1e-9);
        let pitching = 1.35 * (load[0] + load[1] - load[2] - load[3]);
        approx::assert_relative_eq!(pitching, (80.0 * 0.2 - 300.0 * 1.6) * g, max_relative = 1e-9);
        // The rear sits on its stop, so that it sinks less than on the springs alone.
        let mut free = vehicle.clone();
        free.axles[1].bump_stop = None;
        assert!(loaded.deflection_m[2] > Loaded::new(&free, &case).deflection_m[2]);
        assert!(loaded.deflection_m[2] < -0.03);
        // Point masses and parallel axes by hand, pitch.
        let z = (1600.0 * 0.55 + 80.0 * 0.6 + 300.0 * 0.7) / m;
        let arm = |mass: f64, px: f64, pz: f64| mass * ((px - x).powi(2) + (pz - z).powi(2));
        let expected = 2300.0 + arm(1600.0, 0.0, 0.55) + arm(80.0, 0.2, 0.6) + arm(300.0, -1.6, 0.7);
        approx::assert_relative_eq!(loaded.pitch_inertia_kg_m2, expected, max_relative = 1e-12);
    }
}
