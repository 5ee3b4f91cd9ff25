//! Draws what the setter placed, and the line at the foot of each page.

use super::face::{Faces, Style};
use super::setter::{Op, Pages, Placed, WIDTH};
use super::{BELOW, PAGE, SIDE};
use crate::picture::{Anchor, Color, LINE, Picture, Shape, WEAK};
use krilla::Document;
use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point, Rect, Transform};
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, SpanTag};

const FOOT: f32 = 7.5;

/// All pages; `None` if a page had no size.
pub(crate) fn pages(document: &mut Document, pages: &mut Pages, faces: &Faces, running: &str) -> Option<()> {
    let count = pages.pages.len();
    for (number, placed) in std::mem::take(&mut pages.pages).into_iter().enumerate() {
        let mut page = document.start_page_with(PageSettings::from_wh(PAGE[0], PAGE[1])?);
        let mut surface = page.surface();
        for group in placed.chunk_by(|a, b| a.0 == b.0) {
            draw_group(&mut surface, pages, faces, group);
        }
        surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Footer)));
        foot(&mut surface, faces, running, &format!("page {} of {count}", number + 1));
        surface.end_tagged();
        surface.finish();
        page.finish();
    }
    Some(())
}

/// What follows each other on a page and belongs together.
fn draw_group(surface: &mut Surface<'_>, pages: &mut Pages, faces: &Faces, group: &[Placed]) {
    let Some((part, first)) = group.first() else { return };
    let tag = match (part, first) {
        (None, _) => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)),
        (Some(_), Op::Text { .. }) => ContentTag::Span(SpanTag::empty()),
        (Some(_), _) => ContentTag::Other,
    };
    let drawn = surface.start_tagged(tag);
    for (_, op) in group {
        match op {
            Op::Text { at, text, style, size, color } => text_at(surface, faces, *at, text, *style, *size, *color),
            Op::Fill { at, size, color } => filled(surface, rectangle(*at, *size), *color),
            Op::Picture { at, picture, scale } => {
                surface.push_transform(&Transform::from_row(*scale, 0.0, 0.0, *scale, at[0], at[1]));
                draw_picture(surface, faces, picture);
                surface.pop();
            }
        }
    }
    surface.end_tagged();
    if let Some(part) = part {
        pages.structure.drawn(*part, drawn);
    }
}

fn foot(surface: &mut Surface<'_>, faces: &Faces, running: &str, number: &str) {
    let top = PAGE[1] - BELOW + 18.0;
    filled(surface, rectangle([SIDE, top], [WIDTH, 0.6]), LINE);
    let right = faces.width(Style::Numbers, FOOT, number);
    let room = WIDTH - right - 16.0;
    let mut left = running.to_owned();
    while faces.width(Style::Plain, FOOT, &left) > room && left.pop().is_some() {}
    text_at(surface, faces, [SIDE, top + 11.0], &left, Style::Plain, FOOT, WEAK);
    text_at(surface, faces, [SIDE + WIDTH - right, top + 11.0], number, Style::Numbers, FOOT, WEAK);
}

fn paint(color: Color) -> Fill {
    let [r, g, b] = color;
    Fill { paint: rgb::Color::new(r, g, b).into(), opacity: NormalizedF32::ONE, rule: FillRule::NonZero }
}

fn text_at(surface: &mut Surface<'_>, faces: &Faces, at: [f32; 2], text: &str, style: Style, size: f32, color: Color) {
    surface.set_fill(Some(paint(color)));
    surface.set_stroke(None);
    let mut x = at[0];
    for run in faces.runs(style, text) {
        surface.draw_glyphs(Point::from_xy(x, at[1]), &run.glyphs, run.font, &run.text, size, false);
        x += run.width * size;
    }
}

fn rectangle(at: [f32; 2], size: [f32; 2]) -> Option<Path> {
    let mut path = PathBuilder::new();
    path.push_rect(Rect::from_xywh(at[0], at[1], size[0], size[1])?);
    path.finish()
}

fn filled(surface: &mut Surface<'_>, path: Option<Path>, color: Color) {
    if let Some(path) = path {
        surface.set_stroke(None);
        surface.set_fill(Some(paint(color)));
        surface.draw_path(&path);
    }
}

fn stroked(surface: &mut Surface<'_>, path: Option<Path>, color: Color, width: f32, dash: &[f32]) {
    if let Some(path) = path {
        let [r, g, b] = color;
        surface.set_fill(None);
        surface.set_stroke(Some(Stroke {
            paint: rgb::Color::new(r, g, b).into(),
            width,
            line_join: LineJoin::Round,
            dash: (!dash.is_empty()).then(|| StrokeDash { array: dash.to_vec(), offset: 0.0 }),
            ..Stroke::default()
        }));
        surface.draw_path(&path);
    }
}

fn along(points: &[[f32; 2]], is_closed: bool) -> Option<Path> {
    let mut path = PathBuilder::new();
    let (first, rest) = points.split_first()?;
    path.move_to(first[0], first[1]);
    rest.iter().for_each(|p| path.line_to(p[0], p[1]));
    if is_closed {
        path.close();
    }
    path.finish()
}

/// A circle of four curves; 0.5523 makes the error of its radius least (within 0.03 %).
fn circle([x, y]: [f32; 2], r: f32) -> Option<Path> {
    let k = 0.5523 * r;
    let mut path = PathBuilder::new();
    path.move_to(x + r, y);
    path.cubic_to(x + r, y + k, x + k, y + r, x, y + r);
    path.cubic_to(x - k, y + r, x - r, y + k, x - r, y);
    path.cubic_to(x - r, y - k, x - k, y - r, x, y - r);
    path.cubic_to(x + k, y - r, x + r, y - k, x + r, y);
    path.close();
    path.finish()
}

fn draw_picture(surface: &mut Surface<'_>, faces: &Faces, picture: &Picture) {
    for shape in &picture.shapes {
        match shape {
            Shape::Line { points, color, width, dash } => stroked(surface, along(points, false), *color, *width, dash),
            Shape::Area { points, color } => filled(surface, along(points, true), *color),
            Shape::Rect { at, size, fill, line } => {
                if let Some(color) = fill {
                    filled(surface, rectangle(*at, *size), *color);
                }
                if let Some(color) = line {
                    stroked(surface, rectangle(*at, *size), *color, 0.8, &[]);
                }
            }
            Shape::Dot { at, radius, fill, line } => {
                filled(surface, circle(*at, *radius), *fill);
                stroked(surface, circle(*at, *radius), *line, 0.8, &[]);
            }
            Shape::Text { at, text, size, color, anchor, strong } => {
                let style = if *strong { Style::StrongNumbers } else { Style::Numbers };
                let width = faces.width(style, *size, text);
                let x = match anchor {
                    Anchor::Start => at[0],
                    Anchor::Middle => at[0] - width / 2.0,
                    Anchor::End => at[0] - width,
                };
                text_at(surface, faces, [x, at[1]], text, style, *size, *color);
            }
        }
    }
}
