//! From the session's words to what the core computes with: units, names resolved, nothing checked twice.

use crate::StudyFault;
use std::sync::Arc;
use washboard_car as car;
use washboard_control as control;
use washboard_session as doc;
use washboard_signal::table::Table;

pub(crate) const KM_H: f64 = 3.6;

/// A damper under the session's conditions. Without supply nobody knows more than the curve, the controller neither.
fn damper(d: &doc::Damper, conditions: &doc::Conditions) -> Arc<car::Damper> {
    let mut table = car::DamperTable::new(d.velocity_m_per_s.clone(), d.current_a.clone(), &d.force_n);
    if let (true, Some(curve)) = (conditions.supply_lost, &d.supply_lost) {
        let rows: Vec<Vec<f64>> = curve.force_n.iter().map(|&f| vec![f]).collect();
        table = car::DamperTable::new(curve.velocity_m_per_s.clone(), vec![0.0], &rows);
    }
    let mut in_car = table.clone();
    if let (Some(temperature_c), Some(scale)) = (conditions.damper_temperature_c, &d.temperature) {
        in_car = in_car.scaled(interpolated(&scale.temperature_c, &scale.force_scale, temperature_c));
    }
    if d.friction_n > 0.0 {
        in_car = in_car.with_friction(d.friction_n, d.friction_velocity_m_per_s);
    }
    Arc::new(car::Damper { table, in_car, dead_time_s: d.dead_time_s, rise_s: d.rise_s, fall_s: d.fall_s })
}

/// Linear between points, held at the ends.
fn interpolated(x: &[f64], y: &[f64], at: f64) -> f64 {
    let knots = washboard_signal::table::Knots::new(x.to_vec());
    let place = knots.place_held(at);
    let next = (place.low + 1).min(y.len() - 1);
    y[place.low] + (y[next] - y[place.low]) * place.share
}

fn stop(s: &Option<doc::Stop>) -> Option<car::vehicle::Stop> {
    s.as_ref().map(|s| car::vehicle::Stop {
        gap_m: s.gap_m,
        rate_n_per_m: s.rate_n_per_m,
        progression_n_per_m3: s.progression_n_per_m3,
        ramps: s
            .curve
            .as_ref()
            .map_or_else(Default::default, |c| car::vehicle::Ramps::through(&c.travel_m, &c.force_n)),
    })
}

/// The car; `Err` where an axle names a damper that is not there.
pub fn vehicle(session: &doc::Session) -> Result<car::Vehicle, StudyFault> {
    let v = &session.vehicle;
    let axle = |a: &doc::Axle| -> Result<car::vehicle::Axle, StudyFault> {
        let fitted = session.dampers.iter().find(|d| d.name == a.damper);
        let fitted = fitted.ok_or_else(|| StudyFault::NoDamper { name: a.damper.clone() })?;
        Ok(car::vehicle::Axle {
            track_m: a.track_m,
            wheel_mass_kg: a.wheel_mass_kg,
            spring_rate_n_per_m: a.spring_rate_n_per_m,
            anti_roll_rate_n_m_per_rad: a.anti_roll_rate_n_m_per_rad,
            tyre_rate_n_per_m: a.tyre_rate_n_per_m,
            tyre_damping_n_s_per_m: a.tyre_damping_n_s_per_m,
            motion_ratio: a.motion_ratio,
            top_mount_rate_n_per_m: a.top_mount_rate_n_per_m,
            roll_centre_height_m: a.roll_centre_height_m,
            wheel_centre_height_m: a.wheel_centre_height_m,
            anti_pitch_braking_share: a.anti_pitch_braking_share,
            anti_pitch_driving_share: a.anti_pitch_driving_share,
            bump_stop: stop(&a.bump_stop),
            rebound_stop: stop(&a.rebound_stop),
            damper: damper(fitted, &session.conditions),
        })
    };
    Ok(car::Vehicle {
        body_mass_kg: v.body_mass_kg,
        roll_inertia_kg_m2: v.roll_inertia_kg_m2,
        pitch_inertia_kg_m2: v.pitch_inertia_kg_m2,
        wheelbase_m: v.wheelbase_m,
        cg_to_front_axle_m: v.cg_to_front_axle_m,
        cg_height_m: v.cg_height_m,
        seat_m: v.seat_m.map_or([0.0, 0.0, v.cg_height_m], |p| [p.x, p.y, p.z]),
        axles: [axle(&v.front)?, axle(&v.rear)?],
    })
}

/// One load case.
pub fn load_case(case: &doc::LoadCase) -> car::LoadCase {
    let items = case.items.iter();
    car::LoadCase {
        items: items.map(|i| car::LoadItem { mass_kg: i.mass_kg, x_m: i.x_m, y_m: i.y_m, z_m: i.z_m }).collect(),
        levelled: case.levelled,
    }
}

/// What all modes share.
pub fn settings(c: &doc::Controller) -> control::Settings {
    control::Settings {
        sample_rate_hz: c.sample_rate_hz,
        roughness_low_hz: c.roughness.low_hz,
        roughness_high_hz: c.roughness.high_hz,
        roughness_rise_s: c.roughness.rise_s,
        roughness_fall_s: c.roughness.fall_s,
        lateral_s: [c.lateral_demand.rise_s, c.lateral_demand.fall_s],
        longitudinal_s: [c.longitudinal_demand.rise_s, c.longitudinal_demand.fall_s],
        lead_s: [c.lateral_demand.lead_s, c.longitudinal_demand.lead_s],
        blend_velocity_m_per_s: c.blend_velocity_m_per_s,
    }
}

/// Sensors and filters of the state estimation; `None` where the controller knows the true states.
pub fn estimation(states: &doc::States) -> Option<control::Estimation> {
    let doc::States::Estimated(e) = states else { return None };
    let accelerometer = |s: &doc::Accelerometer| control::SensorSettings {
        noise_rms: s.noise_rms_m_per_s2,
        range: s.range_m_per_s2,
        resolution: s.resolution_m_per_s2,
        delay_s: s.delay_s,
    };
    Some(control::Estimation {
        // Three of them, by the document's check.
        body_sensors_m: std::array::from_fn(|k| e.body_sensors.get(k).map_or([0.0; 2], |p| [p.x_m, p.y_m])),
        wheel_sensors: match e.wheel_accelerometers {
            doc::Fitted::None => [false, false],
            doc::Fitted::Front => [true, false],
            doc::Fitted::Rear => [false, true],
            doc::Fitted::Both => [true, true],
        },
        body: accelerometer(&e.body_accelerometer),
        height: control::SensorSettings {
            noise_rms: e.height_sensor.noise_rms_m,
            range: e.height_sensor.range_m,
            resolution: e.height_sensor.resolution_m,
            delay_s: e.height_sensor.delay_s,
        },
        wheel: accelerometer(&e.wheel_accelerometer),
        body_leak_hz: e.body_leak_hz,
        height_share: e.height_share,
        height_low_pass_hz: e.height_low_pass_hz,
        wheel_leak_hz: e.wheel_leak_hz,
        seed: u64::from(e.noise_seed),
    })
}

fn map(m: &doc::GainMap) -> Table {
    Table::new(m.rows.iter().map(|v| v / KM_H).collect(), m.columns.clone(), &m.values_n_s_per_m)
}

fn scales(s: &doc::AxleScales) -> control::AxleScales {
    control::AxleScales {
        heave: s.heave,
        wheel: s.wheel,
        base: s.base,
        roll: s.roll,
        pitch: s.pitch,
        rebound: s.rebound,
        compression: s.compression,
    }
}

/// One mode in a session. Without supply every current is zero, whatever the law asks.
pub fn calibration(m: &doc::Mode, session: &doc::Session) -> control::Calibration {
    let ends = |a: &doc::Axle| [&a.bump_stop, &a.rebound_stop].map(|s| s.as_ref().map_or(f64::INFINITY, |s| s.gap_m));
    let vehicle = &session.vehicle;
    let calibration = control::Calibration {
        end_stop: m.end_stop.map(|e| control::EndStop {
            zone_m: e.zone_m,
            rate_m_per_s: e.rate_m_per_s,
            ends_m: [ends(&vehicle.front), ends(&vehicle.rear)],
        }),
        law: match &m.law {
            doc::Law::Continuous => control::Law::Continuous,
            doc::Law::OnOff => control::Law::OnOff,
            doc::Law::AccelerationDriven => control::Law::AccelerationDriven,
            doc::Law::Mixed(mix) => control::Law::Mixed { crossover_hz: mix.crossover_hz },
        },
        heave: map(&m.heave),
        wheel: map(&m.wheel),
        base: map(&m.base),
        roll: map(&m.roll),
        pitch: map(&m.pitch),
        floor: m
            .floor
            .as_ref()
            .map(|f| Table::new(f.rows.iter().map(|v| v / KM_H).collect(), f.columns.clone(), &f.values_a)),
        axles: [scales(&m.front), scales(&m.rear)],
        current_min_a: m.current_min_a,
        current_max_a: m.current_max_a,
        slew_a_per_s: m.slew_a_per_s.unwrap_or(f64::INFINITY),
        inverse: None,
    };
    if session.conditions.supply_lost {
        return control::Calibration { floor: None, current_min_a: 0.0, current_max_a: 0.0, ..calibration };
    }
    calibration
}
