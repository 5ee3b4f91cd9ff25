//! Pictures of plots as files: SVG as it is, PNG drawn from it with the program's own faces.

use anyhow::{Context, Result, anyhow};
use resvg::{tiny_skia, usvg};
use std::path::Path;
use std::sync::Arc;

/// Pixels of a PNG a point of the picture.
const SCALE: f32 = 2.0;

/// What goes into the file of that name.
pub fn bytes(svg: String, path: &Path) -> Result<Vec<u8>> {
    let is_png = path.extension().is_some_and(|e| e.eq_ignore_ascii_case("png"));
    if is_png { png(&svg) } else { Ok(svg.into_bytes()) }
}

fn png(svg: &str) -> Result<Vec<u8>> {
    let mut faces = usvg::fontdb::Database::new();
    for file in washboard_ui::font_files() {
        faces.load_font_data(file.to_vec());
    }
    let options = usvg::Options { fontdb: Arc::new(faces), ..Default::default() };
    let tree = usvg::Tree::from_str(svg, &options).context("the picture cannot be drawn")?;
    let size = tree.size().to_int_size().scale_by(SCALE).ok_or_else(|| anyhow!("the picture has no size"))?;
    let mut pixels =
        tiny_skia::Pixmap::new(size.width(), size.height()).ok_or_else(|| anyhow!("the picture is too large"))?;
    resvg::render(&tree, tiny_skia::Transform::from_scale(SCALE, SCALE), &mut pixels.as_mut());
    pixels.encode_png().context("the picture cannot be packed")
}

#[cfg(test)]
mod tests {
    use super::*;

    const SVG: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="40" height="20" viewBox="0 0 40 20">
        <rect width="40" height="20" fill="#ffffff"/><rect x="10" y="5" width="10" height="10" fill="#0072b2"/></svg>"##;

    #[test]
    fn a_png_has_two_pixels_a_point_and_the_colours_of_the_picture() {
        let bytes = bytes(SVG.to_owned(), Path::new("a.PNG")).unwrap();
        let picture = tiny_skia::Pixmap::decode_png(&bytes).unwrap();
        assert_eq!((picture.width(), picture.height()), (80, 40));
        let at = |x, y| picture.pixel(x, y).map(|p| (p.red(), p.green(), p.blue()));
        assert_eq!((at(30, 20), at(5, 5)), (Some((0x00, 0x72, 0xb2)), Some((255, 255, 255))));
    }

    #[test]
    fn any_other_name_gets_the_drawing_itself() {
        assert_eq!(bytes(SVG.to_owned(), Path::new("a.svg")).unwrap(), SVG.as_bytes());
        assert!(png("no picture").is_err());
    }
}
