//! What is done to whole tables and ranges of cells: breakpoints put in and taken out, smoothing, ramps.

use crate::map::{MapRef, Table};

/// An axis of a map.
pub use crate::complaints::MapAxis;

/// A range of cells: first and last row, first and last column.
pub type Range = (usize, usize, usize, usize);

/// New value of a cell: row, column, value.
type Cell = (usize, usize, f64);

impl Table {
    /// The table with a breakpoint more, its cells read from the surface: bilinear between breakpoints, held at the edges,
    /// so that the surface stays as it is. `None` where the axis has that breakpoint already or it is no number.
    pub fn with_breakpoint(&self, axis: MapAxis, at: f64) -> Option<Table> {
        let points = self.axis(axis);
        if !at.is_finite() || points.contains(&at) || points.is_empty() {
            return None;
        }
        let place = points.partition_point(|point| *point < at);
        let mut table = self.clone();
        // Between the neighbours; at an end both are the last one there.
        let (low, high) = (place.saturating_sub(1), place.min(points.len() - 1));
        let share = if low == high { 0.0 } else { (at - points[low]) / (points[high] - points[low]) };
        let between = |a: f64, b: f64| if a == b { a } else { a * (1.0 - share) + b * share };
        match axis {
            MapAxis::Speed => {
                let (a, b) = (&self.values[low], &self.values[high]);
                table.rows.insert(place, at);
                table.values.insert(place, a.iter().zip(b).map(|(a, b)| between(*a, *b)).collect());
            }
            MapAxis::Second => {
                table.columns.insert(place, at);
                table.values.iter_mut().for_each(|row| row.insert(place, between(row[low], row[high])));
            }
        }
        Some(table)
    }

    /// The table without a breakpoint, and the largest change of the surface that this makes, in the cells' unit with its
    /// sign; zero where the surface stays as it is. `None` where it is the only one or there is no such breakpoint.
    pub fn without_breakpoint(&self, axis: MapAxis, index: usize) -> Option<(Table, f64)> {
        let points = self.axis(axis);
        if points.len() < 2 || index >= points.len() {
            return None;
        }
        let mut table = self.clone();
        match axis {
            MapAxis::Speed => {
                table.rows.remove(index);
                table.values.remove(index);
            }
            MapAxis::Second => {
                table.columns.remove(index);
                table.values.iter_mut().for_each(|row| {
                    row.remove(index);
                });
            }
        }
        // The surface is straight between breakpoints, so that it differs most where one was.
        let back = table.with_breakpoint(axis, points[index])?;
        let cells = || (0..self.rows.len()).flat_map(|r| (0..self.columns.len()).map(move |c| (r, c)));
        let change = |(r, c): (usize, usize)| back.values[r][c] - self.values[r][c];
        let largest = cells().map(change).max_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap_or(0.0);
        // Rounding of the interpolation is no change.
        let size = self.values.iter().flatten().fold(0.0_f64, |most, v| most.max(v.abs()));
        Some((table, if largest.abs() <= 1e-12 * size { 0.0 } else { largest }))
    }

    fn axis(&self, axis: MapAxis) -> &[f64] {
        match axis {
            MapAxis::Speed => &self.rows,
            MapAxis::Second => &self.columns,
        }
    }
}

/// Each cell of a range drawn towards its neighbours along one axis: a quarter of each and half of itself, by distance in
/// breakpoints; the ends of the axis have one neighbour, of which they take a quarter. What is straight over breakpoints
/// stays straight but for the ends.
pub fn smoothed(map: MapRef<'_>, (r0, r1, c0, c1): Range, axis: MapAxis) -> Vec<Cell> {
    let new = |r: usize, c: usize| {
        let neighbour = |step: isize| match axis {
            MapAxis::Speed => map.cell(r.checked_add_signed(step)?, c),
            MapAxis::Second => map.cell(r, c.checked_add_signed(step)?),
        };
        let now = map.cell(r, c)?;
        let (before, after) = (neighbour(-1).unwrap_or(now), neighbour(1).unwrap_or(now));
        Some((r, c, 0.25 * before + 0.5 * now + 0.25 * after))
    };
    (r0..=r1).flat_map(|r| (c0..=c1).map(move |c| (r, c))).filter_map(|(r, c)| new(r, c)).collect()
}

/// Each cell of a range on the straight surface between its corner cells, by breakpoint: along a row or column between its
/// two ends, in a rectangle bilinear between four.
pub fn ramped(map: MapRef<'_>, (r0, r1, c0, c1): Range) -> Vec<Cell> {
    let share =
        |axis: &[f64], first: usize, last: usize, at: usize| match (axis.get(first), axis.get(last), axis.get(at)) {
            (Some(a), Some(b), Some(x)) if b > a => (x - a) / (b - a),
            _ => 0.0,
        };
    let corner = |r, c| map.cell(r, c).unwrap_or(0.0);
    let new = |(r, c): (usize, usize)| {
        let (s, t) = (share(map.rows, r0, r1, r), share(map.columns, c0, c1, c));
        let low = corner(r0, c0) * (1.0 - t) + corner(r0, c1) * t;
        let high = corner(r1, c0) * (1.0 - t) + corner(r1, c1) * t;
        (r, c, low * (1.0 - s) + high * s)
    };
    (r0..=r1).flat_map(|r| (c0..=c1).map(move |c| (r, c))).map(new).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table() -> Table {
        Table {
            rows: vec![0.0, 50.0, 150.0],
            columns: vec![0.0, 4.0],
            values: vec![vec![1000.0, 800.0], vec![2000.0, 1400.0], vec![2600.0, 1500.0]],
        }
    }

    #[test]
    fn a_breakpoint_put_in_lies_on_the_surface_and_comes_out_without_a_trace() {
        // Midway between 2000 and 2600, and between 1400 and 1500.
        let more = table().with_breakpoint(MapAxis::Speed, 100.0).unwrap();
        assert_eq!(more.rows, [0.0, 50.0, 100.0, 150.0]);
        assert_eq!(more.values[2], [2300.0, 1450.0]);
        assert_eq!(more.without_breakpoint(MapAxis::Speed, 2), Some((table(), 0.0)));
        let more = table().with_breakpoint(MapAxis::Second, 1.0).unwrap();
        assert_eq!(more.values, [[1000.0, 950.0, 800.0], [2000.0, 1850.0, 1400.0], [2600.0, 2325.0, 1500.0]]);
        assert_eq!(more.without_breakpoint(MapAxis::Second, 1), Some((table(), 0.0)));
        // Beyond the ends the surface is held.
        assert_eq!(table().with_breakpoint(MapAxis::Speed, 200.0).unwrap().values[3], [2600.0, 1500.0]);
        assert_eq!(table().with_breakpoint(MapAxis::Speed, 50.0), None);
    }

    #[test]
    fn taking_a_breakpoint_out_says_how_far_the_surface_moves() {
        // A third of the way from 1000 to 2600 instead of 2000.
        let (less, change) = table().without_breakpoint(MapAxis::Speed, 1).unwrap();
        assert_eq!(less.rows, [0.0, 150.0]);
        assert!((change - (1000.0 + 1600.0 / 3.0 - 2000.0)).abs() < 1e-9, "{change}");
        // At an end the one before is held from then on.
        assert_eq!(table().without_breakpoint(MapAxis::Speed, 2).unwrap().1, -600.0);
        assert_eq!(table().without_breakpoint(MapAxis::Second, 5), None);
    }

    #[test]
    fn smoothing_takes_a_quarter_of_each_neighbour() {
        let table = table();
        let map = MapRef { rows: &table.rows, columns: &table.columns, values: &table.values };
        assert_eq!(
            smoothed(map, (0, 2, 0, 0), MapAxis::Speed),
            [(0, 0, 1250.0), (1, 0, 0.25 * 1000.0 + 1000.0 + 0.25 * 2600.0), (2, 0, 2450.0)]
        );
        assert_eq!(smoothed(map, (1, 1, 0, 1), MapAxis::Second), [(1, 0, 1850.0), (1, 1, 1550.0)]);
    }

    #[test]
    fn a_ramp_runs_straight_over_the_axis_from_end_to_end() {
        let table = table();
        let map = MapRef { rows: &table.rows, columns: &table.columns, values: &table.values };
        let ramp = ramped(map, (0, 2, 0, 0));
        assert_eq!(ramp[0], (0, 0, 1000.0));
        assert!((ramp[1].2 - (1000.0 + 1600.0 / 3.0)).abs() < 1e-9);
        assert_eq!(ramp[2], (2, 0, 2600.0));
        assert_eq!(ramped(map, (1, 1, 1, 1)), [(1, 1, 1400.0)]);
    }
}
