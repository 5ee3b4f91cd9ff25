//! Bilinear tables read at places that move slowly: every lane keeps its cell until the place leaves it, and its line
//! along the columns until the row changes.

use crate::Lane;
use crate::table::{Knots, Table};

mod shares;
pub use shares::CellShares;

/// `M` tables a lane, all read at the same place and held at their edges.
///
/// Each lane keeps the piece of plane on which it lies, and the line that its row cuts out of it, so that a reading is a
/// comparison and a line, the same in all lanes. Leaving a cell is rare (levels and speeds move slowly) and costs a search
/// in that lane alone. Where the row stays (a run at constant speed), the lines stay too; a line that is made anew is the
/// same to the last bit, so that a lane does not notice what the others do.
#[derive(Clone, Debug)]
pub struct Cells<'a, L, const M: usize> {
    tables: Vec<[Option<&'a Table>; M]>,
    /// Where the present cells hold: least row and column, and those just beyond.
    from: [L; 2],
    to: [L; 2],
    cells: [Cell<L>; M],
    /// The row of the present lines.
    row: L,
    lines: [Line<L>; M],
}

/// `value + rows * dr + (columns + both * dr) * dc` from the cell's corner on.
#[derive(Clone, Copy, Debug, Default)]
struct Cell<L> {
    row: L,
    column: L,
    value: L,
    by_column: L,
    by_row: L,
    by_both: L,
}

/// `value + slope * dc` from the cell's column on.
#[derive(Clone, Copy, Debug, Default)]
struct Line<L> {
    column: L,
    value: L,
    slope: L,
}

/// A stretch of an axis: from, to, index of the knot it starts at, one over its width (zero beyond an edge).
struct Stretch {
    from: f64,
    to: f64,
    low: usize,
    inverse_width: f64,
}

impl Stretch {
    /// The stretch around a value among knots as lanes hold them, which may be with fewer digits.
    fn around<L: Lane>(knots: &Knots, x: f64) -> Stretch {
        let values = knots.values();
        match values.iter().filter(|&&knot| x >= L::splat(knot).get(0)).count() {
            0 => Stretch { from: f64::NEG_INFINITY, to: values[0], low: 0, inverse_width: 0.0 },
            above if above == values.len() => {
                Stretch { from: values[above - 1], to: f64::INFINITY, low: above - 1, inverse_width: 0.0 }
            }
            above => {
                let (from, to) = (values[above - 1], values[above]);
                Stretch { from, to, low: above - 1, inverse_width: 1.0 / (to - from) }
            }
        }
    }
}

impl<'a, L: Lane, const M: usize> Cells<'a, L, M> {
    /// One set of tables a lane; a table that is absent reads zero everywhere.
    ///
    /// # Panics
    /// If there is not one set a lane: a fault of the caller.
    pub fn new(tables: Vec<[Option<&'a Table>; M]>) -> Self {
        assert_eq!(tables.len(), L::WIDTH, "one set of tables a lane");
        // Nothing lies inside yet: the first reading searches.
        let nowhere = L::splat(f64::INFINITY);
        let (cells, lines) = ([Cell::default(); M], [Line::default(); M]);
        Cells { tables, from: [nowhere; 2], to: [nowhere; 2], cells, row: nowhere, lines }
    }

    /// The values at a place.
    #[inline(always)]
    pub fn at_held(&mut self, row: L, column: L) -> [L; M] {
        let stays = L::and(row.ge(self.row), self.row.ge(row));
        let inside = L::and(column.ge(self.from[1]), self.to[1].gt(column));
        if !L::all(L::and(stays, inside)) {
            self.turn(row, column);
        }
        let mut values = [L::zero(); M];
        for m in 0..M {
            let line = &self.lines[m];
            values[m] = line.value + line.slope * (column - line.column);
        }
        values
    }

    /// Finds the cells of the lanes that have left theirs, and the lines of all.
    #[inline(always)]
    fn turn(&mut self, row: L, column: L) {
        let rows = L::and(row.ge(self.from[0]), self.to[0].gt(row));
        let columns = L::and(column.ge(self.from[1]), self.to[1].gt(column));
        if !L::all(L::and(rows, columns)) {
            self.follow(row, column);
        }
        self.row = row;
        for m in 0..M {
            let c = &self.cells[m];
            let dr = row - c.row;
            self.lines[m] =
                Line { column: c.column, value: c.value + c.by_row * dr, slope: c.by_column + c.by_both * dr };
        }
    }

    /// Moves the lanes that have left their cell into the one around their place.
    #[inline(never)]
    fn follow(&mut self, row: L, column: L) {
        for lane in 0..L::WIDTH {
            self.follow_lane(lane, row.get(lane), column.get(lane));
        }
    }

    fn follow_lane(&mut self, lane: usize, row: f64, column: f64) {
        let inside = |k: usize, x: f64| x >= self.from[k].get(lane) && x < self.to[k].get(lane);
        if inside(0, row) && inside(1, column) {
            return;
        }
        let (mut from, mut to) = ([f64::NEG_INFINITY; 2], [f64::INFINITY; 2]);
        for m in 0..M {
            let Some(table) = self.tables[lane][m] else { continue };
            let stretches = [Stretch::around::<L>(table.rows(), row), Stretch::around::<L>(table.columns(), column)];
            for (k, s) in stretches.iter().enumerate() {
                from[k] = from[k].max(s.from);
                to[k] = to[k].min(s.to);
            }
            let [r, c] = stretches;
            // Beyond an edge the neighbour is the edge itself.
            let next_row = if r.inverse_width > 0.0 { r.low + 1 } else { r.low };
            let next_column = if c.inverse_width > 0.0 { c.low + 1 } else { c.low };
            let value = table.value(r.low, c.low);
            let by_column = (table.value(r.low, next_column) - value) * c.inverse_width;
            let far = table.value(next_row, c.low);
            let far_by_column = (table.value(next_row, next_column) - far) * c.inverse_width;
            let cell = &mut self.cells[m];
            cell.row.set(lane, table.rows().values()[r.low]);
            cell.column.set(lane, table.columns().values()[c.low]);
            cell.value.set(lane, value);
            cell.by_column.set(lane, by_column);
            cell.by_row.set(lane, (far - value) * r.inverse_width);
            cell.by_both.set(lane, (far_by_column - by_column) * r.inverse_width);
        }
        for k in 0..2 {
            self.from[k].set(lane, from[k]);
            self.to[k].set(lane, to[k]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Lanes;

    fn tables() -> Vec<Table> {
        let f = |x: f64, y: f64| 2.0 + 3.0 * x - y + 0.5 * x * y;
        let g = |x: f64, y: f64| (x - 2.0) * (x - 2.0) + y * y;
        let shapes: [(&[f64], &[f64]); 3] =
            [(&[0.0, 1.0, 4.0], &[-1.0, 0.5, 2.0, 7.0]), (&[0.5, 2.0], &[0.0, 1.0]), (&[1.0], &[-3.0, 3.0])];
        let table = |(rows, columns): (&[f64], &[f64]), f: &dyn Fn(f64, f64) -> f64| {
            let values: Vec<Vec<f64>> = rows.iter().map(|&x| columns.iter().map(|&y| f(x, y)).collect()).collect();
            Table::new(rows.to_vec(), columns.to_vec(), &values)
        };
        shapes.into_iter().flat_map(|s| [table(s, &f), table(s, &g)]).collect()
    }

    #[test]
    fn cells_read_what_the_tables_say_wherever_the_place_goes() {
        let tables = tables();
        let sets: Vec<[Option<&Table>; 3]> =
            (0..4).map(|i| [Some(&tables[i]), Some(&tables[(i + 3) % 6]), None]).collect();
        let mut cells = Cells::<Lanes<4>, 3>::new(sets.clone());
        let mut alone: Vec<Cells<f64, 3>> = sets.iter().map(|s| Cells::new(vec![*s])).collect();
        for n in 0..4000 {
            let t = f64::from(n) * 0.01;
            let place = |lane: usize| (2.0 + 3.0 * (t * 0.7 + lane as f64).sin(), 3.0 + 6.0 * (t * 1.3).cos());
            let (row, column) = (Lanes::from_fn(|i| place(i).0), Lanes::from_fn(|i| place(i).1));
            let read = cells.at_held(row, column);
            for lane in 0..4 {
                let (row, column) = place(lane);
                let scalar = alone[lane].at_held(row, column);
                for m in 0..3 {
                    assert_eq!(read[m].get(lane).to_bits(), scalar[m].to_bits(), "lane {lane} of table {m}");
                    let exact = sets[lane][m].map_or(0.0, |t| t.at_held(row, column));
                    assert!((scalar[m] - exact).abs() < 1e-12, "{} against {exact}", scalar[m]);
                }
            }
        }
    }

    #[test]
    fn at_a_breakpoint_the_value_is_the_table_s_own() {
        let tables = tables();
        let mut cells = Cells::<f64, 1>::new(vec![[Some(&tables[1])]]);
        for (i, row) in [0.0, 1.0, 4.0].into_iter().enumerate() {
            for (j, column) in [-1.0, 0.5, 2.0, 7.0].into_iter().enumerate() {
                assert_eq!(cells.at_held(row, column)[0], tables[1].value(i, j));
            }
        }
        assert_eq!(cells.at_held(99.0, -99.0)[0], tables[1].value(2, 0));
    }
}
