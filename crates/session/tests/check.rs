//! Every rule of the document: one broken session each, and the sentence that names place, field, value and bound.
#![allow(clippy::unwrap_used)] // the lint's exception for tests does not reach their helpers

mod common;

use common::{full, small};
use washboard_session::{Event, EventKind, Fence, LoadItem, RoadClass, Session, check, limits, numbers};

/// The faults of the full session after a change.
fn faults_after(change: impl Fn(&mut Session)) -> Vec<String> {
    let mut session = full();
    change(&mut session);
    check(&session).err().unwrap_or_default().iter().map(ToString::to_string).collect()
}

type Change = fn(&mut Session);

fn kind(session: &mut Session, index: usize) -> &mut EventKind {
    &mut session.events[index].kind
}

fn estimated(session: &mut Session) -> &mut washboard_session::Estimated {
    match &mut session.controller.states {
        washboard_session::States::Estimated(it) => it,
        washboard_session::States::Ideal => panic!("the full session estimates its states"),
    }
}

/// Breaks one thing and says the whole sentence expected for it, first of all.
const BROKEN: &[(Change, &str)] = &[
    (
        |s| estimated(s).body_sensors[2] = estimated(s).body_sensors[1],
        "controller.states: body_sensors is a triangle of 0.0000 m^2, but they must span at least 0.01 m^2, so that heave, roll and pitch can be told apart.",
    ),
    (
        |s| estimated(s).body_sensors.truncate(2),
        "controller.states: body_sensors is a list of 2 places, but there must be three, for heave, roll and pitch.",
    ),
    (
        |s| estimated(s).body_accelerometer.noise_rms_m_per_s2 = -1.0,
        "controller.states.body_accelerometer: noise_rms_m_per_s2 is -1 m/s^2, but it must be 0 to 100 m/s^2.",
    ),
    (
        |s| estimated(s).height_low_pass_hz = 500.0,
        "controller.states: height_low_pass_hz is 500 Hz, but it must be below half of sample_rate_hz (500 Hz).",
    ),
    (
        |s| s.dampers[0].supply_lost.as_mut().unwrap().force_n[0] = 50.0,
        "dampers[0] \"front damper\".supply_lost: force_n[0] is 50 N, but it must have the sign of the velocity (-1 m/s).",
    ),
    (
        |s| s.dampers[1].temperature = None,
        "dampers[1] \"rear damper\": temperature is absent, but conditions.damper_temperature_c needs the scale over temperature of every damper fitted.",
    ),
    (
        |s| s.dampers[0].temperature.as_mut().unwrap().force_scale.truncate(2),
        "dampers[0] \"front damper\".temperature: force_scale is a list of 2 numbers, but it must have one number for each of the 3 temperatures.",
    ),
    (
        |s| s.vehicle.front.rebound_stop.as_mut().unwrap().curve.as_mut().unwrap().force_n[2] = 200.0,
        "vehicle.front.rebound_stop.curve: force_n[2] is 200 N, but it must not fall (the one before is 300 N).",
    ),
    (
        |s| s.modes[0].end_stop.as_mut().unwrap().zone_m = 0.0,
        "modes[0] \"everyday\".end_stop: zone_m is 0 m, but it must be 0.0001 to 2 m.",
    ),
    (
        |s| estimated(s).body_sensors[1].y_m = 60.0,
        "controller.states.body_sensors[1]: y_m is 60 m, but it must be -5 to 5 m.",
    ),
    (|s| s.format = 0, "session: format is 0, but this program writes format 1."),
    (|s| s.vehicle.body_mass_kg = f64::NAN, "vehicle: body_mass_kg is NaN kg, but it must be 1 to 20000 kg."),
    (|s| s.vehicle.body_mass_kg = -1450.0, "vehicle: body_mass_kg is -1450 kg, but it must be 1 to 20000 kg."),
    (
        |s| s.vehicle.roll_inertia_kg_m2 = f64::INFINITY,
        "vehicle: roll_inertia_kg_m2 is inf kg m^2, but it must be 0.001 to 1000000 kg m^2.",
    ),
    (|s| s.vehicle.wheelbase_m = 2700.0, "vehicle: wheelbase_m is 2700 m, but it must be 0.1 to 20 m."),
    (
        |s| s.vehicle.cg_to_front_axle_m = 2.7,
        "vehicle: cg_to_front_axle_m is 2.7 m, but it must be more than 0 and less than wheelbase_m (2.7 m), so that both axles carry load.",
    ),
    (
        |s| s.vehicle.cg_to_front_axle_m = 0.0,
        "vehicle: cg_to_front_axle_m is 0 m, but it must be more than 0 and less than wheelbase_m (2.7 m), so that both axles carry load.",
    ),
    (|s| s.vehicle.seat_m.as_mut().unwrap().z = 1200.0, "vehicle.seat_m: z is 1200 m, but it must be 0 to 10 m."),
    (
        |s| s.vehicle.front.roll_centre_height_m = 0.6,
        "vehicle.front: roll_centre_height_m is 0.6 m, but it must not be above cg_height_m (0.58 m).",
    ),
    (|s| s.vehicle.front.motion_ratio = 0.0, "vehicle.front: motion_ratio is 0, but it must be 0.05 to 5."),
    (
        |s| s.vehicle.rear.spring_rate_n_per_m = -1.0,
        "vehicle.rear: spring_rate_n_per_m is -1 N/m, but it must be 1 to 100000000 N/m.",
    ),
    (
        |s| s.vehicle.rear.anti_pitch_driving_share = 20.0,
        "vehicle.rear: anti_pitch_driving_share is 20, but it must be 0 to 1.",
    ),
    (
        |s| s.vehicle.front.bump_stop.as_mut().unwrap().gap_m = -0.01,
        "vehicle.front.bump_stop: gap_m is -0.01 m, but it must be 0 to 2 m.",
    ),
    (
        |s| s.vehicle.front.damper = "rear dampr".into(),
        "vehicle.front: damper is \"rear dampr\", but there is no damper of that name (there is \"front damper\", \"rear damper\").",
    ),
    (
        |s| s.vehicle.load_cases[1].name = "driver".into(),
        "vehicle.load_cases[1] \"driver\": name is \"driver\", but load_cases[0] has that name already.",
    ),
    (
        |s| s.vehicle.load_cases[0].name = "as described".into(),
        "vehicle.load_cases[0] \"as described\": name is \"as described\", but this name is kept for the car without any load.",
    ),
    (
        |s| s.vehicle.load_cases[0].items[0].mass_kg = -75.0,
        "vehicle.load_cases[0] \"driver\".items[0] \"driver\": mass_kg is -75 kg, but it must be 0 to 20000 kg.",
    ),
    (
        |s| s.vehicle.load_cases[0].items[0] = load(2000.0, -5.0, 0.0, 0.5),
        "vehicle.load_cases[0] \"driver\": items is a load that puts the centre of gravity 4.149 m behind the front axle, but it must stay between the axles (wheelbase_m is 2.7 m).",
    ),
    (
        |s| s.vehicle.load_cases[0].items[0] = load(1450.0, 0.0, 2.0, 0.5),
        "vehicle.load_cases[0] \"driver\": items is a load that puts the centre of gravity 1.000 m left of the middle, but it must stay between the wheels (half the narrower track is 0.78 m).",
    ),
    (
        |s| {
            s.vehicle.front.roll_centre_height_m = 0.5;
            s.vehicle.load_cases[0].items[0] = load(1450.0, 0.0, 0.0, 0.1);
        },
        "vehicle.load_cases[0] \"driver\": items is a load that puts the centre of gravity 0.340 m above ground, but it must not be below the front roll centre (0.5 m).",
    ),
    (|s| s.dampers[0].name = String::new(), "dampers[0]: name is \"\", but a name must not be empty."),
    (
        |s| s.dampers[0].velocity_m_per_s[1] = -1.0,
        "dampers[0] \"front damper\": velocity_m_per_s[1] is -1 m/s, but velocity_m_per_s must rise strictly (the one before is -1 m/s).",
    ),
    (
        |s| s.dampers[0].velocity_m_per_s[0] = -1000.0,
        "dampers[0] \"front damper\": velocity_m_per_s[0] is -1000 m/s, but it must be -20 to 20 m/s.",
    ),
    (
        |s| s.dampers[0].velocity_m_per_s[2] = 0.01,
        "dampers[0] \"front damper\": velocity_m_per_s is a list from -1 to 1 m/s, but 0 m/s must be among them.",
    ),
    (
        |s| {
            s.dampers[1].velocity_m_per_s = vec![0.0, 0.5, 1.0];
            s.dampers[1].force_n[0] = vec![0.0, 0.0];
        },
        "dampers[1] \"rear damper\": velocity_m_per_s is a list from 0 to 1 m/s, but it must hold velocities below zero (compression) and above zero (rebound).",
    ),
    (
        |s| s.dampers[0].current_a = vec![0.0, 800.0, 1600.0],
        "dampers[0] \"front damper\": current_a[1] is 800 A, but it must be -20 to 20 A.",
    ),
    (
        |s| s.dampers[0].current_a.clear(),
        "dampers[0] \"front damper\": current_a is a list of 0 entries, but it must have 1 to 200.",
    ),
    (
        |s| s.dampers[0].force_n.truncate(4),
        "dampers[0] \"front damper\": force_n is a table of 4 rows, but it must have one row for each of the 5 velocities.",
    ),
    (
        |s| s.dampers[0].force_n[3].truncate(2),
        "dampers[0] \"front damper\": force_n[3] is a row of 2 numbers, but it must have one number for each of the 3 currents.",
    ),
    (
        |s| s.dampers[0].force_n[4][2] = f64::NAN,
        "dampers[0] \"front damper\": force_n[4][2] is NaN N, but it must be -200000 to 200000 N.",
    ),
    (
        |s| s.dampers[0].force_n[2] = vec![10.0, 10.0, 10.0],
        "dampers[0] \"front damper\": force_n[2][0] is 10 N, but it must be 0 N at 0 m/s.",
    ),
    (
        |s| s.dampers[0].force_n[1][0] = 150.0,
        "dampers[0] \"front damper\": force_n[1][0] is 150 N, but it must have the sign of the velocity (-0.2 m/s).",
    ),
    (
        |s| s.dampers[0].force_n[3][0] = 1000.0,
        "dampers[0] \"front damper\": force_n[4][0] is 900 N, but it must not fall as velocity rises (the row before has 1000 N).",
    ),
    (
        |s| s.dampers[0].force_n[3] = vec![900.0, 600.0, 300.0],
        "dampers[0] \"front damper\": force_n[3][1] is 600 N, but its size is smaller than at the current before (900 N) and damping must grow with current everywhere, as it does in force_n[0].",
    ),
    (
        |s| s.dampers[0].force_n[0][1] = -2000.0,
        "dampers[0] \"front damper\": force_n[0][2] is -1600 N, but its size is smaller than at the current before (-2000 N) and damping must grow with current everywhere, as it does in force_n[0].",
    ),
    (|s| s.dampers[0].rise_s = 8.0, "dampers[0] \"front damper\": rise_s is 8 s, but it must be 0 to 5 s."),
    (|s| s.controller.sample_rate_hz = 1.0, "controller: sample_rate_hz is 1 Hz, but it must be 50 to 20000 Hz."),
    (
        |s| s.controller.roughness.low_hz = 20.0,
        "controller.roughness: low_hz is 20 Hz, but it must be below high_hz (15 Hz).",
    ),
    (
        |s| s.controller.roughness.high_hz = 500.0,
        "controller.roughness: high_hz is 500 Hz, but it must be below half of sample_rate_hz (500 Hz).",
    ),
    (
        |s| s.controller.lateral_demand.fall_s = -0.1,
        "controller.lateral_demand: fall_s is -0.1 s, but it must be 0 to 60 s.",
    ),
    (
        |s| s.controller.inverse_table.forces = 1,
        "controller.inverse_table: forces is 1, but it must be a whole number, 2 to 1000.",
    ),
    (|s| s.modes.clear(), "session: modes is a list of 0 entries, but it must have 1 to 100."),
    (
        |s| s.modes[1].name = "everyday".into(),
        "modes[1] \"everyday\": name is \"everyday\", but modes[0] has that name already.",
    ),
    (
        |s| s.modes[1].name = " firm".into(),
        "modes[1] \" firm\": name is \" firm\", but a name must not begin or end with a space.",
    ),
    (
        |s| s.modes[1].name = "fi\nrm".into(),
        "modes[1] \"fi\\nrm\": name is \"fi\\nrm\", but a name must be one line without control characters.",
    ),
    (
        |s| s.modes[0].heave.rows = vec![0.0, 60.0, 40.0],
        "modes[0] \"everyday\".heave: rows[2] is 40 km/h, but rows must rise strictly (the one before is 60 km/h).",
    ),
    (
        |s| s.modes[0].heave.columns = vec![5.0, 5.0],
        "modes[0] \"everyday\".heave: columns[1] is 5 m/s^2, but columns must rise strictly (the one before is 5 m/s^2).",
    ),
    (
        |s| s.modes[0].wheel.rows = (0..201).map(f64::from).collect(),
        "modes[0] \"everyday\".wheel: rows is a list of 201 entries, but it must have 1 to 200.",
    ),
    (
        |s| s.modes[0].heave.values_n_s_per_m[1].push(1.0),
        "modes[0] \"everyday\".heave: values_n_s_per_m[1] is a row of 3 numbers, but it must have one number for each of the 2 columns.",
    ),
    (
        |s| s.modes[0].heave.values_n_s_per_m[1][1] = 1e6,
        "modes[0] \"everyday\".heave: values_n_s_per_m[1][1] is 1000000 N s/m, but it must be -100000 to 100000 N s/m.",
    ),
    (
        |s| s.modes[0].base.values_n_s_per_m[0][0] = -200.0,
        "modes[0] \"everyday\".base: values_n_s_per_m[0][0] is -200 N s/m, but it must be 0 to 100000 N s/m.",
    ),
    (
        |s| s.modes[0].roll.values_n_s_per_m.clear(),
        "modes[0] \"everyday\".roll: values_n_s_per_m is a table of 0 rows, but it must have one row for each of the 2 rows.",
    ),
    (|s| s.modes[0].front.roll = -1.0, "modes[0] \"everyday\".front: roll is -1, but it must be 0 to 100."),
    (
        |s| s.modes[1].current_min_a = 1.61,
        "modes[1] \"firm\": current_min_a is 1.61 A, but it must not be above current_max_a (1.6 A).",
    ),
    (
        |s| s.modes[1].current_max_a = 1.7,
        "modes[1] \"firm\": current_max_a is 1.7 A, but it must be inside the currents of damper \"front damper\" (0 to 1.6 A).",
    ),
    (
        |s| s.modes[0].floor.as_mut().unwrap().values_a[1][1] = 1.55,
        "modes[0] \"everyday\".floor: values_a[1][1] is 1.55 A, but it must not be above current_max_a (1.5 A).",
    ),
    (
        |s| s.modes[0].slew_a_per_s = Some(0.0),
        "modes[0] \"everyday\": slew_a_per_s is 0 A/s, but it must be more than 0 and at most 10000000 A/s.",
    ),
    (
        |s| s.modes[1].law = washboard_session::Law::Mixed(washboard_session::Mixed { crossover_hz: 0.0 }),
        "modes[1] \"firm\".law: crossover_hz is 0 Hz, but it must be 0.01 to 1000 Hz.",
    ),
    (
        |s| s.events[1].name = "road".into(),
        "events[1] \"road\": name is \"road\", but events[0] has that name already.",
    ),
    (|s| s.events[1].speed_km_h = 0.0, "events[1] \"bump\": speed_km_h is 0 km/h, but it must be 1 to 400 km/h."),
    (|s| s.events[1].duration_s = 1e9, "events[1] \"bump\": duration_s is 1e9 s, but it must be 0.1 to 3600 s."),
    (
        |s| s.events[0].settle_s = 20.0,
        "events[0] \"road\": settle_s is 20 s, but it must be less than duration_s (20 s).",
    ),
    (|s| s.events[0].weight = -1.0, "events[0] \"road\": weight is -1, but it must be 0 to 1000."),
    (
        |s| *kind(s, 0) = road(2.0, 2.0),
        "events[0] \"road\".kind: from_cycles_per_m is 2 cycles/m, but it must be less than to_cycles_per_m (2 cycles/m).",
    ),
    (
        |s| {
            let EventKind::CosineBump { length_m, .. } = kind(s, 1) else { unreachable!() };
            *length_m = 0.0;
        },
        "events[1] \"bump\".kind: length_m is 0 m, but it must be 0.01 to 1000 m.",
    ),
    (
        |s| {
            let EventKind::Pothole { edge_m, .. } = kind(s, 2) else { unreachable!() };
            *edge_m = 0.5;
        },
        "events[2] \"hole\".kind: edge_m is 0.5 m, but both edges must fit into length_m (0.8 m).",
    ),
    (
        |s| {
            let EventKind::Sweep { to_hz, .. } = kind(s, 3) else { unreachable!() };
            *to_hz = 0.3;
        },
        "events[3] \"sweep\".kind: to_hz is 0.3 Hz, but it must differ from from_hz (0.3 Hz); one frequency alone is a Harmonic.",
    ),
    (|s| *kind(s, 5) = profile(""), "events[5] \"measured\".kind: file is \"\", but it must name a file."),
    (
        |s| *kind(s, 5) = profile("/etc/passwd"),
        "events[5] \"measured\".kind: file is \"/etc/passwd\", but it must be a path relative to the session file.",
    ),
    (
        |s| *kind(s, 5) = profile("C:\\roads\\a.csv"),
        "events[5] \"measured\".kind: file is \"C:\\\\roads\\\\a.csv\", but it must be a path relative to the session file.",
    ),
    (
        |s| *kind(s, 5) = profile("a/../../b.csv"),
        "events[5] \"measured\".kind: file is \"a/../../b.csv\", but it must not leave the folder of the session file with `..`.",
    ),
    (
        |s| {
            let EventKind::LateralStep { acceleration_m_per_s2, .. } = kind(s, 6) else { unreachable!() };
            *acceleration_m_per_s2 = 400.0;
        },
        "events[6] \"step\".kind: acceleration_m_per_s2 is 400 m/s^2, but it must be -30 to 30 m/s^2.",
    ),
    (
        |s| {
            let EventKind::LaneChange { start_s, .. } = kind(s, 7) else { unreachable!() };
            *start_s = 6.0;
        },
        "events[7] \"lane\".kind: start_s is 6 s, but it must begin before the run ends (duration_s is 6 s).",
    ),
    (
        |s| {
            let EventKind::Braking { hold_s, .. } = kind(s, 8) else { unreachable!() };
            *hold_s = Some(-2.0);
        },
        "events[8] \"brake\".kind: hold_s is -2 s, but it must be 0 to 3600 s.",
    ),
    (
        |s| {
            let EventKind::CircularHump { height_m, .. } = kind(s, 10) else { unreachable!() };
            *height_m = 1.0;
        },
        "events[10] \"hump\".kind: height_m is 1 m, but it must be a quarter of length_m (3.7 m) at most.",
    ),
    (
        |s| {
            let EventKind::Undulation { waves, .. } = kind(s, 11) else { unreachable!() };
            *waves = 0;
        },
        "events[11] \"waves\".kind: waves is 0, but it must be a whole number, 1 to 10000.",
    ),
    (
        |s| {
            let EventKind::RailwayCrossing { track_spacing_m, .. } = kind(s, 12) else { unreachable!() };
            *track_spacing_m = 1.5;
        },
        "events[12] \"rails\".kind: track_spacing_m is 1.5 m, but neighbouring tracks must be 1.6 m apart at least, for a track is that wide.",
    ),
    (
        |s| {
            let EventKind::RailwayCrossing { groove_width_m, .. } = kind(s, 12) else { unreachable!() };
            *groove_width_m = 0.02;
        },
        "events[12] \"rails\".kind: edge_m is 0.012 m, but both edges must fit into groove_width_m (0.02 m).",
    ),
    (
        |s| {
            let EventKind::ExpansionJoints { spacing_m, .. } = kind(s, 13) else { unreachable!() };
            *spacing_m = 0.08;
        },
        "events[13] \"joints\".kind: gap_m is 0.08 m, but it must be less than spacing_m (0.08 m).",
    ),
    (
        |s| {
            let EventKind::ExpansionJoints { edge_m, .. } = kind(s, 13) else { unreachable!() };
            *edge_m = 0.05;
        },
        "events[13] \"joints\".kind: edge_m is 0.05 m, but both edges must fit into gap_m (0.08 m).",
    ),
    (
        |s| {
            let EventKind::PatchedRoad { length_m, .. } = kind(s, 14) else { unreachable!() };
            *length_m = 0.2;
        },
        "events[14] \"patches\".kind: edge_m is 0.06 m, but it must be a quarter of length_m (0.2 m) at most.",
    ),
    (
        |s| {
            let EventKind::StepSteer { start_s, .. } = kind(s, 15) else { unreachable!() };
            *start_s = 5.0;
        },
        "events[15] \"step steer\".kind: start_s is 5 s, but it must begin before the run ends (duration_s is 5 s).",
    ),
    (
        |s| {
            let EventKind::SineSteer { frequency_hz, .. } = kind(s, 16) else { unreachable!() };
            *frequency_hz = 0.0;
        },
        "events[16] \"sine steer\".kind: frequency_hz is 0 Hz, but it must be 0.01 to 20 Hz.",
    ),
    (
        |s| {
            let EventKind::ConeLaneChange { vehicle_width_m, .. } = kind(s, 17) else { unreachable!() };
            *vehicle_width_m = 18.5;
        },
        "events[17] \"cones\".kind: vehicle_width_m is 18.5 m, but it must be 1 to 3 m.",
    ),
    (
        |s| {
            let EventKind::Slalom { cones, .. } = kind(s, 18) else { unreachable!() };
            *cones = 1;
        },
        "events[18] \"slalom\".kind: cones is 1, but it must be a whole number, 2 to 1000.",
    ),
    (
        |s| {
            let EventKind::BrakeInBend { brake_s, .. } = kind(s, 19) else { unreachable!() };
            *brake_s = 0.2;
        },
        "events[19] \"bend\".kind: brake_s is 0.2 s, but it must not be before start_s (0.5 s).",
    ),
    (
        |s| {
            let change = s.events[10].speed_change.as_mut().unwrap();
            change.rise_s = 1.5;
        },
        "events[10] \"hump\".speed_change: rise_s is 1.5 s, but rise and fall must fit into over_s (2 s).",
    ),
    (
        |s| {
            let change = s.events[10].speed_change.as_mut().unwrap();
            change.to_km_h = 30.0;
        },
        "events[10] \"hump\".speed_change: to_km_h is 30 km/h, but it must differ from speed_km_h (30 km/h).",
    ),
    (
        |s| {
            s.events[8].speed_change = s.events[10].speed_change.clone();
        },
        "events[8] \"brake\": speed_change is given, but only a road over distance can be driven over at a changing speed; a manoeuvre brings its own.",
    ),
    (
        |s| {
            s.vehicle.handling.rear_cornering_compliance_deg_per_g = 9.0;
        },
        "events[15] \"step steer\": speed_km_h is 80 km/h, but it must be below 70.1 km/h, where a car of this vehicle.handling (rear more compliant than front) spins unsteered.",
    ),
    (
        |s| s.vehicle.front.contact_length_m = 12.0,
        "vehicle.front: contact_length_m is 12 m, but it must be 0 to 0.5 m.",
    ),
    (
        |s| s.reference_mode = Some("sport".into()),
        "session: reference_mode is \"sport\", but there is no mode of that name (there is \"everyday\", \"firm\").",
    ),
    (|s| s.fences[0].metric = " ".into(), "fences[0] \" \": metric is \" \", but it must name a metric."),
    (
        |s| s.fences[0].at_most = None,
        "fences[0] \"weighted_acceleration_m_per_s2\": at_most is absent, but a fence needs at_most or at_least.",
    ),
    (
        |s| s.fences[1].at_most = Some(100.0),
        "fences[1] \"least_wheel_load_n\": at_least is 200, but it must not be above at_most (100).",
    ),
    (
        |s| s.fences[1].at_least = Some(f64::NEG_INFINITY),
        "fences[1] \"least_wheel_load_n\": at_least is -inf, but it must be -1e15 to 1e15.",
    ),
    (
        |s| s.fences[0].event = Some("hill".into()),
        "fences[0] \"weighted_acceleration_m_per_s2\": event is \"hill\", but there is no event of that name (there is \"road\", \"bump\", \"hole\", \"sweep\", \"sine\", \"measured\", \"step\", \"lane\" and 12 more).",
    ),
    (
        |s| s.fences[0].modes.push("soft".into()),
        "fences[0] \"weighted_acceleration_m_per_s2\": modes[1] is \"soft\", but there is no mode of that name (there is \"everyday\", \"firm\").",
    ),
    (
        |s| s.fences[0].relative_to = Some("soft".into()),
        "fences[0] \"weighted_acceleration_m_per_s2\": relative_to is \"soft\", but there is no mode of that name (there is \"everyday\", \"firm\").",
    ),
    (|s| s.logbook[0].verdicts[0].rating = 11.0, "logbook[0].verdicts[0]: rating is 11, but it must be 1 to 10."),
    (
        |s| s.logbook[0].tyre_pressures_bar.rear_left = Some(220.0),
        "logbook[0].tyre_pressures_bar: rear_left is 220 bar, but it must be 0.1 to 15 bar.",
    ),
    (
        |s| s.logbook[0].damper_temperature_c = Some(900.0),
        "logbook[0]: damper_temperature_c is 900 °C, but it must be -60 to 300 °C.",
    ),
    (
        |s| s.verdict_attributes = vec!["float".into(), "float".into()],
        "verdict_attributes[1]: name is \"float\", but verdict_attributes[0] has that name already.",
    ),
    (
        |s| s.logbook[0].set_identity = "yesterday".into(),
        "logbook[0]: set_identity is \"yesterday\", but an identity must be hexadecimal digits.",
    ),
    (
        |s| s.in_car = Some(washboard_session::InCar { identity: "ffff".into(), since: String::new() }),
        "in_car: identity is \"ffff\", but it must be the identity of a set among handed_over.",
    ),
    (
        |s| {
            s.in_car = None;
            s.handed_over[0].identity.clear();
        },
        "handed_over[0]: identity is \"\", but an identity must be hexadecimal digits.",
    ),
    (
        |s| std::sync::Arc::make_mut(&mut s.handed_over[0].modes)[0].pitch.columns.clear(),
        "handed_over[0] \"0a1b2c\".modes[0] \"firm\".pitch: columns is a list of 0 entries, but it must have 1 to 200.",
    ),
];

fn load(mass_kg: f64, x_m: f64, y_m: f64, z_m: f64) -> LoadItem {
    LoadItem { name: String::new(), mass_kg, x_m, y_m, z_m }
}

fn road(from_cycles_per_m: f64, to_cycles_per_m: f64) -> EventKind {
    EventKind::RandomRoad { class: RoadClass::C, seed: 1, from_cycles_per_m, to_cycles_per_m, ramp_m: 10.0 }
}

fn profile(file: &str) -> EventKind {
    EventKind::Profile { file: file.into() }
}

#[test]
fn the_full_session_holds() {
    assert_eq!(faults_after(|_| ()), Vec::<String>::new());
}

#[test]
fn every_rule_has_its_sentence() {
    for (change, sentence) in BROKEN {
        let found = faults_after(change);
        assert!(found.iter().any(|fault| fault == sentence), "expected\n  {sentence}\nfound\n  {found:#?}");
        assert!(!sentence.contains('\n'), "one sentence is one line: {sentence}");
    }
    assert!(BROKEN.len() >= 40);
}

/// No number anywhere is left unchecked: each one alone, made NaN, infinite or pushed beyond either end, is a fault that
/// names it.
#[test]
fn every_single_number_is_checked_against_its_own_limit() {
    let all = numbers(&full());
    assert!(all.len() > 150, "{}", all.len());
    for number in all {
        let limit = number.limit;
        for value in
            [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, limit.lower - 1.0 - limit.lower.abs(), limit.upper * 2.0 + 1.0]
        {
            assert!(!limit.allows(value), "{} allows {value}", number.path);
        }
        assert!(limit.lower < limit.upper && !limit.label.is_empty(), "{limit:?}");
        if let Some(value) = number.value {
            assert!(limit.allows(value), "{} is {value}", number.path);
        }
    }
    // The JSON text with one number after the other replaced: whatever is read is checked.
    let value = serde_json::to_value(full()).unwrap();
    let mut places = Vec::new();
    find_numbers(&value, &mut Vec::new(), &mut places);
    assert!(places.len() > 250, "{}", places.len());
    for place in places {
        let mut broken = value.clone();
        *place.iter().fold(&mut broken, |at, key| {
            if at.is_array() { &mut at[key.parse::<usize>().unwrap()] } else { &mut at[key] }
        }) = serde_json::json!(1e18);
        let refused = match serde_json::from_value::<Session>(broken) {
            Ok(session) => check(&session).is_err(),
            Err(_) => true, // a whole number of its own type
        };
        assert!(refused, "1e18 passes at {place:?}");
    }
}

fn find_numbers(value: &serde_json::Value, path: &mut Vec<String>, places: &mut Vec<Vec<String>>) {
    let mut below = |key: String, value| {
        path.push(key);
        find_numbers(value, path, places);
        path.pop();
    };
    match value {
        serde_json::Value::Array(members) => {
            members.iter().enumerate().for_each(|(index, value)| below(index.to_string(), value));
        }
        serde_json::Value::Object(fields) => fields.iter().for_each(|(name, value)| below(name.clone(), value)),
        serde_json::Value::Number(_) => places.push(path.clone()),
        _ => {}
    }
}

#[test]
fn every_limit_is_found_by_its_owner_and_field() {
    let mut seen = std::collections::HashSet::new();
    for limit in limits::all() {
        assert!(limits::find(limit.owner, limit.field).is_some());
        assert!(seen.insert((limit.owner, limit.field, limit.label)), "{limit:?} stands twice");
    }
    let track = limits::find("Axle", "track_m").unwrap();
    assert_eq!((track.unit, track.range().as_str()), ("m", "0.1 to 5 m"));
    assert_eq!(limits::find("Axle", "tracks_m"), None);
}

/// What only touches a limit is a session.
#[test]
fn limits_may_touch() {
    let fine: &[Change] = &[
        |s| s.dampers[0].force_n.iter_mut().for_each(|row| row[1] = row[0]),
        |s| s.dampers[0].force_n.iter_mut().for_each(|row| *row = vec![row[0]; 3]),
        |s| {
            s.dampers[0].force_n[3] = vec![0.0; 3];
            s.dampers[0].force_n[1] = vec![0.0; 3];
        },
        |s| (s.dampers[0].dead_time_s, s.dampers[0].rise_s, s.dampers[0].fall_s) = (0.0, 0.0, 0.0),
        |s| {
            s.controller.roughness.rise_s = 0.0;
            s.controller.roughness.fall_s = 0.0;
        },
        |s| (s.modes[1].current_min_a, s.modes[1].current_max_a) = (1.6, 1.6),
        |s| s.vehicle.front.roll_centre_height_m = 0.58,
        |s| s.vehicle.load_cases.clear(),
        |s| s.events[0].weight = 0.0,
        |s| {
            let EventKind::Pothole { edge_m, .. } = kind(s, 2) else { unreachable!() };
            *edge_m = 0.4;
        },
        |s| {
            let EventKind::Sweep { from_hz, .. } = kind(s, 3) else { unreachable!() };
            *from_hz = 40.0; // downwards
        },
        |s| *kind(s, 5) = profile("a..b/c.csv"),
        |s| {
            s.events.clear();
            s.fences = vec![Fence { event: None, ..s.fences[1].clone() }];
        },
        |s| s.title.clear(),
    ];
    for (index, change) in fine.iter().enumerate() {
        assert_eq!(faults_after(change), Vec::<String>::new(), "change {index}");
    }
}

/// A quarter-car test rig of a twentieth of a car passes.
#[test]
fn a_small_test_rig_passes() {
    let mut session = small();
    let vehicle = &mut session.vehicle;
    (vehicle.body_mass_kg, vehicle.roll_inertia_kg_m2, vehicle.pitch_inertia_kg_m2) = (20.0, 0.5, 1.0);
    (vehicle.wheelbase_m, vehicle.cg_to_front_axle_m, vehicle.cg_height_m) = (0.6, 0.3, 0.2);
    for axle in [&mut vehicle.front, &mut vehicle.rear] {
        (axle.track_m, axle.wheel_mass_kg) = (0.4, 0.8);
        (axle.spring_rate_n_per_m, axle.tyre_rate_n_per_m) = (300.0, 4000.0);
    }
    session.events = vec![Event::new("shaker", 1.0, 1.0, EventKind::Harmonic { frequency_hz: 1.0, amplitude_m: 0.0 })];
    assert_eq!(check(&session), Ok(()));
}

#[test]
fn a_thoroughly_broken_session_gives_a_bounded_list() {
    let mut session = full();
    session.modes[0].heave.rows = (0..150).map(f64::from).collect();
    session.modes[0].heave.values_n_s_per_m = vec![vec![f64::NAN; 2]; 150];
    let faults = check(&session).unwrap_err();
    assert_eq!(faults.len(), 200);
}
