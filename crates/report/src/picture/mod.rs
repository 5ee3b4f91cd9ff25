//! Pictures of a report: lines, areas and text in points, drawn as SVG or onto a page.

pub(crate) mod axis;
pub(crate) mod chart;
pub(crate) mod heat;
pub(crate) mod svg;

/// Red, green, blue.
pub type Color = [u8; 3];

/// Text.
pub(crate) const INK: Color = [0x1f, 0x22, 0x24];
/// Text of less weight.
pub(crate) const WEAK: Color = [0x5c, 0x61, 0x64];
/// Frames.
pub(crate) const LINE: Color = [0xb9, 0xb6, 0xae];
/// Lines of a grid.
pub(crate) const GRID: Color = [0xe6, 0xe3, 0xdc];
/// Colours of the modes (Okabe and Ito 2008).
pub(crate) const MODES: [Color; 6] =
    [[0, 0x72, 0xb2], [0, 0x9e, 0x73], [0xd5, 0x5e, 0], [0xe6, 0x9f, 0], [0x56, 0xb4, 0xe9], [0xcc, 0x79, 0xa7]];
/// Dash patterns of the modes: dash, gap and so on, points; empty: solid.
pub(crate) const DASHES: [&[f32]; 6] =
    [&[], &[10.0, 4.0], &[2.0, 2.5], &[10.0, 3.0, 2.0, 3.0], &[5.0, 3.0], &[10.0, 3.0, 2.0, 3.0, 2.0, 3.0]];

/// Where a text hangs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Anchor {
    #[default]
    Start,
    Middle,
    End,
}

/// One shape; places in points from the upper left corner.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Shape {
    Line { points: Vec<[f32; 2]>, color: Color, width: f32, dash: &'static [f32] },
    Area { points: Vec<[f32; 2]>, color: Color },
    Rect { at: [f32; 2], size: [f32; 2], fill: Option<Color>, line: Option<Color> },
    Dot { at: [f32; 2], radius: f32, fill: Color, line: Color },
    Text { at: [f32; 2], text: String, size: f32, color: Color, anchor: Anchor, strong: bool },
}

/// A drawing of a size in points.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Picture {
    /// Width, points.
    pub width: f32,
    /// Height, points.
    pub height: f32,
    pub(crate) shapes: Vec<Shape>,
}

impl Picture {
    pub(crate) fn new(width: f32, height: f32) -> Picture {
        Picture { width, height, shapes: Vec::new() }
    }

    pub(crate) fn line(&mut self, points: Vec<[f32; 2]>, color: Color, width: f32, dash: &'static [f32]) {
        if points.len() > 1 {
            self.shapes.push(Shape::Line { points, color, width, dash });
        }
    }

    pub(crate) fn text(&mut self, at: [f32; 2], text: impl Into<String>, size: f32, color: Color, anchor: Anchor) {
        let text = text.into();
        if !text.is_empty() {
            self.shapes.push(Shape::Text { at, text, size, color, anchor, strong: false });
        }
    }

    pub(crate) fn strong(&mut self, at: [f32; 2], text: impl Into<String>, size: f32, color: Color, anchor: Anchor) {
        self.shapes.push(Shape::Text { at, text: text.into(), size, color, anchor, strong: true });
    }

    pub(crate) fn rect(&mut self, at: [f32; 2], size: [f32; 2], fill: Option<Color>, line: Option<Color>) {
        self.shapes.push(Shape::Rect { at, size, fill, line });
    }
}

/// A mix of two colours; 0 is the first, 1 the second.
pub(crate) fn mixed(a: Color, b: Color, share: f64) -> Color {
    let share = share.clamp(0.0, 1.0);
    std::array::from_fn(|i| (f64::from(a[i]) * (1.0 - share) + f64::from(b[i]) * share).round() as u8)
}
