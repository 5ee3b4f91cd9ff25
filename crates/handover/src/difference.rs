//! What differs between two sets, cell by cell, in words and counts.

use crate::parts::{Axis, Setting, Table, settings, tables};
use crate::set::CarSet;

/// One number or word that is not the same in both.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// What it belongs to, such as `mode "comfort", heave map`.
    pub place: String,
    /// Which one: `80 km/h, 2 m/s^2` for a cell, the name for a setting.
    pub at: String,
    /// Value before, with its unit; `absent` where there is none.
    pub before: String,
    /// Value after, with its unit.
    pub after: String,
    /// True for a cell of a table.
    pub is_cell: bool,
}

impl Change {
    /// One sentence; the two words say where each value stands, such as `before` and `now`.
    pub fn sentence(&self, before: &str, after: &str) -> String {
        let joint = if self.is_cell { " at " } else { ", " };
        format!("{}{joint}{}: {} {before}, {} {after}.", self.place, self.at, self.before, self.after)
    }
}

/// How much of one table differs.
#[derive(Clone, Debug, PartialEq)]
pub struct TableCount {
    /// Which table.
    pub place: String,
    /// Cells that differ.
    pub changed: usize,
    /// Cells it has.
    pub cells: usize,
    /// Largest change of a cell, after minus before, in the table's unit.
    pub largest_change: f64,
    /// The table's unit.
    pub unit: &'static str,
}

/// Everything that differs between two sets.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Difference {
    /// Each change, in the order of the files.
    pub changes: Vec<Change>,
    /// The tables of the same shape in which cells differ.
    pub tables: Vec<TableCount>,
}

impl Difference {
    /// True where nothing differs.
    pub fn is_empty(&self) -> bool {
        self.changes.is_empty()
    }

    /// Number of cells that differ.
    pub fn cells(&self) -> usize {
        self.changes.iter().filter(|change| change.is_cell).count()
    }

    /// Number of settings, axes and tables that differ.
    pub fn others(&self) -> usize {
        self.changes.len() - self.cells()
    }

    /// The counts in words, then one line a table.
    pub fn summary(&self) -> Vec<String> {
        if self.is_empty() {
            return vec!["Nothing differs.".to_owned()];
        }
        let count = |n: usize, one: &str, many: &str| format!("{n} {}", if n == 1 { one } else { many });
        let mut lines = vec![format!(
            "{} in {} and {} differ.",
            count(self.cells(), "cell", "cells"),
            count(self.tables.len(), "table", "tables"),
            count(self.others(), "setting or axis", "settings or axes")
        )];
        lines.extend(self.tables.iter().map(|table| {
            format!(
                "{}: {} of {}, at most {}{} {}.",
                table.place,
                table.changed,
                count(table.cells, "cell", "cells"),
                if table.largest_change > 0.0 { "+" } else { "" },
                table.largest_change,
                table.unit
            )
        }));
        lines
    }

    /// One sentence a change.
    pub fn sentences(&self, before: &str, after: &str) -> Vec<String> {
        self.changes.iter().map(|change| change.sentence(before, after)).collect()
    }
}

/// What differs between two sets; labels (a mode's purpose, a damper's name) do not count.
pub fn difference(before: &CarSet, after: &CarSet) -> Difference {
    let mut found = Difference::default();
    compare_settings(&settings(before), &settings(after), &mut found);
    compare_table_lists(&tables(before), &tables(after), &mut found);
    found
}

/// Compares settings by place and name.
pub(crate) fn compare_settings(before: &[Setting], after: &[Setting], found: &mut Difference) {
    let mut change = |one: &Setting, before: String, after: String| {
        let (place, at) = (one.place.clone(), one.name.clone());
        found.changes.push(Change { place, at, before, after, is_cell: false });
    };
    let same_name = |a: &Setting, b: &Setting| a.place == b.place && a.name == b.name;
    for one in before.iter().filter(|one| one.counts) {
        match after.iter().find(|other| same_name(one, other)) {
            None => change(one, worded(&one.value, one.unit), "absent".to_owned()),
            Some(other) => {
                let same = match (one.number, other.number) {
                    (Some(a), Some(b)) => a == b,
                    _ => one.value == other.value,
                };
                if !same {
                    change(one, worded(&one.value, one.unit), worded(&other.value, other.unit));
                }
            }
        }
    }
    for other in after.iter().filter(|other| other.counts) {
        if !before.iter().any(|one| same_name(one, other)) {
            change(other, "absent".to_owned(), worded(&other.value, other.unit));
        }
    }
}

fn compare_table_lists(before: &[Table<'_>], after: &[Table<'_>], found: &mut Difference) {
    let whole = |place: &str, before: &str, after: &str| Change {
        place: place.to_owned(),
        at: "the whole table".to_owned(),
        before: before.to_owned(),
        after: after.to_owned(),
        is_cell: false,
    };
    for one in before {
        match after.iter().find(|other| other.place == one.place) {
            Some(other) => compare_tables(one, other, found),
            None => found.changes.push(whole(&one.place, "present", "absent")),
        }
    }
    for other in after {
        if !before.iter().any(|one| one.place == other.place) {
            found.changes.push(whole(&other.place, "absent", "present"));
        }
    }
}

/// Compares two tables: axes first, then, where they have one shape, cell by cell at the breakpoints before.
pub(crate) fn compare_tables(before: &Table<'_>, after: &Table<'_>, found: &mut Difference) {
    let mut other = |at: String, was: String, is: String| {
        found.changes.push(Change { place: before.place.clone(), at, before: was, after: is, is_cell: false });
    };
    for (a, b) in [(&before.rows, &after.rows), (&before.columns, &after.columns)] {
        if a.values != b.values {
            other(format!("axis {}", a.name), listed(a), listed(b));
        }
    }
    let shape = |table: &Table<'_>| format!("{} rows, widest {}", table.values.len(), widest(table));
    let same_shape = before.values.len() == after.values.len()
        && before.values.iter().zip(after.values).all(|(a, b)| a.len() == b.len());
    if !same_shape {
        other("its size".to_owned(), shape(before), shape(after));
        return;
    }
    let mut count =
        TableCount { place: before.place.clone(), changed: 0, cells: 0, largest_change: 0.0, unit: before.unit };
    for (row, (was, is)) in before.values.iter().zip(after.values).enumerate() {
        for (column, (&a, &b)) in was.iter().zip(is).enumerate() {
            count.cells += 1;
            if a == b {
                continue;
            }
            count.changed += 1;
            if (b - a).abs() > count.largest_change.abs() {
                count.largest_change = b - a;
            }
            found.changes.push(Change {
                place: before.place.clone(),
                at: format!("{}, {}", breakpoint(&before.rows, row), breakpoint(&before.columns, column)),
                before: worded(&a.to_string(), before.unit),
                after: worded(&b.to_string(), after.unit),
                is_cell: true,
            });
        }
    }
    if count.changed > 0 {
        found.tables.push(count);
    }
}

fn widest(table: &Table<'_>) -> usize {
    table.values.iter().map(Vec::len).max().unwrap_or(0)
}

fn breakpoint(axis: &Axis<'_>, index: usize) -> String {
    match axis.values.get(index) {
        Some(value) => worded(&value.to_string(), axis.unit),
        None => format!("{} number {}", axis.name, index + 1),
    }
}

fn listed(axis: &Axis<'_>) -> String {
    let values: Vec<String> = axis.values.iter().map(f64::to_string).collect();
    worded(&values.join(" "), axis.unit)
}

fn worded(value: &str, unit: &str) -> String {
    if unit.is_empty() { value.to_owned() } else { format!("{value} {unit}") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;
    use washboard_session::Session;

    fn found(change: impl FnOnce(&mut Session)) -> Difference {
        let mut session = fixture::session();
        change(&mut session);
        difference(&fixture::set(), &CarSet::from_session(&session, &[0, 1]).unwrap())
    }

    #[test]
    fn a_changed_cell_is_named_with_its_breakpoints_and_counted() {
        let before = fixture::session().modes[0].clone();
        let found = found(|session| {
            let mode = &mut session.modes[0];
            mode.heave.values_n_s_per_m[1][2] += 25.0;
            mode.roll.values_n_s_per_m[0][0] -= 5.0;
            mode.slew_a_per_s = None;
        });
        let (row, column, was) = (before.heave.rows[1], before.heave.columns[2], before.heave.values_n_s_per_m[1][2]);
        let sentences = found.sentences("before", "now");
        let expected = format!(
            "mode \"soft/1\", heave map at {row} km/h, {column} m/s^2: {was} N s/m before, {} N s/m now.",
            was + 25.0
        );
        assert!(sentences.contains(&expected), "{sentences:?} should hold {expected}");
        assert!(sentences.iter().any(|s| s.contains("slew_a_per_s") && s.contains("unlimited now")), "{sentences:?}");
        assert_eq!((found.cells(), found.others(), found.tables.len()), (2, 1, 2));
        assert_eq!(found.tables[1].largest_change, -5.0);
        assert_eq!(found.summary()[0], "2 cells in 2 tables and 1 setting or axis differ.");
    }

    #[test]
    fn nothing_differs_between_a_set_and_itself_and_labels_do_not_count() {
        let found = found(|session| {
            session.title = "other".into();
            session.notes = "other".into();
            session.modes[0].purpose = "other words".into();
        });
        assert!(found.is_empty());
        assert_eq!(found.summary(), ["Nothing differs."]);
    }

    #[test]
    fn an_axis_and_a_map_only_one_has_are_named() {
        let found = found(|session| {
            session.modes[0].pitch.columns[1] = 2.5;
            session.modes[0].floor = None;
        });
        let sentences = found.sentences("before", "now");
        assert_eq!(sentences.len(), 2, "{sentences:?}");
        assert!(
            sentences[0]
                .contains("pitch map, axis longitudinal_demand_m_per_s2: 0 3 7 m/s^2 before, 0 2.5 7 m/s^2 now"),
            "{sentences:?}"
        );
        assert!(sentences[1].contains("floor map, the whole table: present before, absent now"), "{sentences:?}");
    }
}
