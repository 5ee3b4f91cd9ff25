use super::*;
use crate::paper::{Block, Cell, Kind, Mark, Table};

fn paper() -> Paper {
    let columns = [("figure".to_owned(), Kind::Words), ("gentle".to_owned(), Kind::Number)];
    let mut table = Table::new("Figures", columns);
    for i in 0..120 {
        table.rows.push(vec![format!("row {i}").into(), Cell::from("−7.2 ± 0.9 %").marked(Mark::Better)]);
    }
    Paper {
        title: "A & B <report>".to_owned(),
        running: "A & B · 7F3A-C2D1".to_owned(),
        date: Some([2026, 11, 25, 18, 0, 0]),
        program: "washboard".to_owned(),
        blocks: vec![
            Block::Heading(1, "A & B".to_owned()),
            Block::Text("A word ".repeat(300)),
            Block::Caution("Take care".to_owned(), vec!["Slowly at first.".to_owned()]),
            Block::Items(vec!["one".to_owned(), "two \t three".to_owned()]),
            Block::Heading(2, "A chapter".to_owned()),
            Block::Table(table),
            Block::Code("washboard report x.ron".to_owned()),
        ],
    }
}

#[test]
fn pages_are_accessible_and_the_same_bytes_again() {
    let one = written(&paper(), true).unwrap();
    assert_eq!(one, written(&paper(), true).unwrap());
    assert!(one.starts_with(b"%PDF-"));
    let pages = setter::set(&paper(), &Faces::load().unwrap());
    assert!(pages.pages.len() >= 3, "{}", pages.pages.len());
    assert_eq!(pages.chapters.len(), 1);
}

#[test]
fn nothing_is_set_beyond_the_margins() {
    let faces = Faces::load().unwrap();
    let pages = setter::set(&paper(), &faces);
    for (_, op) in pages.pages.iter().flatten() {
        if let setter::Op::Text { at, text, style, size, .. } = op {
            let right = at[0] + faces.width(*style, *size, text);
            assert!(at[0] >= SIDE - 0.1 && right <= PAGE[0] - SIDE + 1.0, "{text} ends at {right}");
            assert!(at[1] > ABOVE && at[1] < PAGE[1] - BELOW + 4.0, "{text} at {}", at[1]);
        }
    }
}

#[test]
fn signs_that_no_font_has_do_not_keep_the_report_back() {
    let odd = Paper { title: "\u{10FFFD}".to_owned(), ..paper() };
    let odd = Paper { blocks: vec![Block::Text("a \u{10FFFD} b \u{5b57}".to_owned())], ..odd };
    assert!(pdf(&odd).is_ok());
}

#[test]
fn long_words_are_broken_and_no_sign_is_lost() {
    let faces = Faces::load().unwrap();
    let identity = "0123456789abcdef".repeat(4);
    let lines = faces.lines(face::Style::Numbers, 9.0, &identity, 120.0);
    assert!(lines.len() > 1 && lines.concat() == identity);
    assert_eq!(faces.lines(face::Style::Plain, 9.0, "", 120.0), [""]);
}
