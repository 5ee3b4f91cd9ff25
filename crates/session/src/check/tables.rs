//! Axes and tables: every number in its limit, axes strictly rising, tables rectangular.

use super::Checker;
use crate::{
    fault::{counted, with_unit},
    limits::{Limit, MOST_BREAKPOINTS},
    place::Place,
};

impl Checker<'_> {
    /// An axis: enough breakpoints, not too many, each in its limit and above the one before.
    pub(super) fn axis(&mut self, place: &Place<'_>, field: &str, limit: &Limit, axis: &[f64], least: usize) -> bool {
        let before = self.faults.len();
        if !self.count(place, field, axis.len(), least, MOST_BREAKPOINTS) {
            return false;
        }
        for (index, &value) in axis.iter().enumerate() {
            if !limit.allows(value) {
                self.fault(place, format!("{field}[{index}]"), with_unit(value, limit.unit), limit.bound());
            }
        }
        for (index, pair) in axis.windows(2).enumerate() {
            if pair[1] <= pair[0] {
                let bound =
                    format!("{field} must rise strictly (the one before is {})", with_unit(pair[0], limit.unit));
                self.fault(place, format!("{field}[{}]", index + 1), with_unit(pair[1], limit.unit), bound);
            }
        }
        self.faults.len() == before
    }

    /// A row of values: one a breakpoint, each in its limit.
    pub(super) fn row(
        &mut self,
        place: &Place<'_>,
        field: &str,
        limit: &Limit,
        values: &[f64],
        (what, number): (&str, usize),
    ) -> bool {
        let before = self.faults.len();
        if values.len() != number {
            let bound = format!("it must have one number for each of the {number} {what}");
            self.fault(place, field, format!("a list of {}", counted(values.len(), "number")), bound);
        }
        for (index, &value) in values.iter().enumerate() {
            if !limit.allows(value) {
                self.fault(place, format!("{field}[{index}]"), with_unit(value, limit.unit), limit.bound());
            }
        }
        self.faults.len() == before
    }

    /// A table: one row a row breakpoint, one value a column breakpoint, each in its limit.
    pub(super) fn table(
        &mut self,
        place: &Place<'_>,
        field: &str,
        limit: &Limit,
        values: &[Vec<f64>],
        rows: (&str, usize),
        columns: (&str, usize),
    ) -> bool {
        let before = self.faults.len();
        if values.len() != rows.1 {
            let bound = format!("it must have one row for each of the {} {}", rows.1, rows.0);
            self.fault(place, field, format!("a table of {}", counted(values.len(), "row")), bound);
            return false;
        }
        for (row, line) in values.iter().enumerate() {
            if line.len() != columns.1 {
                let bound = format!("it must have one number for each of the {} {}", columns.1, columns.0);
                self.fault(
                    place,
                    format!("{field}[{row}]"),
                    format!("a row of {}", counted(line.len(), "number")),
                    bound,
                );
            }
            for (column, &value) in line.iter().enumerate() {
                if !limit.allows(value) {
                    let cell = format!("{field}[{row}][{column}]");
                    self.fault(place, cell, with_unit(value, limit.unit), limit.bound());
                }
            }
        }
        self.faults.len() == before
    }
}
