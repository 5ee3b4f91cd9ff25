//! A road along one track: height and slope at a place, or their means over the length of the contact patch.

/// Height and slope at one place.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Point {
    pub height_m: f64,
    pub slope: f64,
}

/// A road along one track, over the distance from the start of the event.
pub(crate) trait Line {
    /// Height and slope at a place.
    fn at(&self, x_m: f64) -> Point;

    /// Means over `length_m` around a place: what a tyre that averages over its contact patch feels.
    fn mean(&self, x_m: f64, length_m: f64) -> Point;

    /// True where the slope jumps somewhere.
    fn has_kinks(&self) -> bool;
}

/// Means over `length_m` around a place of a line whose integral from some fixed place on is `area_m2`.
///
/// The mean slope is the height's difference between the patch's ends over its length: the slope of the mean height.
pub(crate) fn mean_by_area(line: &impl Line, x_m: f64, length_m: f64, area_m2: impl Fn(f64) -> f64) -> Point {
    let (from_m, to_m) = (x_m - 0.5 * length_m, x_m + 0.5 * length_m);
    Point {
        height_m: (area_m2(to_m) - area_m2(from_m)) / length_m,
        slope: (line.at(to_m).height_m - line.at(from_m).height_m) / length_m,
    }
}

/// A line that begins `by_m` later and is `times` as high.
pub(crate) struct Shifted<L> {
    pub line: L,
    pub by_m: f64,
    pub times: f64,
}

impl<L: Line> Line for Shifted<L> {
    fn at(&self, x_m: f64) -> Point {
        let Point { height_m, slope } = self.line.at(x_m - self.by_m);
        Point { height_m: self.times * height_m, slope: self.times * slope }
    }

    fn mean(&self, x_m: f64, length_m: f64) -> Point {
        let Point { height_m, slope } = self.line.mean(x_m - self.by_m, length_m);
        Point { height_m: self.times * height_m, slope: self.times * slope }
    }

    fn has_kinks(&self) -> bool {
        self.line.has_kinks()
    }
}

/// The mean of two tracks: what a car on one track meets.
pub(crate) struct Mean<A, B>(pub A, pub B);

fn half_way(a: Point, b: Point) -> Point {
    Point { height_m: 0.5 * (a.height_m + b.height_m), slope: 0.5 * (a.slope + b.slope) }
}

impl<A: Line, B: Line> Line for Mean<A, B> {
    fn at(&self, x_m: f64) -> Point {
        half_way(self.0.at(x_m), self.1.at(x_m))
    }

    fn mean(&self, x_m: f64, length_m: f64) -> Point {
        half_way(self.0.mean(x_m, length_m), self.1.mean(x_m, length_m))
    }

    fn has_kinks(&self) -> bool {
        self.0.has_kinks() || self.1.has_kinks()
    }
}
