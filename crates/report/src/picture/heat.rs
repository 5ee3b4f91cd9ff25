//! Maps as grids of numbers, shaded by size; what was never in use and how much the rest was says each cell.

use super::{Anchor, Color, INK, LINE, Picture, Shape, WEAK, mixed};
use washboard_session::MapName;
use washboard_words as words;

const SIZE: f32 = 7.5;
const ROW: f32 = 17.0;
const LEFT: f32 = 34.0;
const TOP: f32 = 27.0;
/// Strongest shading, as a share of the colour.
const STRONGEST: f64 = 0.42;
const UP: Color = [0xd5, 0x5e, 0x00];
const DOWN: Color = [0x00, 0x72, 0xb2];

/// A grid over the axes of a map.
pub(crate) struct Grid<'a> {
    pub map: MapName,
    pub rows: &'a [f64],
    pub columns: &'a [f64],
    pub values: &'a [Vec<f64>],
    pub width: f32,
}

impl Grid<'_> {
    /// The map of a mode in its colour; `visits`: share of the driven time of each cell.
    pub fn of_map(&self, color: Color, visits: Option<&Vec<Vec<f64>>>) -> Picture {
        let all = || self.values.iter().flatten().copied();
        let (low, high) = (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max));
        let most = visits.iter().flat_map(|v| v.iter().flatten()).fold(0.0f64, |a, b| a.max(*b));
        let share = |row: usize, column: usize| visits.and_then(|v| v.get(row)?.get(column)).copied();
        self.draw(|row, column, value| {
            let shade = if high > low { (value - low) / (high - low) } else { 0.3 };
            let text = words::cell(self.map, value);
            let is_used = share(row, column).is_none_or(|s| s > 0.0);
            Square {
                fill: mixed([255; 3], color, STRONGEST * shade),
                text: if is_used { text } else { format!("({text})") },
                ink: if is_used { INK } else { WEAK },
                bar: share(row, column).filter(|_| most > 0.0).map_or(0.0, |s| (s / most) as f32),
            }
        })
    }

    /// The difference of two maps: more in one colour with plus, less in another with minus.
    pub fn of_difference(&self) -> Picture {
        let most = self.values.iter().flatten().fold(0.0f64, |a, b| a.max(b.abs()));
        self.draw(|_, _, value| {
            let text = words::cell(self.map, value);
            let is_none = value == 0.0;
            let color = if value > 0.0 { UP } else { DOWN };
            Square {
                fill: mixed([255; 3], color, if most > 0.0 { STRONGEST * value.abs() / most } else { 0.0 }),
                text: match (is_none, value > 0.0) {
                    (true, _) => "0".to_owned(),
                    (_, true) => format!("+{text}"),
                    _ => text,
                },
                ink: if is_none { WEAK } else { INK },
                bar: 0.0,
            }
        })
    }

    fn draw(&self, square: impl Fn(usize, usize, f64) -> Square) -> Picture {
        let (rows, columns) = (self.rows.len(), self.columns.len());
        let mut picture = Picture::new(self.width, TOP + ROW * rows as f32 + 3.0);
        let cell = (self.width - LEFT - 2.0) / columns.max(1) as f32;
        let digits = (cell / 4.6).max(2.0) as usize;
        let second = format!("{}, {}", words::second_axis(self.map), words::unit(self.map.column_unit()));
        picture.text([self.width - 2.0, 8.0], second, SIZE, INK, Anchor::End);
        picture.text([0.0, 8.0], format!("speed, {}", words::unit(self.map.row_unit())), SIZE, INK, Anchor::Start);
        for (c, value) in self.columns.iter().enumerate() {
            let x = LEFT + cell * (c as f32 + 0.5);
            picture.text([x, TOP - 5.0], words::breakpoint(*value), SIZE, WEAK, Anchor::Middle);
        }
        for (r, (speed, values)) in self.rows.iter().zip(self.values).enumerate() {
            let y = TOP + ROW * r as f32;
            picture.text([LEFT - 5.0, y + 11.0], words::breakpoint(*speed), SIZE, WEAK, Anchor::End);
            for (c, value) in values.iter().enumerate() {
                let Square { fill, text, ink, bar } = square(r, c, *value);
                let x = LEFT + cell * c as f32;
                picture.rect([x, y], [cell, ROW], Some(fill), None);
                // Narrow cells take smaller digits.
                let size = if text.chars().count() > digits {
                    SIZE * digits as f32 / text.chars().count() as f32
                } else {
                    SIZE
                };
                picture.text([x + cell / 2.0, y + 10.5], text, size, ink, Anchor::Middle);
                if bar > 0.0 {
                    let width = ((cell - 4.0) * bar).max(0.8);
                    picture.rect([x + 2.0, y + ROW - 3.2], [width, 1.6], Some(INK), None);
                }
            }
        }
        let size = [cell * columns as f32, ROW * rows as f32];
        picture.shapes.push(Shape::Rect { at: [LEFT, TOP], size, fill: None, line: Some(LINE) });
        picture
    }
}

struct Square {
    fill: Color,
    text: String,
    ink: Color,
    /// Length of the bar below the number, 0 to 1.
    bar: f32,
}
