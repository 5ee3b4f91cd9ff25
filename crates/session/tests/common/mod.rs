//! Sessions for the tests: the shortest that is complete, and one with every field in use.
#![allow(dead_code)] // each test binary uses its own part

use washboard_session::{Session, parse_ron};

/// Only what every session must have.
pub const SMALL: &str = r#"(
  format: 1,
  title: "small",
  vehicle: (
    name: "rig",
    body_mass_kg: 1450.0, roll_inertia_kg_m2: 520.0, pitch_inertia_kg_m2: 2300.0,
    wheelbase_m: 2.7, cg_to_front_axle_m: 1.25, cg_height_m: 0.58,
    front: (track_m: 1.58, wheel_mass_kg: 42.0, spring_rate_n_per_m: 24000.0, tyre_rate_n_per_m: 220000.0, damper: "one"),
    rear: (track_m: 1.56, wheel_mass_kg: 40.0, spring_rate_n_per_m: 26000.0, tyre_rate_n_per_m: 220000.0, damper: "one"),
  ),
  dampers: [(
    name: "one",
    velocity_m_per_s: [-1.0, -0.2, 0.0, 0.2, 1.0],
    current_a: [0.0, 0.8, 1.6],
    force_n: [[-400.0, -900.0, -1600.0], [-150.0, -400.0, -800.0], [0.0, 0.0, 0.0], [300.0, 900.0, 1800.0], [900.0, 2200.0, 3900.0]],
  )],
  controller: (sample_rate_hz: 1000.0),
  modes: [(
    name: "everyday",
    law: Continuous,
    heave: (rows: [0.0, 120.0], columns: [0.0, 5.0], values_n_s_per_m: [[1000.0, 900.0], [1500.0, 1300.0]]),
    wheel: (rows: [0.0, 120.0], columns: [0.0, 5.0], values_n_s_per_m: [[300.0, 400.0], [300.0, 400.0]]),
    base: (rows: [0.0, 120.0], columns: [0.0, 5.0], values_n_s_per_m: [[200.0, 200.0], [200.0, 200.0]]),
    roll: (rows: [0.0, 120.0], columns: [0.0, 6.0], values_n_s_per_m: [[1000.0, 2000.0], [1500.0, 2500.0]]),
    pitch: (rows: [0.0, 120.0], columns: [0.0, 6.0], values_n_s_per_m: [[1000.0, 2000.0], [1500.0, 2500.0]]),
    current_min_a: 0.0,
    current_max_a: 1.6,
  )],
  events: [],
)"#;

/// The shortest complete session.
pub fn small() -> Session {
    parse_ron(SMALL).expect("the small session of the tests is one")
}

/// A session in which every field of the document stands, with bare optionals as an engineer writes them.
pub const FULL: &str = r#"(
  format: 1,
  title: "full",
  notes: "first line\nsecond line with \"quotes\", (brackets] and a comma",
  vehicle: (
    name: "prototype",
    body_mass_kg: 1450.0, roll_inertia_kg_m2: 520.0, pitch_inertia_kg_m2: 2300.0,
    wheelbase_m: 2.7, cg_to_front_axle_m: 1.25, cg_height_m: 0.58,
    handling: (front_cornering_compliance_deg_per_g: 5.0, rear_cornering_compliance_deg_per_g: 3.0, yaw_inertia_kg_m2: 2500.0),
    seat_m: (x: -0.2, y: 0.35, z: 0.7),
    front: (
      track_m: 1.58, wheel_mass_kg: 42.0, spring_rate_n_per_m: 24000.0, anti_roll_rate_n_m_per_rad: 18000.0,
      tyre_rate_n_per_m: 220000.0, tyre_damping_n_s_per_m: 50.0, motion_ratio: 0.9, top_mount_rate_n_per_m: 800000.0, roll_centre_height_m: 0.05,
      wheel_centre_height_m: 0.32, anti_pitch_braking_share: 0.2, anti_pitch_driving_share: 0.1,
      bump_stop: (gap_m: 0.05, rate_n_per_m: 60000.0, progression_n_per_m3: 1.0e7),
      rebound_stop: (gap_m: 0.07, rate_n_per_m: 0.0, curve: (travel_m: [0.0, 0.01, 0.03], force_n: [0.0, 300.0, 2500.0])),
      contact_length_m: 0.12,
      damper: "front damper",
    ),
    rear: (track_m: 1.56, wheel_mass_kg: 40.0, spring_rate_n_per_m: 26000.0, tyre_rate_n_per_m: 220000.0, damper: "rear damper"),
    load_cases: [
      (name: "driver", items: [(name: "driver", mass_kg: 75.0, x_m: -0.2, y_m: 0.35, z_m: 0.6)]),
      (name: "full", items: [(mass_kg: 300.0, x_m: -0.5, y_m: 0.0, z_m: 0.6), (mass_kg: 60.0, x_m: -1.6, y_m: 0.0, z_m: 0.5)], levelled: true),
    ],
  ),
  dampers: [
    (
      name: "front damper",
      velocity_m_per_s: [-1.0, -0.2, 0.0, 0.2, 1.0],
      current_a: [0.0, 0.8, 1.6],
      force_n: [[-400.0, -900.0, -1600.0], [-150.0, -400.0, -800.0], [0.0, 0.0, 0.0], [300.0, 900.0, 1800.0], [900.0, 2200.0, 3900.0]],
      dead_time_s: 0.002, rise_s: 0.008, fall_s: 0.006, friction_n: 40.0, friction_velocity_m_per_s: 0.02,
      supply_lost: (velocity_m_per_s: [-1.0, 0.0, 1.0], force_n: [-800.0, 0.0, 1500.0]),
      temperature: (temperature_c: [-20.0, 20.0, 90.0], force_scale: [1.4, 1.0, 0.8]),
    ),
    (
      name: "rear damper",
      velocity_m_per_s: [-1.0, 0.0, 1.0],
      current_a: [0.0, 1.8],
      force_n: [[-1500.0, -400.0], [0.0, 0.0], [3500.0, 900.0]],
      supply_lost: (velocity_m_per_s: [-1.0, 0.0, 1.0], force_n: [-700.0, 0.0, 1200.0]),
      temperature: (temperature_c: [20.0], force_scale: [1.0]),
    ),
  ],
  controller: (
    sample_rate_hz: 1000.0,
    states: Estimated(
      body_sensors: [(x_m: 1.1, y_m: 0.5), (x_m: 0.9, y_m: -0.6), (x_m: -1.3, y_m: 0.1)],
      wheel_accelerometers: Front,
      body_leak_hz: 0.15, height_share: 0.4, height_low_pass_hz: 35.0, wheel_leak_hz: 0.6,
      body_accelerometer: (noise_rms_m_per_s2: 0.05, range_m_per_s2: 20.0, resolution_m_per_s2: 0.02, delay_s: 0.002),
      height_sensor: (noise_rms_m: 0.0002, range_m: 0.12, resolution_m: 0.0001, delay_s: 0.001),
      wheel_accelerometer: (noise_rms_m_per_s2: 0.5, range_m_per_s2: 300.0, resolution_m_per_s2: 0.2, delay_s: 0.003),
      noise_seed: 7,
    ),
    roughness: (low_hz: 7.0, high_hz: 15.0, rise_s: 0.2, fall_s: 0.9),
    lateral_demand: (rise_s: 0.01, fall_s: 0.5, lead_s: 0.15),
    longitudinal_demand: (rise_s: 0.02, fall_s: 0.4),
    blend_velocity_m_per_s: 0.005,
    inverse_table: (velocities: 31, forces: 41),
  ),
  conditions: (damper_temperature_c: 60.0, supply_lost: true),
  modes: [
    (
      name: "everyday",
      purpose: "calm",
      law: Continuous,
      heave: (rows: [0.0, 60.0, 120.0], columns: [0.0, 5.0], values_n_s_per_m: [[1000.0, 900.0], [1200.0, 1000.0], [1500.0, 1300.0]]),
      wheel: (rows: [0.0, 120.0], columns: [0.0, 5.0], values_n_s_per_m: [[300.0, 400.0], [300.0, 400.0]]),
      base: (rows: [0.0], columns: [0.0], values_n_s_per_m: [[200.0]]),
      roll: (rows: [0.0, 120.0], columns: [0.0, 6.0], values_n_s_per_m: [[1000.0, 2000.0], [1500.0, 2500.0]]),
      pitch: (rows: [0.0, 120.0], columns: [0.0, 6.0], values_n_s_per_m: [[1000.0, 2000.0], [1500.0, 2500.0]]),
      floor: (rows: [0.0, 120.0], columns: [0.0, 6.0], values_a: [[0.0, 0.3], [0.2, 0.5]]),
      end_stop: (zone_m: 0.02, rate_m_per_s: 0.4),
      front: (heave: 1.1, wheel: 0.9, base: 1.2, roll: 0.8, pitch: 1.3, rebound: 1.4, compression: 0.7),
      rear: (heave: 0.95),
      current_min_a: 0.1,
      current_max_a: 1.5,
      slew_a_per_s: 200.0,
      locked: (wheel: [(0, 1), (1, 0)], pitch: [(1, 1)]),
    ),
    (
      name: "firm",
      law: Mixed(crossover_hz: 1.8),
      heave: (rows: [0.0, 120.0], columns: [0.0, 5.0], values_n_s_per_m: [[2000.0, 1900.0], [2500.0, 2300.0]]),
      wheel: (rows: [0.0, 120.0], columns: [0.0, 5.0], values_n_s_per_m: [[500.0, 600.0], [500.0, 600.0]]),
      base: (rows: [0.0, 120.0], columns: [0.0, 5.0], values_n_s_per_m: [[400.0, 400.0], [400.0, 400.0]]),
      roll: (rows: [0.0, 120.0], columns: [0.0, 6.0], values_n_s_per_m: [[2000.0, 3000.0], [2500.0, 3500.0]]),
      pitch: (rows: [0.0, 120.0], columns: [0.0, 6.0], values_n_s_per_m: [[2000.0, 3000.0], [2500.0, 3500.0]]),
      current_min_a: 0.3,
      current_max_a: 1.6,
    ),
  ],
  events: [
    (name: "road", speed_km_h: 80.0, duration_s: 20.0, settle_s: 2.0, weight: 3.0, kind: RandomRoad(class: C, seed: 18446744073709551615, from_cycles_per_m: 0.02, to_cycles_per_m: 2.0, ramp_m: 20.0)),
    (name: "bump", speed_km_h: 40.0, duration_s: 4.0, kind: CosineBump(height_m: 0.05, length_m: 0.8, lead_m: 5.0, side: Left)),
    (name: "hole", speed_km_h: 40.0, duration_s: 4.0, kind: Pothole(depth_m: 0.06, length_m: 0.8, edge_m: 0.05, lead_m: 12.0, side: Right)),
    (name: "sweep", speed_km_h: 60.0, duration_s: 30.0, kind: Sweep(from_hz: 0.3, to_hz: 30.0, velocity_amplitude_m_per_s: 0.1, spacing: Linear)),
    (name: "sine", speed_km_h: 60.0, duration_s: 10.0, kind: Harmonic(frequency_hz: 1.4, amplitude_m: 0.02)),
    (name: "measured", speed_km_h: 60.0, duration_s: 10.0, kind: Profile(file: "profiles/lane.csv")),
    (name: "step", speed_km_h: 90.0, duration_s: 5.0, kind: LateralStep(acceleration_m_per_s2: 4.0, rise_s: 0.3, start_s: 1.0)),
    (name: "lane", speed_km_h: 90.0, duration_s: 6.0, kind: LaneChange(acceleration_m_per_s2: 5.0, period_s: 2.0, start_s: 1.0)),
    (name: "brake", speed_km_h: 90.0, duration_s: 6.0, kind: Braking(deceleration_m_per_s2: 7.0, rise_s: 0.2, start_s: 1.0, hold_s: 2.0)),
    (name: "go", speed_km_h: 30.0, duration_s: 6.0, kind: Drive(acceleration_m_per_s2: 3.0, rise_s: 0.3, start_s: 0.5, hold_s: 2.0)),
    (name: "hump", speed_km_h: 30.0, duration_s: 4.0, speed_change: (to_km_h: 20.0, start_s: 0.5, over_s: 2.0, rise_s: 0.4), kind: CircularHump(height_m: 0.1, length_m: 3.7, lead_m: 5.0, side: Right)),
    (name: "waves", speed_km_h: 80.0, duration_s: 8.0, kind: Undulation(height_m: 0.08, length_m: 25.0, waves: 4, right_lag_share: 0.5, lead_m: 20.0)),
    (name: "rails", speed_km_h: 40.0, duration_s: 3.0, kind: RailwayCrossing(tracks: 2, track_spacing_m: 4.5, rail_height_m: 0.008, groove_width_m: 0.06, groove_depth_m: 0.035, edge_m: 0.012, lead_m: 5.0)),
    (name: "joints", speed_km_h: 90.0, duration_s: 6.0, kind: ExpansionJoints(spacing_m: 15.0, joints: 6, gap_m: 0.08, depth_m: 0.012, fault_m: 0.003, edge_m: 0.02, lead_m: 5.0, side: Left)),
    (name: "patches", speed_km_h: 60.0, duration_s: 20.0, kind: PatchedRoad(seed: 7, height_m: 0.015, length_m: 1.5, clear_m: 4.0, edge_m: 0.06, lead_m: 5.0)),
    (name: "step steer", speed_km_h: 80.0, duration_s: 5.0, kind: StepSteer(acceleration_m_per_s2: 4.0, rise_s: 0.1, start_s: 0.5)),
    (name: "sine steer", speed_km_h: 80.0, duration_s: 5.0, kind: SineSteer(acceleration_m_per_s2: 3.0, frequency_hz: 0.7, periods: 2, start_s: 0.5)),
    (name: "cones", speed_km_h: 60.0, duration_s: 8.0, kind: ConeLaneChange(course: ObstacleAvoidance, vehicle_width_m: 1.85, lead_m: 20.0)),
    (name: "slalom", speed_km_h: 50.0, duration_s: 14.0, kind: Slalom(spacing_m: 18.0, cones: 6, vehicle_width_m: 1.85, lead_m: 20.0)),
    (name: "bend", speed_km_h: 80.0, duration_s: 8.0, kind: BrakeInBend(lateral_m_per_s2: 5.0, entry_s: 0.8, start_s: 0.5, deceleration_m_per_s2: 4.0, rise_s: 0.2, brake_s: 3.0)),
  ],
  reference_mode: "everyday",
  fences: [
    (metric: "weighted_acceleration_m_per_s2", at_most: 1.05, relative_to: "everyday", event: "road", modes: ["firm"]),
    (metric: "least_wheel_load_n", at_least: 200.0),
  ],
  logbook: [(time: "2026-11-03T09:12:00Z", set_identity: "0a1b2c", mode: "firm", event: "road", load_case: "driver",
    tyre_pressures_bar: (front_left: 2.4, front_right: 2.45, rear_left: 2.2, rear_right: 2.25),
    air_temperature_c: 12.0, track_temperature_c: 9.5, damper_temperature_c: 41.0,
    verdicts: [(attribute: "float", rating: 6.5)], remark: "busy", log_file: "logs/run 1.csv")],
  verdict_attributes: ["float", "impacts"],
  proposed: ["vehicle.rear.load_kg"],
  handed_over: [(
    identity: "0a1b2c", time: "2026-11-03T09:00:00Z", note: "morning", folder: "out/0a1b2c",
    parent: "00ff", difference: ["firm, law: continuous → on/off"], status: TrackOnly,
    modes: [(
      name: "firm",
      law: OnOff,
      heave: (rows: [0.0], columns: [0.0], values_n_s_per_m: [[2000.0]]),
      wheel: (rows: [0.0], columns: [0.0], values_n_s_per_m: [[500.0]]),
      base: (rows: [0.0], columns: [0.0], values_n_s_per_m: [[400.0]]),
      roll: (rows: [0.0], columns: [0.0], values_n_s_per_m: [[2000.0]]),
      pitch: (rows: [0.0], columns: [0.0], values_n_s_per_m: [[2000.0]]),
      current_min_a: 0.3,
      current_max_a: 1.6,
    )],
  )],
  in_car: (identity: "0a1b2c", since: "2026-11-03T10:30:00Z"),
  began_from: "0a1b2c",
  release: (caution_acknowledged: true, name: "A. Person", purpose: "fleet trial"),
)"#;

/// A session with every field in use.
pub fn full() -> Session {
    parse_ron(FULL).expect("the full session of the tests is one")
}
