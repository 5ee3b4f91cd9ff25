//! The page: what must be checked and is, then every recorded check in a table, crate by crate.

use crate::{Row, Wanted};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// What a page holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// Where it lies.
    pub path: PathBuf,
    /// Checks on it.
    pub checks: usize,
    /// Checks that did not hold.
    pub off: usize,
    /// What must have a check and has none.
    pub missing: Vec<String>,
}

/// Reads the rows under a target folder and writes `checks.md` there.
///
/// # Errors
/// If nothing was recorded, or a file cannot be read or written.
pub fn write_page(target: &Path) -> std::io::Result<Page> {
    let mut by_crate: BTreeMap<String, Vec<Row>> = BTreeMap::new();
    let mut files: Vec<PathBuf> =
        std::fs::read_dir(target.join("checks"))?.filter_map(|e| Some(e.ok()?.path())).collect();
    files.sort();
    let mut wanted = Vec::new();
    for file in files.iter().filter(|f| f.extension().is_some_and(|e| e == "tsv")) {
        let text = std::fs::read_to_string(file)?;
        wanted.extend(text.lines().filter_map(Wanted::parse));
        for row in text.lines().filter_map(Row::parse) {
            let place = row.place.replace('\\', "/");
            // This crate's own rows only try the recording out.
            let name =
                place.split("crates/").nth(1).and_then(|p| p.split('/').next()).unwrap_or("elsewhere").to_owned();
            if name != "checks" {
                by_crate.entry(name).or_default().push(row);
            }
        }
    }
    let all = || by_crate.values().flatten();
    let (checks, off) = (all().count(), all().filter(|r| !holds(r)).count());
    let covered: Vec<Covered> = wanted
        .into_iter()
        .map(|wanted| Covered { checks: all().filter(|r| wanted.is_met_by(r)).count(), wanted })
        .collect();
    let missing = covered.iter().filter(|c| c.checks == 0).map(|c| c.wanted.title()).collect();
    let path = target.join("checks.md");
    std::fs::write(&path, text(&by_crate, &covered, checks, off))?;
    Ok(Page { path, checks, off, missing })
}

/// Something that must be checked, and how many checks it has.
struct Covered {
    wanted: Wanted,
    checks: usize,
}

/// A line a kind: how many there are, and which have no check; then every name with its number of checks.
fn coverage(covered: &[Covered]) -> String {
    let mut kinds: BTreeMap<&str, Vec<&Covered>> = BTreeMap::new();
    for one in covered {
        kinds.entry(one.wanted.kind()).or_default().push(one);
    }
    let mut text = String::new();
    if !kinds.is_empty() {
        text.push_str("\n## What must have a check\n\n| what | how many | without a check | checks of each |\n| --- | ---: | --- | --- |\n");
    }
    for (kind, all) in kinds {
        let name = |c: &Covered| match &c.wanted {
            Wanted::Name { name, .. } => name.clone(),
            value => value.title(),
        };
        let missing: Vec<String> = all.iter().filter(|c| c.checks == 0).map(|c| format!("**{}**", name(c))).collect();
        let missing = if missing.is_empty() { "none".to_owned() } else { missing.join(", ") };
        let each: Vec<String> = all.iter().map(|c| format!("{} {}", name(c), c.checks)).collect();
        let _ = writeln!(text, "| {} | {} | {} | {} |", cell(kind), all.len(), cell(&missing), cell(&each.join(", ")));
    }
    text
}

fn holds(row: &Row) -> bool {
    row.deviation.abs() <= row.allowed
}

fn text(by_crate: &BTreeMap<String, Vec<Row>>, covered: &[Covered], checks: usize, off: usize) -> String {
    let mut text = format!(
        "# Checks against the outside\n\nWritten by the test run: {checks} checks, {off} of them off. Deviations in % are of the expected value, others \
         in its unit.\n"
    );
    text.push_str(&coverage(covered));
    for (name, rows) in by_crate {
        let _ = write!(text, "\n## {name}\n\n| quantity | source | expected | got | deviation | allowed | where |\n");
        text.push_str("| --- | --- | ---: | ---: | ---: | ---: | --- |\n");
        for row in rows {
            let share = |x: f64| if row.is_relative { format!("{:.2e} %", 100.0 * x) } else { format!("{x:.2e}") };
            let _ = writeln!(
                text,
                "| {} | {} | {} | {} | {}{} | {} | {} |",
                cell(&row.quantity),
                cell(&row.source),
                number(row.expected),
                number(row.got),
                share(row.deviation),
                if holds(row) { "" } else { " **off**" },
                share(row.allowed),
                cell(&row.place)
            );
        }
    }
    text
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

/// Seven significant digits.
fn number(value: f64) -> String {
    if value == 0.0 || (1e-3..1e6).contains(&value.abs()) {
        let decimals = if value == 0.0 { 0 } else { (6 - value.abs().log10().floor() as i32).max(0) as usize };
        format!("{value:.decimals$}")
    } else {
        format!("{value:.6e}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_names_every_check_and_what_is_off() {
        let row = |quantity: &str, got: f64| Row {
            quantity: quantity.to_owned(),
            source: "closed | form".to_owned(),
            expected: 2.0,
            got,
            deviation: got / 2.0 - 1.0,
            allowed: 0.01,
            is_relative: true,
            place: "crates/road/src/x.rs:7".to_owned(),
        };
        let rows = BTreeMap::from([("road".to_owned(), vec![row("slope", 2.01), row("height", 2.2)])]);
        let covered = |name: &str, checks: usize| Covered {
            wanted: Wanted::Name { kind: "metric".to_owned(), name: name.to_owned() },
            checks,
        };
        let text = text(&rows, &[covered("slope", 1), covered("jerk", 0)], 2, 1);
        assert!(text.contains("| metric | 2 | **jerk** | slope 1, jerk 0 |"), "{text}");
        assert!(text.contains("2 checks, 1 of them off") && text.contains("## road"));
        assert!(text.contains("| slope | closed \\| form | 2.000000 | 2.010000 | 5.00e-1 % | 1.00e0 % |"), "{text}");
        assert!(text.lines().any(|l| l.starts_with("| height") && l.contains("**off**")));
    }
}
