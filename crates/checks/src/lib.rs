//! Outside checks of the tests, recorded as they run: quantity, source, expected, got, deviation.
//!
//! A test calls [`relative`] or [`absolute`] where it holds a figure against something outside the project. The check is
//! written down and then asserted. The rows lie in `checks/` under the target folder, one file a test binary; the
//! program of this crate makes the page `checks.md` beside it.
//!
//! Tests that know a list (of metrics, laws, events, published values) say with [`wanted`] and [`wanted_value`] what must be
//! on the page; the program says what is missing there and fails.

mod page;
mod row;
mod wanted;

pub use page::{Page, write_page};
pub use row::Row;
pub use wanted::Wanted;

use std::panic::Location;

/// Holds a figure against an expected one of `source`, within a share of it; for an expected zero within that share of one.
///
/// # Panics
/// If it is off by more, or is no number.
#[track_caller]
pub fn relative(quantity: impl AsRef<str>, source: &str, got: f64, expected: f64, share: f64) {
    let scale = if expected == 0.0 { 1.0 } else { expected.abs() };
    hold(quantity.as_ref(), source, got, expected, scale, share);
}

/// Holds a figure against an expected one of `source`, within a bound in the figure's own unit.
///
/// # Panics
/// If it is off by more, or is no number.
#[track_caller]
pub fn absolute(quantity: impl AsRef<str>, source: &str, got: f64, expected: f64, bound: f64) {
    hold(quantity.as_ref(), source, got, expected, 0.0, bound);
}

/// Holds a figure against an expected one of `source`, within a share of a scale: where the expected value itself may be
/// next to nothing.
///
/// # Panics
/// If it is off by more, or is no number.
#[track_caller]
pub fn relative_to(quantity: impl AsRef<str>, source: &str, got: f64, expected: f64, scale: f64, share: f64) {
    hold(quantity.as_ref(), source, got, expected, scale.abs().max(f64::MIN_POSITIVE), share);
}

/// Writes a check down without holding it: for a test that judges many figures together and says which are off.
#[track_caller]
pub fn note(quantity: impl AsRef<str>, source: &str, got: f64, expected: f64, scale: f64, share: f64) {
    write_down(quantity.as_ref(), source, got, expected, scale.abs().max(f64::MIN_POSITIVE), share);
}

/// Says that some check's quantity must bear `kind` and `name` together, as `event Pothole`.
pub fn wanted(kind: &str, name: &str) {
    row::record(&Wanted::Name { kind: kind.to_owned(), name: name.to_owned() }.line());
}

/// Says that some check against `source` must expect this published value.
pub fn wanted_value(source: &str, name: &str, expected: f64) {
    row::record(&Wanted::Value { source: source.to_owned(), name: name.to_owned(), expected }.line());
}

/// `scale` zero: the deviation is in the figure's unit, else a share of the scale.
#[track_caller]
fn hold(quantity: &str, source: &str, got: f64, expected: f64, scale: f64, allowed: f64) {
    let deviation = write_down(quantity, source, got, expected, scale, allowed);
    assert!(
        deviation.abs() <= allowed,
        "{quantity}: {got} against {expected} of {source}; off by {deviation:e}, allowed {allowed:e}"
    );
}

/// Records a check and gives its deviation.
#[track_caller]
fn write_down(quantity: &str, source: &str, got: f64, expected: f64, scale: f64, allowed: f64) -> f64 {
    let is_relative = scale > 0.0;
    let deviation = if is_relative { (got - expected) / scale } else { got - expected };
    let location = Location::caller();
    let row = Row {
        quantity: quantity.to_owned(),
        source: source.to_owned(),
        expected,
        got,
        deviation,
        allowed,
        is_relative,
        place: format!("{}:{}", location.file(), location.line()),
    };
    row::record(&row.line());
    deviation
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_off_is_written_down_and_fails() {
        relative("a share", "closed form", 1.0001, 1.0, 1e-3);
        absolute("a difference", "closed form", 2.0, 2.0, 0.0);
        let off = std::panic::catch_unwind(|| relative("something off", "closed form", 1.1, 1.0, 1e-3));
        assert!(off.is_err());
        let nothing = std::panic::catch_unwind(|| absolute("no number", "closed form", f64::NAN, 1.0, 1e9));
        assert!(nothing.is_err());
    }
}
