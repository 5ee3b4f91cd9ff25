//! A damper's table with another velocity or current in it, read from what is there.

use crate::{Damper, ForceCurve};

impl Damper {
    /// The same damper with one more velocity, m/s: linear between its points and beyond them, so that every force reads
    /// as before. `None` where that velocity is there already or is no number.
    pub fn with_velocity(&self, velocity_m_per_s: f64) -> Option<Damper> {
        let axis = &self.velocity_m_per_s;
        let row = place(axis, velocity_m_per_s)?;
        let (low, share) = between(axis, velocity_m_per_s)?;
        let (one, other) = (self.force_n.get(low)?, self.force_n.get(low + 1)?);
        let forces = one.iter().zip(other).map(|(a, b)| tenth(a + (b - a) * share)).collect();
        let mut with = self.clone();
        with.velocity_m_per_s.insert(row, velocity_m_per_s);
        with.force_n.insert(row, forces);
        Some(with)
    }

    /// The same damper with one more current, A: linear between its points, the nearest curve beyond them.
    pub fn with_current(&self, current_a: f64) -> Option<Damper> {
        let axis = &self.current_a;
        let column = place(axis, current_a)?;
        let read = |row: &Vec<f64>| -> Option<f64> {
            if column == 0 {
                return row.first().copied();
            }
            if column == axis.len() {
                return row.last().copied();
            }
            let (low, share) = between(axis, current_a)?;
            let (a, b) = (row.get(low)?, row.get(low + 1)?);
            Some(tenth(a + (b - a) * share))
        };
        let forces: Vec<f64> = self.force_n.iter().map(read).collect::<Option<_>>()?;
        let mut with = self.clone();
        with.current_a.insert(column, current_a);
        for (row, force) in with.force_n.iter_mut().zip(forces) {
            row.insert(column.min(row.len()), force);
        }
        Some(with)
    }

    /// The same damper without the velocity at an index.
    pub fn without_velocity(&self, row: usize) -> Damper {
        let mut without = self.clone();
        if row < without.velocity_m_per_s.len() && row < without.force_n.len() {
            without.velocity_m_per_s.remove(row);
            without.force_n.remove(row);
        }
        without
    }

    /// The same damper without the current at an index.
    pub fn without_current(&self, column: usize) -> Damper {
        let mut without = self.clone();
        if column < without.current_a.len() {
            without.current_a.remove(column);
            without.force_n.iter_mut().filter(|row| column < row.len()).for_each(|row| {
                row.remove(column);
            });
        }
        without
    }
}

impl Damper {
    /// The curve of the bench data whose current is nearest to none: what stands for a lost supply nobody has measured.
    pub fn curve_nearest_to_none(&self) -> ForceCurve {
        let sizes = self.current_a.iter().map(|current| current.abs()).enumerate();
        let column = sizes.min_by(|a, b| a.1.total_cmp(&b.1)).map_or(0, |(column, _)| column);
        let force_n = self.force_n.iter().filter_map(|row| row.get(column).copied()).collect();
        ForceCurve { velocity_m_per_s: self.velocity_m_per_s.clone(), force_n }
    }
}

/// Where a new breakpoint goes.
fn place(axis: &[f64], value: f64) -> Option<usize> {
    let at = axis.partition_point(|known| *known < value);
    (value.is_finite() && axis.get(at) != Some(&value)).then_some(at)
}

/// The stretch a value lies on, the last one continued, and how far along.
fn between(axis: &[f64], value: f64) -> Option<(usize, f64)> {
    let last = axis.len().checked_sub(2)?;
    let low = axis.partition_point(|known| *known < value).saturating_sub(1).min(last);
    Some((low, (value - axis[low]) / (axis[low + 1] - axis[low])))
}

fn tenth(force_n: f64) -> f64 {
    (force_n * 10.0).round() / 10.0 + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn damper() -> Damper {
        Damper {
            name: "one".into(),
            velocity_m_per_s: vec![-1.0, 0.0, 0.5],
            current_a: vec![0.4, 1.6],
            force_n: vec![vec![-300.0, -900.0], vec![0.0; 2], vec![400.0, 1200.0]],
            dead_time_s: 0.0,
            rise_s: 0.0,
            fall_s: 0.0,
            friction_n: 0.0,
            friction_velocity_m_per_s: 0.01,
            supply_lost: None,
            temperature: None,
        }
    }

    #[test]
    fn a_lost_supply_is_like_the_current_nearest_to_none() {
        let curve = damper().curve_nearest_to_none();
        assert_eq!((curve.velocity_m_per_s, curve.force_n), (vec![-1.0, 0.0, 0.5], vec![-300.0, 0.0, 400.0]));
    }

    #[test]
    fn a_new_breakpoint_reads_the_table_that_was() {
        let with = damper().with_velocity(-0.5).unwrap();
        assert_eq!((with.velocity_m_per_s[1], &with.force_n[1]), (-0.5, &vec![-150.0, -450.0]));
        let beyond = damper().with_velocity(1.0).unwrap();
        assert_eq!(beyond.force_n[3], [800.0, 2400.0]);
        let current = damper().with_current(1.0).unwrap();
        assert_eq!(current.force_n[2], [400.0, 800.0, 1200.0]);
        assert_eq!(damper().with_current(2.0).unwrap().force_n[0], [-300.0, -900.0, -900.0]);
        assert_eq!(damper().with_current(0.0).unwrap().force_n[2], [400.0, 400.0, 1200.0]);
        assert_eq!(damper().with_velocity(0.0), None);
        assert_eq!(damper().with_current(f64::NAN), None);
        assert_eq!(with.without_velocity(1), damper());
        assert_eq!(current.without_current(1), damper());
    }
}
