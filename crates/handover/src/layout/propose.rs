//! Proposes a layout for a set: every table and number packed one behind another, each with the finest factor that holds
//! its range.

use super::{
    AxisAt, ByteOrder, CheckBytes, CheckKind, LAYOUT_FORMAT, Layout, Memory, NumberType, SettingAt, TableAt, TableName,
    ValuesAt, VersionAt,
};
use crate::fault::HandoverFault;
use crate::image::table_place_of;
use crate::parts;
use crate::set::CarSet;
use crate::slots::{numeric_settings, table_names, table_of};

/// What numbers of a proposal are written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Width {
    /// Single-precision floating point.
    Float,
    /// Whole numbers of 8 bits.
    Bits8,
    /// Whole numbers of 16 bits.
    Bits16,
    /// Whole numbers of 32 bits.
    Bits32,
}

/// What a proposal begins with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Proposal {
    /// Name of the control unit.
    pub name: String,
    /// Version that its software expects.
    pub version: u32,
    /// Address of the first byte.
    pub address: u32,
    /// Order of bytes.
    pub byte_order: ByteOrder,
    /// Type of the numbers. Axes whose breakpoints would fall on one another take the next wider one.
    pub width: Width,
    /// Other types for the cells of some tables, of every mode.
    pub by_table: Vec<(TableName, Width)>,
    /// Axes of one quantity with the same breakpoints have one place in memory.
    pub share_axes: bool,
}

impl Default for Proposal {
    /// 16 bits from address 0, axes shared.
    fn default() -> Self {
        Proposal {
            name: "control unit".to_owned(),
            version: 1,
            address: 0,
            byte_order: ByteOrder::Little,
            width: Width::Bits16,
            by_table: Vec::new(),
            share_axes: true,
        }
    }
}

impl Proposal {
    /// What the cells of a table are written in.
    pub fn width_of(&self, table: TableName) -> Width {
        self.by_table.iter().find(|(of, _)| *of == table).map_or(self.width, |(_, width)| *width)
    }
}

/// The smallest factor, of three digits, with which a whole-number type holds values from `least` to `most` without an
/// offset; `None` where it has no sign and a value is below zero.
pub fn finest_factor(number: NumberType, least: f64, most: f64) -> Option<f64> {
    if !number.is_whole() {
        return Some(1.0);
    }
    let (low, high) = number.range();
    if least < 0.0 && low == 0.0 {
        return None;
    }
    let below = if least < 0.0 { least / low } else { 0.0 };
    let exact = below.max(if most > 0.0 { most / high } else { 0.0 });
    if exact == 0.0 || !exact.is_finite() {
        return Some(1.0);
    }
    // Three digits, upwards: at most one hundredth coarser and readable. Printing gives the nearest double of the decimal.
    let exponent = exact.log10().floor() as i32 - 2;
    let digits = (exact / 10f64.powi(exponent) * (1.0 - 1e-12)).ceil();
    format!("{digits}e{exponent}").parse().ok()
}

impl Width {
    /// The type for values of a range.
    fn number(self, least: f64) -> NumberType {
        let signed = least < 0.0;
        match (self, signed) {
            (Width::Float, _) => NumberType::F32,
            (Width::Bits8, false) => NumberType::U8,
            (Width::Bits8, true) => NumberType::I8,
            (Width::Bits16, false) => NumberType::U16,
            (Width::Bits16, true) => NumberType::I16,
            (Width::Bits32, false) => NumberType::U32,
            (Width::Bits32, true) => NumberType::I32,
        }
    }

    /// The next wider type.
    fn wider(self) -> Option<Width> {
        match self {
            Width::Bits8 => Some(Width::Bits16),
            Width::Bits16 => Some(Width::Bits32),
            Width::Bits32 | Width::Float => None,
        }
    }

    /// Type and factor for breakpoints, which must stay apart.
    fn axis(self, values: &[f64]) -> (NumberType, f64) {
        let (number, factor) = self.encoding(values.iter().copied());
        let raw = |value: &f64| (value / factor).round();
        let are_apart = !number.is_whole() || values.windows(2).all(|pair| raw(&pair[0]) < raw(&pair[1]));
        match self.wider() {
            Some(wider) if !are_apart => wider.axis(values),
            _ => (number, factor),
        }
    }

    fn encoding(self, values: impl Iterator<Item = f64> + Clone) -> (NumberType, f64) {
        let least = values.clone().fold(f64::INFINITY, f64::min);
        let most = values.fold(f64::NEG_INFINITY, f64::max);
        let number = self.number(least);
        (number, finest_factor(number, least, most).unwrap_or(1.0))
    }
}

impl Layout {
    /// A layout that holds everything of this set: version, identity, tables, numbers, check bytes.
    pub fn propose<'s>(set: &'s CarSet, proposal: &Proposal) -> Result<Layout, HandoverFault> {
        let mut next = Next { address: u64::from(proposal.address) };
        let version_at = VersionAt { address: next.take(4, 4)?, number: NumberType::U32 };
        let identity_at = next.take(32, 1)?;
        let mut tables = Vec::new();
        let parts = parts::tables(set);
        // Breakpoints that have a place already, with the name of what they are of: equal numbers of another quantity
        // are equal by chance.
        let mut placed: Vec<(&str, &[f64], AxisAt)> = Vec::new();
        for (mode, table) in table_names(set) {
            let Some(view) = table_of(set, mode, table) else { continue };
            let place = table_place_of(set, mode, table);
            let names = parts.iter().find(|part| part.place == place);
            let (row_name, column_name) = names.map_or(("", ""), |part| (part.rows.name, part.columns.name));
            let mut axis = |name: &'static str, values: &'s [f64]| -> Result<AxisAt, HandoverFault> {
                let same = placed.iter().find(|(of, breakpoints, _)| *of == name && *breakpoints == values);
                if let Some((_, _, at)) = same.filter(|_| proposal.share_axes && !name.is_empty()) {
                    return Ok(at.clone());
                }
                let (number, factor) = proposal.width.axis(values);
                let address = next.take(number.bytes() * values.len(), number.bytes())?;
                let at = AxisAt { address, count: values.len() as u32, number, factor, offset: 0.0 };
                placed.push((name, values, at.clone()));
                Ok(at)
            };
            let (rows, columns) = (axis(row_name, view.rows)?, axis(column_name, view.columns)?);
            let (number, factor) = proposal.width_of(table).encoding(view.values.iter().flatten().copied());
            let cells = view.values.iter().map(Vec::len).sum::<usize>();
            let address = next.take(number.bytes() * cells, number.bytes())?;
            let values = ValuesAt { address, number, factor, offset: 0.0, order: Default::default() };
            tables.push(TableAt { mode, table, rows, columns, values });
        }
        let mut settings = Vec::new();
        for setting in numeric_settings(set) {
            let (number, factor) = match setting.value {
                // Whole numbers that name a law need no fine step.
                _ if setting.path == "law" => (NumberType::U8, 1.0),
                Some(value) => proposal.width.encoding([value, 0.0].into_iter()),
                None => (proposal.width.number(0.0), 1.0),
            };
            let none = setting.may_be_absent.then(|| number.range().1);
            // The highest raw value says that there is none, so that no value may reach it.
            let factor = if none.is_some() && number.is_whole() { factor * 1.01 } else { factor };
            let address = next.take(number.bytes(), number.bytes())?;
            let (mode, setting) = (setting.mode, setting.path);
            settings.push(SettingAt { mode, setting, address, number, factor, offset: 0.0, none });
        }
        let check = Some(CheckBytes { kind: CheckKind::Crc32, address: next.take(4, 4)? });
        let bytes = u32::try_from(next.address - u64::from(proposal.address)).unwrap_or(u32::MAX);
        let layout = Layout {
            format: LAYOUT_FORMAT,
            name: proposal.name.clone(),
            version: proposal.version,
            byte_order: proposal.byte_order,
            memory: Memory { address: proposal.address, bytes, fill: 255 },
            version_at: Some(version_at),
            identity_at: Some(identity_at),
            check,
            tables,
            settings,
        };
        layout.check().map_err(HandoverFault::Layout)?;
        Ok(layout)
    }
}

/// Hands out memory.
struct Next {
    address: u64,
}

impl Next {
    fn take(&mut self, bytes: usize, align: usize) -> Result<u32, HandoverFault> {
        let at = self.address.next_multiple_of(align as u64);
        self.address = at + bytes as u64;
        u32::try_from(at).ok().filter(|_| self.address <= 1 << 32).ok_or_else(|| {
            HandoverFault::Layout(vec!["The set does not fit below the end of 32 bits of address.".to_owned()])
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn breakpoints_that_would_fall_together_take_a_wider_type() {
        assert_eq!(Width::Bits8.axis(&[-1.0, 0.0, 1.0]).0, NumberType::I8);
        assert_eq!(Width::Bits8.axis(&[-1.5, -0.003, 0.0, 1.5]).0, NumberType::I16);
        assert_eq!(Width::Bits8.axis(&[0.0, 1e-6, 1.0]).0, NumberType::U32);
        assert_eq!(Width::Float.axis(&[0.0, 1e-6, 1.0]).0, NumberType::F32);
    }

    #[test]
    fn the_finest_factor_holds_the_range_and_a_finer_one_does_not() {
        for (number, least, most) in [
            (NumberType::U8, 0.0, 255.0),
            (NumberType::U16, 0.0, 2400.0),
            (NumberType::I16, -1.2, 1.2),
            (NumberType::I16, -3000.0, 100.0),
            (NumberType::I32, -1e5, 1e5),
            (NumberType::U8, 0.0, 1.6),
        ] {
            let factor = finest_factor(number, least, most).unwrap();
            let (low, high) = number.range();
            assert!((most / factor).round() <= high && (least / factor).round() >= low, "{number:?} {factor}");
            let finer = factor * 0.985;
            assert!(most / finer > high || least / finer < low, "{number:?} {least} {most} {factor}");
        }
        // 255 steps for 255 values.
        assert_eq!(finest_factor(NumberType::U8, 0.0, 255.0), Some(1.0));
        assert_eq!(finest_factor(NumberType::U8, 0.0, 1.6), Some(0.00628));
        assert_eq!(finest_factor(NumberType::U8, -1.0, 1.6), None);
        assert_eq!(finest_factor(NumberType::U8, 0.0, 0.0), Some(1.0));
    }
}
