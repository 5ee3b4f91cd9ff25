//! Knots and bilinear tables: which cell, with which weights.
//!
//! The position is found once and kept as a [`Place`], because force, slope and the weights of a cell at a moment all come
//! from it.

use crate::Lane;

/// How far a breakpoint may lie off the border of two even parts, in parts: what rounding of decimal numbers leaves.
const EVEN_WITHIN: f64 = 1e-11;

/// Strictly rising breakpoints of one axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Knots {
    values: Vec<f64>,
    /// Those between the first and the last, in fours.
    inner: Fours,
}

/// Knots in fours, filled up with NaN.
#[derive(Clone, Debug)]
struct Fours(Vec<[f64; 4]>);

impl PartialEq for Fours {
    /// They follow from the values, and NaN equals nothing.
    fn eq(&self, _: &Fours) -> bool {
        true
    }
}

/// Where a value lies between two knots: `low` is the index of the lower one, `share` the weight of the upper one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Index of the lower knot.
    pub low: usize,
    /// Weight of the upper knot; outside 0 to 1 only where the caller asked for linear continuation.
    pub share: f64,
}

impl Knots {
    /// Takes at least one strictly rising finite value; the caller has checked them.
    ///
    /// # Panics
    /// If the values are empty or do not rise: a fault of the caller, not of the user.
    pub fn new(values: Vec<f64>) -> Self {
        assert!(!values.is_empty() && values.windows(2).all(|w| w[0] < w[1]), "knots must rise strictly");
        let fours = values[1..values.len().max(2) - 1].chunks(4);
        let filled = |four: &[f64]| std::array::from_fn(|i| four.get(i).copied().unwrap_or(f64::NAN));
        let inner = Fours(fours.map(filled).collect());
        Knots { values, inner }
    }

    /// The breakpoints.
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// Number of breakpoints.
    pub fn len(&self) -> usize {
        self.values.len()
    }

    /// Never true; here because `len` is.
    pub fn is_empty(&self) -> bool {
        self.values.is_empty()
    }

    /// The stretch between two breakpoints that holds a value, lane by lane; the first or last one beyond the ends.
    #[inline(always)]
    pub fn stretch<L: Lane>(&self, x: L) -> L {
        x.rank(&self.inner.0)
    }

    /// Number of stretches between breakpoints; one for a single breakpoint.
    #[inline(always)]
    pub fn stretches(&self) -> usize {
        self.values.len().max(2) - 1
    }

    /// Into how many parts of equal width, at most `most`, the way from the first to the last breakpoint falls so that
    /// every breakpoint lies between two of them; `None` where that takes more.
    pub fn even_parts(&self, most: usize) -> Option<usize> {
        let (first, last) = (self.values[0], self.values[self.values.len() - 1]);
        let is_between = |parts: usize| {
            self.values.iter().all(|v| {
                let place = (v - first) / (last - first) * parts as f64;
                (place - place.round()).abs() < EVEN_WITHIN
            })
        };
        (self.stretches()..=most).find(|&parts| self.values.len() > 1 && is_between(parts))
    }

    /// Index of the segment that holds `x`: 0 to `len - 2`, or 0 for a single knot.
    #[inline(always)]
    pub fn segment(&self, x: f64) -> usize {
        self.stretch(x) as usize
    }

    /// Place with linear continuation beyond the ends.
    #[inline(always)]
    pub fn place_continued(&self, x: f64) -> Place {
        if self.values.len() == 1 {
            return Place { low: 0, share: 0.0 };
        }
        let low = self.segment(x);
        let (a, b) = (self.values[low], self.values[low + 1]);
        Place { low, share: (x - a) / (b - a) }
    }

    /// Place held at the ends.
    #[inline(always)]
    pub fn place_held(&self, x: f64) -> Place {
        let first = self.values[0];
        let last = self.values[self.values.len() - 1];
        let x = if x < first { first } else { x };
        let x = if x > last { last } else { x };
        self.place_continued(x)
    }
}

/// A table over rows and columns, bilinear between breakpoints.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    rows: Knots,
    columns: Knots,
    /// Row after row.
    values: Vec<f64>,
}

impl Table {
    /// Takes one row of values a row breakpoint; the caller has checked that the table is rectangular.
    ///
    /// # Panics
    /// If the shape is wrong: a fault of the caller, not of the user.
    pub fn new(rows: Vec<f64>, columns: Vec<f64>, values: &[Vec<f64>]) -> Self {
        let (rows, columns) = (Knots::new(rows), Knots::new(columns));
        assert!(
            values.len() == rows.len() && values.iter().all(|r| r.len() == columns.len()),
            "table is not rectangular"
        );
        Table { rows, columns, values: values.concat() }
    }

    /// Row breakpoints.
    pub fn rows(&self) -> &Knots {
        &self.rows
    }

    /// Column breakpoints.
    pub fn columns(&self) -> &Knots {
        &self.columns
    }

    /// The value at a breakpoint.
    #[inline(always)]
    pub fn value(&self, row: usize, column: usize) -> f64 {
        self.values[row * self.columns.len() + column]
    }

    /// The value between breakpoints.
    #[inline(always)]
    pub fn at(&self, row: Place, column: Place) -> f64 {
        let n = self.columns.len();
        let (r1, c1) = ((row.low + 1).min(self.rows.len() - 1), (column.low + 1).min(n - 1));
        let a = self.values[row.low * n + column.low];
        let b = self.values[row.low * n + c1];
        let c = self.values[r1 * n + column.low];
        let d = self.values[r1 * n + c1];
        let top = a + (b - a) * column.share;
        let bottom = c + (d - c) * column.share;
        top + (bottom - top) * row.share
    }

    /// The value at a point, held at the edges.
    #[inline(always)]
    pub fn at_held(&self, row: f64, column: f64) -> f64 {
        self.at(self.rows.place_held(row), self.columns.place_held(column))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bilinear_is_exact_on_a_bilinear_function_and_held_outside() {
        let f = |x: f64, y: f64| 2.0 + 3.0 * x - y + 0.5 * x * y;
        let (rows, columns) = (vec![0.0, 1.0, 4.0], vec![-1.0, 0.5, 2.0, 7.0]);
        let values: Vec<Vec<f64>> = rows.iter().map(|&x| columns.iter().map(|&y| f(x, y)).collect()).collect();
        let table = Table::new(rows, columns, &values);
        for (x, y) in [(0.3, 0.1), (1.0, 0.5), (3.9, 6.9), (4.0, 7.0)] {
            assert!((table.at_held(x, y) - f(x, y)).abs() < 1e-12, "at {x}, {y}");
        }
        assert_eq!(table.at_held(9.0, 9.0), f(4.0, 7.0));
        assert_eq!(table.at_held(-9.0, -9.0), f(0.0, -1.0));
    }

    #[test]
    fn breakpoints_lie_between_the_fewest_even_parts() {
        let parts = |values: &[f64]| Knots::new(values.to_vec()).even_parts(200);
        assert_eq!(parts(&[-1.5, -1.0, -0.6, -0.3, -0.15, -0.1, -0.05, 0.0, 0.05, 1.5]), Some(60));
        assert_eq!(parts(&[0.026, 0.052, 0.131, 0.262, 0.524]), None, "249 and 38 parts of 2 mm/s are not whole");
        assert_eq!(parts(&[0.0, 0.25, 1.0]), Some(4));
        assert_eq!(parts(&[0.0, 1.0]), Some(1));
        assert_eq!(parts(&[3.0]), None);
        assert_eq!(parts(&[0.0, std::f64::consts::FRAC_1_PI, 1.0]), None);
    }

    #[test]
    fn a_single_row_or_column_is_constant_along_it() {
        let table = Table::new(vec![10.0], vec![0.0, 1.0], &[vec![1.0, 3.0]]);
        assert_eq!(table.at_held(0.0, 0.5), 2.0);
        assert_eq!(table.at_held(99.0, 0.5), 2.0);
    }
}
