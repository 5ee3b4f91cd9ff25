//! Plain text tables with aligned columns.

/// A table of text: the first columns are words (left), the rest numbers (right).
pub struct Table {
    words: usize,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// A table with these headers, the first `words` of them over words.
    pub fn new<S: Into<String>>(words: usize, headers: impl IntoIterator<Item = S>) -> Self {
        Table { words, rows: vec![headers.into_iter().map(Into::into).collect()] }
    }

    /// Adds a row; missing cells at the end stay empty.
    pub fn row<S: Into<String>>(&mut self, cells: impl IntoIterator<Item = S>) {
        self.rows.push(cells.into_iter().map(Into::into).collect());
    }

    /// The table as lines, each ending in a line feed and without trailing blanks.
    pub fn render(&self) -> String {
        let columns = self.rows.iter().map(Vec::len).max().unwrap_or(0);
        let width_of =
            |c: usize| self.rows.iter().filter_map(|r| r.get(c)).map(|s| s.chars().count()).max().unwrap_or(0);
        let widths: Vec<usize> = (0..columns).map(width_of).collect();
        let mut text = String::new();
        for row in &self.rows {
            let mut line = String::new();
            for (c, width) in widths.iter().enumerate() {
                let cell = row.get(c).map_or("", String::as_str);
                if c > 0 {
                    line.push_str("  ");
                }
                if c < self.words {
                    line.push_str(&format!("{cell:<width$}"));
                } else {
                    line.push_str(&format!("{cell:>width$}"));
                }
            }
            text.push_str(line.trim_end());
            text.push('\n');
        }
        text
    }
}

/// A number with four significant digits, as an engineer would write it into a table.
pub fn number(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    if !value.is_finite() {
        return "-".to_owned();
    }
    let magnitude = value.abs().log10().floor() as i32;
    if (-4..=6).contains(&magnitude) {
        let decimals = (3 - magnitude).max(0) as usize;
        format!("{value:.decimals$}")
    } else {
        format!("{value:.3e}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up() {
        let mut table = Table::new(1, ["metric", "everyday", "firm"]);
        table.row(["travel", "1.5", "10"]);
        assert_eq!(table.render(), "metric  everyday  firm\ntravel       1.5    10\n");
    }

    #[test]
    fn four_significant_digits() {
        assert_eq!(number(1.250_34), "1.250");
        assert_eq!(number(0.012_312_5), "0.01231");
        assert_eq!(number(-2345.6), "-2346");
        assert_eq!(number(1.0e-7), "1.000e-7");
        assert_eq!(number(0.0), "0");
    }
}
