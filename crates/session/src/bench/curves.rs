//! One direction of one current: rows averaged into points over speed, read between them.

/// Rows whose speeds lie within this share plus `WIDTH_M_PER_S` are one point.
const WIDTH_SHARE: f64 = 0.06;
const WIDTH_M_PER_S: f64 = 0.005;
/// Points up to this speed carry the line to zero, at least the two slowest, m/s.
const LINE_M_PER_S: f64 = 0.03;
/// More velocities than this a side are thinned to round ones.
const MOST_A_SIDE: usize = 24;
/// Round velocities for data measured in a continuous sweep, m/s.
const ROUND_M_PER_S: [f64; 22] = [
    0.01, 0.02, 0.035, 0.05, 0.075, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0,
    5.0,
];

/// Rows of about one speed.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Group {
    pub speed_m_per_s: f64,
    pub force_n: f64,
    /// Standard deviation of the rows, N.
    pub scatter_n: f64,
}

/// Force over speed in one direction, slowest first; the force keeps its sign.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Curve {
    groups: Vec<Group>,
}

impl Curve {
    /// Of the rows whose velocity has that sign.
    pub fn of(points: &[[f64; 2]], sign: f64) -> Curve {
        let mut rows: Vec<[f64; 2]> = points.iter().filter(|p| p[0] * sign > 0.0).map(|p| [p[0].abs(), p[1]]).collect();
        rows.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
        let mut groups = Vec::new();
        let mut rest = rows.as_slice();
        while let Some(first) = rest.first() {
            let end = first[0] * (1.0 + WIDTH_SHARE) + WIDTH_M_PER_S;
            let (run, behind) = rest.split_at(rest.partition_point(|p| p[0] <= end));
            groups.push(Group::mean(run));
            rest = behind;
        }
        Curve { groups }
    }

    pub fn is_empty(&self) -> bool {
        self.groups.is_empty()
    }

    pub fn groups(&self) -> &[Group] {
        &self.groups
    }

    pub fn slowest(&self) -> f64 {
        self.groups.first().map_or(f64::INFINITY, |g| g.speed_m_per_s)
    }

    pub fn fastest(&self) -> f64 {
        self.groups.last().map_or(0.0, |g| g.speed_m_per_s)
    }

    /// Force at a speed, linear between points and through zero force at zero; behind the last point the last slope.
    pub fn at(&self, speed: f64) -> f64 {
        let origin = (0.0, 0.0);
        let point = |i: usize| self.groups.get(i).map(|g| (g.speed_m_per_s, g.force_n));
        let next = self.groups.partition_point(|g| g.speed_m_per_s < speed).min(self.groups.len().saturating_sub(1));
        let before = next.checked_sub(1).and_then(point).unwrap_or(origin);
        let after = point(next).unwrap_or(origin);
        before.1 + (after.1 - before.1) * ((speed - before.0) / (after.0 - before.0))
    }

    /// Force at zero speed on a least-squares line through the slowest points.
    pub fn at_zero(&self) -> f64 {
        let slow = self.groups.iter().filter(|g| g.speed_m_per_s <= LINE_M_PER_S).count().max(2);
        let points = &self.groups[..slow.min(self.groups.len())];
        let n = points.len() as f64;
        let mean_v = points.iter().map(|g| g.speed_m_per_s).sum::<f64>() / n;
        let mean_f = points.iter().map(|g| g.force_n).sum::<f64>() / n;
        let spread: f64 = points.iter().map(|g| (g.speed_m_per_s - mean_v).powi(2)).sum();
        if spread == 0.0 {
            // One point alone has no slope; a line through zero leaves nothing to take out.
            return 0.0;
        }
        let slope = points.iter().map(|g| (g.speed_m_per_s - mean_v) * (g.force_n - mean_f)).sum::<f64>() / spread;
        mean_f - slope * mean_v
    }

    /// Adds a force to every point.
    pub fn shift(&mut self, by_n: f64) {
        self.groups.iter_mut().for_each(|g| g.force_n += by_n);
    }

    /// The same curve in the other direction.
    pub fn turn(&mut self) {
        self.groups.iter_mut().for_each(|g| g.force_n = -g.force_n);
    }
}

impl Group {
    fn mean(run: &[[f64; 2]]) -> Group {
        let n = run.len() as f64;
        let mean = |i: usize| run.iter().map(|p| p[i]).sum::<f64>() / n;
        let (speed_m_per_s, force_n) = (mean(0), mean(1));
        let variance = run.iter().map(|p| (p[1] - force_n).powi(2)).sum::<f64>() / (n - 1.0).max(1.0);
        Group { speed_m_per_s, force_n, scatter_n: variance.sqrt() }
    }
}

/// Speeds of the table in one direction: those measured, or round ones where there are too many; none beyond what every
/// current was measured at.
pub(super) fn common_velocities<'c>(
    curves: impl Iterator<Item = &'c Curve> + Clone,
    done: &mut Vec<String>,
    direction: &str,
) -> Vec<f64> {
    let mm = |v: f64| (v * 1000.0).round() / 1000.0;
    let far = mm(curves.clone().map(Curve::fastest).fold(f64::INFINITY, f64::min));
    let farthest = mm(curves.clone().map(Curve::fastest).fold(0.0, f64::max));
    let all: Vec<[f64; 2]> = curves.flat_map(|c| c.groups().iter().map(|g| [g.speed_m_per_s, 0.0])).collect();
    let measured = Curve::of(&all, 1.0);
    let mut speeds: Vec<f64> = measured.groups().iter().map(|g| mm(g.speed_m_per_s)).filter(|v| *v <= far).collect();
    if speeds.len() > MOST_A_SIDE {
        let slowest = speeds[0];
        speeds = ROUND_M_PER_S.iter().copied().filter(|v| *v >= slowest && *v < far).collect();
        speeds.push(far);
        done.push(format!(
            "In {direction} the bench ran through {} velocities: the table takes {} round ones.",
            measured.groups().len(),
            speeds.len()
        ));
    } else if speeds.last().is_none_or(|last| *last < far) {
        // The mean over currents may lie beyond the one measured least far.
        speeds.push(far);
    }
    speeds.dedup();
    speeds.retain(|v| *v > 0.0);
    // Two points a hair apart would make a slope out of noise.
    let mut kept: Vec<f64> = Vec::new();
    for v in speeds {
        if kept.last().is_some_and(|last| v - last < 0.002) {
            kept.pop();
        }
        kept.push(v);
    }
    if farthest > far * (1.0 + WIDTH_SHARE) {
        done.push(format!(
            "In {direction} some currents were measured up to {farthest} m/s, but all only up to {far} m/s: the table ends there."
        ));
    }
    kept
}
