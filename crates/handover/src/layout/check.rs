//! What a layout document must hold to: sensible sizes, everything inside the memory, nothing upon another.

use super::{AxisAt, LAYOUT_FORMAT, Layout, NumberType, TableName, ValuesAt};

/// Largest memory.
const MOST_BYTES: u32 = 16 << 20;
/// Most entries of each list.
const MOST_ENTRIES: usize = 20_000;
/// Most breakpoints of an axis.
const MOST_COUNT: u32 = 1000;
/// Most faults that are collected.
const MOST_FAULTS: usize = 50;

/// A stretch of bytes that something is written to.
pub(crate) struct Stretch<'l> {
    /// Address of the first byte.
    pub address: u64,
    /// Number of bytes.
    pub length: u64,
    /// Place in the document.
    pub words: String,
    /// The axis it is.
    axis: Option<&'l AxisAt>,
}

impl TableName {
    /// Every kind of table, in the order of a set.
    pub const ALL: [TableName; 10] = [
        TableName::FrontDamper,
        TableName::RearDamper,
        TableName::Heave,
        TableName::Wheel,
        TableName::Base,
        TableName::Roll,
        TableName::Pitch,
        TableName::Floor,
        TableName::InverseFront,
        TableName::InverseRear,
    ];

    /// True for a table of a mode.
    pub fn is_of_a_mode(self) -> bool {
        !matches!(self, TableName::FrontDamper | TableName::RearDamper)
    }

    /// In words and in names of C.
    pub fn name(self) -> &'static str {
        match self {
            TableName::FrontDamper => "front_damper",
            TableName::RearDamper => "rear_damper",
            TableName::Heave => "heave",
            TableName::Wheel => "wheel",
            TableName::Base => "base",
            TableName::Roll => "roll",
            TableName::Pitch => "pitch",
            TableName::Floor => "floor",
            TableName::InverseFront => "inverse_front",
            TableName::InverseRear => "inverse_rear",
        }
    }
}

impl Layout {
    /// Checks everything that does not need a set; the faults are sentences.
    pub fn check(&self) -> Result<(), Vec<String>> {
        let mut faults = Faults(Vec::new());
        if self.format == 0 || self.format > LAYOUT_FORMAT {
            faults.say(format!("format is {}, but this program reads 1 to {LAYOUT_FORMAT}.", self.format));
            return Err(faults.0);
        }
        let memory = &self.memory;
        if memory.bytes == 0 || memory.bytes > MOST_BYTES {
            faults.say(format!("memory.bytes is {}, but it must be 1 to {MOST_BYTES}.", memory.bytes));
        }
        if u64::from(memory.address) + u64::from(memory.bytes) > 1 << 32 {
            faults.say(format!("memory begins at {:#x} and would end beyond 32 bits of address.", memory.address));
        }
        for (name, count) in [("tables", self.tables.len()), ("settings", self.settings.len())] {
            if count > MOST_ENTRIES {
                faults.say(format!("{name} has {count} entries, but at most {MOST_ENTRIES} fit."));
            }
        }
        if !faults.0.is_empty() {
            return Err(faults.0);
        }
        self.check_entries(&mut faults);
        self.check_places(&mut faults);
        if faults.0.is_empty() { Ok(()) } else { Err(faults.0) }
    }

    fn check_entries(&self, faults: &mut Faults) {
        if let Some(at) = &self.version_at {
            let (_, most) = at.number.range();
            if !at.number.is_whole() || f64::from(self.version) > most {
                faults.say(format!(
                    "version_at.type is {}, but it must be a whole-number type that holds {}.",
                    at.number.name(),
                    self.version
                ));
            }
        }
        let mut seen = std::collections::HashSet::new();
        for (index, table) in self.tables.iter().enumerate() {
            let place = format!("tables[{index}] {}", table.table.name());
            if table.table.is_of_a_mode() != table.mode.is_some() {
                let wanted =
                    if table.table.is_of_a_mode() { "it must name a mode, from 1" } else { "it belongs to no mode" };
                faults.say(format!("{place}: mode is {:?}, but {wanted}.", table.mode));
            }
            if table.mode == Some(0) {
                faults.say(format!("{place}: mode is 0, but modes count from 1."));
            }
            if !seen.insert((table.mode, table.table)) {
                faults.say(format!("{place}: the table has a place already."));
            }
            for (axis, which) in [(&table.rows, "rows"), (&table.columns, "columns")] {
                let AxisAt { count, factor, offset, .. } = axis;
                if *count == 0 || *count > MOST_COUNT {
                    faults.say(format!("{place}: {which}.count is {count}, but it must be 1 to {MOST_COUNT}."));
                }
                faults.scale(&place, which, *factor, *offset);
            }
            let ValuesAt { factor, offset, .. } = table.values;
            faults.scale(&place, "values", factor, offset);
        }
        let mut seen = std::collections::HashSet::new();
        for (index, setting) in self.settings.iter().enumerate() {
            let place = format!("settings[{index}] {}", setting.setting);
            if setting.mode == Some(0) {
                faults.say(format!("{place}: mode is 0, but modes count from 1."));
            }
            if !seen.insert((setting.mode, setting.setting.as_str())) {
                faults.say(format!("{place}: the setting has a place already."));
            }
            faults.scale(&place, "setting", setting.factor, setting.offset);
            let (least, most) = setting.number.range();
            if let Some(none) = setting.none
                && (none.is_nan() || none < least || none > most || (setting.number.is_whole() && none.fract() != 0.0))
            {
                faults.say(format!("{place}: none is {none}, but {} cannot hold that.", setting.number.name()));
            }
        }
    }

    /// Every stretch of bytes, in the order of the document.
    pub(crate) fn stretches(&self) -> Vec<Stretch<'_>> {
        let length = |number: NumberType, count: u64| number.bytes() as u64 * count;
        let mut found = Vec::new();
        let mut push = |address: u32, length: u64, words: String, axis| {
            found.push(Stretch { address: u64::from(address), length, words, axis });
        };
        if let Some(at) = &self.version_at {
            push(at.address, length(at.number, 1), "version_at".to_owned(), None);
        }
        if let Some(address) = self.identity_at {
            push(address, 32, "identity_at".to_owned(), None);
        }
        if let Some(check) = &self.check {
            push(check.address, check.kind.bytes() as u64, "check".to_owned(), None);
        }
        for (index, table) in self.tables.iter().enumerate() {
            let (rows, columns) = (u64::from(table.rows.count), u64::from(table.columns.count));
            let words = |part: &str| format!("tables[{index}] {} {part}", table.table.name());
            for (axis, part) in [(&table.rows, "rows"), (&table.columns, "columns")] {
                push(axis.address, length(axis.number, u64::from(axis.count)), words(part), Some(axis));
            }
            let values = &table.values;
            push(values.address, length(values.number, rows * columns), words("values"), None);
        }
        for (index, setting) in self.settings.iter().enumerate() {
            let words = format!("settings[{index}] {}", setting.setting);
            push(setting.address, length(setting.number, 1), words, None);
        }
        found
    }

    fn check_places(&self, faults: &mut Faults) {
        let mut stretches = self.stretches();
        let first = u64::from(self.memory.address);
        let end = first + u64::from(self.memory.bytes);
        for Stretch { address, length, words, .. } in &stretches {
            if *address < first || address + length > end {
                faults.say(format!(
                    "{words}: {length} bytes from {address:#x} do not lie inside the memory, {first:#x} to {:#x}.",
                    end - 1
                ));
            }
        }
        stretches.sort_by(|a, b| (a.address, a.length, &a.words).cmp(&(b.address, b.length, &b.words)));
        for pair in stretches.windows(2) {
            let (one, next) = (&pair[0], &pair[1]);
            // Tables may share an axis: in the same place, written in the same way.
            let is_one_axis = one.axis.is_some() && one.axis == next.axis;
            if one.address + one.length > next.address && !is_one_axis {
                faults.say(format!("{} and {} share the byte at {:#x}.", one.words, next.words, next.address));
            }
        }
    }
}

struct Faults(Vec<String>);

impl Faults {
    fn say(&mut self, sentence: String) {
        if self.0.len() < MOST_FAULTS {
            self.0.push(sentence);
        }
    }

    fn scale(&mut self, place: &str, which: &str, factor: f64, offset: f64) {
        if !factor.is_finite() || factor == 0.0 || !(1e-12..=1e12).contains(&factor.abs()) {
            self.say(format!("{place}: {which}.factor is {factor}, but its size must be 1e-12 to 1e12."));
        }
        if !offset.is_finite() || offset.abs() > 1e12 {
            self.say(format!("{place}: {which}.offset is {offset}, but it must be -1e12 to 1e12."));
        }
    }
}
