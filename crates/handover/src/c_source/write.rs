//! Writes the C files from the memory image, so that both hold the same raw values.

use std::fmt::Write;

use super::{Item, setting_name, table_items};
use crate::fault::HandoverFault;
use crate::identity::{identity, sha256_hex};
use crate::image::{Image, encode, names_of, table_place};
use crate::layout::{CellOrder, Layout, NumberType, TableAt};
use crate::parts;
use crate::readme::{SIGNS, UNITS};
use crate::set::CarSet;

/// Path of the header in a folder.
pub const HEADER_FILE: &str = "c/washboard_set.h";
/// Path of the source in a folder.
pub const SOURCE_FILE: &str = "c/washboard_set.c";
/// What stands before the check sum in the last line of both files.
pub(super) const SEAL: &str = "/* SHA-256 of every byte before this line: ";
/// Numbers a line.
const PER_LINE: usize = 12;

/// Both files.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CFiles {
    /// The header.
    pub header: String,
    /// The source.
    pub source: String,
}

/// The set as C, in the types of a layout; the status stands at the top of both files.
pub fn write(set: &CarSet, layout: &Layout, status: &str) -> Result<CFiles, HandoverFault> {
    let image = encode(set, layout)?;
    let identity = identity(set);
    let head = |what: &str| {
        format!(
            "/* {what} of a damper calibration: {}.\n * Set {identity}.\n * Layout \"{}\", version {}.\n */\n",
            safe(status),
            safe(&layout.name),
            layout.version
        )
    };
    let mut header = head("Declarations");
    let mut source = head("Numbers");
    header.push_str("#ifndef WASHBOARD_SET_H\n#define WASHBOARD_SET_H\n\n#include <stdint.h>\n\n");
    let _ = writeln!(header, "#define SET_IDENTITY \"{identity}\"");
    let _ = writeln!(header, "#define SET_LAYOUT_VERSION {}u", layout.version);
    let _ = writeln!(header, "#define SET_MODES {}", set.modes.len());
    header.push_str("\n/* A value is FACTOR * raw + OFFSET in the unit beside it.\n * Signs:\n");
    for line in SIGNS.iter().chain(&UNITS) {
        let _ = writeln!(header, " *   {}", safe(line));
    }
    header.push_str(" */\n");
    for (index, mode) in set.modes.iter().enumerate() {
        let _ = writeln!(header, "/* mode {}: {} */", index + 1, safe(&mode.name));
    }
    source.push_str("#include \"washboard_set.h\"\n");
    for at in &layout.tables {
        table(set, layout, &image, at, &mut header, &mut source);
    }
    header.push('\n');
    source.push('\n');
    let units = parts::settings(set);
    for at in &layout.settings {
        let item =
            Item { name: setting_name(at.mode, &at.setting), number: at.number, address: at.address, sizes: vec![] };
        let place = at.mode.and_then(|m| set.modes.get(m as usize - 1)).map(|m| format!("mode \"{}\"", m.name));
        let (axle, name) = at.setting.split_once('.').unwrap_or(("", &at.setting));
        let unit = units
            .iter()
            .find(|s| match &place {
                Some(place) => s.place == *place && s.name == at.setting,
                None => (s.place == axle || s.place == format!("{axle} axle")) && s.name == name,
            })
            .map_or("", |s| s.unit);
        let none = at.none.map_or(String::new(), |none| format!(", raw {none}: none"));
        let _ = writeln!(header, "\n/* {}{}{none} */", safe(&at.setting), in_unit(unit));
        scale(&item.name, at.factor, at.offset, &mut header);
        declare(&item, &mut header);
        define(&item, layout, &image, &mut source);
    }
    header.push_str("\n#endif\n");
    Ok(CFiles { header: sealed(header), source: sealed(source) })
}

fn table(set: &CarSet, layout: &Layout, image: &Image, at: &TableAt, header: &mut String, source: &mut String) {
    let place = table_place(set, at);
    let units = names_of(set, &place);
    let order = match at.values.order {
        CellOrder::RowByRow => "values[row][column]",
        CellOrder::ColumnByColumn => "values[column][row]",
    };
    let names = parts::tables(set).into_iter().find(|t| t.place == place);
    let (rows, columns, values) = names.map_or(("", "", ""), |t| (t.rows.name, t.columns.name, t.name));
    for out in [&mut *header, &mut *source] {
        let _ = writeln!(
            out,
            "\n/* {}: {order}\n *   rows: {rows}, {}\n *   columns: {columns}, {}\n *   values: {values}, {} */",
            safe(&place),
            units.rows,
            units.columns,
            units.values
        );
    }
    let scales = [
        (at.rows.factor, at.rows.offset),
        (at.columns.factor, at.columns.offset),
        (at.values.factor, at.values.offset),
    ];
    for (item, (factor, offset)) in table_items(at).iter().zip(scales) {
        scale(&item.name, factor, offset, header);
        declare(item, header);
        define(item, layout, image, source);
    }
}

fn scale(name: &str, factor: f64, offset: f64, header: &mut String) {
    let name = name.to_ascii_uppercase();
    let _ = writeln!(header, "#define {name}_FACTOR {factor:?}\n#define {name}_OFFSET {offset:?}");
}

fn sizes(item: &Item) -> String {
    item.sizes.iter().map(|size| format!("[{size}]")).collect()
}

fn declare(item: &Item, header: &mut String) {
    let _ = writeln!(header, "extern const {} {}{};", item.number.c_name(), item.name, sizes(item));
}

fn define(item: &Item, layout: &Layout, image: &Image, source: &mut String) {
    let start = (item.address - image.address) as usize;
    let bytes = item.number.bytes();
    let numbers: Vec<String> = (0..item.count())
        .map(|i| literal(item.number, item.number.read(&image.bytes[start + i * bytes..], layout.byte_order)))
        .collect();
    let _ = write!(source, "const {} {}{} = ", item.number.c_name(), item.name, sizes(item));
    match item.sizes[..] {
        [] => source.push_str(&numbers[0]),
        [_] => braces(&numbers, source),
        _ => {
            source.push_str("{\n");
            let inner = item.sizes.last().copied().unwrap_or(1).max(1);
            for row in numbers.chunks(inner) {
                source.push_str("  ");
                braces(row, source);
                source.push_str(",\n");
            }
            source.push('}');
        }
    }
    source.push_str(";\n");
}

fn braces(numbers: &[String], source: &mut String) {
    source.push_str("{ ");
    for (index, line) in numbers.chunks(PER_LINE).enumerate() {
        if index > 0 {
            source.push_str(",\n    ");
        }
        source.push_str(&line.join(", "));
    }
    source.push_str(" }");
}

/// A raw value as C writes it without changing it.
fn literal(number: NumberType, raw: f64) -> String {
    match number {
        NumberType::F32 => format!("{:?}f", raw as f32),
        NumberType::U8 | NumberType::U16 | NumberType::U32 => format!("{raw}u"),
        _ => format!("{raw}"),
    }
}

fn in_unit(unit: &str) -> String {
    if unit.is_empty() { String::new() } else { format!(", {unit}") }
}

/// Words that cannot end a comment, begin one or leave plain text.
fn safe(words: &str) -> String {
    let plain: String = words.chars().map(|c| if c == ' ' || c.is_ascii_graphic() { c } else { '?' }).collect();
    plain.replace("*/", "* /").replace("/*", "/ *").replace("??", "? ?").replace('\\', "/")
}

fn sealed(mut text: String) -> String {
    let sum = sha256_hex(text.as_bytes());
    let _ = writeln!(text, "{SEAL}{sum} */");
    text
}
