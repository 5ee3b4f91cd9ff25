//! Visit share: how much each cell of a map was in use, by the bilinear weights of its four corners.

use washboard_signal::table::Place;

/// Weights of each breakpoint pair of one map, summed over the samples, one sum a lane.
#[derive(Clone, Debug)]
pub struct VisitShare {
    rows: usize,
    columns: usize,
    /// Lane after lane, each row after row.
    sums: Vec<f64>,
    counts: Vec<f64>,
}

impl VisitShare {
    /// Nothing visited yet, for a map of `rows` by `columns` breakpoints and a number of lanes.
    pub fn new(rows: usize, columns: usize, lanes: usize) -> Self {
        VisitShare { rows, columns, sums: vec![0.0; rows * columns * lanes], counts: vec![0.0; lanes] }
    }

    /// Takes the place of one look-up of a lane; places are held at the edges, so that weights are between 0 and 1.
    #[inline(always)]
    pub fn add(&mut self, lane: usize, row: Place, column: Place) {
        let n = self.columns;
        let base = lane * self.rows * n;
        // A single breakpoint has a share of zero: the neighbour is then the breakpoint itself.
        let (r0, r1) = (row.low, (row.low + 1).min(self.rows - 1));
        let (c0, c1) = (column.low, (column.low + 1).min(n - 1));
        self.sums[base + r0 * n + c0] += (1.0 - row.share) * (1.0 - column.share);
        self.sums[base + r0 * n + c1] += (1.0 - row.share) * column.share;
        self.sums[base + r1 * n + c0] += row.share * (1.0 - column.share);
        self.sums[base + r1 * n + c1] += row.share * column.share;
        self.counts[lane] += 1.0;
    }

    /// Number of row breakpoints.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Number of column breakpoints.
    pub fn columns(&self) -> usize {
        self.columns
    }

    /// Share of each breakpoint pair, row after row; they sum to one, or are all zero if nothing was looked up.
    pub fn shares(&self, lane: usize) -> Vec<f64> {
        let size = self.rows * self.columns;
        let count = self.counts[lane].max(1.0);
        self.sums[lane * size..(lane + 1) * size].iter().map(|sum| sum / count).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use washboard_signal::table::Knots;

    #[test]
    fn shares_are_the_bilinear_weights_and_sum_to_one() {
        let (rows, columns) = (Knots::new(vec![0.0, 50.0, 100.0]), Knots::new(vec![0.0, 1.0]));
        let mut visit = VisitShare::new(3, 2, 2);
        visit.add(1, rows.place_held(75.0), columns.place_held(0.25));
        assert_eq!(visit.shares(1), [0.0, 0.0, 0.375, 0.125, 0.375, 0.125]);
        assert_eq!(visit.shares(0), [0.0; 6]);
        for i in 0..1000 {
            visit.add(0, rows.place_held(f64::from(i) * 0.13 - 10.0), columns.place_held(f64::from(i) * 0.002 - 0.3));
        }
        assert!((visit.shares(0).iter().sum::<f64>() - 1.0).abs() < 1e-12);
        assert!(visit.shares(0).iter().all(|s| *s >= 0.0));
    }

    #[test]
    fn a_map_of_one_row_is_visited_there() {
        let mut visit = VisitShare::new(1, 2, 1);
        let columns = Knots::new(vec![0.0, 1.0]);
        visit.add(0, Knots::new(vec![30.0]).place_held(80.0), columns.place_held(0.5));
        assert_eq!(visit.shares(0), [0.5, 0.5]);
    }
}
