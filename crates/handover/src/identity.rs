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
