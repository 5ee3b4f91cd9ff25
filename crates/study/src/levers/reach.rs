//! Where in a map a step acts: the range of cells around the strongest one, and the way to go.

use washboard_session::complaints::{MapAxis, Wanted};

/// A line of cells joins the range while it does at least this share of what the strongest cell does.
const WORTH_JOINING: f64 = 0.25;

/// A cell in use and what a unit of it does to the metric.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Lever {
    pub row: usize,
    pub column: usize,
    /// SI over N s/m.
    pub per_unit: f64,
}

/// A range of cells of one map and the way to go on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Reach {
    /// First and last row.
    pub rows: (usize, usize),
    /// First and last column.
    pub columns: (usize, usize),
    /// 1: the cells go up, -1: down.
    pub way: f64,
}

impl Reach {
    /// The range in a map in which only the cells in use are known; `None` where nothing in it moves the metric.
    pub fn of(cells: &[Lever], wanted: Wanted, along: &[MapAxis]) -> Option<Reach> {
        let good = if wanted == Wanted::Less { -1.0 } else { 1.0 };
        let gain = |cell: &Lever| good * cell.per_unit;
        let sum = |way: f64| cells.iter().map(|c| (way * gain(c)).max(0.0)).sum::<f64>();
        let way = if sum(1.0) >= sum(-1.0) { 1.0 } else { -1.0 };
        let best = cells.iter().max_by(|a, b| (way * gain(a)).total_cmp(&(way * gain(b))))?;
        let most = way * gain(best);
        if !(most > 0.0 && most.is_finite()) {
            return None;
        }
        let ends = |of: fn(&Lever) -> usize| {
            let all = cells.iter().map(of);
            (all.clone().min().unwrap_or(0), all.max().unwrap_or(0))
        };
        let (all_rows, all_columns) = (ends(|c| c.row), ends(|c| c.column));
        let is_narrow = |axis: MapAxis| along.contains(&axis);
        let mut reach = Reach {
            rows: if is_narrow(MapAxis::Speed) { (best.row, best.row) } else { all_rows },
            columns: if is_narrow(MapAxis::Second) { (best.column, best.column) } else { all_columns },
            way,
        };
        // The line that does most joins first.
        loop {
            let wider = [
                (reach.rows.0 > all_rows.0).then(|| Reach { rows: (reach.rows.0 - 1, reach.rows.1), ..reach }),
                (reach.rows.1 < all_rows.1).then(|| Reach { rows: (reach.rows.0, reach.rows.1 + 1), ..reach }),
                (reach.columns.0 > all_columns.0)
                    .then(|| Reach { columns: (reach.columns.0 - 1, reach.columns.1), ..reach }),
                (reach.columns.1 < all_columns.1)
                    .then(|| Reach { columns: (reach.columns.0, reach.columns.1 + 1), ..reach }),
            ];
            // What the cells that join do, on average.
            let joins = |wide: &Reach| {
                let new = cells.iter().filter(|c| wide.holds(c) && !reach.holds(c));
                let count = new.clone().count().max(1) as f64;
                new.map(|c| way * gain(c)).sum::<f64>() / count
            };
            let next = wider.into_iter().flatten().map(|wide| (joins(&wide), wide)).max_by(|a, b| a.0.total_cmp(&b.0));
            match next {
                Some((does, wide)) if does >= WORTH_JOINING * most => reach = wide,
                _ => return Some(reach),
            }
        }
    }

    /// True for a cell inside.
    pub fn holds(&self, cell: &Lever) -> bool {
        (self.rows.0..=self.rows.1).contains(&cell.row) && (self.columns.0..=self.columns.1).contains(&cell.column)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Cells of a map of 4 x 4 with these changes a unit; zero: never visited.
    fn cells(changes: [[f64; 4]; 4]) -> Vec<Lever> {
        let all = (0..4).flat_map(|r| (0..4).map(move |c| (r, c)));
        all.filter(|&(r, c)| changes[r][c] != 0.0)
            .map(|(row, column)| Lever { row, column, per_unit: changes[row][column] })
            .collect()
    }

    #[test]
    fn a_range_grows_around_the_strongest_cell_and_goes_the_way_that_helps() {
        let cells = cells([[0.0; 4], [0.0, -2.0, -8.0, -0.5], [0.0, -1.0, -6.0, -0.2], [0.0, 0.1, -0.4, 0.0]]);
        let both = [MapAxis::Speed, MapAxis::Second];
        let reach = Reach::of(&cells, Wanted::Less, &both);
        assert_eq!(reach, Some(Reach { rows: (1, 2), columns: (2, 2), way: 1.0 }));
        assert_eq!(Reach::of(&cells, Wanted::More, &both).map(|r| r.way), Some(-1.0));
        // Not narrowed along the columns: all that are visited.
        let reach = Reach::of(&cells, Wanted::Less, &[MapAxis::Speed]);
        assert_eq!(reach.map(|r| (r.rows, r.columns)), Some(((1, 2), (1, 3))));
    }

    #[test]
    fn where_nothing_moves_the_metric_there_is_no_range() {
        assert_eq!(Reach::of(&[], Wanted::Less, &[MapAxis::Speed]), None);
        let still = [Lever { row: 1, column: 1, per_unit: 0.0 }];
        assert_eq!(Reach::of(&still, Wanted::Less, &[MapAxis::Speed]), None);
    }
}
