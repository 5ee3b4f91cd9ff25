//! Records as CSV: `time_s` first, then one channel a column, a unit in every header.

use crate::short_lines::ShortLines;
use crate::timing::Timing;
use crate::{Channel, Log, LogFault, Unit};
use std::io::Read;

/// Most values that are kept: an hour of seven channels at 2 kHz.
const MOST_VALUES: usize = 50_000_000;
/// Longest text shown of a field at fault, characters.
const SHOWN: usize = 40;

/// Reads a record. `wanted` names channels with their units; empty takes all.
///
/// # Errors
/// One sentence with line and field: no `time_s`, a header without a unit, a field that is no finite number, time that
/// does not rise, a gap, or more than fits.
pub fn read_csv(text: impl Read, wanted: &[String]) -> Result<Log, LogFault> {
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).flexible(true).from_reader(ShortLines::of(text));
    let header = reader.headers().map_err(|e| fault_of(&e, 1))?.clone();
    // Spreadsheets put a mark of their encoding before the first letter.
    let names: Vec<&str> = header.iter().map(|h| h.trim_start_matches('\u{feff}').trim()).collect();
    let taken = columns(&names, wanted)?;

    let mut time_s: Vec<f64> = Vec::new();
    let mut lines: Vec<u32> = Vec::new();
    let mut values: Vec<Vec<f64>> = vec![Vec::new(); taken.len()];
    let most_samples = MOST_VALUES / (taken.len() + 1);
    let mut record = csv::StringRecord::new();
    loop {
        let more =
            reader.read_record(&mut record).map_err(|e| fault_of(&e, u64::from(lines.last().map_or(1, |l| *l)) + 1))?;
        if !more {
            break;
        }
        let line = record.position().map_or(0, csv::Position::line);
        if record.len() != names.len() {
            return Err(LogFault::Fields { line, found: record.len(), wanted: names.len() });
        }
        let number = |column: usize| {
            let text = record.get(column).unwrap_or("");
            let fault = || LogFault::Number { line, field: shortened(names[column]), text: shortened(text) };
            text.parse::<f64>().ok().filter(|value| value.is_finite()).ok_or_else(fault)
        };
        let now_s = number(0)?;
        if let Some(&before) = time_s.last().filter(|before| now_s <= **before) {
            return Err(LogFault::NotRising { line, before, value: now_s });
        }
        if time_s.len() >= most_samples {
            return Err(LogFault::TooMany { most: MOST_VALUES });
        }
        time_s.push(now_s);
        lines.push(u32::try_from(line).unwrap_or(u32::MAX));
        for ((column, unit), channel) in taken.iter().zip(&mut values) {
            channel.push(number(*column)? * unit.factor);
        }
    }
    let timing = Timing::new(&time_s, |i| u64::from(lines[i]))?;
    let mut remarks: Vec<String> = timing.remark.clone().into_iter().collect();
    for (column, unit) in taken.iter().filter(|(_, unit)| unit.factor != 1.0) {
        let si = if unit.label.is_empty() { "as a share of one" } else { unit.label };
        remarks.push(format!("Channel {} is given in SI: {si}.", names[*column]));
    }
    let channel = |((column, unit), values): (&(usize, Unit), Vec<f64>)| Channel {
        name: names[*column].to_owned(),
        unit: *unit,
        values: timing.even(&time_s, values),
    };
    Ok(Log {
        sample_rate_hz: 1.0 / timing.step_s,
        start_s: time_s[0],
        channels: taken.iter().zip(values).map(channel).collect(),
        remarks,
    })
}

/// Columns to take and their units.
fn columns(names: &[&str], wanted: &[String]) -> Result<Vec<(usize, Unit)>, LogFault> {
    if names.first() != Some(&"time_s") {
        return Err(LogFault::NoTime { found: shortened(names.first().unwrap_or(&"")) });
    }
    if names.len() < 2 {
        return Err(LogFault::NoChannel);
    }
    if let Some(i) = (0..names.len()).find(|&i| names[..i].contains(&names[i])) {
        return Err(LogFault::Twice { name: shortened(names[i]) });
    }
    let mut taken = Vec::new();
    let all = || (1..names.len()).collect::<Vec<usize>>();
    let find = |name: &String| {
        let fault = || LogFault::Unknown { name: shortened(name), known: shortened_list(&names[1..]) };
        names.iter().skip(1).position(|n| n == name).map(|i| i + 1).ok_or_else(fault)
    };
    let places = if wanted.is_empty() { all() } else { wanted.iter().map(find).collect::<Result<_, _>>()? };
    for place in places {
        let unit = Unit::of_header(names[place]).ok_or_else(|| LogFault::NoUnit { name: shortened(names[place]) })?;
        if !taken.iter().any(|(column, _)| *column == place) {
            taken.push((place, unit));
        }
    }
    Ok(taken)
}

/// What is wrong with a line that cannot be read; `line` where the fault itself does not know.
fn fault_of(error: &csv::Error, line: u64) -> LogFault {
    let line = error.position().map_or(line, csv::Position::line);
    let what = match error.kind() {
        csv::ErrorKind::Io(error) => error.to_string(),
        _ => "the line is no readable text".to_owned(),
    };
    LogFault::Text { line, what }
}

fn shortened(text: &str) -> String {
    if text.chars().count() > SHOWN { text.chars().take(SHOWN).chain(['…']).collect() } else { text.to_owned() }
}

/// The first names of a long list.
fn shortened_list(names: &[&str]) -> String {
    let mut list = names.iter().take(8).map(|n| shortened(n)).collect::<Vec<_>>().join(", ");
    if names.len() > 8 {
        list += &format!(" and {} more", names.len() - 8);
    }
    list
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, wanted: &[&str]) -> Result<Log, LogFault> {
        read_csv(text.as_bytes(), &wanted.iter().map(|w| (*w).to_owned()).collect::<Vec<_>>())
    }

    #[test]
    fn channels_come_in_si_with_their_names() {
        let log = read("time_s,seat_z_m_per_s2,travel_mm\n0,1,10\n0.01,-1,20\n0.02,1,-5\n", &[]).unwrap();
        assert!((log.sample_rate_hz - 100.0).abs() < 1e-9);
        assert_eq!(log.samples(), 3);
        assert_eq!(log.channels[0].values, [1.0, -1.0, 1.0]);
        assert_eq!(log.channels[1].values, [0.01, 0.02, -0.005]);
        assert_eq!((log.channels[0].stem(), log.channels[1].stem()), ("seat_z", "travel"));
        assert!(log.remarks.iter().any(|r| r.contains("travel_mm") && r.contains("SI")));
        let one = read("\u{feff}time_s,flag,seat_z_m_per_s2\r\n0,x,1\r\n0.01,x,2\r\n", &["seat_z_m_per_s2"]).unwrap();
        assert_eq!(one.channels.len(), 1);
    }

    #[test]
    fn every_fault_names_line_and_field() {
        for (text, wanted, parts) in [
            ("t,a_m\n0,1\n", vec![], vec!["line 1", "time_s"]),
            ("", vec![], vec!["line 1", "time_s"]),
            ("time_s\n0\n", vec![], vec!["no channel"]),
            ("time_s,speed\n0,1\n", vec![], vec!["\"speed\"", "unit"]),
            ("time_s,a_m,a_m\n0,1,1\n", vec![], vec!["a_m", "more than one"]),
            ("time_s,a_m\n0,1\n0.1,x\n", vec![], vec!["line 3", "a_m", "\"x\""]),
            ("time_s,a_m\n0,1\n0.1,NaN\n", vec![], vec!["line 3", "a_m", "NaN"]),
            ("time_s,a_m\n0,1\n0.1,\n", vec![], vec!["line 3", "a_m"]),
            ("time_s,a_m\n0,1\n0.1\n", vec![], vec!["line 3", "1 fields"]),
            ("time_s,a_m\n0,1\n0,2\n", vec![], vec!["line 3", "time_s", "rise"]),
            ("time_s,a_m\n0,1\n", vec![], vec!["2 samples"]),
            ("time_s,a_m\n0,1\n1,1\n", vec!["b_m"], vec!["b_m", "there is a_m"]),
        ] {
            let sentence = read(text, &wanted).unwrap_err().to_string();
            for part in parts {
                assert!(sentence.contains(part), "{sentence} lacks {part}");
            }
            assert_eq!(sentence.lines().count(), 1);
        }
    }

    #[test]
    fn a_line_of_a_hundred_million_columns_is_refused_at_its_beginning() {
        let endless = std::io::repeat(b',').take(100_000_000);
        let sentence = read_csv(endless, &[]).unwrap_err().to_string();
        assert!(sentence.contains("line 1") && sentence.contains("longer"), "{sentence}");
    }
}
