//! What a report says, chapter by chapter.

mod car;
mod curves;
mod figures;
mod front;
mod limits;
mod maps;

use crate::material::Material;
use crate::paper::{Block, Paper};
use washboard_words as words;

/// Puts the material into words, tables and pictures.
pub fn paper(material: &Material) -> Paper {
    let mut blocks = front::blocks(material);
    blocks.extend(figures::in_short(material));
    blocks.extend(car::blocks(material));
    blocks.extend(figures::scorecards(material));
    blocks.extend(figures::fences(material));
    blocks.extend(curves::blocks(material));
    blocks.extend(maps::blocks(material));
    blocks.extend(figures::by_event(material));
    blocks.extend(limits::blocks(material));
    let identity = match &material.identity {
        Ok(identity) => format!("calibration {}", words::identity(identity)),
        Err(_) => "no set".to_owned(),
    };
    let title = if material.session.title.is_empty() { "Untitled session" } else { &material.session.title };
    Paper {
        title: format!("{title}: calibration report"),
        running: format!("{title} · {identity} · {}", day(&material.imprint.time)),
        date: parts_of(&material.imprint.time),
        program: material.imprint.program.clone(),
        blocks,
    }
}

/// Date and clock of an RFC 3339 time as people write them; as it stands where it is none.
fn day(time: &str) -> String {
    match (time.get(..10), time.get(11..16)) {
        (Some(date), Some(clock)) => format!("{date} {clock}"),
        _ => time.to_owned(),
    }
}

/// Year, month, day, hour, minute, second.
fn parts_of(time: &str) -> Option<[u16; 6]> {
    let number = |from: usize, to: usize| time.get(from..to).and_then(|t| t.parse().ok());
    Some([number(0, 4)?, number(5, 7)?, number(8, 10)?, number(11, 13)?, number(14, 16)?, number(17, 19)?])
}

fn heading(text: &str) -> Block {
    Block::Heading(2, text.to_owned())
}

fn part(text: impl Into<String>) -> Block {
    Block::Heading(3, text.into())
}

fn text(text: impl Into<String>) -> Block {
    Block::Text(text.into())
}

fn note(text: impl Into<String>) -> Block {
    Block::Note(text.into())
}

/// The text with a capital at its beginning.
fn upper(text: &str) -> String {
    let mut signs = text.chars();
    signs.next().map_or(String::new(), |first| first.to_uppercase().chain(signs).collect())
}
