//! The page setter: blocks become lines, rules and pictures at places on pages.

use super::face::{Faces, Style};
use super::structure::{ROOT, Role, Structure};
use super::{ABOVE, BELOW, PAGE, SIDE, table};
use crate::paper::{Block, Figure, Paper};
use crate::picture::{Color, INK, LINE, Picture, WEAK};

/// Width of what is printed.
pub(crate) const WIDTH: f32 = PAGE[0] - 2.0 * SIDE;
const BOTTOM: f32 = PAGE[1] - BELOW;
const BODY: f32 = 9.5;
const SMALL: f32 = 8.5;
/// Height of a line over the size of its text.
const LEADING: f32 = 1.36;
/// Room between pictures beside each other.
const GAP: f32 = 12.0;
const CAUTION_INK: Color = [0xa8, 0x62, 0x1b];
const CAUTION_GROUND: Color = [0xfd, 0xf6, 0xec];
const CODE_GROUND: Color = [0xf4, 0xf2, 0xee];

/// Something at a place.
#[derive(Clone, Debug)]
pub(crate) enum Op {
    /// A line of text from the left end of its baseline.
    Text { at: [f32; 2], text: String, style: Style, size: f32, color: Color },
    /// A filled rectangle.
    Fill { at: [f32; 2], size: [f32; 2], color: Color },
    /// A picture from its upper left corner, with its scale.
    Picture { at: [f32; 2], picture: Box<Picture>, scale: f32 },
}

/// An op with the part of the document it belongs to; none: it only adorns.
pub(crate) type Placed = (Option<usize>, Op);

/// Pages with what is on them.
#[derive(Debug)]
pub(crate) struct Pages {
    pub pages: Vec<Vec<Placed>>,
    pub structure: Structure,
    /// Page, place from above and text of each chapter.
    pub chapters: Vec<(usize, f32, String)>,
}

/// Sets a whole paper.
pub(crate) fn set(paper: &Paper, faces: &Faces) -> Pages {
    let pages = Pages { pages: vec![Vec::new()], structure: Structure::new(), chapters: Vec::new() };
    let mut setter = Setter { faces, out: pages, y: ABOVE };
    for (i, block) in paper.blocks.iter().enumerate() {
        setter.block(block, &paper.blocks[i + 1..]);
    }
    setter.out
}

/// Where setting stands.
pub(crate) struct Setter<'a> {
    pub faces: &'a Faces,
    pub out: Pages,
    /// Upper edge of what comes next.
    pub y: f32,
}

impl Setter<'_> {
    pub fn put(&mut self, part: Option<usize>, op: Op) {
        if let Some(page) = self.out.pages.last_mut() {
            page.push((part, op));
        }
    }

    /// Begins a new page where less than `height` is left of this one.
    pub fn need(&mut self, height: f32) {
        if self.y + height > BOTTOM && self.y > ABOVE {
            self.new_page();
        }
    }

    pub fn is_full(&self, height: f32) -> bool {
        self.y + height > BOTTOM && self.y > ABOVE
    }

    pub fn new_page(&mut self) {
        self.out.pages.push(Vec::new());
        self.y = ABOVE;
    }

    fn block(&mut self, block: &Block, rest: &[Block]) {
        match block {
            Block::Heading(level, text) => self.heading(*level, text, rest),
            Block::Text(text) => self.paragraph(text, BODY, INK),
            Block::Note(text) => self.paragraph(text, SMALL, WEAK),
            Block::Items(items) => self.list(items, SIDE, WIDTH),
            Block::Caution(title, sentences) => self.caution(title, sentences),
            Block::Code(text) => self.code(text),
            Block::Table(table) => table::set(self, table),
            Block::Figures(figures) => self.figures(figures),
            Block::NewPage => self.need(f32::INFINITY),
        }
    }

    fn heading(&mut self, level: u8, text: &str, rest: &[Block]) {
        let (size, above, below) = match level {
            1 => (20.0, 0.0, 4.0),
            2 => (14.0, 18.0, 5.0),
            _ => (10.5, 11.0, 3.0),
        };
        let lines = self.faces.lines(Style::Strong, size, text, WIDTH);
        let height = above + lines.len() as f32 * size * LEADING + below;
        // A heading never stands alone at the foot of a page.
        self.need(height + self.least(rest));
        if self.y > ABOVE {
            self.y += above;
        }
        let part = self.out.structure.add(ROOT, Role::Heading(u16::from(level), text.to_owned()));
        if level == 2 {
            if self.y > ABOVE {
                self.put(None, Op::Fill { at: [SIDE, self.y - 6.0], size: [WIDTH, 0.7], color: LINE });
            }
            self.out.chapters.push((self.out.pages.len() - 1, self.y, text.to_owned()));
        }
        self.lines(part, &lines, SIDE, Style::Strong, size, INK);
        self.y += below;
    }

    /// The least height that the next block needs to begin on the same page.
    fn least(&self, rest: &[Block]) -> f32 {
        match rest.first() {
            Some(Block::Heading(level, _)) => (if *level == 2 { 42.0 } else { 30.0 }) + self.least(&rest[1..]),
            Some(Block::Figures(figures)) => figures.first().map_or(0.0, |f| f.picture.height + 30.0),
            Some(Block::Table(_)) => 64.0,
            Some(Block::Text(_) | Block::Note(_)) => 28.0 + self.least(&rest[1..]).min(260.0),
            Some(Block::Items(_) | Block::Code(_) | Block::Caution(..)) => 40.0,
            Some(Block::NewPage) | None => 0.0,
        }
    }

    /// Lines of text below each other, broken over pages.
    fn lines(&mut self, part: usize, lines: &[String], x: f32, style: Style, size: f32, color: Color) {
        for line in lines {
            self.need(size * LEADING);
            let at = [x, self.y + size];
            self.put(Some(part), Op::Text { at, text: line.clone(), style, size, color });
            self.y += size * LEADING;
        }
    }

    fn paragraph(&mut self, text: &str, size: f32, color: Color) {
        let part = self.out.structure.add(ROOT, Role::Paragraph);
        let lines = self.faces.lines(Style::Plain, size, text, WIDTH);
        self.lines(part, &lines, SIDE, Style::Plain, size, color);
        self.y += 4.0;
    }

    fn list(&mut self, items: &[String], x: f32, width: f32) {
        let list = self.out.structure.add(ROOT, Role::List);
        for item in items {
            let part = self.out.structure.add(list, Role::Item);
            let body = self.out.structure.add(part, Role::ItemBody);
            let lines = self.faces.lines(Style::Plain, BODY, item, width - 12.0);
            self.need(BODY * LEADING * lines.len().min(2) as f32);
            let dot = [x + 3.0, self.y + BODY * 0.62];
            self.put(None, Op::Fill { at: dot, size: [2.4, 2.4], color: WEAK });
            self.lines(body, &lines, x + 12.0, Style::Plain, BODY, INK);
            self.y += 1.5;
        }
        self.y += 4.0;
    }

    fn caution(&mut self, title: &str, sentences: &[String]) {
        let inner = WIDTH - 24.0;
        let rows: Vec<usize> =
            sentences.iter().map(|s| self.faces.lines(Style::Plain, BODY, s, inner - 12.0).len()).collect();
        let height = 14.0 + BODY * LEADING * (1 + rows.iter().sum::<usize>()) as f32 + 1.5 * rows.len() as f32 + 4.0;
        self.y += 6.0;
        self.need(height);
        let top = self.y;
        self.put(None, Op::Fill { at: [SIDE, top], size: [WIDTH, height], color: CAUTION_GROUND });
        self.put(None, Op::Fill { at: [SIDE, top], size: [4.0, height], color: CAUTION_INK });
        self.y += 7.0;
        let part = self.out.structure.add(ROOT, Role::Paragraph);
        self.lines(part, &[title.to_owned()], SIDE + 14.0, Style::Strong, BODY, INK);
        self.list(sentences, SIDE + 14.0, inner);
        self.y = self.y.max(top + height) + 8.0;
    }

    fn code(&mut self, text: &str) {
        let part = self.out.structure.add(ROOT, Role::Paragraph);
        let lines = self.faces.lines(Style::Code, 8.0, text, WIDTH - 16.0);
        let height = 8.0 * LEADING * lines.len() as f32 + 10.0;
        self.need(height);
        self.put(None, Op::Fill { at: [SIDE, self.y], size: [WIDTH, height], color: CODE_GROUND });
        let top = self.y;
        self.y += 5.0;
        self.lines(part, &lines, SIDE + 8.0, Style::Code, 8.0, INK);
        self.y = self.y.max(top + height) + 6.0;
    }

    fn figures(&mut self, figures: &[Figure]) {
        let mut rest = figures;
        while let Some(first) = rest.first() {
            // As many beside each other as there is room for.
            let mut used = first.picture.width;
            let mut n = 1;
            while let Some(next) = rest.get(n).filter(|f| used + GAP + f.picture.width <= WIDTH + 1.0) {
                used += GAP + next.picture.width;
                n += 1;
            }
            let (row, after) = rest.split_at(n);
            self.row(row);
            rest = after;
        }
    }

    fn row(&mut self, row: &[Figure]) {
        let scale = |f: &Figure| (WIDTH / f.picture.width.max(1.0)).min(1.0);
        let captions: Vec<Vec<String>> = row
            .iter()
            .map(|f| self.faces.lines(Style::Plain, SMALL, &f.caption, f.picture.width.clamp(120.0, WIDTH)))
            .collect();
        let picture = row.iter().map(|f| f.picture.height * scale(f)).fold(0.0, f32::max);
        let caption = captions.iter().map(Vec::len).max().unwrap_or(0) as f32 * SMALL * LEADING;
        self.need(picture + caption + 6.0);
        let top = self.y;
        let mut x = SIDE;
        for (figure, lines) in row.iter().zip(&captions) {
            let part = self.out.structure.add(ROOT, Role::Figure(figure.described.clone()));
            let picture_op =
                Op::Picture { at: [x, top], picture: Box::new(figure.picture.clone()), scale: scale(figure) };
            self.put(Some(part), picture_op);
            let words = self.out.structure.add(part, Role::Caption);
            self.y = top + picture + 2.0;
            self.lines(words, lines, x, Style::Plain, SMALL, WEAK);
            x += figure.picture.width + GAP;
        }
        self.y = top + picture + caption + 11.0;
    }
}
