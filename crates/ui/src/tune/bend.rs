//! How a pulled handle bends its neighbours, and how maps of other axes are read along a cut.

use crate::view::{Along, Pull};
use washboard_session::{Limit, MapRef};

/// Bilinear value of another mode's map, so that modes with other axes can stand behind the cut.
pub(super) fn behind(map: MapRef<'_>, along: Along, at: f64) -> Vec<[f64; 2]> {
    let weight = |axis: &[f64]| -> (usize, f64) {
        let last = axis.len() - 1;
        let i = axis.partition_point(|b| *b <= at).clamp(1, last.max(1)) - 1;
        if last == 0 || at <= axis[0] {
            (0, 0.0)
        } else if at >= axis[last] {
            (last - 1, 1.0)
        } else {
            (i, (at - axis[i]) / (axis[i + 1] - axis[i]))
        }
    };
    if map.rows.is_empty() || map.columns.is_empty() {
        return Vec::new();
    }
    match along {
        Along::Rows => {
            let (c, w) = weight(map.columns);
            let next = (c + 1).min(map.columns.len() - 1);
            map.rows.iter().zip(map.values).map(|(x, row)| [*x, row[c] * (1.0 - w) + row[next] * w]).collect()
        }
        Along::Columns => {
            let (r, w) = weight(map.rows);
            let next = (r + 1).min(map.rows.len() - 1);
            let (low, high) = (&map.values[r], &map.values[next]);
            (0..map.columns.len()).map(|c| [map.columns[c], low[c] * (1.0 - w) + high[c] * w]).collect()
        }
    }
}

/// How strongly a neighbour follows, by its distance in breakpoints.
fn follows(distance: usize, falloff: f32) -> f64 {
    if distance == 0 {
        1.0
    } else if falloff <= 0.0 {
        0.0
    } else {
        let w = (-0.5 * (distance as f64 / f64::from(falloff)).powi(2)).exp();
        if w < 0.02 { 0.0 } else { w }
    }
}

/// The cut as it is with the pull, on round steps and inside the limit.
pub(super) fn pulled(pull: &Pull, falloff: f32, limit: &Limit, step: f64) -> Vec<f64> {
    let floor = limit.lower.max(0.0);
    pull.start
        .iter()
        .enumerate()
        .map(|(i, start)| {
            let w = follows(i.abs_diff(pull.index), falloff);
            if w == 0.0 || pull.by == 0.0 {
                return *start;
            }
            let wanted = ((start + pull.by * w) / step).round() * step;
            // Handles end at zero; a gain below it is typed.
            wanted.clamp(floor.min(*start), limit.upper.max(*start))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use washboard_session::limits::{MAP_BASE, MAP_GAIN};

    fn pull(by: f64) -> Pull {
        Pull { along: Along::Rows, index: 2, start: vec![1000.0; 5], by, grip: 0.0, range: (0.0, 4000.0) }
    }

    #[test]
    fn neighbours_follow_by_a_gaussian_over_their_distance() {
        let values = pulled(&pull(500.0), 1.0, &MAP_GAIN, 1.0);
        // exp(-1/2) = 0.60653, exp(-2) = 0.13534
        assert_eq!(values, [1068.0, 1303.0, 1500.0, 1303.0, 1068.0]);
        assert_eq!(pulled(&pull(500.0), 0.0, &MAP_GAIN, 1.0), [1000.0, 1000.0, 1500.0, 1000.0, 1000.0]);
    }

    #[test]
    fn handles_end_at_zero_and_step_in_tens() {
        assert_eq!(pulled(&pull(-5000.0), 0.0, &MAP_BASE, 10.0)[2], 0.0);
        assert_eq!(pulled(&pull(504.0), 0.0, &MAP_GAIN, 10.0)[2], 1500.0);
    }

    #[test]
    fn cuts_of_other_axes_are_read_between_breakpoints() {
        let (rows, columns) = (vec![0.0, 100.0], vec![0.0, 10.0]);
        let values = vec![vec![0.0, 10.0], vec![100.0, 110.0]];
        let map = MapRef { rows: &rows, columns: &columns, values: &values };
        assert_eq!(behind(map, Along::Rows, 5.0), [[0.0, 5.0], [100.0, 105.0]]);
        assert_eq!(behind(map, Along::Columns, 25.0), [[0.0, 25.0], [10.0, 35.0]]);
        assert_eq!(behind(map, Along::Columns, 900.0), [[0.0, 100.0], [10.0, 110.0]]);
    }
}
