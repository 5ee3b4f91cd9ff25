//! One fault: what is wrong in a session, where, with which value and against which bound.

use std::fmt;

/// A number or name that a session must not hold. Its `Display` is one sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Where it stands, such as `modes[1] "firm".heave`; empty at the top of the session.
    pub place: String,
    /// The field, such as `rows[3]`.
    pub field: String,
    /// What stands there, with its unit.
    pub value: String,
    /// What it ought to be, as the clause after "but", such as `it must be 1 to 20000 kg`.
    pub bound: String,
}

impl Fault {
    /// A fault from its four parts.
    pub fn new(
        place: impl Into<String>,
        field: impl Into<String>,
        value: impl Into<String>,
        bound: impl Into<String>,
    ) -> Fault {
        Fault { place: place.into(), field: field.into(), value: value.into(), bound: bound.into() }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let place = if self.place.is_empty() { "session" } else { &self.place };
        write!(out, "{place}: {} is {}, but {}.", self.field, self.value, self.bound)
    }
}

impl std::error::Error for Fault {}

/// A number as people read it: digits as they are, powers of ten only where they would not fit.
pub fn plain(value: f64) -> String {
    let size = value.abs();
    if size != 0.0 && size.is_finite() && !(1e-6..1e9).contains(&size) {
        format!("{value:e}")
    } else {
        value.to_string()
    }
}

/// A number with its unit.
pub fn with_unit(value: f64, unit: &str) -> String {
    if unit.is_empty() { plain(value) } else { format!("{} {unit}", plain(value)) }
}

/// A text in quotation marks, shortened where it is long, so that a sentence stays a sentence.
pub fn quoted(text: &str) -> String {
    const MOST: usize = 60;
    if text.chars().count() <= MOST {
        format!("{text:?}")
    } else {
        let head: String = text.chars().take(MOST).collect();
        format!("{:?}", format!("{head}…"))
    }
}

/// A count with what is counted: `1 row`, `3 rows`. Only for words that take an s.
pub(crate) fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// Names in quotation marks, one after another, at most eight of them.
pub(crate) fn listed<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let all: Vec<String> = names.map(quoted).collect();
    match all.len() {
        0 => "none".to_owned(),
        count if count <= 8 => all.join(", "),
        count => format!("{} and {} more", all[..8].join(", "), count - 8),
    }
}
