//! The six maps of a mode under one name: labels, units, limits and access.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{CurrentMap, GainMap, Mode, limits, limits::Limit};

/// Which map of a mode.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
pub enum MapName {
    /// Skyhook gain on body heave.
    Heave,
    /// Groundhook gain on wheel rate.
    Wheel,
    /// Plain damping.
    Base,
    /// Skyhook gain on roll.
    Roll,
    /// Skyhook gain on pitch.
    Pitch,
    /// Least current whatever is asked; a mode may have none.
    Floor,
}

/// A map to look at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MapRef<'a> {
    /// Row breakpoints.
    pub rows: &'a [f64],
    /// Column breakpoints.
    pub columns: &'a [f64],
    /// Cells: one row a row breakpoint.
    pub values: &'a [Vec<f64>],
}

/// A map to change.
#[derive(Debug)]
pub struct MapMut<'a> {
    /// Row breakpoints.
    pub rows: &'a mut Vec<f64>,
    /// Column breakpoints.
    pub columns: &'a mut Vec<f64>,
    /// Cells: one row a row breakpoint.
    pub values: &'a mut Vec<Vec<f64>>,
}

/// Axes and cells of a map of its own, before it is known which map they become.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Table {
    /// Row breakpoints.
    pub rows: Vec<f64>,
    /// Column breakpoints.
    pub columns: Vec<f64>,
    /// Cells: one row a row breakpoint.
    pub values: Vec<Vec<f64>>,
}

impl MapName {
    /// All maps in the order of the document.
    pub const ALL: [MapName; 6] =
        [MapName::Heave, MapName::Wheel, MapName::Base, MapName::Roll, MapName::Pitch, MapName::Floor];

    /// Name of the field in the document.
    pub const fn field(self) -> &'static str {
        match self {
            MapName::Heave => "heave",
            MapName::Wheel => "wheel",
            MapName::Base => "base",
            MapName::Roll => "roll",
            MapName::Pitch => "pitch",
            MapName::Floor => "floor",
        }
    }

    /// The map of this field name.
    pub fn from_field(field: &str) -> Option<MapName> {
        MapName::ALL.into_iter().find(|map| map.field() == field)
    }

    /// What the map holds, in words for people.
    pub const fn label(self) -> &'static str {
        match self {
            MapName::Heave => "heave gain",
            MapName::Wheel => "wheel gain",
            MapName::Base => "base damping",
            MapName::Roll => "roll gain",
            MapName::Pitch => "pitch gain",
            MapName::Floor => "least current",
        }
    }

    /// Limit of a row breakpoint, with its label and unit.
    pub const fn row_limit(self) -> &'static Limit {
        &limits::MAP_SPEED
    }

    /// Limit of a column breakpoint, with its label and unit.
    pub const fn column_limit(self) -> &'static Limit {
        match self {
            MapName::Heave | MapName::Wheel | MapName::Base => &limits::MAP_ROUGHNESS,
            MapName::Roll | MapName::Floor => &limits::MAP_LATERAL,
            MapName::Pitch => &limits::MAP_LONGITUDINAL,
        }
    }

    /// Limit of a cell, with its label and unit.
    pub const fn value_limit(self) -> &'static Limit {
        match self {
            MapName::Heave | MapName::Wheel | MapName::Roll | MapName::Pitch => &limits::MAP_GAIN,
            MapName::Base => &limits::MAP_BASE,
            MapName::Floor => &limits::MAP_CURRENT,
        }
    }

    /// Name of the field with the cells.
    pub const fn values_field(self) -> &'static str {
        match self {
            MapName::Floor => "values_a",
            _ => "values_n_s_per_m",
        }
    }

    /// Unit of the row breakpoints.
    pub const fn row_unit(self) -> &'static str {
        self.row_limit().unit
    }

    /// Unit of the column breakpoints.
    pub const fn column_unit(self) -> &'static str {
        self.column_limit().unit
    }

    /// Unit of the cells.
    pub const fn value_unit(self) -> &'static str {
        self.value_limit().unit
    }
}

impl GainMap {
    /// The map to look at.
    pub fn as_map(&self) -> MapRef<'_> {
        MapRef { rows: &self.rows, columns: &self.columns, values: &self.values_n_s_per_m }
    }

    fn as_map_mut(&mut self) -> MapMut<'_> {
        MapMut { rows: &mut self.rows, columns: &mut self.columns, values: &mut self.values_n_s_per_m }
    }
}

impl CurrentMap {
    /// The map to look at.
    pub fn as_map(&self) -> MapRef<'_> {
        MapRef { rows: &self.rows, columns: &self.columns, values: &self.values_a }
    }

    fn as_map_mut(&mut self) -> MapMut<'_> {
        MapMut { rows: &mut self.rows, columns: &mut self.columns, values: &mut self.values_a }
    }
}

impl Mode {
    /// One of the maps; `None` only for a floor map that the mode has not.
    pub fn map(&self, name: MapName) -> Option<MapRef<'_>> {
        match name {
            MapName::Heave => Some(self.heave.as_map()),
            MapName::Wheel => Some(self.wheel.as_map()),
            MapName::Base => Some(self.base.as_map()),
            MapName::Roll => Some(self.roll.as_map()),
            MapName::Pitch => Some(self.pitch.as_map()),
            MapName::Floor => self.floor.as_ref().map(CurrentMap::as_map),
        }
    }

    /// One of the maps, to change; `None` only for a floor map that the mode has not.
    pub fn map_mut(&mut self, name: MapName) -> Option<MapMut<'_>> {
        match name {
            MapName::Heave => Some(self.heave.as_map_mut()),
            MapName::Wheel => Some(self.wheel.as_map_mut()),
            MapName::Base => Some(self.base.as_map_mut()),
            MapName::Roll => Some(self.roll.as_map_mut()),
            MapName::Pitch => Some(self.pitch.as_map_mut()),
            MapName::Floor => self.floor.as_mut().map(CurrentMap::as_map_mut),
        }
    }

    /// Puts a whole table in the place of a map; for the floor map also where there was none.
    pub fn put_map(&mut self, name: MapName, table: Table) {
        let Table { rows, columns, values } = table;
        let gains = match name {
            MapName::Heave => &mut self.heave,
            MapName::Wheel => &mut self.wheel,
            MapName::Base => &mut self.base,
            MapName::Roll => &mut self.roll,
            MapName::Pitch => &mut self.pitch,
            MapName::Floor => {
                self.floor = Some(CurrentMap { rows, columns, values_a: values });
                return;
            }
        };
        *gains = GainMap { rows, columns, values_n_s_per_m: values };
    }
}

impl MapRef<'_> {
    /// One cell.
    pub fn cell(&self, row: usize, column: usize) -> Option<f64> {
        self.values.get(row)?.get(column).copied()
    }

    /// The map as a table of its own.
    pub fn to_table(&self) -> Table {
        Table { rows: self.rows.to_vec(), columns: self.columns.to_vec(), values: self.values.to_vec() }
    }
}
