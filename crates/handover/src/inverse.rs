//! The inverse damper table that a control unit holds: current over damper velocity and wanted force.
//!
//! Both axes hold zero exactly and share their points out over the two signs by the bench data's range. Between the soft
//! and the firm force the current depends on force over velocity alone near zero, and outside it is level: all its kinks
//! run together in the origin, where it jumps from one end to the other as the velocity changes its sign. Bilinear cells
//! smear them over their own width, so that points belong where the kinks are close together: the distance of a velocity
//! from zero grows with the cube of its index, that of a force with the square. A hundredth of even spacing keeps the
//! smallest velocities apart in a control unit of 16 bits.
//!
//! The force a table leads to is off from the one of an exact inversion, r.m.s. as a share of the firm force at that
//! velocity, over dampers moving 3 to 300 mm/s, by about 16 % at 21 x 21, 10 % at 41 x 41 and 5 % at 121 x 121; as a share
//! of the largest force by 0.5, 0.2 and 0.04 %. With the square of the index and even forces it is 31, 22 and 13 %, and 0.8,
//! 0.3 and 0.09 %.

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
    let velocity_m_per_s =
        axis(slowest, fastest, size.velocities as usize, |share| 0.01 * share + 0.99 * share.powi(3));
    let force_n = axis(least, most, size.forces as usize, |share| share * share);
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

/// `count` points from `low` (at most 0) to `high` (at least 0), zero among them where there are at least three;
/// `distance` is their distance from zero as a share of their side's range, over the share of the side's points. A side
/// without range has no points.
fn axis(low: f64, high: f64, count: usize, distance: impl Fn(f64) -> f64) -> Vec<f64> {
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
    let point = |end: f64, index: usize, of: usize| end * distance(index as f64 / of as f64);
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
        let (even, square) = (|share: f64| share, |share: f64| share * share);
        assert_eq!(axis(-1.0, 1.0, 5, even), [-1.0, -0.5, 0.0, 0.5, 1.0]);
        assert_eq!(axis(-1.0, 1.0, 5, square), [-1.0, -0.25, 0.0, 0.25, 1.0]);
        assert_eq!(axis(-1000.0, 3000.0, 5, even), [-1000.0, 0.0, 1000.0, 2000.0, 3000.0]);
        assert_eq!(axis(-1.0, 1.0, 3, square), [-1.0, 0.0, 1.0]);
        assert_eq!(axis(-1.0, 2.0, 2, square), [-1.0, 2.0]);
        assert_eq!(axis(-0.001, 2.0, 5, even).len(), 5);
        assert_eq!(axis(0.0, 2.0, 3, even), [0.0, 1.0, 2.0]);
        assert_eq!(axis(-1.0, 2.0, 7, even)[4], 1.0);
        assert_eq!(axis(-1.0, 1.0, 7, even)[1], -0.666667);
        let tiny = axis(-1e-6, 1e-6, 9, square);
        assert!(tiny.windows(2).all(|pair| pair[0] < pair[1]), "{tiny:?}");
    }

    #[test]
    fn the_velocities_of_a_large_table_stay_apart_in_sixteen_bits() {
        let size = InverseTable { velocities: 121, forces: 121 };
        let table = table(&digressive(), 0.3, 1.6, &size);
        for (axis, range) in [(&table.velocity_m_per_s, 1.0), (&table.force_n, 4000.0)] {
            let raw: Vec<f64> = axis.iter().map(|x| (x / range * 32767.0).round()).collect();
            assert!(raw.windows(2).all(|pair| pair[0] < pair[1]), "{raw:?}");
        }
    }

    /// Forces as of a believable damper: steep near zero, flatter beyond, twice as firm in rebound.
    fn digressive() -> Damper {
        let velocity_m_per_s = vec![-1.0, -0.6, -0.3, -0.15, -0.05, 0.0, 0.05, 0.15, 0.3, 0.6, 1.0];
        let current_a = vec![0.3, 0.7, 1.1, 1.6];
        let force = |v: f64, i: f64| {
            let firmness = (if v > 0.0 { 1.0 } else { 0.5 }) * (300.0 + 2000.0 * (i - 0.3));
            firmness * (1.0 - (-v.abs() / 0.12).exp()) * v.signum() + 450.0 * v * (0.5 + i)
        };
        let force_n = velocity_m_per_s.iter().map(|&v| current_a.iter().map(|&i| force(v, i)).collect()).collect();
        Damper { velocity_m_per_s, current_a, force_n, ..linear() }
    }

    /// R.m.s. error of the force over dampers of all paces, as a share of the firm force at that velocity, and the largest
    /// error as a share of the largest force; what is asked for reaches from the wrong sign to beyond the firm end.
    fn errors(size: u32) -> (f64, f64) {
        let damper = digressive();
        let held = table(&damper, 0.3, 1.6, &InverseTable { velocities: size, forces: size });
        let lookup = washboard_signal::table::Table::new(held.velocity_m_per_s, held.force_n, &held.current_a);
        let bench = DamperTable::new(damper.velocity_m_per_s.clone(), damper.current_a.clone(), &damper.force_n);
        let (mut sum, mut count, mut largest) = (0.0, 0.0, 0.0_f64);
        for pace in 0..200 {
            // 3 to 300 mm/s, evenly in the logarithm, both ways.
            let v = 0.003 * 100.0_f64.powf(f64::from(pace / 2) / 99.0) * if pace % 2 == 0 { 1.0 } else { -1.0 };
            let (soft_n, firm_n) = (bench.force(v, 0.3), bench.force(v, 1.6));
            for share in -20..40 {
                let wanted_n = soft_n + (firm_n - soft_n) * (f64::from(share) + 0.5) / 20.0;
                let exact = bench.force(v, bench.invert(v, wanted_n, 0.3, 1.6));
                let error = (bench.force(v, lookup.at_held(v, wanted_n)) - exact).abs();
                sum += (error / firm_n).powi(2);
                count += 1.0;
                largest = largest.max(error);
            }
        }
        ((sum / count).sqrt(), largest / bench.force(1.0, 1.6))
    }

    #[test]
    fn the_error_falls_with_the_size_of_the_table() {
        let found: Vec<_> = [9, 21, 41, 81, 161].map(errors).to_vec();
        for (pair, least) in found.windows(2).zip([1.8, 1.5, 1.5, 1.5]) {
            assert!(pair[0].0 / pair[1].0 > least && pair[0].1 / pair[1].1 > least, "{found:?}");
        }
        assert!(found[1].0 < 0.17 && found[4].0 < 0.04, "{found:?}");
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
