//! Tables on pages: widths of columns, wrapped cells, the heading again on every page.

use super::SIDE;
use super::face::{Faces, Style};
use super::setter::{Op, Setter, WIDTH};
use super::structure::{ROOT, Role};
use crate::paper::{Column, Kind, Mark, Table};
use crate::picture::{Color, GRID, INK, LINE, WEAK};

/// Sizes of text tried until the table is narrow enough.
const SIZES: [f32; 5] = [8.5, 8.0, 7.5, 7.0, 6.0];
const LEADING: f32 = 1.32;
/// Room left and right of each cell's text, and above and below.
const AT_SIDES: f32 = 5.0;
const ABOVE_AND_BELOW: f32 = 1.6;
const BETTER: Color = [0x1c, 0x6b, 0x48];
const WORSE: Color = [0xa2, 0x33, 0x12];

fn style_of(kind: Kind, mark: Mark) -> Style {
    match (kind, mark) {
        (Kind::Number, Mark::Worse) => Style::StrongNumbers,
        (Kind::Number, _) => Style::Numbers,
        (Kind::Words, Mark::Worse) => Style::Strong,
        (Kind::Words, _) => Style::Plain,
    }
}

fn color_of(mark: Mark) -> Color {
    match mark {
        Mark::Plain => INK,
        Mark::Better => BETTER,
        Mark::Worse => WORSE,
        Mark::Weak => WEAK,
    }
}

/// Widths of the columns with their room, and the size of text they hold for.
fn widths(faces: &Faces, table: &Table) -> (f32, Vec<f32>) {
    let mut narrowest = (SIZES[SIZES.len() - 1], Vec::new());
    for size in SIZES {
        let of = |(i, column): (usize, &Column)| {
            let style = |mark| style_of(column.kind, mark);
            let head = word_widths(faces, Style::Strong, size, &column.title).fold(0.0, f32::max);
            let cells = || table.rows.iter().filter_map(|row| row.get(i));
            let whole = cells().map(|c| faces.width(style(c.mark), size, &c.text)).fold(head, f32::max);
            let least = match column.kind {
                Kind::Number => whole,
                Kind::Words => cells()
                    .flat_map(|c| word_widths(faces, style(c.mark), size, &c.text))
                    .fold(head, f32::max)
                    .min(WIDTH * 0.4),
            };
            // A heading may take as much as its column, or a bit more to stay in one line.
            let whole = whole.max(faces.width(Style::Strong, size, &column.title).min(90.0));
            (least + 2.0 * AT_SIDES, whole.max(least) + 2.0 * AT_SIDES)
        };
        let columns: Vec<(f32, f32)> = table.columns.iter().enumerate().map(of).collect();
        let (least, whole) = columns.iter().fold((0.0, 0.0), |(a, b), c| (a + c.0, b + c.1));
        if whole <= WIDTH {
            return (size, columns.iter().map(|c| c.1).collect());
        }
        let share = if least < WIDTH { (WIDTH - least) / (whole - least) } else { 0.0 };
        let scale = if least > WIDTH { WIDTH / least } else { 1.0 };
        narrowest = (size, columns.iter().map(|c| scale * (c.0 + share * (c.1 - c.0))).collect());
        if least <= WIDTH {
            break;
        }
    }
    narrowest
}

fn word_widths<'a>(faces: &'a Faces, style: Style, size: f32, text: &'a str) -> impl Iterator<Item = f32> + 'a {
    text.split(' ').map(move |word| faces.width(style, size, word))
}

/// One line of cells, wrapped.
struct Wrapped {
    cells: Vec<Vec<String>>,
    height: f32,
}

fn wrapped<'t>(faces: &Faces, size: f32, widths: &[f32], texts: impl Iterator<Item = (&'t str, Style)>) -> Wrapped {
    let cells: Vec<Vec<String>> = texts
        .zip(widths)
        .map(|((text, style), width)| faces.lines(style, size, text, (width - 2.0 * AT_SIDES + 0.5).max(8.0)))
        .collect();
    let rows = cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
    Wrapped { cells, height: rows as f32 * size * LEADING + 2.0 * ABOVE_AND_BELOW }
}

/// Sets a table from where the page stands.
pub(crate) fn set(setter: &mut Setter<'_>, table: &Table) {
    let (size, widths) = widths(setter.faces, table);
    let has_head = table.columns.iter().any(|c| !c.title.is_empty());
    let titles = || table.columns.iter().map(|c| (c.title.as_str(), Style::Strong));
    let head = wrapped(setter.faces, size, &widths, titles());
    let rows: Vec<Wrapped> = table
        .rows
        .iter()
        .map(|row| {
            let texts =
                row.iter().zip(&table.columns).map(|(cell, c)| (cell.text.as_str(), style_of(c.kind, cell.mark)));
            wrapped(setter.faces, size, &widths, texts)
        })
        .collect();
    let caption = setter.faces.lines(Style::Strong, 9.0, &table.caption, WIDTH);
    let first: f32 = rows.iter().take(2).map(|r| r.height).sum();
    setter.y += 3.0;
    setter.need(caption.len() as f32 * 12.5 + head.height + first + 4.0);
    let whole = setter.out.structure.add(ROOT, Role::Table);
    let part = setter.out.structure.add(whole, Role::Caption);
    for line in caption {
        let at = [SIDE, setter.y + 9.0];
        setter.put(Some(part), Op::Text { at, text: line, style: Style::Strong, size: 9.0, color: INK });
        setter.y += 12.5;
    }
    let line = setter.out.structure.add(whole, Role::TableRow);
    let parts: Vec<usize> = table.columns.iter().map(|_| setter.out.structure.add(line, Role::ColumnHeader)).collect();
    let draw_head = |setter: &mut Setter<'_>, parts: Option<&[usize]>| {
        if !has_head {
            return;
        }
        let part = |i: usize| parts.and_then(|p| p.get(i).copied());
        cells(setter, table, &widths, size, &head, &|i| (part(i), Style::Strong, WEAK));
        let total = widths.iter().sum::<f32>();
        setter.put(None, Op::Fill { at: [SIDE, setter.y - 0.4], size: [total, 0.8], color: LINE });
    };
    draw_head(setter, Some(&parts));
    for (row, wrapped) in table.rows.iter().zip(&rows) {
        if setter.is_full(wrapped.height) {
            setter.new_page();
            draw_head(setter, None);
        }
        let line = setter.out.structure.add(whole, Role::TableRow);
        let parts: Vec<usize> = (0..row.len())
            .map(|i| setter.out.structure.add(line, if i == 0 { Role::RowHeader } else { Role::Cell }))
            .collect();
        cells(setter, table, &widths, size, wrapped, &|i| {
            let mark = row.get(i).map_or(Mark::Plain, |c| c.mark);
            let kind = table.columns.get(i).map_or(Kind::Words, |c| c.kind);
            (parts.get(i).copied(), style_of(kind, mark), color_of(mark))
        });
        let total = widths.iter().sum::<f32>();
        setter.put(None, Op::Fill { at: [SIDE, setter.y - 0.3], size: [total, 0.5], color: GRID });
    }
    setter.y += 10.0;
}

/// Draws one line of cells and goes below it.
fn cells(
    setter: &mut Setter<'_>,
    table: &Table,
    widths: &[f32],
    size: f32,
    wrapped: &Wrapped,
    of: &dyn Fn(usize) -> (Option<usize>, Style, Color),
) {
    let mut x = SIDE;
    for (i, (lines, width)) in wrapped.cells.iter().zip(widths).enumerate() {
        let (part, style, color) = of(i);
        let is_number = table.columns.get(i).is_some_and(|c| c.kind == Kind::Number);
        for (n, line) in lines.iter().filter(|l| !l.is_empty()).enumerate() {
            // The first column stands flush with the text around the table.
            let left = if i == 0 { x } else { x + AT_SIDES };
            let at_x = if is_number { x + width - AT_SIDES - setter.faces.width(style, size, line) } else { left };
            let at = [at_x, setter.y + ABOVE_AND_BELOW + size * (0.96 + LEADING * n as f32)];
            setter.put(part, Op::Text { at, text: line.clone(), style, size, color });
        }
        x += width;
    }
    setter.y += wrapped.height;
}
