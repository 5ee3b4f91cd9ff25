//! The difference of two maps cell by cell, where their axes differ read as the controller reads them.

use washboard_session::{MapName, MapRef, Mode};
use washboard_signal::table::Table;

/// Two maps of one kind at the breakpoints of both.
#[derive(Clone, Debug, PartialEq)]
pub struct MapDifference {
    /// Row breakpoints of either map, km/h.
    pub rows: Vec<f64>,
    /// Column breakpoints of either map, m/s^2.
    pub columns: Vec<f64>,
    /// Values of the first map, in the map's unit: one row a row breakpoint.
    pub before: Vec<Vec<f64>>,
    /// Values of the second map.
    pub after: Vec<Vec<f64>>,
    /// True where both have the same axes, so that every figure is a cell of both.
    pub same_axes: bool,
}

impl MapDifference {
    /// From the map of one mode to that of another; `None` where one of them has no such map, or one that is no table:
    /// work that was opened with faults may hold such.
    pub fn between(before: &Mode, after: &Mode, map: MapName) -> Option<MapDifference> {
        let (one, other) = (before.map(map)?, after.map(map)?);
        if !(is_table(&one) && is_table(&other)) {
            return None;
        }
        let rows = merged(one.rows, other.rows);
        let columns = merged(one.columns, other.columns);
        Some(MapDifference {
            before: read(&one, &rows, &columns),
            after: read(&other, &rows, &columns),
            same_axes: one.rows == other.rows && one.columns == other.columns,
            rows,
            columns,
        })
    }

    /// After less before in one cell.
    pub fn at(&self, row: usize, column: usize) -> f64 {
        self.after[row][column] - self.before[row][column]
    }

    /// Row and column of the largest difference in magnitude; `None` where nothing differs.
    pub fn largest(&self) -> Option<(usize, usize)> {
        let cells = (0..self.rows.len()).flat_map(|r| (0..self.columns.len()).map(move |c| (r, c)));
        let size = |cell: &(usize, usize)| self.at(cell.0, cell.1).abs();
        // The first of equals.
        let largest = cells.rev().max_by(|a, b| size(a).total_cmp(&size(b)))?;
        (size(&largest) > 0.0).then_some(largest)
    }

    /// How many cells differ.
    pub fn count(&self) -> usize {
        (0..self.rows.len()).map(|r| (0..self.columns.len()).filter(|c| self.at(r, *c) != 0.0).count()).sum()
    }
}

fn merged(one: &[f64], other: &[f64]) -> Vec<f64> {
    let mut all: Vec<f64> = one.iter().chain(other).copied().collect();
    all.sort_by(f64::total_cmp);
    all.dedup();
    all
}

fn is_table(map: &MapRef<'_>) -> bool {
    let rises = |axis: &[f64]| !axis.is_empty() && axis.windows(2).all(|w| w[0] < w[1]);
    let is_full = map.values.len() == map.rows.len() && map.values.iter().all(|row| row.len() == map.columns.len());
    rises(map.rows) && rises(map.columns) && is_full
}

/// The map at breakpoints: its own cells where they are its own, else bilinear and held at its edges.
fn read(map: &MapRef<'_>, rows: &[f64], columns: &[f64]) -> Vec<Vec<f64>> {
    let table = Table::new(map.rows.to_vec(), map.columns.to_vec(), map.values);
    let own = |axis: &[f64], at: f64| axis.iter().position(|breakpoint| *breakpoint == at);
    let value = |row: f64, column: f64| match (own(map.rows, row), own(map.columns, column)) {
        (Some(r), Some(c)) => map.values[r][c],
        _ => table.at_held(row, column),
    };
    rows.iter().map(|r| columns.iter().map(|c| value(*r, *c)).collect()).collect()
}
