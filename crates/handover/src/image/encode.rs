//! Writes a set into the memory a layout describes; what does not fit is refused, never wrapped.

use crate::fault::HandoverFault;
use crate::identity::identity;
use crate::layout::{
    AxisAt, CellOrder, CheckBytes, Encoding, Layout, NumberType, SettingAt, TableAt, TableName, ValuesAt,
};
use crate::parts;
use crate::set::CarSet;
use crate::slots::{NumericSetting, TableView, numeric_settings, table_of};
use std::collections::BTreeMap;

/// Most faults that are named.
const MOST_FAULTS: usize = 20;

/// Bytes with the address of the first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Image {
    /// Address of the first byte.
    pub address: u32,
    /// The bytes.
    pub bytes: Vec<u8>,
}

/// The image of a set.
///
/// # Errors
/// Sentences that name each table or number that the layout cannot hold: another size, a value outside its type, two
/// breakpoints that would fall together, a mode too many or too few.
pub fn encode(set: &CarSet, layout: &Layout) -> Result<Image, HandoverFault> {
    layout.check().map_err(HandoverFault::Layout)?;
    let memory = &layout.memory;
    let mut writer =
        Writer { layout, bytes: vec![memory.fill; memory.bytes as usize], faults: Vec::new(), axes: BTreeMap::new() };
    writer.modes(set);
    for table in &layout.tables {
        writer.table(set, table);
    }
    let numbers = numeric_settings(set);
    for setting in &layout.settings {
        writer.setting(&numbers, setting);
    }
    if let Some(at) = &layout.version_at {
        writer.number(at.address, at.number, f64::from(layout.version));
    }
    if let Some(address) = layout.identity_at {
        let start = (address - memory.address) as usize;
        writer.bytes[start..start + 32].copy_from_slice(&identity_bytes(&identity(set)));
    }
    if let Some(check) = &layout.check {
        let value = check_value(layout, check, &writer.bytes);
        let number = check_type(check);
        writer.number(check.address, number, f64::from(value));
    }
    if writer.faults.is_empty() {
        Ok(Image { address: memory.address, bytes: writer.bytes })
    } else {
        Err(HandoverFault::Layout(writer.faults))
    }
}

/// The 32 bytes of an identity's 64 digits.
pub(crate) fn identity_bytes(identity: &str) -> [u8; 32] {
    let digit = |i: usize| identity.as_bytes().get(i).and_then(|b| char::from(*b).to_digit(16)).unwrap_or(0) as u8;
    std::array::from_fn(|i| digit(2 * i) * 16 + digit(2 * i + 1))
}

/// The check value over every byte but its own.
pub(crate) fn check_value(layout: &Layout, check: &CheckBytes, bytes: &[u8]) -> u32 {
    let start = (check.address - layout.memory.address) as usize;
    check.kind.over(&[&bytes[..start], &bytes[start + check.kind.bytes()..]])
}

/// How check bytes are written.
pub(crate) fn check_type(check: &CheckBytes) -> NumberType {
    if check.kind.bytes() == 2 { NumberType::U16 } else { NumberType::U32 }
}

pub(crate) fn axis_encoding(axis: &AxisAt) -> Encoding {
    Encoding { number: axis.number, factor: axis.factor, offset: axis.offset }
}

pub(crate) fn values_encoding(values: &ValuesAt) -> Encoding {
    Encoding { number: values.number, factor: values.factor, offset: values.offset }
}

pub(crate) fn setting_encoding(setting: &SettingAt) -> Encoding {
    Encoding { number: setting.number, factor: setting.factor, offset: setting.offset }
}

/// Index of a cell in memory.
pub(crate) fn cell_index(order: CellOrder, row: usize, column: usize, rows: usize, columns: usize) -> usize {
    match order {
        CellOrder::RowByRow => row * columns + column,
        CellOrder::ColumnByColumn => column * rows + row,
    }
}

struct Writer<'l> {
    layout: &'l Layout,
    bytes: Vec<u8>,
    faults: Vec<String>,
    /// Raw breakpoints by address, with the table they were written for: tables may share an axis.
    axes: BTreeMap<u32, (Vec<f64>, String)>,
}

impl Writer<'_> {
    fn refuse(&mut self, sentence: String) {
        if self.faults.len() < MOST_FAULTS {
            self.faults.push(sentence);
        }
    }

    fn number(&mut self, address: u32, number: NumberType, raw: f64) {
        let at = (address - self.layout.memory.address) as usize;
        number.write(raw, self.layout.byte_order, &mut self.bytes[at..]);
    }

    /// The layout's modes are the set's.
    fn modes(&mut self, set: &CarSet) {
        let tables = self.layout.tables.iter().filter_map(|table| table.mode);
        let most = tables.chain(self.layout.settings.iter().filter_map(|setting| setting.mode)).max().unwrap_or(0);
        let count = set.modes.len() as u32;
        if most != count {
            self.refuse(format!(
                "The layout \"{}\" has places for {most} modes, but the set has {count}.",
                self.layout.name
            ));
        }
    }

    fn table(&mut self, set: &CarSet, at: &TableAt) {
        let place = table_place(set, at);
        let Some(view) = table_of(set, at.mode, at.table) else {
            self.refuse(format!("{place}: the layout has a place for it, but the set has no such table."));
            return;
        };
        let names = names_of(set, &place);
        let TableView { rows, columns, values } = view;
        let (height, width) = (at.rows.count as usize, at.columns.count as usize);
        if (rows.len(), columns.len()) != (height, width) {
            self.refuse(format!(
                "{place}: it has {} rows and {} columns, but the layout {height} and {width}.",
                rows.len(),
                columns.len()
            ));
            return;
        }
        for (axis, breakpoints, unit) in [(&at.rows, rows, names.rows), (&at.columns, columns, names.columns)] {
            let encoding = axis_encoding(axis);
            let mut before: Option<(f64, f64)> = None;
            let mut written = Vec::with_capacity(breakpoints.len());
            for (index, &value) in breakpoints.iter().enumerate() {
                let raw = match encoding.raw(value) {
                    Ok(raw) => raw,
                    Err(why) => {
                        self.refuse(format!("{place}: the breakpoint {value} {unit} {why}."));
                        continue;
                    }
                };
                if let Some((last_raw, last)) = before
                    && raw == last_raw
                {
                    self.refuse(format!(
                        "{place}: the breakpoints {last} and {value} {unit} fall on the same raw value {raw}; a finer factor is needed."
                    ));
                }
                before = Some((raw, value));
                written.push(raw);
                self.number(axis.address + (index * axis.number.bytes()) as u32, axis.number, raw);
            }
            self.share(axis.address, written, &place);
        }
        let encoding = values_encoding(&at.values);
        for (row, cells) in values.iter().enumerate() {
            for (column, &value) in cells.iter().enumerate() {
                match encoding.raw(value) {
                    Ok(raw) => {
                        let index = cell_index(at.values.order, row, column, height, width);
                        self.number(
                            at.values.address + (index * at.values.number.bytes()) as u32,
                            at.values.number,
                            raw,
                        );
                    }
                    Err(why) => self.refuse(format!(
                        "{place} at {} {}, {} {}: {value} {} {why}.",
                        rows[row], names.rows, columns[column], names.columns, names.values
                    )),
                }
            }
        }
    }

    /// Where tables share an axis, the breakpoints of all of them must be the same.
    fn share(&mut self, address: u32, written: Vec<f64>, place: &str) {
        match self.axes.get(&address) {
            None => drop(self.axes.insert(address, (written, place.to_owned()))),
            Some((other, _)) if *other == written => {}
            Some((_, first)) => {
                let sentence = format!(
                    "{place}: its axis at {address:#x} is that of {first} too, but the breakpoints differ; make them equal, or \
                     give it an axis of its own in the layout."
                );
                self.refuse(sentence);
            }
        }
    }

    fn setting(&mut self, numbers: &[NumericSetting], at: &SettingAt) {
        let place = setting_place(at);
        let of_mode = |one: &&NumericSetting| one.mode == at.mode && one.path == at.setting;
        let value = match numbers.iter().find(of_mode) {
            // A law that has no such setting.
            None if at.none.is_some() && at.setting.starts_with("law.") => None,
            None => {
                self.refuse(format!("{place}: the layout has a place for it, but the set has no such number."));
                return;
            }
            Some(one) => one.value,
        };
        let raw = match (value, at.none) {
            (Some(value), none) => match setting_encoding(at).raw(value) {
                Ok(raw) if Some(raw) == none => {
                    self.refuse(format!("{place}: {value} would be the raw value {raw}, which says there is none."));
                    return;
                }
                Ok(raw) => raw,
                Err(why) => {
                    self.refuse(format!("{place}: {value} {why}."));
                    return;
                }
            },
            (None, Some(none)) => none,
            (None, None) => {
                self.refuse(format!("{place}: the set has none, but the layout names no raw value for that."));
                return;
            }
        };
        self.number(at.address, at.number, raw);
    }
}

/// Place of a table in words.
pub(crate) fn table_place(set: &CarSet, at: &TableAt) -> String {
    table_place_of(set, at.mode, at.table)
}

/// The same by mode and name.
pub(crate) fn table_place_of(set: &CarSet, mode: Option<u32>, table: TableName) -> String {
    let mode = match mode.and_then(|mode| set.modes.get((mode as usize).wrapping_sub(1))) {
        Some(mode) => format!("mode \"{}\"", mode.name),
        None => format!("mode number {}", mode.unwrap_or(0)),
    };
    match table {
        TableName::FrontDamper => "damper of the front axle".to_owned(),
        TableName::RearDamper => "damper of the rear axle".to_owned(),
        TableName::InverseFront => format!("{mode}, inverse damper table of the front axle"),
        TableName::InverseRear => format!("{mode}, inverse damper table of the rear axle"),
        map => format!("{mode}, {} map", map.name()),
    }
}

/// Place of a setting in words.
pub(crate) fn setting_place(at: &SettingAt) -> String {
    match at.mode {
        Some(mode) => format!("mode number {mode}, {}", at.setting),
        None => at.setting.clone(),
    }
}

/// Units of a table of the set.
pub(crate) struct Units {
    pub rows: &'static str,
    pub columns: &'static str,
    pub values: &'static str,
}

/// Units of the table at a place of the set.
pub(crate) fn names_of(set: &CarSet, place: &str) -> Units {
    let table = parts::tables(set).into_iter().find(|table| table.place == place);
    table.map_or(Units { rows: "", columns: "", values: "" }, |table| Units {
        rows: table.rows.unit,
        columns: table.columns.unit,
        values: table.unit,
    })
}
