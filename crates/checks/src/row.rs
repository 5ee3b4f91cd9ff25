//! One check as a line of text, and where the lines of a test binary lie.

use std::fs::File;
use std::io::Write;
use std::path::PathBuf;
use std::sync::{Mutex, OnceLock};

/// One check.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// What was checked.
    pub quantity: String,
    /// What it was held against.
    pub source: String,
    /// What that says.
    pub expected: f64,
    /// What the project says.
    pub got: f64,
    /// Difference, as a share of the expected value or in its unit.
    pub deviation: f64,
    /// Largest deviation allowed.
    pub allowed: f64,
    /// True where deviation and bound are shares.
    pub is_relative: bool,
    /// File and line of the check.
    pub place: String,
}

impl Row {
    /// The row on one line, fields apart by tabs.
    pub fn line(&self) -> String {
        let plain = |text: &str| text.replace(['\t', '\n', '\r'], " ");
        format!(
            "{}\t{}\t{:e}\t{:e}\t{:e}\t{:e}\t{}\t{}",
            plain(&self.quantity),
            plain(&self.source),
            self.expected,
            self.got,
            self.deviation,
            self.allowed,
            self.is_relative,
            plain(&self.place)
        )
    }

    /// Reads a line back; `None` if it is none of ours.
    pub fn parse(line: &str) -> Option<Row> {
        let fields: Vec<&str> = line.split('\t').collect();
        let [quantity, source, expected, got, deviation, allowed, is_relative, place] = fields[..] else { return None };
        Some(Row {
            quantity: quantity.to_owned(),
            source: source.to_owned(),
            expected: expected.parse().ok()?,
            got: got.parse().ok()?,
            deviation: deviation.parse().ok()?,
            allowed: allowed.parse().ok()?,
            is_relative: is_relative.parse().ok()?,
            place: place.to_owned(),
        })
    }
}

/// The target folder: test binaries lie in `<target>/<profile>/deps`.
pub fn target_folder() -> Option<PathBuf> {
    let exe = std::env::current_exe().ok()?;
    let folder = exe.parent()?;
    let profile = if folder.ends_with("deps") { folder.parent()? } else { folder };
    Some(profile.parent()?.to_owned())
}

/// Writes a line into the file of this test binary, which a new run begins anew. A check must not fail for want of a disk:
/// where it cannot be written, the page lacks it.
pub(crate) fn record(line: &str) {
    static FILE: OnceLock<Option<Mutex<File>>> = OnceLock::new();
    let file = FILE.get_or_init(|| {
        let folder = target_folder()?.join("checks");
        std::fs::create_dir_all(&folder).ok()?;
        let exe = std::env::current_exe().ok()?;
        let stem = exe.file_stem()?.to_str()?;
        // Without the hash that changes with every build.
        let name = stem.rsplit_once('-').map_or(stem, |(name, _)| name);
        // Two crates may each have a test of one name.
        let package = std::env::var("CARGO_PKG_NAME").unwrap_or_default();
        File::create(folder.join(format!("{package}.{name}.tsv"))).ok().map(Mutex::new)
    });
    if let Some(file) = file {
        let mut file = file.lock().unwrap_or_else(|e| e.into_inner());
        let _ = writeln!(file, "{line}");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_reads_back() {
        let row = Row {
            quantity: "roll\tgradient".to_owned(),
            source: "a book".to_owned(),
            expected: 0.1,
            got: 0.1 + 1e-17,
            deviation: -3e-9,
            allowed: 1e-3,
            is_relative: true,
            place: "crates/x/y.rs:3".to_owned(),
        };
        let back = Row::parse(&row.line()).unwrap_or_else(|| panic!("{}", row.line()));
        assert_eq!(back, Row { quantity: "roll gradient".to_owned(), ..row });
        assert_eq!(Row::parse("something else"), None);
    }
}
