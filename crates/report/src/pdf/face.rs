//! The program's own fonts: which of them has a sign, how wide a text is, and its glyphs.

use harfrust::{FontRef, ShapeOptions, ShaperData, UnicodeBuffer};
use krilla::text::{Font, GlyphId, KrillaGlyph};
use std::cell::RefCell;
use std::collections::HashMap;

/// How a text is set.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub(crate) enum Style {
    #[default]
    Plain,
    Strong,
    /// Digits of equal width.
    Numbers,
    StrongNumbers,
    Code,
}

const FILES: [&[u8]; 6] = [
    include_bytes!("../../../../assets/fonts/Inter-Regular.otf"),
    include_bytes!("../../../../assets/fonts/Inter-SemiBold.otf"),
    include_bytes!("../../../../assets/fonts/WashboardNumbers-Regular.otf"),
    include_bytes!("../../../../assets/fonts/WashboardNumbers-SemiBold.otf"),
    include_bytes!("../../../../assets/fonts/B612Mono-Bold.otf"),
    include_bytes!("../../../../assets/fonts/DejaVuSans.ttf"),
];

impl Style {
    /// Fonts to ask for a sign, in this order.
    fn order(self) -> &'static [usize] {
        match self {
            Style::Plain => &[0, 5],
            Style::Strong => &[1, 0, 5],
            Style::Numbers => &[2, 0, 5],
            Style::StrongNumbers => &[3, 1, 0, 5],
            Style::Code => &[4, 0, 5],
        }
    }
}

struct Face {
    font: Font,
    read: FontRef<'static>,
    shaper: ShaperData,
}

/// All fonts, read once.
pub(crate) struct Faces {
    faces: Vec<Face>,
    has: RefCell<HashMap<(usize, char), bool>>,
    widths: RefCell<HashMap<(Style, String), f32>>,
}

/// A piece of text in one font.
pub(crate) struct Run {
    pub font: Font,
    pub text: String,
    pub glyphs: Vec<KrillaGlyph>,
    /// Width over the size of the font.
    pub width: f32,
}

impl Faces {
    /// Reads the fonts; `None` where one cannot be read.
    pub fn load() -> Option<Faces> {
        let face = |file: &&'static [u8]| {
            let read = FontRef::new(file).ok()?;
            Some(Face { font: Font::new((*file).into(), 0)?, shaper: ShaperData::new(&read), read })
        };
        let faces = FILES.iter().map(face).collect::<Option<Vec<Face>>>()?;
        Some(Faces { faces, has: RefCell::default(), widths: RefCell::default() })
    }

    fn shaped(&self, face: usize, text: &str) -> (Vec<KrillaGlyph>, f32) {
        let face = &self.faces[face];
        let shaper = face.shaper.shaper(&face.read).build();
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.guess_segment_properties();
        let em = shaper.units_per_em().max(1) as f32;
        let shaped = shaper.shape(buffer, ShapeOptions::new());
        let starts: Vec<usize> = shaped.glyph_infos().iter().map(|i| i.cluster as usize).collect();
        // A glyph stands for the text up to the next cluster, in whichever direction the text runs.
        let end_of = |start: usize| starts.iter().copied().filter(|s| *s > start).min().unwrap_or(text.len());
        let mut width = 0.0;
        let glyphs = shaped.glyph_infos().iter().zip(shaped.glyph_positions()).map(|(info, at)| {
            let start = info.cluster as usize;
            let advance = at.x_advance as f32 / em;
            width += advance;
            let glyph = GlyphId::new(info.glyph_id);
            KrillaGlyph::new(
                glyph,
                advance,
                at.x_offset as f32 / em,
                at.y_offset as f32 / em,
                0.0,
                start..end_of(start),
                None,
            )
        });
        (glyphs.collect(), width)
    }

    fn has(&self, face: usize, sign: char) -> bool {
        *self.has.borrow_mut().entry((face, sign)).or_insert_with(|| {
            let (glyphs, _) = self.shaped(face, sign.encode_utf8(&mut [0; 4]));
            glyphs.iter().all(|g| g.glyph_id != GlyphId::new(0))
        })
    }

    fn face_for(&self, style: Style, sign: char) -> usize {
        let order = style.order();
        order.iter().copied().find(|f| self.has(*f, sign)).unwrap_or(order[0])
    }

    /// A text as pieces, each in the first font that has its signs.
    pub fn runs(&self, style: Style, text: &str) -> Vec<Run> {
        let mut parts: Vec<(usize, String)> = Vec::new();
        for sign in text.chars().map(|c| if c.is_control() { ' ' } else { c }) {
            // A space goes with what stands before it.
            let face = match parts.last() {
                Some((face, _)) if sign == ' ' => *face,
                _ => self.face_for(style, sign),
            };
            match parts.last_mut() {
                Some((known, part)) if *known == face => part.push(sign),
                _ => parts.push((face, sign.to_string())),
            }
        }
        let run = |(face, text): (usize, String)| {
            let (glyphs, width) = self.shaped(face, &text);
            Run { font: self.faces[face].font.clone(), text, glyphs, width }
        };
        parts.into_iter().map(run).collect()
    }

    /// Width of a text, points.
    pub fn width(&self, style: Style, size: f32, text: &str) -> f32 {
        if let Some(width) = self.widths.borrow().get(&(style, text.to_owned())) {
            return width * size;
        }
        let width: f32 = self.runs(style, text).iter().map(|r| r.width).sum();
        self.widths.borrow_mut().insert((style, text.to_owned()), width);
        width * size
    }

    /// The text in lines of at most this width; a word that is wider is broken.
    pub fn lines(&self, style: Style, size: f32, text: &str, width: f32) -> Vec<String> {
        let mut lines = Vec::new();
        for paragraph in text.split('\n') {
            let mut line = String::new();
            for word in paragraph.split(' ').filter(|w| !w.is_empty()) {
                let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
                if self.width(style, size, &longer) <= width {
                    line = longer;
                    continue;
                }
                if !line.is_empty() {
                    lines.push(std::mem::take(&mut line));
                }
                for sign in word.chars() {
                    line.push(sign);
                    if self.width(style, size, &line) > width && line.chars().count() > 1 {
                        line.pop();
                        lines.push(std::mem::replace(&mut line, sign.to_string()));
                    }
                }
            }
            lines.push(line);
        }
        lines
    }
}
