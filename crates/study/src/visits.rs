//! Where the runs of a block are on their maps: for how much of the time each cell was in use.

use crate::Visits;
use washboard_control::{Calibration, Levels};
use washboard_session::MapName;
use washboard_signal::table::Table;
use washboard_signal::{CellShares, Lane, Work};

/// Watched samples between two looks at the maps: levels and speeds move slowly, a hundred looks a second are plenty.
const SAMPLES_BETWEEN_LOOKS: usize = 10;

/// The level that chooses the column of a map.
#[derive(Clone, Copy, PartialEq)]
enum Column {
    /// Roughness of an axle.
    Roughness(usize),
    Lateral,
    Longitudinal,
}

impl Column {
    /// As the controller reads a map: those over roughness once for each axle.
    fn of(map: MapName, axles: &[usize]) -> Vec<Column> {
        match map {
            MapName::Heave | MapName::Wheel | MapName::Base => axles.iter().map(|a| Column::Roughness(*a)).collect(),
            MapName::Roll | MapName::Floor => vec![Column::Lateral],
            MapName::Pitch => vec![Column::Longitudinal],
        }
    }

    #[inline(always)]
    fn at<L: Lane>(self, levels: &Levels<L>) -> L {
        match self {
            Column::Roughness(axle) => levels.roughness[axle],
            Column::Lateral => levels.lateral,
            Column::Longitudinal => levels.longitudinal,
        }
    }
}

fn table(calibration: &Calibration, map: MapName) -> Option<&Table> {
    match map {
        MapName::Heave => Some(&calibration.heave),
        MapName::Wheel => Some(&calibration.wheel),
        MapName::Base => Some(&calibration.base),
        MapName::Roll => Some(&calibration.roll),
        MapName::Pitch => Some(&calibration.pitch),
        MapName::Floor => calibration.floor.as_ref(),
    }
}

/// What is gathered of the maps of the lanes that want it.
pub(crate) struct MapVisits<L> {
    samples: usize,
    /// Maps with the same breakpoints over the same level are looked at once.
    gathered: Vec<(Column, CellShares<L>)>,
    /// The maps of each lane, and which of the gathered are theirs.
    maps: Vec<Vec<(MapName, Vec<usize>)>>,
}

impl<L: Lane> MapVisits<L> {
    /// Of the lanes that have a calibration here; nothing if none has. `axles` are those that the model has, 0 front, 1 rear.
    pub fn new(axles: &[usize], lanes: &[Option<&Calibration>]) -> Option<Self> {
        if lanes.iter().all(Option::is_none) {
            return None;
        }
        let mut looked: Vec<(Column, Vec<Option<&Table>>)> = Vec::new();
        let mut maps = vec![Vec::new(); L::WIDTH];
        for map in MapName::ALL {
            let of_lane = |i: usize| lanes.get(i).copied().flatten().and_then(|c| table(c, map));
            let tables: Vec<Option<&Table>> = (0..L::WIDTH).map(of_lane).collect();
            let mut place = |column: Column| {
                let known = looked.iter().position(|(c, t)| *c == column && is_alike(t, &tables));
                known.unwrap_or_else(|| {
                    looked.push((column, tables.clone()));
                    looked.len() - 1
                })
            };
            let own: Vec<usize> = Column::of(map, axles).into_iter().map(&mut place).collect();
            for (maps, _) in maps.iter_mut().zip(&tables).filter(|(_, table)| table.is_some()) {
                maps.push((map, own.clone()));
            }
        }
        let gathered = looked.into_iter().map(|(column, tables)| (column, CellShares::new(&tables))).collect();
        Some(MapVisits { samples: 0, gathered, maps })
    }

    /// Takes a sample; `is_counting` where the run has settled.
    #[inline(always)]
    pub fn sample(&mut self, is_counting: bool, speed_m_per_s: L, levels: &Levels<L>) {
        self.samples += 1;
        if is_counting && self.samples.is_multiple_of(SAMPLES_BETWEEN_LOOKS) {
            // A copy: a reference to the loop's own numbers would keep them out of the registers.
            self.look(speed_m_per_s, &{ *levels });
        }
    }

    /// Apart from the loop.
    #[inline(never)]
    fn look(&mut self, speed_m_per_s: L, levels: &Levels<L>) {
        L::enter(Look { gathered: &mut self.gathered, speed_m_per_s, levels });
    }

    /// The shares of a lane; empty where they are not wanted.
    pub fn of(&mut self, lane: usize) -> Visits {
        let MapVisits { gathered, maps, .. } = self;
        let mut shares = |own: &[usize]| {
            let looks: usize = own.iter().map(|&i| gathered[i].1.looks()).sum();
            let mut shares: Vec<Vec<f64>> = Vec::new();
            for &i in own {
                for (r, row) in gathered[i].1.rows(lane).enumerate() {
                    match shares.get_mut(r) {
                        Some(before) => before.iter_mut().zip(row).for_each(|(sum, more)| *sum += more),
                        None => shares.push(row.to_vec()),
                    }
                }
            }
            // All zero where nothing was looked at.
            let whole = looks.max(1) as f64;
            shares.iter_mut().flatten().for_each(|share| *share /= whole);
            shares
        };
        Visits { maps: maps[lane].iter().map(|(map, own)| (*map, shares(own))).collect() }
    }
}

/// True where both have the same breakpoints in every lane, or the second none.
fn is_alike(known: &[Option<&Table>], tables: &[Option<&Table>]) -> bool {
    let alike = |(known, table): (&Option<&Table>, &Option<&Table>)| match (known, table) {
        (_, None) => true,
        (Some(known), Some(table)) => known.rows() == table.rows() && known.columns() == table.columns(),
        (None, Some(_)) => false,
    };
    known.iter().zip(tables).all(alike)
}

/// A look at all maps.
struct Look<'g, L> {
    gathered: &'g mut [(Column, CellShares<L>)],
    speed_m_per_s: L,
    levels: &'g Levels<L>,
}

impl<L: Lane> Work for Look<'_, L> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        for (column, shares) in self.gathered {
            shares.look(self.speed_m_per_s, column.at(self.levels));
        }
    }
}
