//! A table as text: tab separated for the clipboard, comma separated for a file, the unit in the header.

use crate::command::Command;
use crate::theme::Look;
use crate::widgets::link;
use egui::{Rect, Ui, vec2};

/// A table of texts with one header line. Numbers in it are plain (`-1.25`), as spreadsheets and scripts read them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Table {
    header: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// A table with these columns, each named with its unit as in `speed, km/h`.
    pub fn new<T: Into<String>>(header: impl IntoIterator<Item = T>) -> Self {
        Table { header: header.into_iter().map(Into::into).collect(), rows: Vec::new() }
    }

    /// Adds a row; missing cells at its end are empty.
    pub fn row<T: Into<String>>(&mut self, cells: impl IntoIterator<Item = T>) {
        self.rows.push(cells.into_iter().map(Into::into).collect());
    }

    /// One column of x and one a curve, as the rows of `x`; curves may be shorter.
    pub fn of_curves<'a>(x_title: &str, x: &[f64], curves: impl IntoIterator<Item = (String, &'a [f64])>) -> Self {
        let (names, columns): (Vec<String>, Vec<&[f64]>) = curves.into_iter().unzip();
        let mut table = Table::new(std::iter::once(x_title.to_owned()).chain(names));
        for (i, x) in x.iter().enumerate() {
            table.row(std::iter::once(number(*x)).chain(columns.iter().map(|c| opt(c.get(i).copied()))));
        }
        table
    }

    /// Tab separated, as spreadsheets take it from the clipboard.
    pub fn to_tab_separated(&self) -> String {
        self.lines("\t", |cell| cell.replace(['\t', '\n', '\r'], " "))
    }

    /// Comma separated after RFC 4180.
    pub fn to_csv(&self) -> String {
        self.lines(",", |cell| {
            if cell.contains([',', '"', '\n', '\r']) {
                format!("\"{}\"", cell.replace('"', "\"\""))
            } else {
                cell.to_owned()
            }
        })
    }

    fn lines(&self, between: &str, cell: impl Fn(&str) -> String) -> String {
        let width = self.rows.iter().map(Vec::len).chain([self.header.len()]).max().unwrap_or(0);
        let mut text = String::new();
        for row in std::iter::once(&self.header).chain(&self.rows) {
            let cells: Vec<String> = (0..width).map(|i| row.get(i).map_or(String::new(), |c| cell(c))).collect();
            text.push_str(&cells.join(between));
            text.push('\n');
        }
        text
    }
}

/// A number with all its digits; empty where there is none.
pub(crate) fn number(value: f64) -> String {
    if value.is_finite() { format!("{value}") } else { String::new() }
}

/// The same of a number that may be absent.
pub(crate) fn opt(value: Option<f64>) -> String {
    value.map_or(String::new(), number)
}

/// A file name made of a table's or plot's name: words joined by dashes.
pub(crate) fn file_stem(name: &str) -> String {
    let words: Vec<String> =
        name.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_lowercase).collect();
    if words.is_empty() { "table".to_owned() } else { words.join("-") }
}

/// The two links that every table has: to the clipboard, and to a file; returns what was asked for. `name` is what the
/// table is called on screen.
pub(crate) fn links(ui: &mut Ui, look: &Look, name: &str, table: impl Fn() -> Table) -> Option<Command> {
    let copy = link(ui, look, "copy").accessible_name(format!("copy {name}"));
    if copy.on_hover_text("Copy the table, tab separated, for a spreadsheet").clicked() {
        return Some(Command::CopyText(table().to_tab_separated()));
    }
    let save = link(ui, look, "CSV…").accessible_name(format!("save {name} as CSV"));
    let is_saved = save.on_hover_text("Save the table as a CSV file").clicked();
    is_saved.then(|| Command::SaveText { name: format!("{}.csv", file_stem(name)), text: table().to_csv() })
}

/// The same behind a button of three dots, where there is no room for links; returns what was asked for.
pub(crate) fn dots(ui: &mut Ui, look: &Look, at: Rect, name: &str, table: impl Fn() -> Table) -> Vec<Command> {
    let mut asked = Vec::new();
    let button = egui::Button::new("").frame_when_inactive(false).min_size(at.size());
    let opener = ui.put(at, button).on_hover_text("Copy, CSV").accessible_name(format!("Take along {name}"));
    for i in [-1.0, 0.0, 1.0] {
        ui.painter().circle_filled(at.center() + vec2(4.0 * i, 0.0), 1.2, look.weak);
    }
    egui::Popup::menu(&opener).show(|ui| entries(ui, &mut asked, name, &table));
    asked
}

/// Entries of a menu for a table; what is asked for is added to `asked`.
pub(crate) fn entries(ui: &mut Ui, asked: &mut Vec<Command>, name: &str, table: impl Fn() -> Table) {
    if ui.button("Copy as table").clicked() {
        asked.push(Command::CopyText(table().to_tab_separated()));
        ui.close();
    }
    if ui.button("Save as CSV…").clicked() {
        asked.push(Command::SaveText { name: format!("{}.csv", file_stem(name)), text: table().to_csv() });
        ui.close();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn commas_quotes_and_line_breaks_are_quoted_after_rfc_4180() {
        let mut table = Table::new(["name", "speed, km/h"]);
        table.row(["a \"b\"", "80"]);
        table.row(["two\nlines"]);
        assert_eq!(table.to_csv(), "name,\"speed, km/h\"\n\"a \"\"b\"\"\",80\n\"two\nlines\",\n");
        assert_eq!(table.to_tab_separated(), "name\tspeed, km/h\na \"b\"\t80\ntwo lines\t\n");
    }

    #[test]
    fn curves_stand_side_by_side_over_x() {
        let table = Table::of_curves("time, s", &[0.0, 0.5], [("a, m".to_owned(), &[1.0, -2.5][..])]);
        assert_eq!(table.to_tab_separated(), "time, s\ta, m\n0\t1\n0.5\t-2.5\n");
        assert_eq!(number(f64::NAN), "");
        assert_eq!(file_stem("Body: over road"), "body-over-road");
    }
}
