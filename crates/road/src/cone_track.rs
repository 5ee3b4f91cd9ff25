//! Ways between cones: the double lane changes of ISO 3888 and the slalom, as a smooth line of the car's middle.
//!
//! **The line** is the cubic spline, straight at both ends, through gates at the ends of the sections: there the car passes
//! [`CLEARANCE_M`] beside the inner cones, so that it needs the least sideways travel. A cubic spline is the line of
//! least bending through its points (Holladay 1957), and its curvature is straight between them. Angles count as small:
//! curvature is the second derivative over the distance along the track.

/// Room between the car's side and the inner cones at the gates, m.
pub const CLEARANCE_M: f64 = 0.1;

/// A way between cones.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ConeTrack {
    /// Which cones.
    pub cones: Cones,
    /// Width of the car, m: it sets the width of the lanes and the room in them.
    pub vehicle_width_m: f64,
    /// Straight way before the line leaves its first direction, m.
    pub lead_m: f64,
}

/// Which cones.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cones {
    /// Double lane change of ISO 3888-1 (1999, now 2018): sections of 15, 30, 25, 25, 15 and 15 m, lanes 3.5 m apart,
    /// 1.1, 1.2 and 1.3 car widths and 0.25 m wide. Read in public material second-hand; 3.5 m is taken between the
    /// middles of the lanes (from memory). The standard's speed is 80 km/h.
    DoubleLaneChange,
    /// Obstacle avoidance of ISO 3888-2 (2011): sections of 12, 13.5, 11, 12.5 and 12 m, 1 m between the left edge of the
    /// first lane and the right edge of the second; lanes 1.1 car widths and 0.25 m, a car width and 1 m, and 1.3 car
    /// widths and 0.25 m (at least 3 m) wide. Read in public material second-hand; left edges of first and last lane in
    /// one line (from memory). The standard lets the driver find the highest speed and release the throttle.
    ObstacleAvoidance,
    /// Cones in one line, passed left and right in turn.
    Slalom {
        /// Distance from cone to cone, m.
        spacing_m: f64,
        /// How many.
        count: u32,
    },
}

/// A lane between cones: from, to, right and left edge, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lane {
    /// Where it begins, m from the start of the first section.
    pub from_m: f64,
    /// Where it ends, m.
    pub to_m: f64,
    /// Its right edge, m to the left of the first lane's middle (ISO 3888-1) or left edge (ISO 3888-2).
    pub right_m: f64,
    /// Its left edge, likewise.
    pub left_m: f64,
}

impl ConeTrack {
    /// The lanes of the double lane changes; a slalom has none.
    pub fn lanes(&self) -> Vec<Lane> {
        let w = self.vehicle_width_m;
        let lane = |from_m, to_m, middle_m: f64, width_m: f64| Lane {
            from_m,
            to_m,
            right_m: middle_m - 0.5 * width_m,
            left_m: middle_m + 0.5 * width_m,
        };
        let (first_m, last_m) = (1.1 * w + 0.25, 1.3 * w + 0.25);
        match self.cones {
            Cones::DoubleLaneChange => vec![
                lane(0.0, 15.0, 0.0, first_m),
                lane(45.0, 70.0, 3.5, 1.2 * w + 0.25),
                lane(95.0, 125.0, 0.0, last_m),
            ],
            Cones::ObstacleAvoidance => vec![
                lane(0.0, 12.0, -0.5 * first_m, first_m),
                lane(25.5, 36.5, 1.0 + 0.5 * (w + 1.0), w + 1.0),
                lane(49.0, 61.0, -0.5 * last_m.max(3.0), last_m.max(3.0)),
            ],
            Cones::Slalom { .. } => Vec::new(),
        }
    }

    /// Points of the line, m along the track and to the left.
    fn gates(&self) -> Vec<[f64; 2]> {
        let half_m = 0.5 * self.vehicle_width_m + CLEARANCE_M;
        let lanes = self.lanes();
        // The car's middle when its side is close to a lane's edge.
        let near_left = |lane: &Lane| lane.left_m - half_m;
        let near_right = |lane: &Lane| lane.right_m + half_m;
        match (self.cones, lanes.as_slice()) {
            (Cones::DoubleLaneChange, [one, two, three]) => {
                vec![
                    [one.from_m - 5.0, 0.0],
                    [one.to_m, near_left(one)],
                    [two.from_m, near_right(two)],
                    [0.5 * (two.from_m + two.to_m), near_left(two)],
                    [two.to_m, near_right(two)],
                    [three.from_m, near_left(three)],
                    [0.5 * (three.from_m + three.to_m), 0.0],
                    [three.to_m + 5.0, 0.0],
                ]
            }
            (Cones::ObstacleAvoidance, [one, two, three]) => {
                let (low_m, high_m) = (near_left(one), near_right(two));
                vec![
                    [one.from_m - 3.0, low_m],
                    [one.to_m, low_m],
                    [two.from_m, high_m],
                    [two.to_m, high_m],
                    [three.from_m, low_m],
                    [three.to_m + 3.0, low_m],
                ]
            }
            (Cones::Slalom { spacing_m, count }, _) => {
                let side = |cone: u32| if cone.is_multiple_of(2) { half_m } else { -half_m };
                let cones = (0..count).map(|cone| [f64::from(cone) * spacing_m, side(cone)]);
                let (before, after) = ([-1.5 * spacing_m, 0.0], [(f64::from(count) + 0.5) * spacing_m, 0.0]);
                std::iter::once(before).chain(cones).chain([after]).collect()
            }
            _ => Vec::new(),
        }
    }

    /// The line of the car's middle with its curvature.
    pub fn line_of_the_car(&self) -> ConeLine {
        let mut gates = self.gates();
        // One free point near each end lets the curvature begin and end at zero.
        for from_end in [false, true] {
            let at = if from_end { gates.len().saturating_sub(1) } else { 1 };
            if let (Some(&before), Some(&after)) = (gates.get(at.wrapping_sub(1)), gates.get(at)) {
                gates.insert(at, [0.5 * (before[0] + after[0]), 0.0]);
            }
        }
        let x: Vec<f64> = gates.iter().map(|gate| gate[0]).collect();
        let mut y: Vec<f64> = gates.iter().map(|gate| gate[1]).collect();
        let curvature_per_m = spline_straight_at_both_ends(&x, &mut y);
        // The line begins after the lead, and the first section some metres later.
        let shift_m = self.lead_m - x.first().copied().unwrap_or(0.0).min(0.0);
        ConeLine { x_m: x.iter().map(|x| x + shift_m).collect(), y_m: y, curvature_per_m, origin_m: shift_m }
    }

    /// How long the whole way is, m.
    pub fn length_m(&self) -> f64 {
        self.line_of_the_car().x_m.last().copied().unwrap_or(0.0)
    }
}

/// The line of the car's middle: gates with the curvature there.
#[derive(Clone, Debug, PartialEq)]
pub struct ConeLine {
    x_m: Vec<f64>,
    y_m: Vec<f64>,
    curvature_per_m: Vec<f64>,
    /// Where the first section begins, m.
    pub origin_m: f64,
}

impl ConeLine {
    /// Curvature at a distance, 1/m, positive to the left; zero before and after.
    pub fn curvature_per_m(&self, x_m: f64) -> f64 {
        let Some((piece, share)) = self.place(x_m) else { return 0.0 };
        let k = &self.curvature_per_m;
        k[piece] + share * (k[piece + 1] - k[piece])
    }

    /// Distance to the left at a distance along the track, m; held before and after.
    pub fn left_m(&self, x_m: f64) -> f64 {
        let ends = (self.y_m.first(), self.y_m.last(), self.x_m.first());
        let Some((piece, t)) = self.place(x_m) else {
            return match ends {
                (Some(first), _, Some(start)) if x_m < *start => *first,
                (_, last, _) => last.copied().unwrap_or(0.0),
            };
        };
        let (y, k) = (&self.y_m, &self.curvature_per_m);
        let h = self.x_m[piece + 1] - self.x_m[piece];
        let s = 1.0 - t;
        s * y[piece] + t * y[piece + 1] + h * h / 6.0 * ((s * s * s - s) * k[piece] + (t * t * t - t) * k[piece + 1])
    }

    fn place(&self, x_m: f64) -> Option<(usize, f64)> {
        let next = self.x_m.partition_point(|&gate_m| gate_m <= x_m);
        let piece = next.checked_sub(1)?;
        let (from_m, to_m) = (self.x_m[piece], *self.x_m.get(next)?);
        Some((piece, (x_m - from_m) / (to_m - from_m)))
    }
}

/// Second derivatives at the points of the cubic spline whose slope and curvature are zero at both ends; the second and
/// the last but one `y` are set for that. A spline is linear in its `y`, so that three of them give the two values.
fn spline_straight_at_both_ends(x: &[f64], y: &mut [f64]) -> Vec<f64> {
    let n = x.len();
    let (first, last) = (1, n.saturating_sub(2));
    if n < 4 {
        return vec![0.0; n];
    }
    (y[first], y[last]) = (0.0, 0.0);
    let base = clamped_spline(x, y);
    let unit = |at: usize| {
        let mut one = vec![0.0; n];
        one[at] = 1.0;
        clamped_spline(x, &one)
    };
    let (a, b) = (unit(first), unit(last));
    let determinant = a[0] * b[n - 1] - b[0] * a[n - 1];
    y[first] = (b[0] * base[n - 1] - base[0] * b[n - 1]) / determinant;
    y[last] = (a[n - 1] * base[0] - a[0] * base[n - 1]) / determinant;
    (0..n).map(|i| base[i] + y[first] * a[i] + y[last] * b[i]).collect()
}

/// Second derivatives at the points of the cubic spline with slope zero at both ends (de Boor, A Practical Guide to
/// Splines): a tridiagonal system, solved from the top down.
fn clamped_spline(x: &[f64], y: &[f64]) -> Vec<f64> {
    let n = x.len();
    if n < 2 {
        return vec![0.0; n];
    }
    let h = |i: usize| x[i + 1] - x[i];
    let slope = |i: usize| (y[i + 1] - y[i]) / h(i);
    // Row i: lower m[i-1] + middle m[i] + upper m[i+1] = right.
    let row = |i: usize| {
        if i == 0 {
            (0.0, 2.0 * h(0), h(0), 6.0 * slope(0))
        } else if i == n - 1 {
            (h(n - 2), 2.0 * h(n - 2), 0.0, -6.0 * slope(n - 2))
        } else {
            (h(i - 1), 2.0 * (h(i - 1) + h(i)), h(i), 6.0 * (slope(i) - slope(i - 1)))
        }
    };
    let (mut upper, mut right) = (vec![0.0; n], vec![0.0; n]);
    for i in 0..n {
        let (low, middle, up, r) = row(i);
        let (before_upper, before_right) = if i == 0 { (0.0, 0.0) } else { (upper[i - 1], right[i - 1]) };
        let pivot = middle - low * before_upper;
        upper[i] = up / pivot;
        right[i] = (r - low * before_right) / pivot;
    }
    for i in (0..n - 1).rev() {
        right[i] -= upper[i] * right[i + 1];
    }
    right
}
