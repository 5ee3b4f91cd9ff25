//! Tables and settings as CSV: one header row, plain decimals that read back to the same number, no comments.

use crate::parts::{Setting, Table};

/// Header of the settings file.
const SETTINGS_HEADER: [&str; 4] = ["place", "name", "value", "unit"];

/// A table as it stood in a file.
#[derive(Debug, PartialEq)]
pub(crate) struct ReadTable {
    /// First cell.
    pub corner: String,
    /// Row breakpoints.
    pub rows: Vec<f64>,
    /// Column breakpoints.
    pub columns: Vec<f64>,
    /// One row a row breakpoint.
    pub values: Vec<Vec<f64>>,
}

/// A table as CSV: the first cell names rows, columns and values, the first row holds the column breakpoints, the first
/// column the row breakpoints.
pub(crate) fn write_table(table: &Table<'_>) -> Result<Vec<u8>, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let number = |value: &f64| value.to_string();
    writer.write_record([table.corner()].into_iter().chain(table.columns.values.iter().map(number)))?;
    for (row, values) in table.rows.values.iter().zip(table.values) {
        writer.write_record([row].into_iter().chain(values).map(number))?;
    }
    finish(writer)
}

/// Reads a table back; the fault is a clause.
pub(crate) fn read_table(bytes: &[u8]) -> Result<ReadTable, String> {
    let mut records = reader(bytes).into_records();
    let head = records.next().ok_or("it is empty")?.map_err(|e| e.to_string())?;
    let corner = head.get(0).unwrap_or_default().to_owned();
    let columns = head.iter().skip(1).map(parse).collect::<Result<Vec<f64>, String>>()?;
    let (mut rows, mut values) = (Vec::new(), Vec::new());
    for record in records {
        let record = record.map_err(|e| e.to_string())?;
        let mut numbers = record.iter().map(parse);
        rows.push(numbers.next().ok_or("a row is empty")??);
        values.push(numbers.collect::<Result<Vec<f64>, String>>()?);
    }
    Ok(ReadTable { corner, rows, columns, values })
}

/// The settings as CSV: place, name, value, unit.
pub(crate) fn write_settings(settings: &[Setting]) -> Result<Vec<u8>, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(SETTINGS_HEADER)?;
    for setting in settings {
        writer.write_record([&setting.place, &setting.name, &setting.value, setting.unit])?;
    }
    finish(writer)
}

/// Reads the settings back as place, name, value and unit; the fault is a clause.
pub(crate) fn read_settings(bytes: &[u8]) -> Result<Vec<[String; 4]>, String> {
    let mut records = reader(bytes).into_records();
    let head = records.next().ok_or("it is empty")?.map_err(|e| e.to_string())?;
    if head != SETTINGS_HEADER[..] {
        return Err(format!("its first row is not {}", SETTINGS_HEADER.join(",")));
    }
    records
        .map(|record| {
            let record = record.map_err(|e| e.to_string())?;
            Ok(std::array::from_fn(|i| record.get(i).unwrap_or_default().to_owned()))
        })
        .collect()
}

fn reader(bytes: &[u8]) -> csv::Reader<&[u8]> {
    csv::ReaderBuilder::new().has_headers(false).flexible(false).from_reader(bytes)
}

fn parse(cell: &str) -> Result<f64, String> {
    cell.parse().map_err(|_| format!("\"{cell}\" is not a number"))
}

fn finish(writer: csv::Writer<Vec<u8>>) -> Result<Vec<u8>, csv::Error> {
    writer.into_inner().map_err(|error| csv::Error::from(error.into_error()))
}
