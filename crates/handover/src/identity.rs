//! The identity of a set: SHA-256 over its numbers in a form that does not depend on any file format.
//!
//! The canonical text is the line `washboard set identity 1` and a line feed, then the structure of `set.json` without
//! white space, the fields of every object sorted by name, without each mode's `purpose` and each axle's `damper` (words
//! that change nothing in the car). A number with a fraction in its type is written as `x` and the sixteen hexadecimal
//! digits of its IEEE 754 bits, most significant first, -0 as 0; counts are written in decimal. So neither the printing
//! nor the rounding of any library enters, and the same calibration has the same identity on every machine.

use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::set::CarSet;

/// The identity: 64 hexadecimal digits. The same calibration always has the same one, any other number another one.
pub fn identity(set: &CarSet) -> String {
    sha256_hex(canonical_text(set).as_bytes())
}

/// SHA-256 as 64 hexadecimal digits.
pub(crate) fn sha256_hex(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// What the identity is taken over.
pub(crate) fn canonical_text(set: &CarSet) -> String {
    // A set is plain data: maps with string keys, finite numbers. Its conversion cannot fail; if it ever did, the
    // text would be that of no set and verification would say so.
    let mut value = serde_json::to_value(set).unwrap_or(Value::Null);
    for axle in ["front", "rear"] {
        if let Some(axle) = value.get_mut(axle).and_then(Value::as_object_mut) {
            axle.remove("damper");
        }
    }
    if let Some(modes) = value.get_mut("modes").and_then(Value::as_array_mut) {
        for mode in modes.iter_mut().filter_map(Value::as_object_mut) {
            mode.remove("purpose");
        }
    }
    let mut text = String::from("washboard set identity 1\n");
    write_value(&value, &mut text);
    text
}

fn write_value(value: &Value, text: &mut String) {
    match value {
        Value::Number(number) if number.is_f64() => {
            let number = number.as_f64().unwrap_or(f64::NAN);
            let number = if number == 0.0 { 0.0 } else { number };
            text.push_str(&format!("x{:016x}", number.to_bits()));
        }
        Value::Array(items) => {
            text.push('[');
            for (i, item) in items.iter().enumerate() {
                if i > 0 {
                    text.push(',');
                }
                write_value(item, text);
            }
            text.push(']');
        }
        Value::Object(fields) => {
            let mut sorted: Vec<_> = fields.iter().collect();
            sorted.sort_by(|a, b| a.0.cmp(b.0));
            text.push('{');
            for (i, (name, field)) in sorted.into_iter().enumerate() {
                if i > 0 {
                    text.push(',');
                }
                text.push_str(&Value::from(name.as_str()).to_string());
                text.push(':');
                write_value(field, text);
            }
            text.push('}');
        }
        plain => text.push_str(&plain.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;
    use proptest::prelude::*;
    use washboard_session::Session;

    #[test]
    fn sha256_is_that_of_the_standard() {
        // FIPS 180-4 example "abc" (NIST, Examples with Intermediate Values).
        assert_eq!(sha256_hex(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    #[test]
    fn the_canonical_text_is_what_its_description_says() {
        let set = fixture::set();
        let text = canonical_text(&set);
        assert!(
            text.starts_with(
                "washboard set identity 1\n{\"controller\":{\"blend_velocity_m_per_s\":x3f847ae147ae147b,"
            )
        );
        // 0.01 and 1000 by IEEE 754.
        assert!(text.contains("\"sample_rate_hz\":x408f400000000000"));
        assert!(text.ends_with('}') && !text.contains("purpose") && !text.contains("front damper"));
        assert!(text.contains("\"law\":{\"Mixed\":{\"crossover_hz\":x3ffe666666666666}},\"name\":\"firm, wet\""));
    }

    #[test]
    fn the_identity_is_the_one_an_independent_program_computes() {
        // Computed from this set's set.json by a few lines of Python (json, struct, hashlib) after the description above.
        let expected = "711abc021c02a5741b51034c4d3295f6ddd2d624b10496ea1db05ea59e595eee";
        assert_eq!(identity(&fixture::set()), expected);
    }

    #[test]
    fn order_of_choice_and_words_do_not_count() {
        let plain = identity(&fixture::set());
        let mut session = fixture::session();
        session.title = "other".into();
        session.notes = "other".into();
        session.vehicle.name = "other".into();
        session.modes[0].purpose = "other".into();
        session.modes.reverse();
        for damper in &mut session.dampers {
            damper.name = format!("new {}", damper.name);
        }
        session.vehicle.front.damper = "new front damper".into();
        session.vehicle.rear.damper = "new rear damper".into();
        for modes in [&[0, 1][..], &[1, 0], &[0, 1, 0]] {
            assert_eq!(identity(&CarSet::from_session(&session, modes).unwrap()), plain);
        }
        assert_ne!(identity(&CarSet::from_session(&session, &[0]).unwrap()), plain, "fewer modes are another set");
        session.modes[0].name = "renamed".into();
        assert_ne!(identity(&CarSet::from_session(&session, &[0, 1]).unwrap()), plain, "a mode is chosen by its name");
    }

    #[test]
    fn minus_zero_is_zero() {
        let with = |zero: f64| {
            let mut session = fixture::session();
            session.modes[0].heave.values_n_s_per_m[0][0] = zero;
            CarSet::from_session(&session, &[0, 1]).unwrap()
        };
        assert_eq!(identity(&with(0.0)), identity(&with(-0.0)));
        let bytes = |set| crate::forms::to_json(&set).unwrap();
        assert_eq!(bytes(with(0.0)), bytes(with(-0.0)));
    }

    /// Every number of the session that a car computes with.
    fn numbers(session: &mut Session) -> Vec<&mut f64> {
        let mut all: Vec<&mut f64> = Vec::new();
        let controller = &mut session.controller;
        all.extend([
            &mut controller.sample_rate_hz,
            &mut controller.roughness.low_hz,
            &mut controller.roughness.high_hz,
            &mut controller.roughness.rise_s,
            &mut controller.roughness.fall_s,
            &mut controller.lateral_demand.rise_s,
            &mut controller.lateral_demand.fall_s,
            &mut controller.longitudinal_demand.rise_s,
            &mut controller.longitudinal_demand.fall_s,
            &mut controller.blend_velocity_m_per_s,
        ]);
        let vehicle = &mut session.vehicle;
        all.extend([&mut vehicle.cg_to_front_axle_m, &mut vehicle.wheelbase_m]);
        for axle in [&mut vehicle.front, &mut vehicle.rear] {
            all.extend([&mut axle.track_m, &mut axle.motion_ratio]);
        }
        for damper in &mut session.dampers {
            all.extend(damper.velocity_m_per_s.iter_mut().filter(|v| **v != 0.0));
            all.extend(&mut damper.current_a);
            // Force at standstill is zero by rule.
            all.extend(damper.force_n.iter_mut().flatten().filter(|force| **force != 0.0));
        }
        for mode in &mut session.modes {
            if let washboard_session::Law::Mixed(mixed) = &mut mode.law {
                all.push(&mut mixed.crossover_hz);
            }
            for map in [&mut mode.heave, &mut mode.wheel, &mut mode.base, &mut mode.roll, &mut mode.pitch] {
                all.extend(&mut map.rows);
                all.extend(&mut map.columns);
                all.extend(map.values_n_s_per_m.iter_mut().flatten());
            }
            if let Some(floor) = &mut mode.floor {
                all.extend(&mut floor.rows);
                all.extend(&mut floor.columns);
                all.extend(floor.values_a.iter_mut().flatten());
            }
            for scales in [&mut mode.front, &mut mode.rear] {
                all.extend([
                    &mut scales.heave,
                    &mut scales.wheel,
                    &mut scales.base,
                    &mut scales.roll,
                    &mut scales.pitch,
                    &mut scales.rebound,
                    &mut scales.compression,
                ]);
            }
            all.extend([&mut mode.current_min_a, &mut mode.current_max_a]);
            all.extend(&mut mode.slew_a_per_s);
        }
        all
    }

    #[test]
    fn any_number_changed_by_its_last_bit_is_another_set() {
        let plain = identity(&fixture::set());
        let count = numbers(&mut fixture::session()).len();
        assert!(count > 250, "the walk must reach all of the fixture, not {count}");
        for index in 0..count {
            let mut session = fixture::session();
            let number = &mut *numbers(&mut session)[index];
            let before = *number;
            *number = if before == 0.0 { 1e-9 } else { before.next_up() };
            let set = CarSet::from_session(&session, &[0, 1]).unwrap();
            assert_ne!(identity(&set), plain, "number {index}, {before}");
        }
    }

    #[test]
    fn constants_of_the_estimator_count_and_errors_of_the_sensors_do_not() {
        use washboard_session::{Estimated, Fitted, States};
        let with = |change: fn(&mut Estimated)| {
            let mut estimated = Estimated::default();
            change(&mut estimated);
            let mut session = fixture::session();
            session.controller.states = States::Estimated(Box::new(estimated));
            identity(&CarSet::from_session(&session, &[0, 1]).unwrap())
        };
        let plain = with(|_| {});
        assert_ne!(plain, identity(&fixture::set()));
        let constants: [fn(&mut Estimated); 6] = [
            |e| e.body_sensors[1].x_m = 0.9,
            |e| e.wheel_accelerometers = Fitted::Both,
            |e| e.body_leak_hz = 0.2,
            |e| e.height_share = 0.1,
            |e| e.height_low_pass_hz = 41.0,
            |e| e.wheel_leak_hz = 0.4,
        ];
        for change in constants {
            assert_ne!(with(change), plain);
        }
        let errors: [fn(&mut Estimated); 4] = [
            |e| e.body_accelerometer.noise_rms_m_per_s2 = 0.1,
            |e| e.height_sensor.range_m = Some(0.1),
            |e| e.wheel_accelerometer.delay_s = 0.01,
            |e| e.noise_seed = 2,
        ];
        for change in errors {
            assert_eq!(with(change), plain);
        }
    }

    proptest! {
        #[test]
        fn any_number_changed_by_any_small_share_is_another_set(index in 0_usize..250, share in 1e-9_f64..1e-3) {
            let mut session = fixture::session();
            *numbers(&mut session)[index] += share;
            // A change that breaks a rule of the session makes no set at all.
            if let Ok(set) = CarSet::from_session(&session, &[0, 1]) {
                prop_assert_ne!(identity(&set), identity(&fixture::set()));
            }
        }
    }
}
