//! A measured profile's file: CSV, read and checked line by line.

use anyhow::{Context, Result, bail, ensure};
use std::fs::File;
use std::io::Read;
use std::path::Path;
use washboard_log::ShortLines;
use washboard_road::{Elevation, Profile};

/// Largest file that is read, bytes: 100 km at 5 cm in two tracks take about half of it.
const MOST_BYTES: u64 = 128 * 1024 * 1024;
/// Most samples of a profile: 200 km at 5 cm.
const MOST_SAMPLES: usize = 4_000_000;
/// Distances beyond this are no measured road, m.
const FARTHEST_M: f64 = 1.0e6;
/// Elevations beyond this are no measured road, m.
const HIGHEST_M: f64 = 1.0e4;

/// Reads one profile: header `distance_m,elevation_m` or `distance_m,left_m,right_m`, then one sample a line.
pub fn read(path: &Path) -> Result<Profile> {
    let name = path.display();
    // Looked at before it is opened: opening a pipe would wait for its other end.
    let meta = std::fs::metadata(path).with_context(|| format!("{name} cannot be read"))?;
    ensure!(meta.is_file(), "{name} is not a file");
    let bytes = meta.len();
    ensure!(bytes <= MOST_BYTES, "{name} is {bytes} bytes, but a profile must not be larger than {MOST_BYTES} bytes");
    let file = File::open(path).with_context(|| format!("{name} cannot be read"))?;
    parse(file.take(MOST_BYTES), &name.to_string())
}

/// The bytes of a profile's file, as far as a profile may be long.
pub fn raw(path: &Path) -> Result<Vec<u8>> {
    let name = path.display();
    let mut bytes = Vec::new();
    let file = File::open(path).with_context(|| format!("{name} cannot be read"))?;
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes).with_context(|| format!("{name} cannot be read"))?;
    ensure!(bytes.len() as u64 <= MOST_BYTES, "{name} must not be larger than {MOST_BYTES} bytes");
    Ok(bytes)
}

/// The same from its text.
pub fn parse(text: impl Read, name: &str) -> Result<Profile> {
    let text = ShortLines::of(text);
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).flexible(true).from_reader(text);
    let headers = reader.headers().with_context(|| format!("{name}, line 1"))?.clone();
    // Spreadsheets put a mark of their encoding before the first letter.
    let fields: Vec<&str> = headers.iter().map(|h| h.trim_start_matches('\u{feff}')).collect();
    let tracks = match fields.as_slice() {
        ["distance_m", "elevation_m"] => 1,
        ["distance_m", "left_m", "right_m"] => 2,
        other => bail!(
            "{name}, line 1: the header is {:?}, but it must be distance_m,elevation_m or distance_m,left_m,right_m",
            shortened(&other.join(","))
        ),
    };
    let mut distance_m: Vec<f64> = Vec::new();
    let mut elevation_m = vec![Vec::new(); tracks];
    for record in reader.records() {
        let record = record.map_err(|e| {
            let line = e.position().map_or(0, csv::Position::line);
            anyhow::anyhow!("{name}, line {line}: the line is no readable text")
        })?;
        let line = record.position().map_or(0, csv::Position::line);
        let (count, wanted) = (record.len(), tracks + 1);
        ensure!(
            distance_m.len() < MOST_SAMPLES,
            "{name}, line {line}: a profile must not have more than {MOST_SAMPLES} samples"
        );
        ensure!(count == wanted, "{name}, line {line}: there are {count} fields, but the header has {wanted}");
        for (field, text) in fields.iter().zip(&record) {
            let most = if *field == "distance_m" { FARTHEST_M } else { HIGHEST_M };
            let value = number(text, most).with_context(|| format!("{name}, line {line}, field {field}"))?;
            match *field {
                "distance_m" => {
                    if let Some(before) = distance_m.last() {
                        ensure!(
                            value > *before,
                            "{name}, line {line}, field distance_m: {value} follows {before}, but distances must rise"
                        );
                    }
                    distance_m.push(value);
                }
                "right_m" => elevation_m[1].push(value),
                _ => elevation_m[0].push(value),
            }
        }
    }
    let second = if tracks == 2 { elevation_m.pop() } else { None };
    let first = elevation_m.pop().unwrap_or_default();
    let elevation = match second {
        Some(right) => Elevation::Two(first, right),
        None => Elevation::One(first),
    };
    Profile::new(distance_m, elevation).with_context(|| name.to_owned())
}

fn number(text: &str, most: f64) -> Result<f64> {
    let Ok(value) = text.parse::<f64>() else { bail!("{:?} is not a number", shortened(text)) };
    ensure!(value.abs() <= most, "{value} m is not within -{most} to {most} m");
    Ok(value)
}

fn shortened(text: &str) -> String {
    if text.chars().count() > 40 { text.chars().take(40).chain(['…']).collect() } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fault(text: &str) -> String {
        format!("{:#}", parse(text.as_bytes(), "p.csv").unwrap_err())
    }

    #[test]
    fn one_and_two_tracks_are_read() {
        let one = parse("distance_m,elevation_m\n0,0.001\n0.5, -0.002\n".as_bytes(), "p.csv").unwrap();
        assert_eq!(one.distance_m(), [0.0, 0.5]);
        assert_eq!(*one.elevation_m(), Elevation::One(vec![0.001, -0.002]));
        let two = parse("distance_m,left_m,right_m\r\n0,1,2\r\n1,3,4\r\n".as_bytes(), "p.csv").unwrap();
        assert_eq!(*two.elevation_m(), Elevation::Two(vec![1.0, 3.0], vec![2.0, 4.0]));
    }

    #[test]
    fn every_fault_names_file_line_and_field() {
        let header = "distance_m,elevation_m\n";
        for (body, parts) in [
            ("0,0\n1,x\n", vec!["line 3", "elevation_m", "\"x\""]),
            ("0,0\n0,1\n", vec!["line 3", "distance_m", "rise"]),
            ("0,0\n1,NaN\n", vec!["line 3", "elevation_m", "NaN"]),
            ("0,inf\n1,0\n", vec!["line 2", "elevation_m", "inf"]),
            ("0,0\n1\n", vec!["line 3", "1 fields"]),
            ("0,0\n", vec!["2 samples"]),
        ] {
            let sentence = fault(&format!("{header}{body}"));
            for part in parts.iter().chain(&["p.csv"]) {
                assert!(sentence.contains(part), "{sentence} lacks {part}");
            }
        }
        assert!(fault("distance,elevation\n0,0\n1,1\n").contains("distance_m,elevation_m"));
        assert!(fault("").contains("line 1"));
    }

    #[test]
    fn a_file_of_a_gigabyte_or_of_one_line_is_refused() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("huge.csv");
        File::create(&path).unwrap().set_len(1 << 30).unwrap();
        let sentence = read(&path).unwrap_err().to_string();
        assert!(sentence.contains("1073741824 bytes"), "{sentence}");
        assert!(raw(&path).unwrap_err().to_string().contains("larger"));
        // A hundred million columns, as text that is made while it is read.
        let endless = std::io::repeat(b',').take(100_000_000);
        let sentence = format!("{:#}", parse(endless, "p.csv").unwrap_err());
        assert!(sentence.contains("line 1") && sentence.contains("longer"), "{sentence}");
    }
}
