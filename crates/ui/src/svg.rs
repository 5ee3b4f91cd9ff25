//! Shapes as drawn on screen become an SVG picture: lines stay lines and text stays text.

use crate::theme;
use egui::epaint::{ClippedShape, ColorMode, EllipseShape, Mesh, PathShape, PathStroke, RectShape, TextShape};
use egui::{Color32, FontFamily, Pos2, Rect, Shape, Stroke, StrokeKind, Vec2, vec2};
use std::fmt::Write;

/// A picture of that size in points, on a ground of one colour.
pub(crate) fn picture(title: &str, size: Vec2, ground: Color32, shapes: &[ClippedShape]) -> String {
    let mut svg = Svg { text: String::new(), clips: Vec::new() };
    let (w, h) = (number(size.x), number(size.y));
    for ClippedShape { clip_rect, shape, .. } in shapes {
        let bounds = Rect::from_min_size(Pos2::ZERO, size);
        let clip = clip_rect.intersect(bounds);
        if !clip.is_positive() {
            continue;
        }
        let before = svg.text.len();
        svg.shape(shape);
        if svg.text.len() > before && clip != bounds {
            let drawn = svg.text.split_off(before);
            let index = svg.clip(clip);
            let _ = writeln!(svg.text, "<g clip-path=\"url(#c{index})\">\n{drawn}</g>");
        }
    }
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {w} {h}\">\n<title>{}</title>\n",
        escaped(title)
    );
    if !svg.clips.is_empty() {
        out.push_str("<defs>\n");
        for (i, clip) in svg.clips.iter().enumerate() {
            let _ = writeln!(out, "<clipPath id=\"c{i}\"><rect {}/></clipPath>", at(*clip));
        }
        out.push_str("</defs>\n");
    }
    let _ = writeln!(out, "<rect width=\"{w}\" height=\"{h}\" {}/>", fill(ground));
    out.push_str(&svg.text);
    out.push_str("</svg>\n");
    out
}

struct Svg {
    text: String,
    clips: Vec<Rect>,
}

// Writing to a string cannot fail; the results below are dropped for that reason.
impl Svg {
    fn clip(&mut self, rect: Rect) -> usize {
        self.clips.iter().position(|c| *c == rect).unwrap_or_else(|| {
            self.clips.push(rect);
            self.clips.len() - 1
        })
    }

    fn shape(&mut self, shape: &Shape) {
        match shape {
            Shape::Vec(all) => all.iter().for_each(|s| self.shape(s)),
            Shape::Circle(c) => {
                let (x, y, r) = (number(c.center.x), number(c.center.y), number(c.radius));
                let _ = writeln!(
                    self.text,
                    "<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\" {} {}/>",
                    fill(c.fill),
                    stroke(c.stroke)
                );
            }
            Shape::Ellipse(EllipseShape { center, radius, fill: inside, stroke: line, .. }) => {
                let (x, y, rx, ry) = (number(center.x), number(center.y), number(radius.x), number(radius.y));
                let _ = writeln!(
                    self.text,
                    "<ellipse cx=\"{x}\" cy=\"{y}\" rx=\"{rx}\" ry=\"{ry}\" {} {}/>",
                    fill(*inside),
                    stroke(*line)
                );
            }
            Shape::LineSegment { points, stroke: line } if !line.is_empty() => {
                let [a, b] = points;
                let _ = writeln!(
                    self.text,
                    "<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" {}/>",
                    number(a.x),
                    number(a.y),
                    number(b.x),
                    number(b.y),
                    stroke(*line)
                );
            }
            Shape::Path(path) => self.path(path),
            Shape::Rect(rect) => self.rect(rect),
            Shape::Text(text) => self.text(text),
            Shape::Mesh(mesh) => self.mesh(mesh),
            Shape::QuadraticBezier(curve) => self.path(&curve.to_path_shape(None)),
            Shape::CubicBezier(curve) => curve.to_path_shapes(None, None).iter().for_each(|p| self.path(p)),
            // Nothing in a plot is drawn with these.
            Shape::Noop | Shape::LineSegment { .. } | Shape::Band(_) | Shape::Callback(_) => {}
        }
    }

    fn path(&mut self, path: &PathShape) {
        if path.points.len() < 2 {
            return;
        }
        let points: Vec<String> = path.points.iter().map(|p| format!("{},{}", number(p.x), number(p.y))).collect();
        let name = if path.closed { "polygon" } else { "polyline" };
        let _ = writeln!(
            self.text,
            "<{name} points=\"{}\" {} {} stroke-linejoin=\"round\"/>",
            points.join(" "),
            fill(path.fill),
            stroke(solid(&path.stroke))
        );
    }

    fn rect(&mut self, shape: &RectShape) {
        let half = shape.stroke.width / 2.0;
        let rect = match shape.stroke_kind {
            StrokeKind::Inside => shape.rect.shrink(half),
            StrokeKind::Middle => shape.rect,
            StrokeKind::Outside => shape.rect.expand(half),
        };
        if rect.is_positive() && !(shape.fill == Color32::TRANSPARENT && shape.stroke.is_empty()) {
            let round = number(f32::from(shape.corner_radius.nw));
            let _ = writeln!(
                self.text,
                "<rect {} rx=\"{round}\" {} {}/>",
                at(rect),
                fill(shape.fill),
                stroke(shape.stroke)
            );
        }
    }

    /// Triangles of one colour, all turning the same way so that no seam shows between them.
    fn mesh(&mut self, mesh: &Mesh) {
        let Some(color) = mesh.vertices.first().map(|v| v.color) else { return };
        let mut path = String::new();
        for [a, b, c] in mesh.triangles() {
            let corner = |i: u32| mesh.vertices.get(i as usize).map(|v| v.pos);
            let (Some(a), Some(b), Some(c)) = (corner(a), corner(b), corner(c)) else { continue };
            let (b, c) = if (b - a).rot90().dot(c - a) < 0.0 { (c, b) } else { (b, c) };
            let _ = write!(
                path,
                "M{} {}L{} {}L{} {}Z",
                number(a.x),
                number(a.y),
                number(b.x),
                number(b.y),
                number(c.x),
                number(c.y)
            );
        }
        let _ = writeln!(self.text, "<path d=\"{path}\" {}/>", fill(color));
    }

    fn text(&mut self, shape: &TextShape) {
        let job = &shape.galley.job;
        let turn = if shape.angle == 0.0 {
            String::new()
        } else {
            let (degrees, x, y) = (shape.angle.to_degrees(), number(shape.pos.x), number(shape.pos.y));
            format!(" transform=\"rotate({} {x} {y})\"", number(degrees))
        };
        // Rows hold one glyph a character of the text, line ends apart.
        let mut starts = job.text.char_indices().map(|(at, _)| at);
        for row in &shape.galley.rows {
            let mut runs: Vec<(usize, String, Vec2, f32)> = Vec::new();
            for glyph in &row.glyphs {
                let byte = starts.next().unwrap_or(job.text.len());
                let section = job
                    .sections
                    .iter()
                    .position(|s| (usize::from(s.byte_range.start)..usize::from(s.byte_range.end)).contains(&byte));
                let section = section.unwrap_or(0);
                let from = shape.pos.to_vec2() + row.pos.to_vec2() + glyph.pos.to_vec2();
                match runs.last_mut() {
                    Some((of, text, at, width)) if *of == section => {
                        text.push(glyph.chr);
                        *width = from.x + glyph.advance_width - at.x;
                    }
                    _ => runs.push((section, glyph.chr.to_string(), from, glyph.advance_width)),
                }
            }
            if row.ends_with_newline {
                starts.next();
            }
            for (section, text, from, width) in runs {
                let Some(format) = job.sections.get(section).map(|s| &s.format) else { continue };
                let own = if format.color == Color32::PLACEHOLDER { shape.fallback_color } else { format.color };
                let color = shape.override_text_color.unwrap_or(own).gamma_multiply(shape.opacity_factor);
                let text = text.trim_end();
                if text.is_empty() {
                    continue;
                }
                let _ = writeln!(
                    self.text,
                    "<text x=\"{}\" y=\"{}\" {} font-size=\"{}\" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\" {}{turn}>{}</text>",
                    number(from.x),
                    number(from.y),
                    face(&format.font_id.family),
                    number(format.font_id.size),
                    number(width),
                    fill(color),
                    escaped(text)
                );
            }
        }
    }
}

/// Face by name, with ones behind it where a reader does not have it.
fn face(family: &FontFamily) -> String {
    let (name, weight) = theme::face(family);
    let behind = if name == "Inter" { "" } else { "Inter, " };
    format!("font-family=\"{name}, {behind}DejaVu Sans, Arial, sans-serif\" font-weight=\"{weight}\"")
}

fn solid(stroke: &PathStroke) -> Stroke {
    match &stroke.color {
        ColorMode::Solid(color) => Stroke::new(stroke.width, *color),
        ColorMode::UV(_) => Stroke::NONE,
    }
}

fn at(rect: Rect) -> String {
    let size = vec2(rect.width(), rect.height());
    format!(
        "x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"",
        number(rect.left()),
        number(rect.top()),
        number(size.x),
        number(size.y)
    )
}

fn fill(color: Color32) -> String {
    paint("fill", color)
}

fn stroke(stroke: Stroke) -> String {
    if stroke.is_empty() {
        return "stroke=\"none\"".to_owned();
    }
    format!("{} stroke-width=\"{}\"", paint("stroke", stroke.color), number(stroke.width))
}

fn paint(what: &str, color: Color32) -> String {
    let [r, g, b, a] = color.to_srgba_unmultiplied();
    match a {
        0 => format!("{what}=\"none\""),
        255 => format!("{what}=\"#{r:02x}{g:02x}{b:02x}\""),
        _ => format!("{what}=\"#{r:02x}{g:02x}{b:02x}\" {what}-opacity=\"{}\"", number(f32::from(a) / 255.0)),
    }
}

/// At most two decimals, none where they are zero.
fn number(value: f32) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text.is_empty() || text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    fn of(shape: Shape) -> String {
        let all = [ClippedShape {
            clip_rect: Rect::EVERYTHING,
            shape,
            transform_after_tessellation: egui::emath::TSTransform::IDENTITY,
        }];
        picture("a < b", vec2(100.0, 50.0), Color32::WHITE, &all)
    }

    #[test]
    fn a_line_keeps_its_ends_width_and_colour() {
        let line =
            Shape::line_segment([pos2(1.0, 2.0), pos2(30.5, 40.0)], Stroke::new(1.5, Color32::from_rgb(0, 114, 178)));
        let svg = of(line);
        assert!(
            svg.contains("<line x1=\"1\" y1=\"2\" x2=\"30.5\" y2=\"40\" stroke=\"#0072b2\" stroke-width=\"1.5\"/>"),
            "{svg}"
        );
        assert!(svg.contains("viewBox=\"0 0 100 50\"") && svg.contains("<title>a &lt; b</title>"), "{svg}");
    }

    #[test]
    fn half_seen_colours_keep_their_strength() {
        let half = Color32::from_rgba_unmultiplied(200, 0, 0, 128);
        assert!(of(Shape::circle_filled(pos2(5.0, 5.0), 2.0, half)).contains("fill-opacity=\"0.5\""));
    }

    #[test]
    fn triangles_of_a_band_turn_the_same_way() {
        let mut mesh = Mesh::default();
        for p in [pos2(0.0, 0.0), pos2(0.0, 10.0), pos2(10.0, 0.0), pos2(10.0, 10.0)] {
            mesh.colored_vertex(p, Color32::GRAY);
        }
        mesh.add_triangle(0, 1, 2);
        mesh.add_triangle(1, 2, 3);
        let svg = of(Shape::mesh(mesh));
        // Both clockwise on screen: the shared edge is run through once each way.
        assert!(svg.contains("M0 0L10 0L0 10Z") || svg.contains("M0 0L0 10L10 0Z"), "{svg}");
        let area = |t: &str| -> f32 {
            let n: Vec<f32> = t.split(['M', 'L', ' ']).filter_map(|v| v.parse().ok()).collect();
            (n[2] - n[0]) * (n[5] - n[1]) - (n[3] - n[1]) * (n[4] - n[0])
        };
        let path = svg.split("d=\"").nth(1).and_then(|t| t.split('"').next()).unwrap();
        let signs: Vec<bool> = path.split('Z').filter(|t| !t.is_empty()).map(|t| area(t) > 0.0).collect();
        assert!(signs.len() == 2 && signs[0] == signs[1], "{path}");
    }

    #[test]
    fn what_lies_outside_its_clip_is_not_drawn() {
        let outside = Rect::from_min_max(pos2(200.0, 0.0), pos2(300.0, 50.0));
        let shape = Shape::circle_filled(pos2(5.0, 5.0), 2.0, Color32::RED);
        let all = [ClippedShape {
            clip_rect: outside,
            shape,
            transform_after_tessellation: egui::emath::TSTransform::IDENTITY,
        }];
        assert!(!picture("", vec2(100.0, 50.0), Color32::WHITE, &all).contains("<circle"));
    }
}
