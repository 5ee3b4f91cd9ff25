//! Shapes over distance with closed forms: cosine waves, the circular hump and the pothole, each from its own start.

use std::f64::consts::TAU;

use crate::line::{Line, Point, mean_by_area};

/// height/2 * (1 - cos(2 pi s / length)), `waves` of them one after another; one is the cosine bump.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CosineWaves {
    pub height_m: f64,
    pub length_m: f64,
    pub waves: f64,
}

impl CosineWaves {
    /// Integral of the height from the start on, m^2.
    fn area_m2(&self, s_m: f64) -> f64 {
        let s_m = s_m.clamp(0.0, self.waves * self.length_m);
        let k = TAU / self.length_m;
        0.5 * self.height_m * (s_m - (k * s_m).sin() / k)
    }
}

impl Line for CosineWaves {
    fn at(&self, s_m: f64) -> Point {
        let CosineWaves { height_m, length_m, waves } = *self;
        if s_m <= 0.0 || s_m >= waves * length_m {
            return Point::default();
        }
        let (sin, cos) = (TAU * (s_m / length_m)).sin_cos();
        Point { height_m: 0.5 * height_m * (1.0 - cos), slope: 0.5 * height_m * TAU / length_m * sin }
    }

    fn mean(&self, s_m: f64, length_m: f64) -> Point {
        mean_by_area(self, s_m, length_m, |at_m| self.area_m2(at_m))
    }

    fn has_kinks(&self) -> bool {
        false
    }
}

/// Arc of a circle through its start and end, `height_m` high in the middle; negative: a dip.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CircularHump {
    pub height_m: f64,
    pub length_m: f64,
}

impl CircularHump {
    /// Radius of the arc: half a chord c and the height h make r = (c^2 + h^2)/(2 h).
    pub fn radius_m(&self) -> f64 {
        let (c, h) = (0.5 * self.length_m, self.height_m.abs());
        (c * c + h * h) / (2.0 * h)
    }
}

impl CircularHump {
    /// Integral of the height from the start on, m^2.
    fn area_m2(&self, s_m: f64) -> f64 {
        if self.height_m == 0.0 {
            return 0.0;
        }
        let (r, c) = (self.radius_m(), 0.5 * self.length_m);
        let below_m = r - self.height_m.abs();
        let from_middle = |u: f64| 0.5 * (u * (r * r - u * u).sqrt() + r * r * (u / r).asin()) - below_m * u;
        self.height_m.signum() * (from_middle((s_m - c).clamp(-c, c)) + from_middle(c))
    }
}

impl Line for CircularHump {
    fn at(&self, s_m: f64) -> Point {
        if s_m <= 0.0 || s_m >= self.length_m || self.height_m == 0.0 {
            return Point::default();
        }
        let (r, u) = (self.radius_m(), s_m - 0.5 * self.length_m);
        let rise = (r * r - u * u).sqrt();
        let sign = self.height_m.signum();
        Point { height_m: sign * (rise - r + self.height_m.abs()), slope: -sign * u / rise }
    }

    fn mean(&self, s_m: f64, length_m: f64) -> Point {
        mean_by_area(self, s_m, length_m, |at_m| self.area_m2(at_m))
    }

    fn has_kinks(&self) -> bool {
        true
    }
}

/// Trapezoid with its floor at -depth; edges longer than half the length meet in the middle.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pothole {
    pub depth_m: f64,
    pub length_m: f64,
    pub edge_m: f64,
}

impl Pothole {
    fn edge(&self) -> f64 {
        self.edge_m.min(self.length_m / 2.0)
    }
}

impl Pothole {
    /// Integral of the height from the start on, m^2.
    fn area_m2(&self, s_m: f64) -> f64 {
        let (s_m, edge_m) = (s_m.clamp(0.0, self.length_m), self.edge());
        let rest_m = self.length_m - s_m;
        // A triangle up to the floor, a rectangle along it, and what is left of the triangle at the far edge.
        let square = |side_m: f64| if edge_m > 0.0 { side_m * side_m / (2.0 * edge_m) } else { 0.0 };
        let share = if s_m < edge_m {
            square(s_m)
        } else if rest_m < edge_m {
            self.length_m - edge_m - square(rest_m)
        } else {
            s_m - 0.5 * edge_m
        };
        -self.depth_m * share
    }
}

impl Line for Pothole {
    fn at(&self, s_m: f64) -> Point {
        let Pothole { depth_m, length_m, .. } = *self;
        if s_m < 0.0 || s_m >= length_m {
            return Point::default();
        }
        let edge_m = self.edge();
        let rest_m = length_m - s_m;
        if s_m < edge_m {
            Point { height_m: -depth_m * (s_m / edge_m), slope: -depth_m / edge_m }
        } else if rest_m < edge_m {
            Point { height_m: -depth_m * (rest_m / edge_m), slope: depth_m / edge_m }
        } else {
            Point { height_m: -depth_m, slope: 0.0 }
        }
    }

    fn mean(&self, s_m: f64, length_m: f64) -> Point {
        mean_by_area(self, s_m, length_m, |at_m| self.area_m2(at_m))
    }

    fn has_kinks(&self) -> bool {
        true
    }
}
