//! Where a run is on the maps of its mode at one moment, by the weights its controller interpolates with.

use crate::{Model, Trace};
use washboard_session::{MapName, MapRef};
use washboard_signal::table::{Knots, Place};

/// A place on a map at one moment.
#[derive(Clone, Debug, PartialEq)]
pub struct OnMap {
    /// Axle that reads the map there, 0 front, 1 rear; absent where both read it at the same place.
    pub axle: Option<usize>,
    /// Speed, km/h.
    pub row: f64,
    /// Roughness level or demand, m/s^2.
    pub column: f64,
    /// Row, column and weight of every cell in use; the weights sum to one.
    pub weights: Vec<(usize, usize, f64)>,
}

impl OnMap {
    /// The row as a number of breakpoints from the first, fractions in between.
    pub fn row_place(&self) -> f64 {
        self.weights.iter().map(|(row, _, weight)| *row as f64 * weight).sum()
    }

    /// The column likewise.
    pub fn column_place(&self) -> f64 {
        self.weights.iter().map(|(_, column, weight)| *column as f64 * weight).sum()
    }
}

impl Trace {
    /// Where a run of `model` is on a map at a sample; empty where the trace does not tell, or where the map is no table.
    pub fn on_map(&self, model: Model, name: MapName, map: &MapRef<'_>, index: usize) -> Vec<OnMap> {
        let Some(speed_m_per_s) = self.value("speed_m_per_s", index) else { return Vec::new() };
        let row = speed_m_per_s * 3.6;
        let at = |axle: Option<usize>, column: f64| {
            let weights = cell_weights(map, row, column)?;
            Some(OnMap { axle, row, column, weights })
        };
        let column = match name {
            MapName::Heave | MapName::Wheel | MapName::Base => {
                let corners = model.corner_names().iter().zip(model.corner_places());
                let mut places: Vec<OnMap> = Vec::new();
                for (corner, (axle, side)) in corners {
                    // One level an axle.
                    if *side == 0
                        && let Some(level) = self.value(&format!("{corner}_roughness_m_per_s2"), index)
                    {
                        places.extend(at(Some(*axle), level));
                    }
                }
                return places;
            }
            MapName::Roll | MapName::Floor => self.value("lateral_demand_m_per_s2", index),
            MapName::Pitch => self.value("longitudinal_demand_m_per_s2", index),
        };
        column.and_then(|column| at(None, column)).into_iter().collect()
    }
}

/// Row, column and weight of the cells that a place on a map is made of, held at the edges as the controller holds them;
/// `None` where the axes do not rise.
pub fn cell_weights(map: &MapRef<'_>, row: f64, column: f64) -> Option<Vec<(usize, usize, f64)>> {
    let rises = |axis: &[f64]| !axis.is_empty() && axis.windows(2).all(|w| w[0] < w[1]);
    if !(rises(map.rows) && rises(map.columns) && row.is_finite() && column.is_finite()) {
        return None;
    }
    let ends = |Place { low, share }: Place, count: usize| [(low, 1.0 - share), ((low + 1).min(count - 1), share)];
    let rows = ends(Knots::new(map.rows.to_vec()).place_held(row), map.rows.len());
    let columns = ends(Knots::new(map.columns.to_vec()).place_held(column), map.columns.len());
    let all = rows.iter().flat_map(|(r, a)| columns.iter().map(move |(c, b)| (*r, *c, a * b)));
    Some(all.filter(|(_, _, weight)| *weight > 0.0).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Title;

    const ROWS: [f64; 3] = [20.0, 80.0, 160.0];
    const COLUMNS: [f64; 3] = [0.0, 4.0, 10.0];

    fn values() -> Vec<Vec<f64>> {
        vec![vec![1000.0, 900.0, 700.0], vec![2000.0, 1800.0, 1400.0], vec![2400.0, 2200.0, 1600.0]]
    }

    #[test]
    fn weights_read_the_map_as_bilinear_interpolation_does() {
        let values = values();
        let map = MapRef { rows: &ROWS, columns: &COLUMNS, values: &values };
        // By hand: 2/3 of the way from 20 to 60 km/h, a quarter of the way from 0 to 4 m/s^2.
        let weights = cell_weights(&map, 60.0, 1.0).unwrap();
        let read: f64 = weights.iter().map(|(r, c, w)| values[*r][*c] * w).sum();
        let low = 1000.0 + 0.25 * (900.0 - 1000.0);
        let high = 2000.0 + 0.25 * (1800.0 - 2000.0);
        assert!((read - (low + 2.0 / 3.0 * (high - low))).abs() < 1e-9, "{read}");
        assert!((weights.iter().map(|w| w.2).sum::<f64>() - 1.0).abs() < 1e-12);
        // On a breakpoint and beyond the edges one cell has it all.
        assert_eq!(cell_weights(&map, 80.0, 4.0).unwrap(), [(1, 1, 1.0)]);
        assert_eq!(cell_weights(&map, 500.0, 50.0).unwrap(), [(2, 2, 1.0)]);
        assert_eq!(cell_weights(&map, f64::NAN, 1.0), None);
        assert_eq!(cell_weights(&MapRef { rows: &[], ..map }, 1.0, 1.0), None);
    }

    #[test]
    fn each_axle_reads_at_its_own_roughness_and_demands_are_read_once() {
        let channel = |name: &str, value: f64| (Title { name: name.into(), ..Title::default() }, vec![value]);
        let trace = Trace::of_channels(
            vec![0.0],
            vec![
                channel("speed_m_per_s", 60.0 / 3.6),
                channel("front_roughness_m_per_s2", 4.0),
                channel("rear_roughness_m_per_s2", 10.0),
                channel("lateral_demand_m_per_s2", 2.0),
            ],
        );
        let values = values();
        let map = MapRef { rows: &ROWS, columns: &COLUMNS, values: &values };
        let heave = trace.on_map(Model::Pitch, MapName::Heave, &map, 0);
        let places: Vec<_> = heave.iter().map(|p| (p.axle, p.row_place(), p.column_place())).collect();
        assert_eq!(places.len(), 2);
        for ((axle, row, column), (want_axle, want_column)) in places.into_iter().zip([(0, 1.0), (1, 2.0)]) {
            assert_eq!(axle, Some(want_axle));
            // 60 km/h lies two thirds of the way.
            assert!((row - 2.0 / 3.0).abs() < 1e-12 && (column - want_column).abs() < 1e-12, "{row}, {column}");
        }
        let roll = trace.on_map(Model::Pitch, MapName::Roll, &map, 0);
        assert_eq!((roll.len(), roll[0].axle, roll[0].column_place()), (1, None, 0.5));
        assert!(trace.on_map(Model::Pitch, MapName::Pitch, &map, 0).is_empty(), "no such channel");
    }
}
