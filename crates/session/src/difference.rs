//! What differs between two modes or two sets of modes: cells of the maps one by one, everything else in words.

use std::fmt;

use crate::{
    EndStop, Law, Mode,
    edit::{End, Scale},
    fault::{counted, plain, quoted, with_unit},
    map::{MapName, MapRef},
};

/// One cell that differs. A cell whose breakpoints stand in one of the maps only has no value on the other side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellDifference {
    /// Which map.
    pub map: MapName,
    /// Index of the row in the later map; in the earlier one where the cell is gone.
    pub row: usize,
    /// Index of the column, likewise.
    pub column: usize,
    /// Row breakpoint, in the map's row unit.
    pub row_value: f64,
    /// Column breakpoint, in the map's column unit.
    pub column_value: f64,
    /// Value in the earlier map.
    pub before: Option<f64>,
    /// Value in the later map.
    pub after: Option<f64>,
}

/// One setting beside the maps that differs, in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SettingDifference {
    /// What it is.
    pub what: String,
    /// What it was, with its unit.
    pub before: String,
    /// What it is now, with its unit.
    pub after: String,
}

impl fmt::Display for SettingDifference {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}: {} → {}", self.what, self.before, self.after)
    }
}

impl fmt::Display for CellDifference {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (map, unit) = (self.map, self.map.value_unit());
        let side = |value: Option<f64>| value.map_or("no cell".to_owned(), |value| with_unit(value, unit));
        write!(
            out,
            "{} at {}, {}: {} → {}",
            map.label(),
            with_unit(self.row_value, map.row_unit()),
            with_unit(self.column_value, map.column_unit()),
            side(self.before),
            side(self.after),
        )
    }
}

/// All that differs between two modes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ModeDifference {
    /// Cells of the maps.
    pub cells: Vec<CellDifference>,
    /// Scales, limits, law and slew; not the name or the purpose, which the car does not see.
    pub settings: Vec<SettingDifference>,
}

impl ModeDifference {
    /// All that differs from `before` to `after`.
    pub fn between(before: &Mode, after: &Mode) -> ModeDifference {
        ModeDifference { cells: map_differences(before, after), settings: setting_differences(before, after) }
    }

    /// True where the car would see no difference.
    pub fn is_empty(&self) -> bool {
        self.cells.is_empty() && self.settings.is_empty()
    }
}

/// All that differs between two sets of modes, which are told apart by their names.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SetDifference {
    /// Names of modes that are new.
    pub added: Vec<String>,
    /// Names of modes that are gone.
    pub removed: Vec<String>,
    /// Modes that differ, by name, in the order of the later set.
    pub changed: Vec<(String, ModeDifference)>,
}

impl SetDifference {
    /// All that differs from `before` to `after`.
    pub fn between(before: &[Mode], after: &[Mode]) -> SetDifference {
        let find = |modes: &[Mode], name: &str| modes.iter().position(|mode| mode.name == name);
        let mut difference = SetDifference::default();
        for mode in after {
            match find(before, &mode.name) {
                None => difference.added.push(mode.name.clone()),
                Some(index) => {
                    let changes = ModeDifference::between(&before[index], mode);
                    if !changes.is_empty() {
                        difference.changed.push((mode.name.clone(), changes));
                    }
                }
            }
        }
        let gone = before.iter().filter(|mode| find(after, &mode.name).is_none());
        difference.removed = gone.map(|mode| mode.name.clone()).collect();
        difference
    }

    /// True where the car would see no difference.
    pub fn is_empty(&self) -> bool {
        self.added.is_empty() && self.removed.is_empty() && self.changed.is_empty()
    }

    /// Each difference as a line that names its mode.
    pub fn lines(&self) -> Vec<String> {
        let mut lines: Vec<String> = self.added.iter().map(|name| format!("{name}: new")).collect();
        lines.extend(self.removed.iter().map(|name| format!("{name}: gone")));
        for (name, changes) in &self.changed {
            lines.extend(changes.settings.iter().map(|setting| format!("{name}, {setting}")));
            lines.extend(changes.cells.iter().map(|cell| format!("{name}, {cell}")));
        }
        lines
    }

    /// Number of cells that differ in modes of both sets.
    pub fn cells(&self) -> usize {
        self.changed.iter().map(|(_, changes)| changes.cells.len()).sum()
    }

    /// Number of settings that differ in modes of both sets.
    pub fn settings(&self) -> usize {
        self.changed.iter().map(|(_, changes)| changes.settings.len()).sum()
    }
}

impl fmt::Display for SetDifference {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let parts: Vec<String> = [
            (self.cells(), "cell", ""),
            (self.settings(), "setting", ""),
            (self.added.len(), "mode", " added"),
            (self.removed.len(), "mode", " removed"),
        ]
        .into_iter()
        .filter(|(count, ..)| *count > 0)
        .map(|(count, what, how)| format!("{}{how}", counted(count, what)))
        .collect();
        if parts.is_empty() { out.write_str("no difference") } else { out.write_str(&parts.join(", ")) }
    }
}

/// Cells that differ, map by map. Cells are told apart by their breakpoints, so that a row put in between counts as new
/// and leaves the others as they were.
pub fn map_differences(before: &Mode, after: &Mode) -> Vec<CellDifference> {
    let mut found = Vec::new();
    for map in MapName::ALL {
        let nothing = MapRef { rows: &[], columns: &[], values: &[] };
        let old = before.map(map).unwrap_or(nothing);
        let new = after.map(map).unwrap_or(nothing);
        let (same_rows, same_columns) = (old.rows == new.rows, old.columns == new.columns);
        cells(&new, |row, column, row_value, column_value, value| {
            let old_row = if same_rows { Some(row) } else { place(old.rows, row_value) };
            let old_column = if same_columns { Some(column) } else { place(old.columns, column_value) };
            let earlier = old_row.zip(old_column).and_then(|(row, column)| old.cell(row, column));
            if earlier != Some(value) {
                let (before, after) = (earlier, Some(value));
                found.push(CellDifference { map, row, column, row_value, column_value, before, after });
            }
        });
        if same_rows && same_columns {
            continue;
        }
        cells(&old, |row, column, row_value, column_value, value| {
            if place(new.rows, row_value).is_none() || place(new.columns, column_value).is_none() {
                let (before, after) = (Some(value), None);
                found.push(CellDifference { map, row, column, row_value, column_value, before, after });
            }
        });
    }
    found
}

/// Scales, limits, slew and law that differ, in words.
pub fn setting_differences(before: &Mode, after: &Mode) -> Vec<SettingDifference> {
    let mut found = Vec::new();
    let mut note = |what: String, old: String, new: String| {
        if old != new {
            found.push(SettingDifference { what, before: old, after: new });
        }
    };
    note("law".to_owned(), law_in_words(&before.law), law_in_words(&after.law));
    for end in End::ALL {
        for scale in Scale::ALL {
            let of = |mode: &Mode| match end {
                End::Front => plain(scale.of(&mode.front)),
                End::Rear => plain(scale.of(&mode.rear)),
            };
            note(format!("{} scale at the {} axle", scale.field(), end.field()), of(before), of(after));
        }
    }
    let amperes = |current: f64| with_unit(current, "A");
    note("least current".to_owned(), amperes(before.current_min_a), amperes(after.current_min_a));
    note("most current".to_owned(), amperes(before.current_max_a), amperes(after.current_max_a));
    note("fastest change of current".to_owned(), slew_in_words(before), slew_in_words(after));
    note("firm up near the stops".to_owned(), end_stop_in_words(before), end_stop_in_words(after));
    let floor = |mode: &Mode| if mode.floor.is_some() { "a map" } else { "none" }.to_owned();
    note("least-current map".to_owned(), floor(before), floor(after));
    found
}

/// The fastest change of the current in words.
pub(crate) fn slew_in_words(mode: &Mode) -> String {
    mode.slew_a_per_s.map_or("unlimited".to_owned(), |slew| with_unit(slew, "A/s"))
}

/// The end stop in words.
pub(crate) fn end_stop_in_words(mode: &Mode) -> String {
    let words =
        |e: EndStop| format!("{} before a stop at {}", with_unit(e.zone_m, "m"), with_unit(e.rate_m_per_s, "m/s"));
    mode.end_stop.map_or("none".to_owned(), words)
}

/// A law in words.
pub(crate) fn law_in_words(law: &Law) -> String {
    match law {
        Law::Continuous => "continuous".to_owned(),
        Law::OnOff => "on/off".to_owned(),
        Law::AccelerationDriven => "acceleration-driven".to_owned(),
        Law::Mixed(mixed) => format!("mixed with crossover at {}", with_unit(mixed.crossover_hz, "Hz")),
    }
}

fn place(axis: &[f64], value: f64) -> Option<usize> {
    axis.iter().position(|&breakpoint| breakpoint == value)
}

/// Visits every cell of a map: row, column, their breakpoints, value.
fn cells(map: &MapRef<'_>, mut visit: impl FnMut(usize, usize, f64, f64, f64)) {
    for (row, (&row_value, values)) in map.rows.iter().zip(map.values).enumerate() {
        for (column, (&column_value, &value)) in map.columns.iter().zip(values).enumerate() {
            visit(row, column, row_value, column_value, value);
        }
    }
}

/// One sentence about a mode by its name, such as `"firm": 3 cells and 1 setting differ`.
pub fn sentence(name: &str, difference: &ModeDifference) -> String {
    match (difference.cells.len(), difference.settings.len()) {
        (0, 0) => format!("{}: nothing differs", quoted(name)),
        (cells, 0) => format!("{}: {} differ", quoted(name), counted(cells, "cell")),
        (0, settings) => format!("{}: {} differ", quoted(name), counted(settings, "setting")),
        (cells, settings) => {
            format!("{}: {} and {} differ", quoted(name), counted(cells, "cell"), counted(settings, "setting"))
        }
    }
}
