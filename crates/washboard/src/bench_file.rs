//! Damper bench files: CSV with velocity, force and current, a unit in every header or in a line of its own below.

use anyhow::{Context, Result, bail, ensure};
use std::fs::File;
use std::io::Read;
use std::path::Path;
use washboard_log::ShortLines;
use washboard_session::bench::Sample;
use washboard_session::{Limit, limits};

/// Largest file that is read, bytes: an hour at 2 kHz takes about half of it.
const MOST_BYTES: u64 = 256 * 1024 * 1024;

/// Most rows that are kept: an hour at 1 kHz and more.
const MOST_ROWS: usize = 5_000_000;

/// What a bench file holds.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchFile {
    /// Its rows in SI.
    pub samples: Vec<Sample>,
    /// How it was understood, one sentence each.
    pub read: Vec<String>,
}

/// A quantity that is looked for, with the words for it and its units.
struct Quantity {
    name: &'static str,
    words: &'static [&'static str],
    units: &'static [(&'static str, f64)],
    limit: &'static Limit,
    example: &'static str,
}

const QUANTITIES: [Quantity; 3] = [
    Quantity {
        name: "velocity",
        words: &["velocity", "vel", "speed", "v"],
        units: &[("m/s", 1.0), ("mm/s", 1e-3), ("cm/s", 1e-2)],
        limit: &limits::BENCH_VELOCITY,
        example: "velocity_mm_per_s",
    },
    Quantity {
        name: "force",
        words: &["force", "f", "load"],
        units: &[("n", 1.0), ("kn", 1e3), ("dan", 10.0)],
        limit: &limits::BENCH_FORCE,
        example: "force_n",
    },
    Quantity {
        name: "current",
        words: &["current", "i"],
        units: &[("a", 1.0), ("ma", 1e-3)],
        limit: &limits::BENCH_CURRENT,
        example: "current_a",
    },
];

/// A column that was found.
struct Column {
    index: usize,
    factor: f64,
    header: String,
}

/// Reads a bench file.
pub fn read(path: &Path) -> Result<BenchFile> {
    let name = path.display();
    let file = File::open(path).with_context(|| format!("{name} cannot be read"))?;
    let meta = file.metadata().with_context(|| format!("{name} cannot be read"))?;
    ensure!(meta.is_file(), "{name} is not a file");
    let bytes = meta.len();
    ensure!(bytes <= MOST_BYTES, "{name} is {bytes} bytes, but bench data must not be larger than {MOST_BYTES} bytes");
    let mut raw = Vec::new();
    file.take(MOST_BYTES).read_to_end(&mut raw).with_context(|| format!("{name} cannot be read"))?;
    parse(&raw, &name.to_string())
}

/// The same from its bytes.
pub fn parse(raw: &[u8], name: &str) -> Result<BenchFile> {
    // Spreadsheets put a mark before the first header.
    let raw = raw.strip_prefix(b"\xef\xbb\xbf").unwrap_or(raw);
    let first = raw.split(|b| *b == b'\n').find(|line| !line.is_empty() && line[0] != b'#').unwrap_or_default();
    let count = |sign: u8| first.iter().filter(|b| **b == sign).count();
    let delimiter =
        [b';', b'\t', b','].into_iter().max_by_key(|sign| (count(*sign) > 0, *sign != b',')).unwrap_or(b',');
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .flexible(true)
        .comment(Some(b'#'))
        .delimiter(delimiter)
        .from_reader(ShortLines::of(raw));
    let headers = reader.headers().with_context(|| format!("{name}, line 1: it is no readable text"))?.clone();
    let mut records = reader.records().peekable();
    // Units may stand in a line of their own below the headers.
    let units = match records.peek() {
        Some(Ok(record)) if !record.is_empty() && record.iter().all(|f| number(f, delimiter).is_none()) => {
            record.iter().map(str::to_owned).collect()
        }
        _ => Vec::new(),
    };
    if !units.is_empty() {
        records.next();
    }
    let mut columns = Vec::new();
    for quantity in &QUANTITIES {
        columns.push(quantity.find(&headers, &units, name)?);
    }
    let [Some(velocity), Some(force), current] = &columns[..] else {
        let lacking = if columns[0].is_none() { &QUANTITIES[0] } else { &QUANTITIES[1] };
        bail!(
            "{name}, line 1: there is no column of {}; its header must begin with that word and hold the unit, such as {}",
            lacking.name,
            lacking.example
        );
    };
    let used: Vec<&Column> = [Some(velocity), Some(force), current.as_ref()].into_iter().flatten().collect();
    let mut samples = Vec::new();
    for record in records {
        let record = record.map_err(|e| {
            let line = e.position().map_or(0, csv::Position::line);
            anyhow::anyhow!("{name}, line {line}: the line is no readable text")
        })?;
        if record.iter().all(str::is_empty) {
            continue;
        }
        let line = record.position().map_or(0, csv::Position::line);
        ensure!(samples.len() < MOST_ROWS, "{name}, line {line}: bench data must not have more than {MOST_ROWS} rows");
        let value = |column: &Column, limit: &Limit| -> Result<f64> {
            let text = record.get(column.index).unwrap_or_default();
            let Some(value) = number(text, delimiter) else {
                bail!("{name}, line {line}, {}: {:?} is not a number", column.header, shortened(text));
            };
            let value = value * column.factor;
            ensure!(
                limit.allows(value),
                "{name}, line {line}, {}: {text} is {value} {}, but {}",
                column.header,
                limit.unit,
                limit.bound()
            );
            Ok(value)
        };
        samples.push(Sample {
            velocity_m_per_s: value(velocity, QUANTITIES[0].limit)?,
            force_n: value(force, QUANTITIES[1].limit)?,
            current_a: current.as_ref().map_or(Ok(0.0), |column| value(column, QUANTITIES[2].limit))?,
        });
    }
    ensure!(!samples.is_empty(), "{name}: there are no rows below the headers");
    let names: Vec<String> = used.iter().map(|c| format!("“{}”", c.header)).collect();
    let mut read = vec![format!("{} rows were read, columns {}.", samples.len(), names.join(", "))];
    let left: Vec<&str> = (0..headers.len())
        .filter(|i| used.iter().all(|c| c.index != *i))
        .filter_map(|i| headers.get(i).filter(|h| !h.is_empty()))
        .collect();
    if !left.is_empty() {
        read.push(format!("Not used: {}.", left.join(", ")));
    }
    if current.is_none() {
        read.push(
            "There is no column of current: the curve stands for one current, 0 A, and cannot be changed.".to_owned(),
        );
    }
    Ok(BenchFile { samples, read })
}

impl Quantity {
    /// The one column of this quantity, if there is any.
    fn find(&self, headers: &csv::StringRecord, units: &[String], name: &str) -> Result<Option<Column>> {
        let mut found: Option<Column> = None;
        for (index, header) in headers.iter().enumerate() {
            let Some(rest) = self.rest_of(header) else { continue };
            let below = units.get(index).map(|unit| tidy(unit)).unwrap_or_default();
            let unit = if rest.is_empty() { below } else { rest };
            let Some(factor) = self.units.iter().find(|(known, _)| *known == unit).map(|(_, factor)| *factor) else {
                // A word such as "force offset" may stand in another column.
                if unit.is_empty() {
                    bail!(
                        "{name}, line 1: the column {header:?} has no unit; write it into the header, such as {}",
                        self.example
                    );
                }
                continue;
            };
            if let Some(first) = &found {
                bail!(
                    "{name}, line 1: both {:?} and {header:?} are columns of {}; take one out",
                    first.header,
                    self.name
                );
            }
            found = Some(Column { index, factor, header: header.to_owned() });
        }
        if found.is_none()
            && let Some(header) = headers.iter().find(|h| self.rest_of(h).is_some())
        {
            let known: Vec<&str> = self.units.iter().map(|(unit, _)| *unit).collect();
            bail!("{name}, line 1: the unit of {header:?} is not known; it may be {}", known.join(", "));
        }
        Ok(found)
    }

    /// What stands behind the word for this quantity in a header, as a tidy unit.
    fn rest_of(&self, header: &str) -> Option<String> {
        let lower = header.to_lowercase();
        let mut rest = lower.trim();
        for lead in ["damper", "rod", "piston", "valve", "coil"] {
            rest = rest.strip_prefix(lead).map_or(rest, |r| r.trim_start_matches([' ', '_']));
        }
        let word: String = rest.chars().take_while(|c| c.is_alphabetic()).collect();
        self.words.contains(&word.as_str()).then(|| tidy(&rest[word.len()..]))
    }
}

/// A unit without brackets and signs around it: `_mm_per_s`, `[mm/s]` and `/ mm/s` are `mm/s`.
fn tidy(unit: &str) -> String {
    let unit = unit.to_lowercase().replace("_per_", "/").replace(" per ", "/");
    unit.trim_matches(|c: char| c.is_whitespace() || "[](){},;:_/".contains(c)).replace(' ', "")
}

/// A number; a comma is its decimal sign where it does not part the columns.
fn number(text: &str, delimiter: u8) -> Option<f64> {
    let text = if delimiter == b',' { text.to_owned() } else { text.replace(',', ".") };
    text.trim().parse().ok()
}

fn shortened(text: &str) -> String {
    if text.chars().count() > 40 { text.chars().take(40).chain(['…']).collect() } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn samples(text: &str) -> Vec<Sample> {
        parse(text.as_bytes(), "b.csv").unwrap().samples
    }

    fn fault(text: &str) -> String {
        format!("{:#}", parse(text.as_bytes(), "b.csv").unwrap_err())
    }

    #[test]
    fn headers_units_and_delimiters_of_the_trade_are_understood() {
        let expected = [Sample { velocity_m_per_s: -0.131, force_n: -1250.0, current_a: 0.32 }];
        for text in [
            "velocity_m_per_s,force_n,current_a\n-0.131,-1250,0.32\n",
            "time_s,Velocity (mm/s),Force [kN],Current (mA)\n0,-131,-1.25,320\n",
            "v / mm/s; F / N; I / A\n-131,0; -1250; 0,32\n",
            "\u{feff}# bench 3\ncurrent\tforce\tvelocity\n[A]\t[daN]\t[cm/s]\n0.32\t-125\t-13.1\n",
            "damper_velocity_mm_per_s,temperature_c,damper_force_kn,coil current A\r\n-131,40,-1.25,0.32\r\n\r\n",
        ] {
            let found = samples(text);
            assert_eq!(found.len(), 1, "{text}");
            let (f, e) = (found[0], expected[0]);
            for (f, e) in [(f.velocity_m_per_s, e.velocity_m_per_s), (f.force_n, e.force_n), (f.current_a, e.current_a)]
            {
                assert!((f - e).abs() < 1e-9, "{text}: {f} instead of {e}");
            }
        }
        let read = parse("time_s,velocity_m_per_s,force_n\n0,1,2\n".as_bytes(), "b.csv").unwrap().read;
        assert!(
            read.iter().any(|s| s.contains("time_s")) && read.iter().any(|s| s.contains("no column of current")),
            "{read:?}"
        );
    }

    #[test]
    fn every_fault_names_file_line_and_what_to_do() {
        let header = "velocity_m_per_s,force_n,current_a\n";
        for (text, parts) in [
            ("velocity_m_per_s,current_a\n1,1\n".to_owned(), vec!["line 1", "no column of force", "force_n"]),
            ("velocity,force_n\n1,1\n".to_owned(), vec!["\"velocity\"", "no unit"]),
            ("velocity_km_per_h,force_n\n1,1\n".to_owned(), vec!["not known", "m/s"]),
            ("force_n,force_kn,velocity_m_per_s\n1,1,1\n".to_owned(), vec!["both", "force_kn"]),
            (format!("{header}1,2,3\n1,x,3\n"), vec!["line 3", "force_n", "\"x\""]),
            (format!("{header}1,2\n"), vec!["line 2", "current_a"]),
            (format!("{header}131,2,1\n"), vec!["line 2", "131 m/s", "-20 to 20 m/s"]),
            (format!("{header}1,NaN,1\n"), vec!["line 2", "NaN"]),
            (header.to_owned(), vec!["no rows"]),
            (String::new(), vec!["no column of velocity"]),
        ] {
            let sentence = fault(&text);
            for part in parts.iter().chain(&["b.csv"]) {
                assert!(sentence.contains(part), "{sentence} lacks {part}");
            }
        }
    }
}
