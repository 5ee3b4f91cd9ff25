//! Reads the memory of a control unit back into a set.

use super::encode::{
    axis_encoding, cell_index, check_type, check_value, setting_encoding, setting_place, table_place, values_encoding,
};
use crate::fault::HandoverFault;
use crate::layout::{AxisAt, Layout};
use crate::set::CarSet;
use crate::slots::{as_value, field_mut, from_value, table_mut};

/// What stands in a memory.
#[derive(Clone, Debug, PartialEq)]
pub struct Decoded {
    /// The set it holds; what the layout leaves out is taken from the set it was read over.
    pub set: CarSet,
    /// The identity written in it, 64 hexadecimal digits; absent where the layout has no place for it.
    pub identity: Option<String>,
    /// What is wrong with the memory itself, whatever set was meant: a sentence each.
    pub faults: Vec<String>,
}

/// Reads a memory over a set, which gives names and whatever the layout leaves out.
///
/// # Errors
/// Where the bytes are not as many as the layout's, or the layout names what the set does not have.
pub fn decode(bytes: &[u8], layout: &Layout, base: &CarSet) -> Result<Decoded, HandoverFault> {
    layout.check().map_err(HandoverFault::Layout)?;
    let mut faults = memory_faults(bytes, layout)?;
    let mut set = base.clone();
    let refuse = |place: &str| HandoverFault::Layout(vec![format!("{place}: the set has no such place.")]);
    for at in &layout.tables {
        let place = table_place(base, at);
        let table = table_mut(&mut set, at.mode, at.table).ok_or_else(|| refuse(&place))?;
        let axis = |axis: &AxisAt| -> Vec<f64> {
            let encoding = axis_encoding(axis);
            (0..axis.count as usize).map(|i| encoding.value(raw(bytes, layout, axis.address, axis.number, i))).collect()
        };
        (*table.rows, *table.columns) = (axis(&at.rows), axis(&at.columns));
        for (breakpoints, which) in [(&*table.rows, "rows"), (&*table.columns, "columns")] {
            if !breakpoints.windows(2).all(|pair| pair[0] < pair[1]) {
                faults.push(format!("{place}: the breakpoints of the {which} do not rise: {breakpoints:?}."));
            }
        }
        let (height, width) = (at.rows.count as usize, at.columns.count as usize);
        let encoding = values_encoding(&at.values);
        let cell = |row, column| {
            let index = cell_index(at.values.order, row, column, height, width);
            encoding.value(raw(bytes, layout, at.values.address, at.values.number, index))
        };
        *table.values = (0..height).map(|row| (0..width).map(|column| cell(row, column)).collect()).collect();
        if table.values.iter().flatten().chain(&*table.rows).chain(&*table.columns).any(|value| !value.is_finite()) {
            faults.push(format!("{place}: a number is not finite."));
        }
    }
    let mut value = as_value(&set)?;
    // Laws first: their own settings have a place only then.
    let (laws, others): (Vec<_>, Vec<_>) = layout.settings.iter().partition(|at| at.setting == "law");
    for at in laws.into_iter().chain(others) {
        let place = setting_place(at);
        let found = raw(bytes, layout, at.address, at.number, 0);
        let is_none = at.none.is_some_and(|none| none == found);
        if at.setting == "law" {
            let field = field_mut(&mut value, at.mode, "law").ok_or_else(|| refuse(&place))?;
            let law = setting_encoding(at).value(found);
            let before = field.clone();
            *field = match law {
                0.0 => "Continuous".into(),
                1.0 => "OnOff".into(),
                2.0 => "AccelerationDriven".into(),
                3.0 if before.get("Mixed").is_some() => before,
                3.0 => serde_json::json!({ "Mixed": { "crossover_hz": 1.0 } }),
                other => {
                    faults.push(format!("{place}: {other} names no law."));
                    before
                }
            };
            continue;
        }
        let Some(field) = field_mut(&mut value, at.mode, &at.setting) else {
            if at.setting.starts_with("law.") {
                if !is_none {
                    faults.push(format!("{place}: the law has no such setting, but the memory holds one."));
                }
                continue;
            }
            return Err(refuse(&place));
        };
        let number = setting_encoding(at).value(found);
        if is_none {
            if at.setting == "slew_a_per_s" {
                *field = serde_json::Value::Null;
            } else {
                faults.push(format!("{place}: the memory says there is none, but there must be one."));
            }
        } else if !number.is_finite() {
            faults.push(format!("{place}: the number is not finite."));
        } else if field.is_u64() {
            *field = (number as u64).into();
        } else {
            *field = number.into();
        }
    }
    set = from_value(value)?;
    let identity = layout.identity_at.map(|address| {
        let at = (address - layout.memory.address) as usize;
        bytes[at..at + 32].iter().map(|byte| format!("{byte:02x}")).collect()
    });
    Ok(Decoded { set, identity, faults })
}

/// Size, version and check bytes of a memory.
fn memory_faults(bytes: &[u8], layout: &Layout) -> Result<Vec<String>, HandoverFault> {
    let memory = &layout.memory;
    if bytes.len() != memory.bytes as usize {
        return Err(HandoverFault::Layout(vec![format!(
            "The image has {} bytes, but the memory of the layout \"{}\" has {}.",
            bytes.len(),
            layout.name,
            memory.bytes
        )]));
    }
    let mut faults = Vec::new();
    if let Some(check) = &layout.check {
        let stands = raw(bytes, layout, check.address, check_type(check), 0);
        let expected = check_value(layout, check, bytes);
        if stands != f64::from(expected) {
            faults.push(format!(
                "The check bytes at {:#x} are {:0width$x}, but the content asks for {expected:0width$x}: a changed image, or one of \
                 another layout.",
                check.address,
                stands as u32,
                width = 2 * check.kind.bytes()
            ));
        }
    }
    if let Some(at) = &layout.version_at {
        let stands = raw(bytes, layout, at.address, at.number, 0);
        if stands != f64::from(layout.version) {
            faults.push(format!(
                "The version at {:#x} is {stands}, but the layout \"{}\" is version {}: an unknown image.",
                at.address, layout.name, layout.version
            ));
        }
    }
    // What no entry covers must be as it was filled.
    let mut covered = vec![false; bytes.len()];
    for stretch in layout.stretches() {
        let start = (stretch.address - u64::from(memory.address)) as usize;
        covered[start..start + stretch.length as usize].fill(true);
    }
    if let Some(at) = (0..bytes.len()).find(|&at| !covered[at] && bytes[at] != memory.fill) {
        faults.push(format!(
            "The byte at {:#x} is {:#04x} where the layout leaves {:#04x}.",
            memory.address as usize + at,
            bytes[at],
            memory.fill
        ));
    }
    Ok(faults)
}

fn raw(bytes: &[u8], layout: &Layout, address: u32, number: crate::layout::NumberType, index: usize) -> f64 {
    let at = (address - layout.memory.address) as usize + index * number.bytes();
    number.read(&bytes[at..], layout.byte_order)
}
