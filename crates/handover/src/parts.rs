//! Every table and every single number of a set with its place, name and unit: what files are written from, what
//! comparisons walk over.

use crate::set::{CarSet, SetMode, SetStates};

/// One axis of a table.
#[derive(Clone, Debug)]
pub(crate) struct Axis<'a> {
    /// Name with unit as in file headers, such as `speed_km_h`.
    pub name: &'static str,
    /// Unit in words for sentences.
    pub unit: &'static str,
    /// Breakpoints.
    pub values: &'a [f64],
}

/// One table of a set.
#[derive(Clone, Debug)]
pub(crate) struct Table<'a> {
    /// Path of its CSV file in the folder.
    pub file: String,
    /// What it is, in words: `mode "comfort", heave map`.
    pub place: String,
    /// Row axis.
    pub rows: Axis<'a>,
    /// Column axis.
    pub columns: Axis<'a>,
    /// Name with unit of the values.
    pub name: &'static str,
    /// Unit of the values in sentences.
    pub unit: &'static str,
    /// One row a row breakpoint.
    pub values: &'a [Vec<f64>],
}

impl Table<'_> {
    /// First cell of the CSV file: what runs down, what runs across, what the values are.
    pub fn corner(&self) -> String {
        format!("{} \\ {} | {}", self.rows.name, self.columns.name, self.name)
    }
}

/// One number or word of a set that is not in a table.
#[derive(Clone, Debug)]
pub(crate) struct Setting {
    /// What it belongs to: `mode "comfort"`, `front axle`, `controller`.
    pub place: String,
    /// Name as in `set.json`, with its unit.
    pub name: String,
    /// The number, where it is one.
    pub number: Option<f64>,
    /// The value as written.
    pub value: String,
    /// Unit in sentences; empty for words and plain numbers.
    pub unit: &'static str,
    /// False for labels that are not part of the identity.
    pub counts: bool,
}

/// File name of the tables of the mode at this index, without ending.
fn stem(index: usize, name: &str) -> String {
    let safe: String = name
        .chars()
        .take(40)
        .map(|c| if c.is_ascii_alphanumeric() || c == '-' { c.to_ascii_lowercase() } else { '_' })
        .collect();
    let safe = safe.trim_matches('_');
    format!("{:02}_{}", index + 1, if safe.is_empty() { "mode" } else { safe })
}

/// Every table of the set, in the order of the files.
pub(crate) fn tables(set: &CarSet) -> Vec<Table<'_>> {
    let mut tables = Vec::new();
    for (axle, side) in [("front", &set.front), ("rear", &set.rear)] {
        tables.push(Table {
            file: format!("dampers/{axle}.csv"),
            place: format!("damper of the {axle} axle"),
            rows: Axis { name: "damper_velocity_m_per_s", unit: "m/s", values: &side.bench.velocity_m_per_s },
            columns: Axis { name: "current_a", unit: "A", values: &side.bench.current_a },
            name: "damper_force_n",
            unit: "N",
            values: &side.bench.force_n,
        });
    }
    for (index, mode) in set.modes.iter().enumerate() {
        mode_tables(&stem(index, &mode.name), mode, &mut tables);
    }
    tables
}

fn mode_tables<'a>(stem: &str, mode: &'a SetMode, tables: &mut Vec<Table<'a>>) {
    const ROUGHNESS: &str = "roughness_m_per_s2";
    const LATERAL: &str = "lateral_demand_m_per_s2";
    const LONGITUDINAL: &str = "longitudinal_demand_m_per_s2";
    let SetMode { name, heave, wheel, base, roll, pitch, floor, inverse_front, inverse_rear, .. } = mode;
    for (word, map, column, value) in [
        ("heave", heave, ROUGHNESS, "heave_gain_n_s_per_m"),
        ("wheel", wheel, ROUGHNESS, "wheel_gain_n_s_per_m"),
        ("base", base, ROUGHNESS, "base_gain_n_s_per_m"),
        ("roll", roll, LATERAL, "roll_gain_n_s_per_m"),
        ("pitch", pitch, LONGITUDINAL, "pitch_gain_n_s_per_m"),
    ] {
        tables.push(Table {
            file: format!("maps/{stem}_{word}.csv"),
            place: format!("mode \"{name}\", {word} map"),
            rows: Axis { name: "speed_km_h", unit: "km/h", values: &map.rows },
            columns: Axis { name: column, unit: "m/s^2", values: &map.columns },
            name: value,
            unit: "N s/m",
            values: &map.values_n_s_per_m,
        });
    }
    if let Some(floor) = floor {
        tables.push(Table {
            file: format!("maps/{stem}_floor.csv"),
            place: format!("mode \"{name}\", floor map"),
            rows: Axis { name: "speed_km_h", unit: "km/h", values: &floor.rows },
            columns: Axis { name: LATERAL, unit: "m/s^2", values: &floor.columns },
            name: "least_current_a",
            unit: "A",
            values: &floor.values_a,
        });
    }
    for (axle, inverse) in [("front", inverse_front), ("rear", inverse_rear)] {
        tables.push(Table {
            file: format!("inverse_dampers/{stem}_{axle}.csv"),
            place: format!("mode \"{name}\", inverse damper table of the {axle} axle"),
            rows: Axis { name: "damper_velocity_m_per_s", unit: "m/s", values: &inverse.velocity_m_per_s },
            columns: Axis { name: "wanted_damper_force_n", unit: "N", values: &inverse.force_n },
            name: "current_a",
            unit: "A",
            values: &inverse.current_a,
        });
    }
}

/// Every number and word of the set that is not in a table, in the order of `settings.csv`.
pub(crate) fn settings(set: &CarSet) -> Vec<Setting> {
    let mut list = Settings { list: Vec::new(), place: "controller".to_owned() };
    let controller = &set.controller;
    list.number("sample_rate_hz", controller.sample_rate_hz, "Hz");
    match &controller.states {
        SetStates::Ideal => list.word("states", &"Ideal", true),
        SetStates::Estimated(estimator) => {
            list.word("states", &"Estimated", true);
            for (index, sensor) in estimator.body_sensors.iter().enumerate() {
                list.number(&format!("states.body_sensors[{index}].x_m"), sensor.x_m, "m");
                list.number(&format!("states.body_sensors[{index}].y_m"), sensor.y_m, "m");
            }
            list.word("states.wheel_accelerometers", &estimator.wheel_accelerometers, true);
            list.number("states.body_leak_hz", estimator.body_leak_hz, "Hz");
            list.number("states.height_share", estimator.height_share, "");
            list.number("states.height_low_pass_hz", estimator.height_low_pass_hz, "Hz");
            list.number("states.wheel_leak_hz", estimator.wheel_leak_hz, "Hz");
        }
    }
    list.number("roughness.low_hz", controller.roughness.low_hz, "Hz");
    list.number("roughness.high_hz", controller.roughness.high_hz, "Hz");
    list.number("roughness.rise_s", controller.roughness.rise_s, "s");
    list.number("roughness.fall_s", controller.roughness.fall_s, "s");
    list.number("lateral_demand.rise_s", controller.lateral_demand.rise_s, "s");
    list.number("lateral_demand.fall_s", controller.lateral_demand.fall_s, "s");
    if controller.lateral_demand.lead_s != 0.0 {
        list.number("lateral_demand.lead_s", controller.lateral_demand.lead_s, "s");
    }
    list.number("longitudinal_demand.rise_s", controller.longitudinal_demand.rise_s, "s");
    list.number("longitudinal_demand.fall_s", controller.longitudinal_demand.fall_s, "s");
    if controller.longitudinal_demand.lead_s != 0.0 {
        list.number("longitudinal_demand.lead_s", controller.longitudinal_demand.lead_s, "s");
    }
    list.number("blend_velocity_m_per_s", controller.blend_velocity_m_per_s, "m/s");
    for (axle, side) in [("front axle", &set.front), ("rear axle", &set.rear)] {
        list.place = axle.to_owned();
        list.word("damper", &side.damper, false);
        list.number("motion_ratio", side.motion_ratio, "");
        list.number("forward_m", side.forward_m, "m");
        list.number("left_m", side.left_m, "m");
    }
    for mode in &set.modes {
        list.place = format!("mode \"{}\"", mode.name);
        list.word("purpose", &mode.purpose, false);
        list.word("law", &mode.law, true);
        for (axle, scales) in [("front", &mode.front), ("rear", &mode.rear)] {
            for (name, value) in [
                ("heave", scales.heave),
                ("wheel", scales.wheel),
                ("base", scales.base),
                ("roll", scales.roll),
                ("pitch", scales.pitch),
                ("rebound", scales.rebound),
                ("compression", scales.compression),
            ] {
                list.number(&format!("{axle}.{name}"), value, "");
            }
        }
        list.number("current_min_a", mode.current_min_a, "A");
        list.number("current_max_a", mode.current_max_a, "A");
        if let Some(end_stop) = &mode.end_stop {
            list.number("end_stop.zone_m", end_stop.zone_m, "m");
            list.number("end_stop.rate_m_per_s", end_stop.rate_m_per_s, "m/s");
            for (axle, ends) in [("front", end_stop.front_m), ("rear", end_stop.rear_m)] {
                for (stop, end) in ["compression", "rebound"].into_iter().zip(ends) {
                    if let Some(end) = end {
                        list.number(&format!("end_stop.{axle}_{stop}_m"), end, "m");
                    }
                }
            }
        }
        match mode.slew_a_per_s {
            Some(slew) => list.number("slew_a_per_s", slew, "A/s"),
            None => list.push("slew_a_per_s", None, "unlimited".to_owned(), "", true),
        }
        for (axle, inverse) in [("front", &mode.inverse_front), ("rear", &mode.inverse_rear)] {
            list.number(&format!("inverse_{axle}.soft_a"), inverse.soft_a, "A");
            list.number(&format!("inverse_{axle}.firm_a"), inverse.firm_a, "A");
        }
    }
    list.list
}

struct Settings {
    list: Vec<Setting>,
    place: String,
}

impl Settings {
    fn push(&mut self, name: &str, number: Option<f64>, value: String, unit: &'static str, counts: bool) {
        self.list.push(Setting { place: self.place.clone(), name: name.to_owned(), number, value, unit, counts });
    }

    fn number(&mut self, name: &str, number: f64, unit: &'static str) {
        self.push(name, Some(number), number.to_string(), unit, true);
    }

    /// A word, or a variant with its settings, as it stands in `set.json`.
    fn word<T: serde::Serialize>(&mut self, name: &str, value: &T, counts: bool) {
        let value = match serde_json::to_value(value) {
            Ok(serde_json::Value::String(word)) => word,
            Ok(other) => other.to_string(),
            // Names and variants of plain data always convert.
            Err(error) => error.to_string(),
        };
        self.push(name, None, value, "", counts);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn file_names_are_safe_whatever_the_mode_is_called() {
        assert_eq!(stem(0, "Comfort"), "01_comfort");
        assert_eq!(stem(11, "../../etc/passwd"), "12_etc_passwd");
        assert_eq!(stem(1, "a\\b:c*?\u{0}"), "02_a_b_c");
        assert_eq!(stem(2, "\u{e9}\u{4e2d}"), "03_mode");
        assert_eq!(stem(2, &"x".repeat(500)).len(), 43);
    }
}
