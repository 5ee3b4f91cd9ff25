//! A report before it takes a form: headings, sentences, tables and pictures in the order of reading.

use crate::picture::Picture;

/// A whole report.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Paper {
    /// Title of the document.
    pub title: String,
    /// What stands on every page: title, identity, date.
    pub running: String,
    /// Year, month, day, hour, minute and second of the date given, where it could be read.
    pub date: Option<[u16; 6]>,
    /// The program with its version.
    pub program: String,
    /// What follows each other.
    pub blocks: Vec<Block>,
}

/// One piece of a report.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// A heading; level 1 is the title, 2 a chapter, 3 a part of it.
    Heading(u8, String),
    /// A paragraph.
    Text(String),
    /// A paragraph in small print.
    Note(String),
    /// Sentences that must not be overlooked.
    Caution(String, Vec<String>),
    /// A list.
    Items(Vec<String>),
    /// Something to be typed as it stands.
    Code(String),
    /// A table.
    Table(Table),
    /// Pictures, beside each other where they are narrow.
    Figures(Vec<Figure>),
    /// What follows begins on a new page.
    NewPage,
}

/// A table; the first cell of each row names the row.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// What it shows.
    pub caption: String,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows, as long as there are columns.
    pub rows: Vec<Row>,
}

/// One row of cells.
pub type Row = Vec<Cell>;

/// One column of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Its heading, with the unit where all its numbers share one.
    pub title: String,
    /// What stands in it.
    pub kind: Kind,
}

/// What a column holds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Kind {
    /// Words, from the left.
    #[default]
    Words,
    /// Numbers, to the right.
    Number,
}

/// One cell.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cell {
    /// What it says.
    pub text: String,
    /// How it stands out; a word or sign in the text says the same.
    pub mark: Mark,
}

/// How a cell stands out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Mark {
    /// It does not.
    #[default]
    Plain,
    /// For the better.
    Better,
    /// For the worse, or a fence crossed.
    Worse,
    /// Of less weight.
    Weak,
}

/// A picture with its words.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// What it shows, below it.
    pub caption: String,
    /// What a reader who does not see it has to know.
    pub described: String,
    /// The drawing.
    pub picture: Picture,
}

impl Table {
    /// An empty table with these columns.
    pub fn new(caption: impl Into<String>, columns: impl IntoIterator<Item = (String, Kind)>) -> Table {
        let columns = columns.into_iter().map(|(title, kind)| Column { title, kind }).collect();
        Table { caption: caption.into(), columns, rows: Vec::new() }
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Cell {
        Cell { text, mark: Mark::Plain }
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Cell {
        Cell::from(text.to_owned())
    }
}

impl Cell {
    /// The same cell, marked.
    #[must_use]
    pub fn marked(mut self, mark: Mark) -> Cell {
        self.mark = mark;
        self
    }
}
