//! Why a file is no record: one sentence each, with line and field.

/// Why a file is no record. Lines count from 1.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[allow(missing_docs)]
pub enum LogFault {
    #[error("line {line}: {what}")]
    Text { line: u64, what: String },
    #[error("line 1: the first column is {found:?}, but it must be time_s, followed by the channels")]
    NoTime { found: String },
    #[error("line 1: there is no channel beside time_s")]
    NoChannel,
    #[error(
        "line 1: channel {name:?} does not end in a known unit (such as seat_z_m_per_s2, travel_mm, roll_deg); name the channels wanted to leave it out"
    )]
    NoUnit { name: String },
    #[error("line 1: the name {name:?} stands over more than one column")]
    Twice { name: String },
    #[error("there is no channel {name:?}; there is {known}")]
    Unknown { name: String, known: String },
    #[error("line {line}: there are {found} fields, but the header has {wanted}")]
    Fields { line: u64, found: usize, wanted: usize },
    #[error("line {line}, field {field}: {text:?} is not a finite number")]
    Number { line: u64, field: String, text: String },
    #[error("line {line}, field time_s: {value} s follows {before} s, but time must rise")]
    NotRising { line: u64, before: f64, value: f64 },
    #[error("a record needs at least {least} samples, this one has {samples}")]
    TooShort { samples: usize, least: usize },
    #[error("a record must not have more than {most} values; name the channels wanted")]
    TooMany { most: usize },
    #[error(
        "line {line}, field time_s: nothing was recorded from {from_s} s to {to_s} s, {steps:.0} steps of {step_s:.6} s; cut the record there"
    )]
    Gap { line: u64, from_s: f64, to_s: f64, steps: f64, step_s: f64 },
}
