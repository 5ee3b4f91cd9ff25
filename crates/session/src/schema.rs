//! The JSON Schema of a session, with the limits of every number.

use serde_json::{Map, Value, json};

use crate::{
    Session,
    below::Form,
    limits::{self, Limit},
};

/// The schema, for editors and for scripts that make sessions; `#/$defs/RestingSession` is that of one that rests on
/// another.
pub fn schema() -> Value {
    let mut generator = schemars::SchemaGenerator::default();
    // A resting session is another document; it stands among the definitions under its name.
    let _ = generator.subschema_for::<Form>();
    let mut schema = generator.into_root_schema_for::<Session>().to_value();
    if let Some(structures) = schema.get_mut("$defs").and_then(Value::as_object_mut) {
        for (name, structure) in structures {
            // A resting mode has the fields of a mode.
            put_limits(if name == "RestingMode" { "Mode" } else { name }, structure);
            if name == "EventKind" {
                put_kinds(structure);
            }
        }
    }
    schema
}

/// Bounds of the numbers of one structure.
fn put_limits(owner: &str, structure: &mut Value) {
    let Some(fields) = structure.get_mut("properties").and_then(Value::as_object_mut) else { return };
    for (name, field) in fields {
        let table = limits::TABLES.iter().any(|limit| limit.owner == owner && limit.field == name);
        if let (Some(limit), Some(field), false) = (limits::find(owner, name), field.as_object_mut(), table) {
            put_limit(limit, field);
        }
    }
}

/// The kinds of event are variants, each an object with its own fields.
fn put_kinds(kinds: &mut Value) {
    let Some(variants) = kinds.get_mut("oneOf").and_then(Value::as_array_mut) else { return };
    for variant in variants {
        let Some(fields) = variant.get_mut("properties").and_then(Value::as_object_mut) else { continue };
        for (kind, structure) in fields {
            put_limits(kind, structure);
        }
    }
}

fn put_limit(limit: &Limit, field: &mut Map<String, Value>) {
    let lower = if limit.lower_exclusive { "exclusiveMinimum" } else { "minimum" };
    let upper = if limit.upper_exclusive { "exclusiveMaximum" } else { "maximum" };
    field.insert(lower.to_owned(), json!(limit.lower));
    field.insert(upper.to_owned(), json!(limit.upper));
}
