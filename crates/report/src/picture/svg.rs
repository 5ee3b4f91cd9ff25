//! A picture as SVG that stands within HTML: no script, no style sheet, text stays text.

use super::{Anchor, Color, Picture, Shape};
use std::fmt::Write;

// Writing to a string cannot fail; the results below are dropped for that reason.

/// The picture, with what it shows in words for readers who do not see it.
pub(crate) fn svg(picture: &Picture, described: &str, number_of_picture: usize) -> String {
    let (w, h) = (number(picture.width), number(picture.height));
    let id = format!("picture-{number_of_picture}");
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {w} {h}\" role=\"img\" aria-labelledby=\"{id}\">\n<title id=\"{id}\">{}</title>\n",
        escaped(described)
    );
    for shape in &picture.shapes {
        put(&mut out, shape);
    }
    out.push_str("</svg>");
    out
}

fn put(out: &mut String, shape: &Shape) {
    match shape {
        Shape::Line { points, color, width, dash } => {
            let _ = write!(
                out,
                "<polyline points=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"",
                joined(points),
                hex(*color),
                number(*width)
            );
            if !dash.is_empty() {
                let dash: Vec<String> = dash.iter().map(|d| number(*d)).collect();
                let _ = write!(out, " stroke-dasharray=\"{}\"", dash.join(" "));
            }
            out.push_str("/>\n");
        }
        Shape::Area { points, color } => {
            let _ = writeln!(out, "<polygon points=\"{}\" fill=\"{}\"/>", joined(points), hex(*color));
        }
        Shape::Rect { at, size, fill, line } => {
            let _ = writeln!(
                out,
                "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"{}\" stroke=\"{}\"/>",
                number(at[0]),
                number(at[1]),
                number(size[0]),
                number(size[1]),
                fill.map_or("none".to_owned(), hex),
                line.map_or("none".to_owned(), hex)
            );
        }
        Shape::Dot { at, radius, fill, line } => {
            let _ = writeln!(
                out,
                "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"{}\" stroke=\"{}\"/>",
                number(at[0]),
                number(at[1]),
                number(*radius),
                hex(*fill),
                hex(*line)
            );
        }
        Shape::Text { at, text, size, color, anchor, strong } => {
            let anchor = match anchor {
                Anchor::Start => "",
                Anchor::Middle => " text-anchor=\"middle\"",
                Anchor::End => " text-anchor=\"end\"",
            };
            let weight = if *strong { " font-weight=\"600\"" } else { "" };
            let _ = writeln!(
                out,
                "<text x=\"{}\" y=\"{}\" font-size=\"{}\" fill=\"{}\"{anchor}{weight}>{}</text>",
                number(at[0]),
                number(at[1]),
                number(*size),
                hex(*color),
                escaped(text)
            );
        }
    }
}

fn joined(points: &[[f32; 2]]) -> String {
    points.iter().map(|[x, y]| format!("{},{}", number(*x), number(*y))).collect::<Vec<_>>().join(" ")
}

fn hex([r, g, b]: Color) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// At most two decimals, none where they are zero.
fn number(value: f32) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text.is_empty() || text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// Text that may stand in XML: signs escaped, characters that XML forbids left out.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for sign in text.chars() {
        match sign {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}
