//! A semi-active damper: force over velocity and current, its inversion, and how its valve follows a command.

use crate::range::Range;
use washboard_signal::Lane;
use washboard_signal::table::Knots;

/// Force over damper velocity and current. Linear between the points, continued linearly in velocity beyond them.
///
/// The current never leaves the table: the mode's limits lie inside it. Within a stretch of velocity the force at a
/// current breakpoint is `a + b v`, and within a cell it is `(a + b v) + (c + d v) I`; these numbers are kept, so that a
/// look-up is one row of numbers a lane.
#[derive(Clone, Debug, PartialEq)]
pub struct DamperTable {
    velocity: Knots,
    current: Knots,
    /// Row after row, one row a velocity.
    force_n: Vec<f64>,
    firm_is_high: bool,
    /// `[a, b, c, d]` of each stretch of velocity and, within it, each stretch of current.
    cells: Vec<[f64; 4]>,
    steepest_slope_n_s_per_m: f64,
}

impl DamperTable {
    /// Velocities (m/s) and currents (A) rise strictly, `force_n` has one row a velocity; the caller has checked that
    /// force and velocity have one sign and that damping is monotone over current.
    pub fn new(velocity_m_per_s: Vec<f64>, current_a: Vec<f64>, force_n: &[Vec<f64>]) -> Self {
        let (velocity, current) = (Knots::new(velocity_m_per_s), Knots::new(current_a));
        let last = current.len() - 1;
        // The firm end is where the magnitudes are larger, summed so that rows of equal forces do not decide.
        let sum = |column: usize| force_n.iter().map(|row| row[column].abs()).sum::<f64>();
        let firm_is_high = sum(last) >= sum(0);
        let (v, i) = (velocity.values(), current.values());
        let line = |stretch: usize, column: usize| -> [f64; 2] {
            let here = force_n[stretch][column];
            let Some(next) = force_n.get(stretch + 1) else { return [here, 0.0] };
            let slope = (next[column] - here) / (v[stretch + 1] - v[stretch]);
            [here - slope * v[stretch], slope]
        };
        let stretches = 0..v.len().max(2) - 1;
        let cell = |s: usize, k: usize| {
            let [a0, b0] = line(s, k);
            if k == last {
                return [a0, b0, 0.0, 0.0];
            }
            let ([a1, b1], width) = (line(s, k + 1), i[k + 1] - i[k]);
            let (c, d) = ((a1 - a0) / width, (b1 - b0) / width);
            [a0 - c * i[k], b0 - d * i[k], c, d]
        };
        let cells = stretches.clone().flat_map(|s| (0..last.max(1)).map(move |k| cell(s, k))).collect();
        let slopes = stretches.flat_map(|s| (0..=last).map(move |k| line(s, k)[1]));
        let steepest_slope_n_s_per_m = slopes.fold(0.0, f64::max);
        let force_n = force_n.concat();
        DamperTable { force_n, cells, steepest_slope_n_s_per_m, velocity, current, firm_is_high }
    }

    /// Velocity breakpoints, m/s.
    pub fn velocity(&self) -> &Knots {
        &self.velocity
    }

    /// Current breakpoints, A.
    pub fn current(&self) -> &Knots {
        &self.current
    }

    /// True where more current makes the damper firmer.
    pub fn firm_is_high(&self) -> bool {
        self.firm_is_high
    }

    /// Soft and firm end of a range of currents, A.
    pub fn soft_and_firm(&self, current_min_a: f64, current_max_a: f64) -> (f64, f64) {
        if self.firm_is_high { (current_min_a, current_max_a) } else { (current_max_a, current_min_a) }
    }

    /// Force at the damper, N, positive in rebound.
    #[inline(always)]
    pub fn force(&self, velocity_m_per_s: f64, current_a: f64) -> f64 {
        let row = self.velocity.segment(velocity_m_per_s) * self.current.stretches();
        let [a, b, c, d] = self.cells[row + self.current.segment(current_a)];
        (a + b * velocity_m_per_s) + (c + d * velocity_m_per_s) * current_a
    }

    /// `[a, b]` of the force `a + b v` at a current, over a stretch of velocity. Currents beyond the breakpoints count as
    /// the nearest one.
    pub(crate) fn line_at(&self, stretch: usize, current_a: f64) -> [f64; 2] {
        let (v, n) = (self.velocity.values(), self.current.len());
        let place = self.current.place_held(current_a);
        let high = (place.low + 1).min(n - 1);
        let at = |row: usize| {
            let (a, b) = (self.force_n[row * n + place.low], self.force_n[row * n + high]);
            a + (b - a) * place.share
        };
        if v.len() == 1 {
            return [at(0), 0.0];
        }
        let slope = (at(stretch + 1) - at(stretch)) / (v[stretch + 1] - v[stretch]);
        [at(stretch) - slope * v[stretch], slope]
    }

    /// The current that gives the wanted force: the smallest change from the soft end that gives it, limited to what
    /// soft and firm end reach. At standstill, and where wanted force and velocity disagree in sign, the soft end.
    pub fn invert(&self, velocity_m_per_s: f64, wanted_n: f64, soft_a: f64, firm_a: f64) -> f64 {
        let mut range = Range::new(self, 1.0, soft_a, firm_a);
        range.look(velocity_m_per_s);
        range.reach(velocity_m_per_s, wanted_n).current_a
    }

    /// The same table with every force multiplied.
    pub fn scaled(&self, scale: f64) -> Self {
        let rows = self.force_n.chunks(self.current.len());
        let scaled: Vec<Vec<f64>> = rows.map(|row| row.iter().map(|f| f * scale).collect()).collect();
        DamperTable::new(self.velocity.values().to_vec(), self.current.values().to_vec(), &scaled)
    }

    /// The same table with regularised Coulomb friction on top: `friction_n` times velocity over `velocity_m_per_s`, held at
    /// one either way. Exact: the friction's kinks become breakpoints, also beyond the bench data.
    pub fn with_friction(&self, friction_n: f64, velocity_m_per_s: f64) -> Self {
        let mut velocity: Vec<f64> = self.velocity.values().to_vec();
        velocity.extend([-velocity_m_per_s, velocity_m_per_s]);
        // The straight continuation beyond the data must not take up the slope of the friction.
        let outer = velocity.iter().fold(0.0_f64, |m, v| m.max(v.abs())) + velocity_m_per_s;
        velocity.extend([-outer, outer]);
        velocity.sort_by(f64::total_cmp);
        velocity.dedup();
        let force_n: Vec<Vec<f64>> = velocity
            .iter()
            .map(|&v| {
                let friction = friction_n * (v / velocity_m_per_s).clamp(-1.0, 1.0);
                self.current.values().iter().map(|&i| self.force(v, i) + friction).collect()
            })
            .collect();
        DamperTable::new(velocity, self.current.values().to_vec(), &force_n)
    }

    /// The damper velocity at which force plus `slope_n_s_per_m` times velocity is the wanted sum: how a damper yields
    /// against a spring. Forces never fall over velocity, so there is one; where the sum is level, the nearer end.
    #[inline]
    pub fn velocity_for(&self, sum_n: f64, slope_n_s_per_m: f64, current_a: f64) -> f64 {
        let i = self.current.place_held(current_a);
        let n = self.current.len();
        let high = (i.low + 1).min(n - 1);
        let at = |row: usize| {
            let (a, b) = (self.force_n[row * n + i.low], self.force_n[row * n + high]);
            a + (b - a) * i.share + slope_n_s_per_m * self.velocity.values()[row]
        };
        let v = self.velocity.values();
        let mut row = 1;
        while row + 1 < v.len() && at(row) < sum_n {
            row += 1;
        }
        let (low, high) = (at(row - 1), at(row));
        // A level piece: any velocity gives the force; a hair of slope keeps the answer finite.
        v[row - 1] + (v[row] - v[row - 1]) * ((sum_n - low) / Lane::max(high - low, 1e-9))
    }

    /// Steepest slope of force over velocity anywhere in the table, N s/m; the stability guard needs it.
    pub fn steepest_slope_n_s_per_m(&self) -> f64 {
        self.steepest_slope_n_s_per_m
    }
}

/// A damper with its valve.
#[derive(Clone, Debug, PartialEq)]
pub struct Damper {
    /// Force table of the bench: what the controller knows.
    pub table: DamperTable,
    /// Force table of the damper in the car: the bench's, but for friction, temperature or lost supply.
    pub in_car: DamperTable,
    /// Time from command to first reaction, s.
    pub dead_time_s: f64,
    /// Time constant of rising current, s.
    pub rise_s: f64,
    /// Time constant of falling current, s.
    pub fall_s: f64,
}

impl Damper {
    /// A damper that is in the car as it was on the bench.
    pub fn as_on_bench(table: DamperTable, dead_time_s: f64, rise_s: f64, fall_s: f64) -> Self {
        Damper { in_car: table.clone(), table, dead_time_s, rise_s, fall_s }
    }

    /// True where the current jumps as soon as the delayed command does.
    pub fn is_immediate(&self) -> bool {
        self.rise_s == 0.0 || self.fall_s == 0.0
    }
}

/// First-order lag of a valve over a fixed step, exact for a command that is constant within it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ValveStep<N = f64> {
    /// Share of the way to a higher command covered in one step; 1 without lag.
    pub rise_share: N,
    /// Share of the way to a lower command.
    pub fall_share: N,
}

impl ValveStep {
    /// For a damper and a plant step, s.
    pub fn new(damper: &Damper, step_s: f64) -> Self {
        // No time, no way; no lag, all the way.
        let share = |tau: f64| {
            if step_s == 0.0 {
                0.0
            } else if tau == 0.0 {
                1.0
            } else {
                -(-step_s / tau).exp_m1()
            }
        };
        ValveStep { rise_share: share(damper.rise_s), fall_share: share(damper.fall_s) }
    }

    /// As lanes keep it.
    pub fn of_lanes<L: Lane>(self) -> ValveStep<L::Number> {
        ValveStep { rise_share: L::number(self.rise_share), fall_share: L::number(self.fall_share) }
    }
}

impl<N: Copy + PartialEq> ValveStep<N> {
    /// The current one step later.
    #[inline(always)]
    pub fn advance<L: Lane<Number = N>>(self, current_a: L, command_a: L) -> L {
        let share = L::select(command_a.gt(current_a), L::spread(self.rise_share), L::spread(self.fall_share));
        current_a + (command_a - current_a) * share
    }

    /// The current right after the command arrives: it jumps where the lag is zero.
    #[inline(always)]
    pub fn arrive<L: Lane<Number = N>>(self, current_a: L, command_a: L) -> L {
        let jump = |share: N| L::splat(if share == L::number(1.0) { 1.0 } else { 0.0 });
        let (rise, fall) = (jump(self.rise_share), jump(self.fall_share));
        let share = L::select(command_a.gt(current_a), rise, fall);
        current_a + (command_a - current_a) * share
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table() -> DamperTable {
        let velocity = vec![-1.0, -0.1, 0.0, 0.1, 1.0];
        let current = vec![0.3, 0.8, 1.6];
        let force = vec![
            vec![-400.0, -800.0, -1200.0],
            vec![-80.0, -300.0, -500.0],
            vec![0.0, 0.0, 0.0],
            vec![120.0, 600.0, 1000.0],
            vec![700.0, 1800.0, 2600.0],
        ];
        DamperTable::new(velocity, current, &force)
    }

    #[test]
    fn force_is_bilinear_and_continued() {
        let t = table();
        assert!((t.force(0.55, 1.2) - (800.0 + 2200.0) / 2.0).abs() < 1e-9);
        // One more step of 0.9 m/s at the slope of the last segment.
        assert!((t.force(1.9, 0.3) - (700.0 + 580.0)).abs() < 1e-9);
    }

    #[test]
    fn inversion_gives_the_force_back_over_the_whole_range() {
        let t = table();
        for v in [-1.5, -0.7, -0.05, 0.02, 0.1, 0.4, 2.0] {
            for share in [0.0, 0.1, 0.5, 0.77, 1.0] {
                let wanted = t.force(v, 0.3) + share * (t.force(v, 1.6) - t.force(v, 0.3));
                let current = t.invert(v, wanted, 0.3, 1.6);
                assert!((t.force(v, current) - wanted).abs() < 1e-9 * wanted.abs().max(1.0), "v {v} share {share}");
            }
        }
    }

    #[test]
    fn a_range_gives_the_table_s_forces_with_even_parts_and_without() {
        let current = vec![0.3, 0.8, 1.6];
        let force = |v: f64, i: f64| v * (500.0 + 900.0 * i) / (1.0 + 2.0 * v.abs());
        let knots = [
            vec![-1.5, -1.0, -0.6, -0.3, -0.15, -0.1, -0.05, 0.0, 0.05, 0.1, 0.15, 0.3, 0.6, 1.0, 1.5],
            vec![-1.1, -0.37, -0.031, 0.0, 0.011, 0.2, 1.3],
            vec![-1.0, 1.0],
            vec![0.2],
        ];
        for (velocity, is_even) in knots.into_iter().zip([true, false, true, false]) {
            let rows: Vec<Vec<f64>> =
                velocity.iter().map(|&v| current.iter().map(|&i| force(v, i)).collect()).collect();
            let t = DamperTable::new(velocity.clone(), current.clone(), &rows);
            assert_eq!(t.velocity().even_parts(128).is_some(), is_even);
            let mut range = Range::new(&t, 0.8, 0.3, 1.6);
            // Between the breakpoints, on them, and beyond both ends.
            let between = (-2000..2000).map(|n| f64::from(n) * 1.3e-3);
            for rate in between.chain(velocity.iter().map(|v| v / 0.8)) {
                range.look(rate);
                for i in [0.3, 0.55, 1.2, 1.6] {
                    let (got, want) = (range.force_n(i), 0.8 * t.force(0.8 * rate, i));
                    assert!(
                        (got - want).abs() < 1e-9 * (1.0 + want.abs()),
                        "{got} against {want} at {rate} m/s, {i} A"
                    );
                }
            }
            range.look(0.0);
            assert!(velocity.len() == 1 || !velocity.contains(&0.0) || range.force_n(1.0) == 0.0, "none at standstill");
            range.look(f64::NAN);
            assert!(range.force_n(1.0).is_nan(), "and no place beyond the table");
        }
    }

    #[test]
    fn the_slowest_motion_is_on_its_own_side_of_standstill() {
        // Twice as stiff in rebound; even parts, an uneven axis, and a standstill that is no border of two parts.
        for velocity in [vec![-0.8, 0.0, 0.4], vec![-1.1, -0.37, 0.0, 0.011, 1.3], vec![-1.0, -0.2, 0.2, 1.0]] {
            let has_border = velocity.contains(&0.0);
            let force = |v: f64, i: f64| (1.0 + i) * if v > 0.0 { 2000.0 * v } else { 1000.0 * v };
            let rows: Vec<Vec<f64>> = velocity.iter().map(|&v| vec![force(v, 0.3), force(v, 1.6)]).collect();
            let t = DamperTable::new(velocity, vec![0.3, 1.6], &rows);
            let mut range = Range::new(&t, 0.8, 0.3, 1.6);
            for rate in [1e-3, 1e-12, 1e-15, 1e-30, 1e-200] {
                for rate in [rate, -rate] {
                    range.look(rate);
                    let got = range.force_n(0.3);
                    let want = if has_border { 0.8 * force(0.8 * rate, 0.3) } else { 0.8 * t.force(0.8 * rate, 0.3) };
                    assert!((got - want).abs() <= 1e-9 * want.abs(), "{got} against {want} at {rate} m/s");
                }
            }
        }
    }

    #[test]
    fn what_all_currents_give_alike_needs_no_current() {
        // A damper that cannot change, and one that cannot beyond 0.9 A, at velocities between its points.
        let rows =
            |share: [f64; 5]| [-884.1, 0.0, 1539.4].map(|f| share.iter().map(|s| f * s).collect::<Vec<_>>()).to_vec();
        let currents = vec![0.3, 0.6, 0.9, 1.2, 1.6];
        let dead = DamperTable::new(vec![-0.5, 0.0, 0.5], currents.clone(), &rows([1.0; 5]));
        let flat = DamperTable::new(vec![-0.5, 0.0, 0.5], currents, &rows([0.3, 0.7, 1.0, 1.0, 1.0]));
        for i in 1..200 {
            let v = f64::from(i) * 0.0037 * if i % 2 == 0 { 1.0 } else { -1.0 };
            assert_eq!(dead.invert(v, v * 1e6, 0.43, 1.535), 0.43, "{v}");
            assert!((flat.invert(v, v * 1e6, 0.43, 1.535) - 0.9).abs() < 1e-12, "{v}");
        }
    }

    #[test]
    fn inversion_is_limited_and_soft_where_signs_disagree() {
        let t = table();
        assert_eq!(t.invert(0.1, 5000.0, 0.5, 1.2), 1.2);
        assert_eq!(t.invert(0.1, 10.0, 0.5, 1.2), 0.5);
        assert_eq!(t.invert(0.1, -800.0, 0.5, 1.2), 0.5);
        assert_eq!(t.invert(0.0, 800.0, 0.5, 1.2), 0.5);
    }

    #[test]
    fn lanes_with_ranges_of_their_own_give_the_bits_of_each_alone() {
        use washboard_signal::Lanes;
        let t = table();
        let soft = Lanes([0.3, 0.5, 0.8, 0.31]);
        let firm = Lanes([1.6, 1.2, 0.8, 0.33]);
        let mut range = Range::new(&t, Lanes([1.0; 4]), soft, firm);
        for n in 0..3000 {
            let x = f64::from(n);
            let v = Lanes::from_fn(|i| 1.3 * (0.11 * x + i as f64).sin());
            let wanted = Lanes::from_fn(|i| 3000.0 * (0.07 * x * (i + 1) as f64).sin());
            range.look(v);
            let wide = range.reach(v, wanted);
            let force = range.force_n(wide.current_a);
            for i in 0..4 {
                let (v, wanted) = (v.get(i), wanted.get(i));
                let mut alone = Range::new(&t, 1.0, soft.get(i), firm.get(i));
                alone.look(v);
                let one = alone.reach(v, wanted);
                assert_eq!(one.current_a.to_bits(), wide.current_a.get(i).to_bits());
                assert_eq!((one.soft_n, one.firm_n), (wide.soft_n.get(i), wide.firm_n.get(i)));
                assert_eq!(alone.force_n(one.current_a), force.get(i));
                assert!((force.get(i) - t.force(v, one.current_a)).abs() < 1e-9);
                assert!((one.soft_n - t.force(v, soft.get(i))).abs() < 1e-9);
                assert!((one.firm_n - t.force(v, firm.get(i))).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn a_reversed_table_and_flat_stretches_take_the_smallest_change_from_the_soft_end() {
        let force = vec![vec![-900.0, -900.0, -400.0], vec![0.0; 3], vec![900.0, 900.0, 400.0]];
        let t = DamperTable::new(vec![-1.0, 0.0, 1.0], vec![0.0, 0.5, 1.0], &force);
        assert!(!t.firm_is_high());
        assert_eq!(t.soft_and_firm(0.0, 1.0), (1.0, 0.0));
        // 900 N is reached at 0.5 A already; going on to 0 A would change nothing.
        assert_eq!(t.invert(1.0, 2000.0, 1.0, 0.0), 0.5);
        assert!((t.invert(1.0, 650.0, 1.0, 0.0) - 0.75).abs() < 1e-12);
    }

    #[test]
    fn friction_is_added_exactly_and_temperature_scales() {
        let t = table();
        let f = t.with_friction(40.0, 0.02);
        for v in [-3.0, -1.0, -0.5, -0.02, -0.013, 0.0, 0.004, 0.02, 0.05, 0.7, 1.0, 2.5] {
            for i in [0.3, 1.0, 1.6] {
                let want = t.force(v, i) + 40.0 * (v / 0.02).clamp(-1.0, 1.0);
                assert!((f.force(v, i) - want).abs() < 1e-9, "at {v} m/s, {i} A: {} against {want}", f.force(v, i));
            }
        }
        assert!((t.scaled(0.8).force(0.4, 1.1) - 0.8 * t.force(0.4, 1.1)).abs() < 1e-12);
    }

    #[test]
    fn a_damper_yields_where_force_and_spring_balance() {
        let t = table().with_friction(25.0, 0.01);
        for v in [-2.0, -0.6, -0.004, 0.0, 0.03, 0.5, 1.7] {
            for (slope, i) in [(0.0, 0.3), (700.0, 0.9), (50.0, 1.6)] {
                let sum = t.force(v, i) + slope * v;
                assert!((t.velocity_for(sum, slope, i) - v).abs() < 1e-9, "{v} m/s");
            }
        }
    }

    #[test]
    fn the_valve_covers_63_percent_in_its_time_constant() {
        let damper = Damper::as_on_bench(table(), 0.0, 0.008, 0.004);
        let valve = ValveStep::new(&damper, 0.001);
        let mut current = 0.0;
        for _ in 0..8 {
            current = valve.advance(current, 1.0);
        }
        assert!((current - (1.0 - (-1.0_f64).exp())).abs() < 1e-12);
        for _ in 0..4 {
            current = valve.advance(current, 0.0);
        }
        assert!((current - (1.0 - (-1.0_f64).exp()) * (-1.0_f64).exp()).abs() < 1e-12);
    }
}
