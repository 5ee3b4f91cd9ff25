//! Dash patterns of the modes, and the curves and bands that plots are made of.

use crate::theme::Look;
use egui::{Color32, Pos2, Shape, Stroke, Ui, pos2};
use egui_plot::{PlotBounds, PlotGeometry, PlotItem, PlotItemBase, PlotPoint, PlotTransform};
use std::ops::RangeInclusive;

/// Lengths of dashes and gaps, points; empty: solid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Dash {
    dashes: &'static [f32],
    gaps: &'static [f32],
}

const PATTERNS: [Dash; 6] = [
    Dash { dashes: &[], gaps: &[] },
    Dash { dashes: &[10.0], gaps: &[4.0] },
    Dash { dashes: &[2.0], gaps: &[2.5] },
    Dash { dashes: &[10.0, 2.0], gaps: &[3.0, 3.0] },
    Dash { dashes: &[5.0], gaps: &[3.0] },
    Dash { dashes: &[10.0, 2.0, 2.0], gaps: &[3.0, 3.0, 3.0] },
];

impl Dash {
    /// An unbroken line.
    pub const SOLID: Dash = PATTERNS[0];

    /// The pattern of a mode by its place in the session.
    pub fn of_mode(index: usize) -> Dash {
        PATTERNS[index % PATTERNS.len()]
    }

    /// Adds the shapes of a line through `points`.
    pub fn line(self, points: &[Pos2], stroke: Stroke, shapes: &mut Vec<Shape>) {
        if points.len() < 2 {
            return;
        }
        if self.dashes.is_empty() {
            shapes.push(Shape::line(points.to_vec(), stroke));
        } else {
            // Wider strokes need longer dashes to keep their pattern.
            let stretch = (stroke.width / 1.5).max(1.0);
            let dashes: Vec<f32> = self.dashes.iter().map(|d| d * stretch).collect();
            let gaps: Vec<f32> = self.gaps.iter().map(|g| g * stretch).collect();
            Shape::dashed_line_many_with_offset(points, stroke, &dashes, &gaps, 0.0, shapes);
        }
    }

    /// Draws a short sample, as on a mode's chip.
    pub fn sample(self, painter: &egui::Painter, from: Pos2, length: f32, stroke: Stroke) {
        let mut shapes = Vec::new();
        self.line(&[from, from + egui::vec2(length, 0.0)], stroke, &mut shapes);
        painter.extend(shapes);
    }
}

/// A curve with a dash pattern of its own, thinned to the pixels it can fill.
pub(crate) struct Curve {
    base: PlotItemBase,
    points: Vec<PlotPoint>,
    color: Color32,
    width: f32,
    dash: Dash,
    thinned: bool,
}

impl Curve {
    /// A curve; its points rise in x.
    pub fn new(name: impl Into<String>, points: impl IntoIterator<Item = [f64; 2]>) -> Self {
        Curve {
            base: PlotItemBase::new(name.into()),
            points: points.into_iter().filter(|p| p[0].is_finite() && p[1].is_finite()).map(PlotPoint::from).collect(),
            color: Color32::GRAY,
            width: 1.5,
            dash: Dash::SOLID,
            thinned: true,
        }
    }

    /// Colour, width and dash.
    pub fn stroke(mut self, color: Color32, width: f32, dash: Dash) -> Self {
        self.color = color;
        self.width = width;
        self.dash = dash;
        self
    }

    /// The look of a mode: thick in front, thin behind.
    pub fn of_mode(self, look: &Look, mode: usize, in_front: bool) -> Self {
        self.stroke(look.mode(mode), if in_front { look.front } else { look.behind }, Dash::of_mode(mode))
    }

    /// Keeps every point: for curves that turn back in x.
    pub fn unsorted(mut self) -> Self {
        self.thinned = false;
        self
    }

    /// Name on screen.
    pub fn label(&self) -> &str {
        self.name()
    }

    /// Its colour.
    pub fn tint(&self) -> Color32 {
        self.color
    }

    /// Its points, in the coordinates of the plot.
    pub fn points(&self) -> impl Iterator<Item = [f64; 2]> {
        self.points.iter().map(|p| [p.x, p.y])
    }

    /// The value at `x`, linear between points; nothing outside.
    pub fn at(&self, x: f64) -> Option<f64> {
        let next = self.points.partition_point(|p| p.x < x);
        let after = self.points.get(next)?;
        if after.x == x {
            return Some(after.y);
        }
        let before = self.points.get(next.checked_sub(1)?)?;
        Some(before.y + (after.y - before.y) * (x - before.x) / (after.x - before.x))
    }
}

/// Screen points with at most a first, lowest, highest and last one a pixel column, in their order.
fn thin(points: &[Pos2]) -> Vec<Pos2> {
    let mut thinned: Vec<Pos2> = Vec::new();
    let mut start = 0;
    while start < points.len() {
        let column = points[start].x.floor();
        let mut end = start + 1;
        while end < points.len() && points[end].x.floor() == column {
            end += 1;
        }
        let run = &points[start..end];
        if run.len() <= 4 {
            thinned.extend_from_slice(run);
        } else {
            let (mut low, mut high) = (0, 0);
            for (i, p) in run.iter().enumerate() {
                if p.y < run[low].y {
                    low = i;
                }
                if p.y > run[high].y {
                    high = i;
                }
            }
            let mut keep = [0, low.min(high), low.max(high), run.len() - 1];
            keep.sort_unstable();
            let mut last = usize::MAX;
            for i in keep {
                if i != last {
                    thinned.push(run[i]);
                    last = i;
                }
            }
        }
        start = end;
    }
    thinned
}

impl PlotItem for Curve {
    fn shapes(&self, _ui: &Ui, transform: &PlotTransform, shapes: &mut Vec<Shape>) {
        let screen: Vec<Pos2> = self.points.iter().map(|p| transform.position_from_point(p)).collect();
        // Points far outside would make endless dashes.
        let frame = transform.frame().expand(400.0);
        let screen: Vec<Pos2> = screen
            .into_iter()
            .map(|p| pos2(p.x.clamp(frame.left(), frame.right()), p.y.clamp(frame.top(), frame.bottom())))
            .collect();
        let screen = if self.thinned { thin(&screen) } else { screen };
        self.dash.line(&screen, Stroke::new(self.width, self.color), shapes);
    }

    fn initialize(&mut self, _x_range: RangeInclusive<f64>) {}

    fn color(&self) -> Color32 {
        self.color
    }

    fn allow_hover(&self) -> bool {
        false
    }

    fn geometry(&self) -> PlotGeometry<'_> {
        PlotGeometry::None
    }

    // Charts set their bounds themselves.
    fn bounds(&self) -> PlotBounds {
        PlotBounds::NOTHING
    }

    fn base(&self) -> &PlotItemBase {
        &self.base
    }

    fn base_mut(&mut self) -> &mut PlotItemBase {
        &mut self.base
    }
}

/// The area between two curves over the same x.
pub(crate) struct Band {
    base: PlotItemBase,
    low: Vec<PlotPoint>,
    high: Vec<PlotPoint>,
    color: Color32,
}

impl Band {
    /// A band; the three slices are as long as the shortest of them.
    pub fn new(name: impl Into<String>, x: &[f64], one: &[f64], other: &[f64], color: Color32) -> Self {
        let n = x.len().min(one.len()).min(other.len());
        let line = |pick: fn(f64, f64) -> f64| {
            (0..n).map(|i| PlotPoint::new(x[i], pick(one[i], other[i]))).filter(|p| p.y.is_finite()).collect()
        };
        Band { base: PlotItemBase::new(name.into()), low: line(f64::min), high: line(f64::max), color }
    }
}

impl PlotItem for Band {
    fn shapes(&self, _ui: &Ui, transform: &PlotTransform, shapes: &mut Vec<Shape>) {
        let mut mesh = egui::Mesh::default();
        for (low, high) in self.low.iter().zip(&self.high) {
            for p in [low, high] {
                mesh.colored_vertex(transform.position_from_point(p), self.color);
            }
            let n = mesh.vertices.len() as u32;
            if n >= 4 {
                mesh.add_triangle(n - 4, n - 3, n - 2);
                mesh.add_triangle(n - 3, n - 2, n - 1);
            }
        }
        shapes.push(Shape::mesh(mesh));
    }

    fn initialize(&mut self, _x_range: RangeInclusive<f64>) {}

    fn color(&self) -> Color32 {
        self.color
    }

    fn allow_hover(&self) -> bool {
        false
    }

    fn geometry(&self) -> PlotGeometry<'_> {
        PlotGeometry::None
    }

    fn bounds(&self) -> PlotBounds {
        PlotBounds::NOTHING
    }

    fn base(&self) -> &PlotItemBase {
        &self.base
    }

    fn base_mut(&mut self) -> &mut PlotItemBase {
        &mut self.base
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thinning_keeps_extremes_ends_and_order() {
        let points: Vec<Pos2> = (0..1000).map(|i| pos2(i as f32 * 0.01, ((i * 7919) % 101) as f32)).collect();
        let thinned = thin(&points);
        assert!(thinned.len() <= 40, "{} points for ten pixel columns", thinned.len());
        assert_eq!(thinned.first(), points.first());
        assert_eq!(thinned.last(), points.last());
        assert!(thinned.windows(2).all(|w| w[0].x <= w[1].x));
        let highest = |p: &[Pos2]| p.iter().map(|p| p.y).fold(f32::MIN, f32::max);
        let lowest = |p: &[Pos2]| p.iter().map(|p| p.y).fold(f32::MAX, f32::min);
        assert_eq!(highest(&thinned), highest(&points));
        assert_eq!(lowest(&thinned), lowest(&points));
    }

    #[test]
    fn six_modes_have_six_patterns() {
        for a in 0..6 {
            for b in 0..a {
                assert_ne!(Dash::of_mode(a), Dash::of_mode(b));
            }
        }
    }
}
