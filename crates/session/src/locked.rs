//! Cells that no edit may change until they are unlocked.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{
    Fault, Mode, Session,
    document::is_default,
    fault::with_unit,
    map::{MapName, MapRef},
};

/// Locked cells of a mode's maps: row and column, counted from 0.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct LockedCells {
    /// Cells of the heave map.
    #[serde(skip_serializing_if = "is_default")]
    pub heave: Vec<(usize, usize)>,
    /// Cells of the wheel map.
    #[serde(skip_serializing_if = "is_default")]
    pub wheel: Vec<(usize, usize)>,
    /// Cells of the base map.
    #[serde(skip_serializing_if = "is_default")]
    pub base: Vec<(usize, usize)>,
    /// Cells of the roll map.
    #[serde(skip_serializing_if = "is_default")]
    pub roll: Vec<(usize, usize)>,
    /// Cells of the pitch map.
    #[serde(skip_serializing_if = "is_default")]
    pub pitch: Vec<(usize, usize)>,
    /// Cells of the floor map.
    #[serde(skip_serializing_if = "is_default")]
    pub floor: Vec<(usize, usize)>,
}

impl LockedCells {
    /// The locked cells of a map.
    pub fn of(&self, map: MapName) -> &Vec<(usize, usize)> {
        match map {
            MapName::Heave => &self.heave,
            MapName::Wheel => &self.wheel,
            MapName::Base => &self.base,
            MapName::Roll => &self.roll,
            MapName::Pitch => &self.pitch,
            MapName::Floor => &self.floor,
        }
    }

    /// The same, to change.
    pub fn of_mut(&mut self, map: MapName) -> &mut Vec<(usize, usize)> {
        match map {
            MapName::Heave => &mut self.heave,
            MapName::Wheel => &mut self.wheel,
            MapName::Base => &mut self.base,
            MapName::Roll => &mut self.roll,
            MapName::Pitch => &mut self.pitch,
            MapName::Floor => &mut self.floor,
        }
    }

    /// How many cells are locked in all maps.
    pub fn count(&self) -> usize {
        MapName::ALL.into_iter().map(|map| self.of(map).len()).sum()
    }

    /// Locks or unlocks cells of a map; the list stays in order and without repeats.
    pub fn set(&mut self, map: MapName, cells: &[(usize, usize)], locked: bool) {
        let list = self.of_mut(map);
        list.retain(|cell| !cells.contains(cell));
        if locked {
            list.extend(cells);
            list.sort_unstable();
            list.dedup();
        }
    }
}

impl Mode {
    /// True where a cell of a map is locked.
    pub fn is_locked(&self, map: MapName, row: usize, column: usize) -> bool {
        self.locked.of(map).contains(&(row, column))
    }
}

/// Where the locked cells of a map lie once it has other axes: those whose breakpoints are still there.
pub(crate) fn moved(cells: &[(usize, usize)], before: MapRef<'_>, after: MapRef<'_>) -> Vec<(usize, usize)> {
    cells.iter().filter_map(|&cell| place_in(cell, before, after)).collect()
}

fn place_in((row, column): (usize, usize), before: MapRef<'_>, after: MapRef<'_>) -> Option<(usize, usize)> {
    let (speed, second) = (before.rows.get(row)?, before.columns.get(column)?);
    let row = after.rows.iter().position(|x| x == speed)?;
    Some((row, after.columns.iter().position(|x| x == second)?))
}

/// The first locked cell that an edit would change; the mode is known by its name or, renamed, by its place.
pub(crate) fn broken(before: &Session, after: &Session) -> Option<Fault> {
    for (index, mode) in before.modes.iter().enumerate().filter(|(_, mode)| mode.locked.count() > 0) {
        let by_name = after.modes.iter().find(|m| m.name == mode.name);
        let by_place = || after.modes.get(index).filter(|_| after.modes.len() == before.modes.len());
        let Some(now) = by_name.or_else(by_place) else { continue };
        for map in MapName::ALL {
            let cells = mode.locked.of(map);
            let Some(was) = mode.map(map).filter(|_| !cells.is_empty()) else { continue };
            for &cell in cells {
                let value = now.map(map).and_then(|is| place_in(cell, was, is).and_then(|(r, c)| is.cell(r, c)));
                let Some(kept) = was.cell(cell.0, cell.1) else { continue };
                if value != Some(kept) {
                    let at = |value: Option<&f64>, unit| value.map_or(String::new(), |v| with_unit(*v, unit));
                    let (speed, second) = (was.rows.get(cell.0), was.columns.get(cell.1));
                    return Some(Fault::new(
                        format!("modes[{index}] {:?}.{}", mode.name, map.field()),
                        format!("the cell at {}, {}", at(speed, map.row_unit()), at(second, map.column_unit())),
                        "to change",
                        "it is locked; unlock it first",
                    ));
                }
            }
        }
    }
    None
}
