//! Single obstacles over distance: the cosine bump and the pothole.

use std::f64::consts::TAU;

/// Height and slope at one place.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Point {
    pub height_m: f64,
    pub slope: f64,
}

/// height/2 * (1 - cos(2 pi s / length)) and its slope, `s_m` from the obstacle's start.
pub(crate) fn cosine_bump(height_m: f64, length_m: f64, s_m: f64) -> Point {
    if s_m <= 0.0 || s_m >= length_m {
        return Point::default();
    }
    let (sin, cos) = (TAU * (s_m / length_m)).sin_cos();
    Point { height_m: 0.5 * height_m * (1.0 - cos), slope: 0.5 * height_m * TAU / length_m * sin }
}

/// Trapezoid with its floor at -depth and its slope, `s_m` from the obstacle's start.
pub(crate) fn pothole(depth_m: f64, length_m: f64, edge_m: f64, s_m: f64) -> Point {
    if s_m < 0.0 || s_m >= length_m {
        return Point::default();
    }
    let edge_m = edge_m.min(length_m / 2.0);
    let rest_m = length_m - s_m;
    if s_m < edge_m {
        Point { height_m: -depth_m * (s_m / edge_m), slope: -depth_m / edge_m }
    } else if rest_m < edge_m {
        Point { height_m: -depth_m * (rest_m / edge_m), slope: depth_m / edge_m }
    } else {
        Point { height_m: -depth_m, slope: 0.0 }
    }
}
