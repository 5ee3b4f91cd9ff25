//! A set as RON and as JSON, and back.

use serde_json::Value;

use crate::fault::HandoverFault;
use crate::set::CarSet;

/// `set.ron`.
pub(crate) fn to_ron(set: &CarSet) -> Result<String, HandoverFault> {
    let pretty = ron::ser::PrettyConfig::new().new_line("\n").compact_arrays(true);
    let mut text = ron::ser::to_string_pretty(set, pretty)
        .map_err(|error| HandoverFault::Form { form: "RON", why: error.to_string() })?;
    text.push('\n');
    Ok(text)
}

/// Reads `set.ron`; the fault is a clause.
pub(crate) fn from_ron(bytes: &[u8]) -> Result<CarSet, String> {
    ron::de::from_bytes(bytes).map_err(|error| error.to_string())
}

/// `set.json`: two spaces a level, rows of numbers on one line.
pub(crate) fn to_json(set: &CarSet) -> Result<String, HandoverFault> {
    let value =
        serde_json::to_value(set).map_err(|error| HandoverFault::Form { form: "JSON", why: error.to_string() })?;
    let mut text = String::new();
    write_json(&value, 0, &mut text);
    text.push('\n');
    Ok(text)
}

/// Reads `set.json`; the fault is a clause.
pub(crate) fn from_json(bytes: &[u8]) -> Result<CarSet, String> {
    serde_json::from_slice(bytes).map_err(|error| error.to_string())
}

fn write_json(value: &Value, depth: usize, text: &mut String) {
    let line = |text: &mut String, depth: usize| {
        text.push('\n');
        text.push_str(&"  ".repeat(depth));
    };
    match value {
        Value::Array(items) if items.iter().any(|item| item.is_array() || item.is_object()) => {
            text.push('[');
            for (i, item) in items.iter().enumerate() {
                if i > 0 {
                    text.push(',');
                }
                line(text, depth + 1);
                write_json(item, depth + 1, text);
            }
            line(text, depth);
            text.push(']');
        }
        Value::Array(items) => {
            let items: Vec<String> = items.iter().map(Value::to_string).collect();
            text.push('[');
            text.push_str(&items.join(", "));
            text.push(']');
        }
        Value::Object(fields) if !fields.is_empty() => {
            text.push('{');
            for (i, (name, field)) in fields.iter().enumerate() {
                if i > 0 {
                    text.push(',');
                }
                line(text, depth + 1);
                text.push_str(&Value::from(name.as_str()).to_string());
                text.push_str(": ");
                write_json(field, depth + 1, text);
            }
            line(text, depth);
            text.push('}');
        }
        plain => text.push_str(&plain.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn both_forms_read_back_to_the_same_set() {
        let set = fixture::set();
        assert_eq!(from_ron(to_ron(&set).unwrap().as_bytes()).unwrap(), set);
        assert_eq!(from_json(to_json(&set).unwrap().as_bytes()).unwrap(), set);
    }

    #[test]
    fn an_unknown_field_is_named() {
        let text = to_json(&fixture::set()).unwrap().replacen("\"motion_ratio\"", "\"motion_ratios\"", 1);
        assert!(from_json(text.as_bytes()).unwrap_err().contains("motion_ratios"));
    }
}
