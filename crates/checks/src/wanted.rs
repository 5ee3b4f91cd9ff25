//! What must have a check on the page: named by the tests that know the lists, so that no list is kept by hand.

use crate::Row;

/// Something that must be on the page.
#[derive(Clone, Debug, PartialEq)]
pub enum Wanted {
    /// A quantity that bears this name in full, as `metric lift_time_s` or `event Pothole`.
    Name {
        /// What it is: metric, law, event.
        kind: String,
        /// The name.
        name: String,
    },
    /// A published value: a check of that source expects it.
    Value {
        /// Words the check's source contains.
        source: String,
        /// What the value is called where it was published.
        name: String,
        /// The value.
        expected: f64,
    },
}

/// Share by which a published value may be off from what a check expects: it may stand there with fewer digits.
const SAME_VALUE: f64 = 1e-3;

impl Wanted {
    /// Its line; the first field tells it from a check.
    pub fn line(&self) -> String {
        let plain = |text: &str| text.replace(['\t', '\n', '\r'], " ");
        match self {
            Wanted::Name { kind, name } => format!("wanted\t{}\t{}", plain(kind), plain(name)),
            Wanted::Value { source, name, expected } => {
                format!("wanted value\t{}\t{}\t{expected:e}", plain(source), plain(name))
            }
        }
    }

    /// Reads a line back; `None` if it is none of ours.
    pub fn parse(line: &str) -> Option<Wanted> {
        let fields: Vec<&str> = line.split('\t').collect();
        match fields[..] {
            ["wanted", kind, name] => Some(Wanted::Name { kind: kind.to_owned(), name: name.to_owned() }),
            ["wanted value", source, name, expected] => Some(Wanted::Value {
                source: source.to_owned(),
                name: name.to_owned(),
                expected: expected.parse().ok()?,
            }),
            _ => None,
        }
    }

    /// The kind it is counted under.
    pub fn kind(&self) -> &str {
        match self {
            Wanted::Name { kind, .. } => kind,
            Wanted::Value { .. } => "published value",
        }
    }

    /// What it is called on the page.
    pub fn title(&self) -> String {
        match self {
            Wanted::Name { kind, name } => format!("{kind} {name}"),
            Wanted::Value { source, name, .. } => format!("{source}: {name}"),
        }
    }

    /// True where a check is one of it.
    pub fn is_met_by(&self, row: &Row) -> bool {
        match self {
            Wanted::Name { kind, name } => bears(&row.quantity, &format!("{kind} {name}")),
            Wanted::Value { source, expected, .. } => {
                bears(&row.source, source) && (row.expected - expected).abs() <= SAME_VALUE * expected.abs()
            }
        }
    }
}

/// True where a text contains a name that is not part of a longer one.
fn bears(text: &str, name: &str) -> bool {
    let is_word = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '_');
    text.match_indices(name)
        .any(|(at, _)| !is_word(text[..at].chars().next_back()) && !is_word(text[at + name.len()..].chars().next()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(quantity: &str, source: &str, expected: f64) -> Row {
        let (quantity, source, place) = (quantity.to_owned(), source.to_owned(), "x:1".to_owned());
        Row { quantity, source, expected, got: expected, deviation: 0.0, allowed: 0.0, is_relative: true, place }
    }

    #[test]
    fn a_name_is_met_by_itself_and_by_no_longer_one() {
        let wanted = Wanted::Name { kind: "metric".to_owned(), name: "roll_peak_rad".to_owned() };
        assert_eq!(Wanted::parse(&wanted.line()), Some(wanted.clone()));
        assert!(wanted.is_met_by(&row("full car, metric roll_peak_rad: left", "", 0.0)));
        assert!(!wanted.is_met_by(&row("metric roll_peak_rad_per_s", "", 0.0)));
        assert!(!wanted.is_met_by(&row("a roll_peak_rad", "", 0.0)));
        assert_eq!(Wanted::parse(&row("metric roll_peak_rad", "", 0.0).line()), None);
    }

    #[test]
    fn a_value_is_met_by_a_check_of_its_source() {
        let (source, name) = ("checks 14".to_owned(), "overshoot".to_owned());
        let wanted = Wanted::Value { source, name, expected: 0.3723261049265864 };
        assert_eq!(Wanted::parse(&wanted.line()), Some(wanted.clone()));
        assert!(wanted.is_met_by(&row("", "checks 14: closed form", 0.372326104)));
        assert!(!wanted.is_met_by(&row("", "checks 14: closed form", 0.3734)));
        assert!(!wanted.is_met_by(&row("", "checks 1: closed form", 0.3723261049265864)));
    }
}
