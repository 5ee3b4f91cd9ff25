//! What is proposed for a new car, judged by the car's own figures.

use washboard_session::{Edit, apply, proposal};
use washboard_study::{Profiles, Study};

#[test]
fn a_proposed_car_has_the_ride_frequencies_and_damping_it_was_proposed_for() {
    for mass in [900.0, 1550.0, 2600.0] {
        let mut session = proposal::new_session();
        let edit = Edit::SetNumber { path: "vehicle.body_mass_kg".into(), value: mass };
        apply(&mut session, &edit).expect("a mass within its limits");
        let study = Study::new(&session, &Profiles::default()).expect("a valid session");
        let derived = &study.derived()[0];
        // Springs are rounded to three digits.
        assert!((derived.ride_frequency_hz[0] - 1.2).abs() < 0.005, "{:?}", derived.ride_frequency_hz);
        assert!((derived.ride_frequency_hz[1] - 1.32).abs() < 0.005, "{:?}", derived.ride_frequency_hz);
        for axle in 0..2 {
            // Read at ±0.1 m/s at the wheel, which is a little less at the damper.
            let (soft, firm) = (derived.damping_ratio_soft[axle], derived.damping_ratio_firm[axle]);
            assert!((soft - 0.16).abs() < 0.01, "{soft}");
            assert!((0.7..0.85).contains(&firm), "{firm}");
        }
        let load: f64 = derived.wheel_load_n.iter().sum();
        assert!((load / 9.806_65 - (mass + 168.0)).abs() < 1e-6);
    }
}
