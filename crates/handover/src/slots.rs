//! Tables and numbers of a set by the names a layout calls them, to be read and to be replaced.

use serde_json::Value;
use washboard_session::Law;

use crate::fault::HandoverFault;
use crate::layout::TableName;
use crate::set::{CarSet, SetMode};

/// A table as it stands in a set.
#[derive(Clone, Copy, Debug)]
pub(crate) struct TableView<'s> {
    pub rows: &'s [f64],
    pub columns: &'s [f64],
    pub values: &'s [Vec<f64>],
}

/// The same to be replaced.
pub(crate) struct TableMut<'s> {
    pub rows: &'s mut Vec<f64>,
    pub columns: &'s mut Vec<f64>,
    pub values: &'s mut Vec<Vec<f64>>,
}

const OF_A_MODE: [TableName; 8] = [
    TableName::Heave,
    TableName::Wheel,
    TableName::Base,
    TableName::Roll,
    TableName::Pitch,
    TableName::Floor,
    TableName::InverseFront,
    TableName::InverseRear,
];

/// Every table the set holds: mode from 1, name.
pub(crate) fn table_names(set: &CarSet) -> Vec<(Option<u32>, TableName)> {
    let mut names = vec![(None, TableName::FrontDamper), (None, TableName::RearDamper)];
    for (index, mode) in set.modes.iter().enumerate() {
        let of_mode = OF_A_MODE.into_iter().filter(|&name| name != TableName::Floor || mode.floor.is_some());
        names.extend(of_mode.map(|name| (Some(index as u32 + 1), name)));
    }
    names
}

fn mode_of(set: &CarSet, mode: Option<u32>) -> Option<&SetMode> {
    set.modes.get(usize::try_from(mode?).ok()?.checked_sub(1)?)
}

/// A table of the set; `None` where it has no such mode or no floor map.
pub(crate) fn table_of(set: &CarSet, mode: Option<u32>, table: TableName) -> Option<TableView<'_>> {
    macro_rules! view {
        ($it:expr, $rows:ident, $columns:ident, $values:ident) => {
            Some(TableView { rows: &$it.$rows, columns: &$it.$columns, values: &$it.$values })
        };
    }
    match table {
        TableName::FrontDamper => return view!(set.front.bench, velocity_m_per_s, current_a, force_n),
        TableName::RearDamper => return view!(set.rear.bench, velocity_m_per_s, current_a, force_n),
        _ => {}
    }
    let mode = mode_of(set, mode)?;
    let map = match table {
        TableName::FrontDamper | TableName::RearDamper => return None,
        TableName::Floor => {
            let floor = mode.floor.as_ref()?;
            return view!(floor, rows, columns, values_a);
        }
        TableName::InverseFront => return view!(mode.inverse_front, velocity_m_per_s, force_n, current_a),
        TableName::InverseRear => return view!(mode.inverse_rear, velocity_m_per_s, force_n, current_a),
        TableName::Heave => &mode.heave,
        TableName::Wheel => &mode.wheel,
        TableName::Base => &mode.base,
        TableName::Roll => &mode.roll,
        TableName::Pitch => &mode.pitch,
    };
    view!(map, rows, columns, values_n_s_per_m)
}

/// The same to be replaced.
pub(crate) fn table_mut(set: &mut CarSet, mode: Option<u32>, table: TableName) -> Option<TableMut<'_>> {
    macro_rules! view {
        ($it:expr, $rows:ident, $columns:ident, $values:ident) => {
            Some(TableMut { rows: &mut $it.$rows, columns: &mut $it.$columns, values: &mut $it.$values })
        };
    }
    match table {
        TableName::FrontDamper => return view!(set.front.bench, velocity_m_per_s, current_a, force_n),
        TableName::RearDamper => return view!(set.rear.bench, velocity_m_per_s, current_a, force_n),
        _ => {}
    }
    let mode = set.modes.get_mut(usize::try_from(mode?).ok()?.checked_sub(1)?)?;
    let map = match table {
        TableName::FrontDamper | TableName::RearDamper => return None,
        TableName::Floor => {
            let floor = mode.floor.as_mut()?;
            return view!(floor, rows, columns, values_a);
        }
        TableName::InverseFront => return view!(mode.inverse_front, velocity_m_per_s, force_n, current_a),
        TableName::InverseRear => return view!(mode.inverse_rear, velocity_m_per_s, force_n, current_a),
        TableName::Heave => &mut mode.heave,
        TableName::Wheel => &mut mode.wheel,
        TableName::Base => &mut mode.base,
        TableName::Roll => &mut mode.roll,
        TableName::Pitch => &mut mode.pitch,
    };
    view!(map, rows, columns, values_n_s_per_m)
}

/// A single number of a set.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct NumericSetting {
    /// Mode from 1, or none.
    pub mode: Option<u32>,
    /// Path as a layout names it.
    pub path: String,
    /// Its value; `None` where the set says there is none.
    pub value: Option<f64>,
    /// True where a set may say so.
    pub may_be_absent: bool,
}

/// Every single number of the set. Those of tables and the set's own format are not among them.
pub(crate) fn numeric_settings(set: &CarSet) -> Vec<NumericSetting> {
    let mut found = Vec::new();
    let Ok(value) = as_value(set) else { return found };
    if let Some(fields) = value.as_object() {
        for (name, field) in fields.iter().filter(|(name, _)| *name != "modes" && *name != "format") {
            walk(field, name, None, &mut found);
        }
    }
    for (index, mode) in value.get("modes").and_then(Value::as_array).into_iter().flatten().enumerate() {
        let number = Some(index as u32 + 1);
        for (name, field) in mode.as_object().into_iter().flatten() {
            if name == "law" {
                let law = &set.modes[index].law;
                found.push(NumericSetting {
                    mode: number,
                    path: name.clone(),
                    value: Some(law_number(law)),
                    may_be_absent: false,
                });
            }
            if name == "slew_a_per_s" && field.is_null() {
                found.push(NumericSetting { mode: number, path: name.clone(), value: None, may_be_absent: true });
            }
            walk(field, name, number, &mut found);
        }
    }
    found
}

/// Axes and cells of tables, which are no single numbers.
const OF_TABLES: [&str; 7] =
    ["rows", "columns", "values_n_s_per_m", "values_a", "velocity_m_per_s", "force_n", "current_a"];

fn walk(value: &Value, path: &str, mode: Option<u32>, found: &mut Vec<NumericSetting>) {
    match value {
        Value::Number(number) => {
            let may_be_absent = mode.is_some() && path == "slew_a_per_s";
            found.push(NumericSetting { mode, path: path.to_owned(), value: number.as_f64(), may_be_absent });
        }
        Value::Object(fields) => {
            for (name, field) in fields.iter().filter(|(name, _)| !OF_TABLES.contains(&name.as_str())) {
                walk(field, &format!("{path}.{name}"), mode, found);
            }
        }
        Value::Array(members) => {
            for (index, member) in members.iter().enumerate() {
                walk(member, &format!("{path}.{index}"), mode, found);
            }
        }
        // Words and absences are no numbers.
        _ => {}
    }
}

/// The number a layout writes for a law.
pub(crate) fn law_number(law: &Law) -> f64 {
    match law {
        Law::Continuous => 0.0,
        Law::OnOff => 1.0,
        Law::AccelerationDriven => 2.0,
        Law::Mixed(_) => 3.0,
    }
}

/// A set as plain values, the home of single numbers by path.
pub(crate) fn as_value(set: &CarSet) -> Result<Value, HandoverFault> {
    serde_json::to_value(set).map_err(|error| HandoverFault::Form { form: "plain values", why: error.to_string() })
}

/// The set that plain values are.
pub(crate) fn from_value(value: Value) -> Result<CarSet, HandoverFault> {
    serde_json::from_value(value).map_err(|error| HandoverFault::Form { form: "plain values", why: error.to_string() })
}

/// The field at a path, from the mode (from 1) or from the top.
pub(crate) fn field_mut<'v>(value: &'v mut Value, mode: Option<u32>, path: &str) -> Option<&'v mut Value> {
    let mut at = match mode {
        None => value,
        Some(mode) => value.get_mut("modes")?.get_mut(usize::try_from(mode).ok()?.checked_sub(1)?)?,
    };
    for part in path.split('.') {
        at = match at {
            Value::Array(members) => members.get_mut(part.parse::<usize>().ok()?)?,
            other => other.as_object_mut()?.get_mut(part)?,
        };
    }
    Some(at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;
    use crate::set::SetEndStop;

    #[test]
    fn numbers_in_lists_count_and_those_of_tables_do_not() {
        let mut set = fixture::set();
        let (front_m, rear_m) = ([Some(0.05), None], [Some(0.06), Some(0.08)]);
        set.modes[1].end_stop = Some(SetEndStop { zone_m: 0.02, rate_m_per_s: 0.5, front_m, rear_m });
        let found = numeric_settings(&set);
        let paths: Vec<&str> = found.iter().filter(|one| one.mode == Some(2)).map(|one| one.path.as_str()).collect();
        for path in ["end_stop.zone_m", "end_stop.front_m.0", "end_stop.rear_m.1", "front.heave", "inverse_rear.firm_a"]
        {
            assert!(paths.contains(&path), "{path} is missing among {paths:?}");
        }
        assert!(!paths.contains(&"end_stop.front_m.1"), "what is absent is no number");
        assert!(!found.iter().any(|one| one.path.contains("rows") || one.path.contains("force_n")));
        let mut value = as_value(&set).unwrap();
        *field_mut(&mut value, Some(2), "end_stop.rear_m.1").unwrap() = 0.09.into();
        assert_eq!(from_value(value).unwrap().modes[1].end_stop.as_ref().unwrap().rear_m[1], Some(0.09));
    }
}
