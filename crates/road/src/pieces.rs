//! Roads made of straight pieces: measured profiles, railway crossings, expansion joints, patches.

use std::cell::Cell;

use crate::line::{Line, Point, mean_by_area};

/// Corners of a road joined by straight pieces; held before the first and after the last.
#[derive(Clone, Debug)]
pub(crate) struct Polyline {
    distance_m: Vec<f64>,
    elevation_m: Vec<f64>,
    area_m2: Vec<f64>,
    /// Piece that was asked for last: cars go on, so the next place is in it or close ahead.
    last: Cell<usize>,
}

impl Polyline {
    /// `distance_m` not falling, and as many elevations; without any corner the road is flat.
    pub(crate) fn new(distance_m: Vec<f64>, elevation_m: Vec<f64>) -> Self {
        let mut area_m2 = Vec::with_capacity(distance_m.len());
        let mut area = 0.0;
        for i in 0..distance_m.len() {
            if i > 0 {
                let width_m = distance_m[i] - distance_m[i - 1];
                area += 0.5 * width_m * (elevation_m[i] + elevation_m[i - 1]);
            }
            area_m2.push(area);
        }
        Polyline { distance_m, elevation_m, area_m2, last: Cell::new(0) }
    }

    /// The piece that holds a place between the first and the last corner; on a corner the one ahead.
    fn piece(&self, x_m: f64) -> usize {
        let x = &self.distance_m;
        let mut piece = self.last.get();
        if x_m < x[piece] || x.get(piece + 8).is_some_and(|&far_m| x_m >= far_m) {
            piece = x.partition_point(|&corner_m| corner_m <= x_m) - 1;
        }
        while x_m >= x[piece + 1] {
            piece += 1;
        }
        self.last.set(piece);
        piece
    }
}

impl Polyline {
    /// Integral of the height from the first corner on, m^2.
    fn area_m2(&self, x_m: f64) -> f64 {
        let (x, z) = (&self.distance_m, &self.elevation_m);
        let Some(last) = x.len().checked_sub(1) else { return 0.0 };
        if x_m < x[0] {
            return z[0] * (x_m - x[0]);
        }
        if x_m >= x[last] {
            return self.area_m2[last] + z[last] * (x_m - x[last]);
        }
        let i = self.piece(x_m);
        self.area_m2[i] + 0.5 * (x_m - x[i]) * (z[i] + self.at(x_m).height_m)
    }
}

impl Line for Polyline {
    fn at(&self, x_m: f64) -> Point {
        let (x, z) = (&self.distance_m, &self.elevation_m);
        let Some(last) = x.len().checked_sub(1) else { return Point::default() };
        if x_m < x[0] {
            return Point { height_m: z[0], slope: 0.0 };
        }
        if x_m >= x[last] {
            return Point { height_m: z[last], slope: 0.0 };
        }
        let i = self.piece(x_m);
        let slope = (z[i + 1] - z[i]) / (x[i + 1] - x[i]);
        Point { height_m: z[i] + slope * (x_m - x[i]), slope }
    }

    fn mean(&self, x_m: f64, length_m: f64) -> Point {
        mean_by_area(self, x_m, length_m, |at_m| self.area_m2(at_m))
    }

    fn has_kinks(&self) -> bool {
        true
    }
}

/// Corners collected one after another.
#[derive(Default)]
pub(crate) struct Corners {
    distance_m: Vec<f64>,
    elevation_m: Vec<f64>,
}

impl Corners {
    /// Goes on to a corner.
    pub(crate) fn to(&mut self, distance_m: f64, elevation_m: f64) {
        self.distance_m.push(distance_m);
        self.elevation_m.push(elevation_m);
    }

    /// A trapezoid from level ground to `height_m` and back; `edge_m` of each sloping edge lie inside its length.
    pub(crate) fn trapezoid(&mut self, from_m: f64, to_m: f64, height_m: f64, edge_m: f64) {
        let edge_m = edge_m.min(0.5 * (to_m - from_m));
        self.to(from_m, 0.0);
        self.to(from_m + edge_m, height_m);
        self.to(to_m - edge_m, height_m);
        self.to(to_m, 0.0);
    }

    /// The road.
    pub(crate) fn road(self) -> Polyline {
        Polyline::new(self.distance_m, self.elevation_m)
    }
}

/// A railway crossed at a right angle: rail heads with a groove for the wheel flange inside each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RailwayCrossing {
    /// Number of tracks.
    pub tracks: u32,
    /// Distance between the middles of neighbouring tracks, m.
    pub track_spacing_m: f64,
    /// Height of the rail heads over the road, m; negative: below it.
    pub rail_height_m: f64,
    /// Width of the grooves, m.
    pub groove_width_m: f64,
    /// Depth of the grooves, m.
    pub groove_depth_m: f64,
    /// Length of every sloping edge, m.
    pub edge_m: f64,
    /// Flat road before the first rail, m.
    pub lead_m: f64,
}

/// Standard gauge, between the inner sides of the rail heads, m (European track engineering, EN 13848-1: 1435 mm).
pub const RAILWAY_GAUGE_M: f64 = 1.435;
/// Width of a rail head, m (rail profile 60E1 of EN 13674-1: 72 mm; from memory).
pub const RAIL_HEAD_M: f64 = 0.072;

impl RailwayCrossing {
    pub(crate) fn line(&self) -> Polyline {
        let mut road = Corners::default();
        for track in 0..self.tracks {
            let outside_m = self.lead_m + f64::from(track) * self.track_spacing_m;
            let inside_m = outside_m + RAIL_HEAD_M;
            let far_m = inside_m + RAILWAY_GAUGE_M;
            road.trapezoid(outside_m, inside_m, self.rail_height_m, self.edge_m);
            road.trapezoid(inside_m, inside_m + self.groove_width_m, -self.groove_depth_m, self.edge_m);
            road.trapezoid(far_m - self.groove_width_m, far_m, -self.groove_depth_m, self.edge_m);
            road.trapezoid(far_m, far_m + RAIL_HEAD_M, self.rail_height_m, self.edge_m);
        }
        road.road()
    }
}

/// Slabs with joints between them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExpansionJoints {
    /// Distance from joint to joint, m.
    pub spacing_m: f64,
    /// Number of joints.
    pub joints: u32,
    /// Length of a joint along the road, m.
    pub gap_m: f64,
    /// Depth of a joint, m; negative: it stands above the road.
    pub depth_m: f64,
    /// How far each slab between two joints rises until its end, m; the next one begins level again.
    pub fault_m: f64,
    /// Length of every sloping edge, m.
    pub edge_m: f64,
    /// Flat road before the first joint, m.
    pub lead_m: f64,
}

impl ExpansionJoints {
    pub(crate) fn line(&self) -> Polyline {
        let mut road = Corners::default();
        let edge_m = self.edge_m.min(0.5 * self.gap_m);
        for joint in 0..self.joints {
            let start_m = self.lead_m + f64::from(joint) * self.spacing_m;
            road.to(start_m, if joint == 0 { 0.0 } else { self.fault_m });
            road.to(start_m + edge_m, -self.depth_m);
            road.to(start_m + self.gap_m - edge_m, -self.depth_m);
            road.to(start_m + self.gap_m, 0.0);
        }
        road.road()
    }
}
