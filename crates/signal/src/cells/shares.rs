//! How much each breakpoint pair of a table was in use, from looks at the places where the lanes are.

use super::Stretch;
use crate::Lane;
use crate::table::{Knots, Table};

/// Looks until the weights gathered are put onto the tables: so few that a long run loses no digits, nor would it where
/// lanes are less precise than these sums.
const LOOKS_TOGETHER: usize = 256;

/// Weights by which each breakpoint pair of one table a lane would be read, summed over the looks.
///
/// A place moves slowly, so that a look is the weights of the four corners of a cell that stays, the same in all lanes. They
/// go to the table's own sums where a lane leaves its cell, and now and then; neither depends on the other lanes.
#[derive(Clone, Debug)]
pub struct CellShares<L> {
    lanes: Vec<Option<Looked>>,
    /// Where the present cells hold: least row and column, and those just beyond.
    from: [L; 2],
    to: [L; 2],
    /// Row and column that they start at, and one over their widths: zero beyond an edge.
    start: [L; 2],
    inverse_width: [L; 2],
    /// Weights gathered of their corners: of each column at the lower row, then at the upper one.
    gathered: [L; 4],
    looks: usize,
}

/// What is known of the table of one lane.
#[derive(Clone, Debug)]
struct Looked {
    rows: Knots,
    columns: Knots,
    /// Row after row.
    sums: Vec<f64>,
    /// Where the corners of the present cell stand in the sums.
    corners: [usize; 4],
}

impl<L: Lane> CellShares<L> {
    /// One table a lane, held at its edges; nothing is gathered of a lane without one.
    ///
    /// # Panics
    /// If there is not one entry a lane: a fault of the caller.
    pub fn new(tables: &[Option<&Table>]) -> Self {
        assert_eq!(tables.len(), L::WIDTH, "one table a lane");
        let looked = |table: &Table| Looked {
            rows: table.rows().clone(),
            columns: table.columns().clone(),
            sums: vec![0.0; table.rows().len() * table.columns().len()],
            corners: [0; 4],
        };
        // A lane with a table lies inside of nothing yet: the first look searches. One without is inside wherever it goes.
        let nowhere = L::from_fn(|i| if tables[i].is_some() { f64::INFINITY } else { f64::NEG_INFINITY });
        CellShares {
            lanes: tables.iter().map(|table| table.map(looked)).collect(),
            from: [nowhere; 2],
            to: [L::splat(f64::INFINITY); 2],
            start: [L::zero(); 2],
            inverse_width: [L::zero(); 2],
            gathered: [L::zero(); 4],
            looks: 0,
        }
    }

    /// Takes the places where the lanes are.
    #[inline(always)]
    pub fn look(&mut self, row: L, column: L) {
        let rows = L::and(row.ge(self.from[0]), self.to[0].gt(row));
        let columns = L::and(column.ge(self.from[1]), self.to[1].gt(column));
        if !L::all(L::and(rows, columns)) {
            self.follow(row, column);
        }
        let (down, right) =
            ((row - self.start[0]) * self.inverse_width[0], (column - self.start[1]) * self.inverse_width[1]);
        let (up, left) = (L::splat(1.0) - down, L::splat(1.0) - right);
        self.gathered[0] += up * left;
        self.gathered[1] += up * right;
        self.gathered[2] += down * left;
        self.gathered[3] += down * right;
        self.looks += 1;
        if self.looks.is_multiple_of(LOOKS_TOGETHER) {
            self.put_all();
        }
    }

    /// Looks taken.
    pub fn looks(&self) -> usize {
        self.looks
    }

    /// The sums of a lane's table, row by row; together they make the number of looks. Nothing where the lane has no table.
    pub fn rows(&mut self, lane: usize) -> impl Iterator<Item = &[f64]> {
        self.put(lane);
        self.lanes[lane].iter().flat_map(|looked| looked.sums.chunks(looked.columns.len()))
    }

    #[inline(never)]
    fn put_all(&mut self) {
        for lane in 0..L::WIDTH {
            self.put(lane);
        }
    }

    /// Puts what was gathered of a lane onto its table.
    fn put(&mut self, lane: usize) {
        let Some(looked) = &mut self.lanes[lane] else { return };
        for (gathered, corner) in self.gathered.iter_mut().zip(looked.corners) {
            looked.sums[corner] += gathered.get(lane);
            gathered.set(lane, 0.0);
        }
    }

    /// Moves the lanes that have left their cell into the one around their place.
    #[inline(never)]
    fn follow(&mut self, row: L, column: L) {
        for lane in 0..L::WIDTH {
            self.follow_lane(lane, [row.get(lane), column.get(lane)]);
        }
    }

    fn follow_lane(&mut self, lane: usize, place: [f64; 2]) {
        let is_inside = |k: usize| place[k] >= self.from[k].get(lane) && place[k] < self.to[k].get(lane);
        if is_inside(0) && is_inside(1) {
            return;
        }
        self.put(lane);
        let Some(looked) = &mut self.lanes[lane] else { return };
        let knots = [&looked.rows, &looked.columns];
        let stretches = [0, 1].map(|k| Stretch::around::<L>(knots[k], place[k]));
        // Beyond an edge the neighbour is the edge itself.
        let [rows, columns] = [0, 1].map(|k: usize| {
            let s = &stretches[k];
            [s.low, if s.inverse_width > 0.0 { s.low + 1 } else { s.low }]
        });
        let at = |row: usize, column: usize| row * looked.columns.len() + column;
        looked.corners =
            [at(rows[0], columns[0]), at(rows[0], columns[1]), at(rows[1], columns[0]), at(rows[1], columns[1])];
        for (k, s) in stretches.iter().enumerate() {
            self.from[k].set(lane, s.from);
            self.to[k].set(lane, s.to);
            self.start[k].set(lane, knots[k].values()[s.low]);
            self.inverse_width[k].set(lane, s.inverse_width);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Place;
    use crate::{Instructions, Job, Lanes, Precision, Work};

    /// More than an hour of a hundred looks a second.
    const LOOKS: usize = 400_000;

    fn table(rows: &[f64], columns: &[f64]) -> Table {
        Table::new(rows.to_vec(), columns.to_vec(), &vec![vec![0.0; columns.len()]; rows.len()])
    }

    /// Tables of every shape; every eighth lane has none.
    fn tables() -> Vec<Option<Table>> {
        let rows: [&[f64]; 3] = [&[0.0, 1.0, 4.0], &[0.3, 2.7], &[1.0]];
        let columns: [&[f64]; 3] = [&[-1.0, 0.5, 2.0, 7.0], &[0.1], &[0.0, 1.0 / 3.0, 1.1]];
        (0..8).map(|i| (i != 5).then(|| table(rows[i % 3], columns[i / 3]))).collect()
    }

    /// Places that wander over cells, edges and beyond, and rest on breakpoints now and then.
    fn place(lane: usize, n: usize) -> (f64, f64) {
        let t = n as f64 * 0.01;
        let row = 2.0 + 3.0 * (t * 0.07 + lane as f64).sin();
        let column = 3.0 + 6.0 * (t * (0.013 + 0.001 * lane as f64)).cos();
        if n % 1000 < 100 { (row.round(), (2.0 * column).round() / 2.0) } else { (row, column) }
    }

    /// Looks of the lanes from one on: the sums of each.
    struct Looks<'t>(&'t [Option<Table>], usize);

    impl Job for Looks<'_> {
        type Output = Vec<Vec<f64>>;
        fn run<L: Lane>(self) -> Self::Output {
            L::enter(Wandering(CellShares::<L>::new(&tables_of(self.0, self.1, L::WIDTH)), self.1))
        }
    }

    fn tables_of(tables: &[Option<Table>], first: usize, lanes: usize) -> Vec<Option<&Table>> {
        tables[first..first + lanes].iter().map(Option::as_ref).collect()
    }

    struct Wandering<L>(CellShares<L>, usize);

    impl<L: Lane> Work for Wandering<L> {
        type Output = Vec<Vec<f64>>;
        #[inline(always)]
        fn run(self) -> Self::Output {
            let Wandering(mut shares, first) = self;
            for n in 0..LOOKS {
                let places: [(f64, f64); 8] = std::array::from_fn(|i| place(first + i, n));
                shares.look(L::from_fn(|i| places[i].0), L::from_fn(|i| places[i].1));
            }
            assert_eq!(shares.looks(), LOOKS);
            (0..L::WIDTH).map(|lane| shares.rows(lane).flatten().copied().collect()).collect()
        }
    }

    /// The bilinear weights of one look after the other.
    fn looked_one_by_one(table: &Table, lane: usize) -> Vec<f64> {
        let (rows, columns) = (table.rows().len(), table.columns().len());
        let ends = |p: Place, count: usize| [(p.low, 1.0 - p.share), ((p.low + 1).min(count - 1), p.share)];
        let mut sums = vec![0.0; rows * columns];
        for n in 0..LOOKS {
            let (row, column) = place(lane, n);
            for (r, by_row) in ends(table.rows().place_held(row), rows) {
                for (c, by_column) in ends(table.columns().place_held(column), columns) {
                    sums[r * columns + c] += by_row * by_column;
                }
            }
        }
        sums
    }

    #[test]
    fn sums_are_those_of_single_looks() {
        let tables = tables();
        let got = Looks(&tables, 0).run::<Lanes<8>>();
        let share = |sum: f64| sum / LOOKS as f64;
        for (lane, (got, table)) in got.iter().zip(&tables).enumerate() {
            let Some(table) = table else {
                assert!(got.is_empty(), "lane {lane}");
                continue;
            };
            let want = looked_one_by_one(table, lane);
            assert_eq!(got.len(), want.len());
            for (cell, (got, want)) in got.iter().zip(&want).enumerate() {
                assert!((share(*got) - share(*want)).abs() < 1e-12, "lane {lane}, cell {cell}: {got} against {want}");
                assert!(*got >= 0.0);
            }
            assert!((share(got.iter().sum()) - 1.0).abs() < 1e-12);
        }
        // The places do wander: every cell of the largest table is visited, and the edges hold what lies beyond.
        assert!(got[0].len() == 12 && got[0].iter().all(|sum| share(*sum) > 1e-3), "{:?}", got[0]);
    }

    #[test]
    fn every_width_and_instruction_set_gathers_the_same_bits() {
        let tables = tables();
        let bits = |sums: &[f64]| sums.iter().map(|x| x.to_bits()).collect::<Vec<_>>();
        let alone: Vec<Vec<u64>> = (0..8).map(|lane| bits(&Looks(&tables, lane).run::<f64>()[0])).collect();
        let held = |what: &str, first: usize, got: Vec<Vec<f64>>| {
            for (lane, got) in got.iter().enumerate() {
                assert_eq!(bits(got), alone[first + lane], "{what}, lane {lane} from {first} on");
            }
        };
        held("an array of eight", 0, Looks(&tables, 0).run::<Lanes<8>>());
        let best = Instructions::best();
        for lanes in [1, 4, 8].into_iter().filter(|&lanes| lanes <= best.lanes()) {
            for first in (0..8).step_by(lanes) {
                held(
                    &format!("{lanes} lanes"),
                    first,
                    best.side_by_side(Precision::Double, lanes, Looks(&tables, first)),
                );
            }
        }
    }

    #[test]
    fn the_weights_of_a_few_places_are_those_of_hand() {
        let of_map = table(&[0.0, 50.0, 100.0], &[0.0, 1.0]);
        let mut shares = CellShares::<f64>::new(&[Some(&of_map)]);
        assert!(shares.rows(0).flatten().all(|sum| *sum == 0.0));
        shares.look(75.0, 0.25);
        assert_eq!(shares.rows(0).collect::<Vec<_>>(), [[0.0, 0.0], [0.375, 0.125], [0.375, 0.125]]);
        // Beyond the last row and before the first column.
        shares.look(130.0, -1.0);
        assert_eq!(shares.rows(0).collect::<Vec<_>>(), [[0.0, 0.0], [0.375, 0.125], [1.375, 0.125]]);
    }
}
