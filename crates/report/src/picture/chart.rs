//! Curves over a pair of axes, each with its name where it ends.

use super::axis::Axis;
use super::{Anchor, Color, GRID, INK, LINE, Picture, WEAK};

const SMALL: f32 = 8.0;
const LEFT: f32 = 44.0;
const TOP: f32 = 16.0;
const BOTTOM: f32 = 28.0;
/// Distance of names that would otherwise lie over each other.
const NAMES_APART: f32 = 10.5;

/// One curve.
#[derive(Clone, Debug)]
pub(crate) struct Curve {
    pub name: String,
    pub color: Color,
    pub width: f32,
    pub dash: &'static [f32],
    pub points: Vec<[f64; 2]>,
}

/// A point of its own with a name.
#[derive(Clone, Debug)]
pub(crate) struct Spot {
    pub name: String,
    pub color: Color,
    pub at: [f64; 2],
    /// Its name stands below it and not above.
    pub below: bool,
}

/// A chart; what is first lies behind.
#[derive(Clone, Debug)]
pub(crate) struct Chart {
    pub width: f32,
    pub height: f32,
    /// Room on the right for the names of the curves.
    pub names: f32,
    pub x: Axis,
    pub y: Axis,
    /// Grey between two curves of the same abscissa.
    pub band: Option<(Vec<[f64; 2]>, Vec<[f64; 2]>)>,
    pub curves: Vec<Curve>,
    pub spots: Vec<Spot>,
}

impl Chart {
    pub fn draw(&self) -> Picture {
        let mut picture = Picture::new(self.width, self.height);
        self.draw_into(&mut picture, 0.0);
        picture
    }

    /// Draws with its upper edge at `top`, so that several can stand above each other.
    pub fn draw_into(&self, picture: &mut Picture, top: f32) {
        let (left, right) = (LEFT, self.width - self.names);
        let (upper, lower) = (top + TOP, top + self.height - BOTTOM);
        let at = |[x, y]: [f64; 2]| {
            [left + (right - left) * self.x.place(x) as f32, lower - (lower - upper) * self.y.place(y) as f32]
        };
        if let Some((one, other)) = &self.band {
            let points = one.iter().chain(other.iter().rev()).map(|p| at(*p)).collect();
            picture.shapes.push(super::Shape::Area { points, color: [0xee, 0xec, 0xe7] });
        }
        for (value, text) in self.x.ticks(8) {
            let x = at([value, self.y.low])[0];
            picture.line(vec![[x, upper], [x, lower]], GRID, 0.6, &[]);
            picture.text([x, lower + 10.0], text, SMALL, WEAK, Anchor::Middle);
        }
        for (value, text) in self.y.ticks(((lower - upper) / 18.0) as usize) {
            let y = at([self.x.low, value])[1];
            picture.line(vec![[left, y], [right, y]], GRID, 0.6, &[]);
            picture.text([left - 4.0, y + 2.8], text, SMALL, WEAK, Anchor::End);
        }
        picture.line(vec![[left, upper], [left, lower], [right, lower]], LINE, 0.8, &[]);
        picture.text([left, upper - 5.0], &*self.y.title, SMALL + 0.5, INK, Anchor::Start);
        picture.text([right, lower + 21.0], &*self.x.title, SMALL + 0.5, INK, Anchor::End);
        let mut names = Vec::new();
        for curve in &self.curves {
            let points = thinned(&curve.points.iter().map(|p| at(*p)).collect::<Vec<_>>());
            if let Some(last) = points.last() {
                names.push((last[1], &*curve.name, curve.color));
            }
            picture.line(points, curve.color, curve.width, curve.dash);
        }
        for (y, name, color) in apart(names, upper, lower) {
            picture.strong([right + 5.0, y + 2.8], name, SMALL, color, Anchor::Start);
        }
        for spot in &self.spots {
            let at = at(spot.at);
            picture.shapes.push(super::Shape::Dot { at, radius: 3.2, fill: spot.color, line: [255, 255, 255] });
            let y = if spot.below { at[1] + 12.0 } else { at[1] - 6.0 };
            // A name near an edge hangs inwards.
            let anchor = match (at[0] - left) / (right - left) {
                share if share < 0.1 => Anchor::Start,
                share if share > 0.9 => Anchor::End,
                _ => Anchor::Middle,
            };
            picture.strong([at[0], y], &*spot.name, SMALL, spot.color, anchor);
        }
    }
}

/// Names from top to bottom, moved until none lies over another.
fn apart<'a>(mut names: Vec<(f32, &'a str, Color)>, upper: f32, lower: f32) -> Vec<(f32, &'a str, Color)> {
    names.retain(|(_, name, _)| !name.is_empty());
    names.sort_by(|a, b| a.0.total_cmp(&b.0));
    for i in 1..names.len() {
        names[i].0 = names[i].0.max(names[i - 1].0 + NAMES_APART);
    }
    // What was pushed below the chart goes up again.
    if let Some(last) = names.last_mut() {
        last.0 = last.0.min(lower);
    }
    for i in (1..names.len()).rev() {
        names[i - 1].0 = names[i - 1].0.min(names[i].0 - NAMES_APART);
    }
    if let Some(first) = names.first_mut() {
        first.0 = first.0.max(upper);
    }
    names
}

/// Least distance of points along the abscissa, points of the picture.
const THIN: f32 = 0.5;

/// The same curve with at most its first, lowest, highest and last point in each stretch that the eye cannot part.
fn thinned(points: &[[f32; 2]]) -> Vec<[f32; 2]> {
    let mut out: Vec<[f32; 2]> = Vec::new();
    let mut rest = points;
    while let Some(first) = rest.first() {
        let n = rest.iter().take_while(|p| (p[0] - first[0]).abs() <= THIN).count().max(1);
        let (stretch, after) = rest.split_at(n);
        if n <= 4 {
            out.extend(stretch);
        } else {
            let by_height = |a: &&[f32; 2], b: &&[f32; 2]| a[1].total_cmp(&b[1]);
            let ends =
                [stretch.first(), stretch.iter().min_by(by_height), stretch.iter().max_by(by_height), stretch.last()];
            let mut kept: Vec<[f32; 2]> = ends.into_iter().flatten().copied().collect();
            kept.sort_by(|a, b| a[0].total_cmp(&b[0]));
            out.extend(kept);
        }
        rest = after;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thinning_keeps_ends_and_extremes() {
        let wave: Vec<[f32; 2]> = (0..20_000).map(|i| [i as f32 * 0.02, (i as f32 * 0.3).sin()]).collect();
        let thin = thinned(&wave);
        assert!(thin.len() < 4 * 850, "{}", thin.len());
        assert_eq!((thin.first(), thin.last()), (wave.first(), wave.last()));
        let top = |w: &[[f32; 2]]| w.iter().map(|p| p[1]).fold(f32::MIN, f32::max);
        assert_eq!(top(&thin), top(&wave));
        // A line straight up is no reason for an endless loop.
        assert_eq!(thinned(&[[1.0, 0.0], [1.0, 5.0]]).len(), 2);
    }

    #[test]
    fn names_never_lie_over_each_other() {
        let names = vec![(10.0, "b", INK), (10.0, "a", INK), (99.0, "c", INK), (98.0, "d", INK)];
        let moved = apart(names, 0.0, 100.0);
        assert!(moved.windows(2).all(|w| w[1].0 - w[0].0 >= NAMES_APART - 1e-3), "{moved:?}");
        assert!(moved.iter().all(|n| (0.0..=100.0).contains(&n.0)));
    }
}
