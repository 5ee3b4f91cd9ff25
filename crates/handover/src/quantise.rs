//! What a control unit really holds of a set: every number as its layout writes it, and how far that is from the exact one.

use washboard_session::{Mode, Session, fault::plain};

use crate::fault::HandoverFault;
use crate::image::{
    axis_encoding, decode, encode, names_of, setting_encoding, setting_place, table_place, values_encoding,
};
use crate::layout::{Encoding, Layout};
use crate::set::CarSet;
use crate::slots::{numeric_settings, table_of};

/// What stands behind the name of a mode as the control unit holds it.
pub const AS_IN_THE_CAR: &str = " (as in the car)";

/// A set after its way into a control unit and back.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantised {
    /// The set that the control unit computes with; what the layout leaves out is exact.
    pub set: CarSet,
    /// The largest error of each table's cells, in the order of the layout.
    pub errors: Vec<TableError>,
    /// What the layout has no place for, by name: the control unit must have it from elsewhere.
    pub left_out: Vec<String>,
}

/// The cell of a table that its quantisation changed most.
#[derive(Clone, Debug, PartialEq)]
pub struct TableError {
    /// Which table, in words.
    pub place: String,
    /// Which cell: its breakpoints with unit.
    pub at: String,
    /// Row and column, from 0.
    pub cell: (usize, usize),
    /// Value in the set.
    pub exact: f64,
    /// Value in the control unit.
    pub quantised: f64,
    /// Half a raw step: the bound of the error.
    pub half_step: f64,
    /// Unit of all three.
    pub unit: &'static str,
}

impl TableError {
    /// Quantised minus exact.
    pub fn error(&self) -> f64 {
        self.quantised - self.exact
    }

    /// One sentence.
    pub fn sentence(&self) -> String {
        format!(
            "{}: largest error {} {unit} at {}, {} {unit} instead of {} {unit} (half a step is {} {unit}).",
            self.place,
            digits(self.error(), 3),
            self.at,
            digits(self.quantised, 9),
            self.exact,
            digits(self.half_step, 3),
            unit = self.unit
        )
    }
}

/// A number in at most so many significant digits, without trailing zeros.
fn digits(value: f64, count: usize) -> String {
    let rounded: f64 = format!("{value:.*e}", count.saturating_sub(1)).parse().unwrap_or(value);
    plain(rounded)
}

impl Quantised {
    /// The modes as the control unit holds them, for evaluation beside the exact ones.
    ///
    /// Their finite inverse damper tables are in [`Quantised::set`].
    pub fn modes(&self) -> Vec<Mode> {
        self.set.modes()
    }

    /// The session with one more mode for each of the set's, as the control unit holds it, so that every figure can be
    /// had of both side by side. Their names are the modes' with [`AS_IN_THE_CAR`] behind, and are returned as pairs.
    ///
    /// A current limit that rounding took out of the bench data, by half a raw step at most, is held at their end: what the
    /// dampers do beyond it nobody has measured.
    pub fn beside(&self, session: &Session) -> (Session, Vec<(String, String)>) {
        let mut both = session.clone();
        let mut pairs = Vec::new();
        let vehicle = &session.vehicle;
        let fitted = |name: &str| name == vehicle.front.damper || name == vehicle.rear.damper;
        let benches = || session.dampers.iter().filter(|damper| fitted(&damper.name));
        let low = benches().filter_map(|damper| damper.current_a.first()).fold(f64::MIN, |a, b| a.max(*b));
        let high = benches().filter_map(|damper| damper.current_a.last()).fold(f64::MAX, |a, b| a.min(*b));
        for mut mode in self.modes() {
            mode.current_min_a = mode.current_min_a.max(low);
            mode.current_max_a = mode.current_max_a.min(high);
            let exact = mode.name.clone();
            mode.name.push_str(AS_IN_THE_CAR);
            pairs.push((exact, mode.name.clone()));
            both.modes.push(mode);
        }
        (both, pairs)
    }
}

/// Quantises a set after a layout.
pub fn quantise(set: &CarSet, layout: &Layout) -> Result<Quantised, HandoverFault> {
    let image = encode(set, layout)?;
    let decoded = decode(&image.bytes, layout, set)?;
    if !decoded.faults.is_empty() {
        return Err(HandoverFault::ReadBack(decoded.faults));
    }
    let mut errors = Vec::new();
    for at in &layout.tables {
        let (Some(exact), Some(copy)) = (table_of(set, at.mode, at.table), table_of(&decoded.set, at.mode, at.table))
        else {
            continue;
        };
        let place = table_place(set, at);
        let units = names_of(set, &place);
        let mut worst: Option<TableError> = None;
        for (row, (cells, copies)) in exact.values.iter().zip(copy.values).enumerate() {
            for (column, (&value, &quantised)) in cells.iter().zip(copies).enumerate() {
                if worst.as_ref().is_none_or(|worst| (quantised - value).abs() > worst.error().abs()) {
                    let (row_at, column_at) = (exact.rows[row], exact.columns[column]);
                    worst = Some(TableError {
                        place: place.clone(),
                        at: format!("{row_at} {}, {column_at} {}", units.rows, units.columns),
                        cell: (row, column),
                        exact: value,
                        quantised,
                        half_step: values_encoding(&at.values).half_step(value),
                        unit: units.values,
                    });
                }
            }
        }
        errors.extend(worst);
    }
    Ok(Quantised { set: decoded.set, errors, left_out: left_out(set, layout) })
}

/// Names of what a set holds and a layout does not.
fn left_out(set: &CarSet, layout: &Layout) -> Vec<String> {
    let mut names = Vec::new();
    for (mode, table) in crate::slots::table_names(set) {
        if !layout.tables.iter().any(|at| (at.mode, at.table) == (mode, table)) {
            names.push(match mode {
                Some(mode) => format!("mode number {mode}, {} table", table.name()),
                None => format!("{} table", table.name()),
            });
        }
    }
    for one in numeric_settings(set) {
        if !layout.settings.iter().any(|at| at.mode == one.mode && at.setting == one.path) {
            names.push(match one.mode {
                Some(mode) => format!("mode number {mode}, {}", one.path),
                None => one.path,
            });
        }
    }
    names
}

/// Compares what was read back with the set that was meant, number by number within half a raw step; each difference is
/// a sentence with cell, both values and the step.
pub fn compare_within_half_a_step(meant: &CarSet, read: &CarSet, layout: &Layout) -> Vec<String> {
    let mut found = Vec::new();
    let differs = |encoding: &Encoding, a: f64, b: f64| {
        let half_step = encoding.half_step(a);
        // Factors leave digits behind that no step can mean.
        let words = || [digits(b, 10), digits(half_step, 3)];
        if (a - b).abs() <= half_step { None } else { Some(words()) }
    };
    for at in &layout.tables {
        let place = table_place(meant, at);
        let (Some(a), Some(b)) = (table_of(meant, at.mode, at.table), table_of(read, at.mode, at.table)) else {
            found.push(format!("{place}: only one of both has it."));
            continue;
        };
        let units = names_of(meant, &place);
        let mut same_shape = true;
        for (which, axis, one, other, unit) in [
            ("rows", &at.rows, a.rows, b.rows, units.rows),
            ("columns", &at.columns, a.columns, b.columns, units.columns),
        ] {
            let encoding = axis_encoding(axis);
            same_shape &= one.len() == other.len();
            if one.len() != other.len() {
                found.push(format!("{place}: {} {which} in the set, {} read.", one.len(), other.len()));
            }
            for (index, (&x, &y)) in one.iter().zip(other).enumerate() {
                if let Some([y, half]) = differs(&encoding, x, y) {
                    found.push(format!(
                        "{place}, breakpoint {} of the {which}: {x} {unit} in the set, {y} {unit} read (half a step is {half}).",
                        index + 1
                    ));
                }
            }
        }
        if !same_shape {
            continue;
        }
        let encoding = values_encoding(&at.values);
        for (row, (one, other)) in a.values.iter().zip(b.values).enumerate() {
            for (column, (&x, &y)) in one.iter().zip(other).enumerate() {
                if let Some([y, half]) = differs(&encoding, x, y) {
                    let unit = units.values;
                    found.push(format!(
                        "{place} at {} {}, {} {}: {x} {unit} in the set, {y} {unit} read (half a step is {half}).",
                        a.rows[row], units.rows, a.columns[column], units.columns
                    ));
                }
            }
        }
    }
    let (one, other) = (numeric_settings(meant), numeric_settings(read));
    for at in &layout.settings {
        let of = |list: &[crate::slots::NumericSetting]| {
            list.iter().find(|s| s.mode == at.mode && s.path == at.setting).and_then(|s| s.value)
        };
        let place = setting_place(at);
        match (of(&one), of(&other)) {
            (Some(x), Some(y)) => {
                if let Some([y, half]) = differs(&setting_encoding(at), x, y) {
                    found.push(format!("{place}: {x} in the set, {y} read (half a step is {half})."));
                }
            }
            (None, None) => {}
            (x, y) => {
                let words = |value: Option<f64>| value.map_or("none".to_owned(), |value| value.to_string());
                found.push(format!("{place}: {} in the set, {} read.", words(x), words(y)));
            }
        }
    }
    found
}
