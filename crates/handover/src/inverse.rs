//! The inverse damper table that a control unit holds: current over damper velocity and wanted force.
//!
//! Both axes hold zero exactly and share their points out over the two signs by the bench data's range. Velocities
//! stand closer together near zero (their distance from zero grows with the square of the index), because a believable
//! damper is digressive: its force has most of its shape there. With even spacing the largest error of a 21 x 21 table
//! of such a damper is some six times larger. Forces are evenly spaced.

use washboard_car::DamperTable;
use washboard_session::{Damper, InverseTable};

use crate::set::{InverseDamper, SetBench};

/// Points and currents are rounded to millionths, so that the last digit of a computation does not make another set.
const STEPS_PER_UNIT: f64 = 1e6;

/// The table of one damper within a mode's current limits.
pub(crate) fn table(damper: &Damper, current_min_a: f64, current_max_a: f64, size: &InverseTable) -> InverseDamper {
    let bench = DamperTable::new(damper.velocity_m_per_s.clone(), damper.current_a.clone(), &damper.force_n);
    let (soft_a, firm_a) = bench.soft_and_firm(current_min_a, current_max_a);
    let range = |values: &mut dyn Iterator<Item = f64>| {
        values.fold((0.0_f64, 0.0_f64), |(low, high), value| (low.min(value), high.max(value)))
    };
    let (slowest, fastest) = range(&mut damper.velocity_m_per_s.iter().copied());
    let (least, most) = range(&mut damper.force_n.iter().flatten().copied());
    let velocity_m_per_s = axis(slowest, fastest, size.velocities as usize, 2);
    let force_n = axis(least, most, size.forces as usize, 1);
    let current_a = velocity_m_per_s
        .iter()
        .map(|&v| {
            let current = |&force: &f64| {
                let exact = bench.invert(v, force, soft_a, firm_a);
                // The ends stay what they are; in between a microampere is far below what any valve resolves.
                if exact == soft_a || exact == firm_a {
                    exact
                } else {
                    (exact * STEPS_PER_UNIT).round() / STEPS_PER_UNIT
                }
            };
            force_n.iter().map(current).collect()
        })
        .collect();
    InverseDamper { soft_a, firm_a, velocity_m_per_s, force_n, current_a }
}

/// `count` points from `low` (at most 0) to `high` (at least 0), zero among them where there are at least three, at
/// distances from zero that grow with this power of the index. A side without range has no points.
fn axis(low: f64, high: f64, count: usize, power: i32) -> Vec<f64> {
    let span = high - low;
    if span <= 0.0 || count < 2 {
        return vec![0.0];
    }
    if count == 2 {
        return vec![low, high];
    }
    let steps = count - 1;
    let below = if low == 0.0 {
        0
    } else if high == 0.0 {
        steps
    } else {
        ((steps as f64 * (-low / span)).round() as usize).clamp(1, steps - 1)
    };
    let above = steps - below;
    let point = |end: f64, index: usize, of: usize| end * (index as f64).powi(power) / (of as f64).powi(power);
    let negative = (1..=below).rev().map(|i| point(low, i, below));
    let positive = (1..=above).map(|i| point(high, i, above));
    let exact: Vec<f64> = negative.chain([0.0]).chain(positive).collect();
    // Short decimals where they do no harm; the ends stay those of the bench data.
    let mut short: Vec<f64> = exact.iter().map(|x| (x * STEPS_PER_UNIT).round() / STEPS_PER_UNIT).collect();
    short[0] = exact[0];
    short[steps] = exact[steps];
    if short.windows(2).all(|pair| pair[0] < pair[1]) { short } else { exact }
}

/// How well an inverse table gives back the force that was asked for.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Reproduction {
    /// Largest difference between the force given and the force asked for, N.
    pub largest_error_n: f64,
    /// Where: damper velocity, m/s.
    pub velocity_m_per_s: f64,
    /// Where: wanted force, N.
    pub wanted_n: f64,
    /// Root mean square of the difference over all points looked at, N.
    pub rms_error_n: f64,
    /// Largest force the damper gives within the current limits, N.
    pub largest_force_n: f64,
    /// Points looked at.
    pub points: usize,
}

/// Compares the forces that the inverse table leads to with those asked for, over the velocities of the bench data and
/// three points between each two of them and of the table, and over eleven forces from the soft to the firm end at each.
pub(crate) fn reproduction(inverse: &InverseDamper, bench: &SetBench) -> Reproduction {
    let damper = DamperTable::new(bench.velocity_m_per_s.clone(), bench.current_a.clone(), &bench.force_n);
    let lookup = washboard_signal::table::Table::new(
        inverse.velocity_m_per_s.clone(),
        inverse.force_n.clone(),
        &inverse.current_a,
    );
    let mut knots: Vec<f64> = bench.velocity_m_per_s.iter().chain(&inverse.velocity_m_per_s).copied().collect();
    knots.sort_by(f64::total_cmp);
    let velocities =
        knots.windows(2).flat_map(|pair| (0..4).map(|q| pair[0] + (pair[1] - pair[0]) * f64::from(q) / 4.0));
    let mut found = Reproduction::default();
    let mut sum = 0.0;
    for v in velocities.chain(knots.last().copied()).filter(|v| *v != 0.0) {
        let (soft_n, firm_n) = (damper.force(v, inverse.soft_a), damper.force(v, inverse.firm_a));
        found.largest_force_n = found.largest_force_n.max(firm_n.abs());
        for tenth in 0..=10 {
            let wanted_n = soft_n + (firm_n - soft_n) * f64::from(tenth) / 10.0;
            let error = (damper.force(v, lookup.at_held(v, wanted_n)) - wanted_n).abs();
            sum += error * error;
            found.points += 1;
            if error > found.largest_error_n {
                found.largest_error_n = error;
                found.velocity_m_per_s = v;
                found.wanted_n = wanted_n;
            }
        }
    }
    found.rms_error_n = (sum / found.points.max(1) as f64).sqrt();
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_axis_holds_its_ends_and_zero_and_shares_points_by_range() {
        assert_eq!(axis(-1.0, 1.0, 5, 1), [-1.0, -0.5, 0.0, 0.5, 1.0]);
        assert_eq!(axis(-1.0, 1.0, 5, 2), [-1.0, -0.25, 0.0, 0.25, 1.0]);
        assert_eq!(axis(-1000.0, 3000.0, 5, 1), [-1000.0, 0.0, 1000.0, 2000.0, 3000.0]);
        assert_eq!(axis(-1.0, 1.0, 3, 2), [-1.0, 0.0, 1.0]);
        assert_eq!(axis(-1.0, 2.0, 2, 2), [-1.0, 2.0]);
        assert_eq!(axis(-0.001, 2.0, 5, 1).len(), 5);
        assert_eq!(axis(0.0, 2.0, 3, 1), [0.0, 1.0, 2.0]);
        assert_eq!(axis(-1.0, 2.0, 7, 1)[4], 1.0);
        assert_eq!(axis(-1.0, 1.0, 7, 1)[1], -0.666667);
        let tiny = axis(-1e-6, 1e-6, 9, 2);
        assert!(tiny.windows(2).all(|pair| pair[0] < pair[1]), "{tiny:?}");
    }

    fn linear() -> Damper {
        // c from 500 N s/m at 0 A to 3500 at 1.5 A: force = (500 + 2000 i) v.
        let (velocity, current) = (vec![-1.0, 0.0, 1.0], vec![0.0, 1.5]);
        let force_n = velocity.iter().map(|v| current.iter().map(|i| (500.0 + 2000.0 * i) * v).collect()).collect();
        Damper {
            name: "linear".into(),
            velocity_m_per_s: velocity,
            current_a: current,
            force_n,
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
    fn every_point_of_the_table_is_the_closed_form_of_a_linear_damper() {
        let table = table(&linear(), 0.2, 1.2, &InverseTable { velocities: 9, forces: 15 });
        assert_eq!((table.soft_a, table.firm_a), (0.2, 1.2));
        assert_eq!(table.force_n.len(), 15);
        for (row, &v) in table.velocity_m_per_s.iter().enumerate() {
            for (column, &force) in table.force_n.iter().enumerate() {
                // i = (F/v - 500)/2000 where signs agree, within 0.2 and 1.2 A; else the soft end.
                let expected: f64 = if v * force > 0.0 { ((force / v - 500.0) / 2000.0).clamp(0.2, 1.2) } else { 0.2 };
                let got = table.current_a[row][column];
                assert!((got - expected).abs() <= 0.5e-6 + 1e-12, "{v} m/s, {force} N: {got} for {expected}");
            }
        }
    }

    #[test]
    fn the_soft_end_is_the_high_current_where_more_current_softens() {
        let mut damper = linear();
        for row in &mut damper.force_n {
            row.reverse();
        }
        let table = table(&damper, 0.2, 1.2, &InverseTable::default());
        assert_eq!((table.soft_a, table.firm_a), (1.2, 0.2));
        assert_eq!(table.current_a[0][20], 1.2, "wrong sign: soft end");
    }

    #[test]
    fn the_error_is_zero_for_a_damper_that_cannot_change_and_small_for_a_fine_table() {
        let mut fixed = linear();
        for row in &mut fixed.force_n {
            row[1] = row[0];
        }
        let size = InverseTable::default();
        let bench = |d: &Damper| SetBench {
            velocity_m_per_s: d.velocity_m_per_s.clone(),
            current_a: d.current_a.clone(),
            force_n: d.force_n.clone(),
        };
        assert_eq!(reproduction(&table(&fixed, 0.0, 1.5, &size), &bench(&fixed)).largest_error_n, 0.0);
        let coarse =
            reproduction(&table(&linear(), 0.0, 1.5, &InverseTable { velocities: 5, forces: 5 }), &bench(&linear()));
        let fine =
            reproduction(&table(&linear(), 0.0, 1.5, &InverseTable { velocities: 81, forces: 81 }), &bench(&linear()));
        assert!(fine.largest_error_n < coarse.largest_error_n / 4.0, "{fine:?} {coarse:?}");
        assert_eq!(fine.largest_force_n, 3500.0);
    }
}
