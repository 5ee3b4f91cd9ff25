//! A set as C header and source: const tables with factors, axis order, units and signs beside them; and back.

mod read;
mod write;

pub use read::{CRead, read};
pub use write::{CFiles, HEADER_FILE, SOURCE_FILE, write};

#[cfg(test)]
mod tests;

use crate::layout::{CellOrder, Layout, NumberType, TableAt};

/// One array or number of the C files: the same raw values as in the image.
pub(crate) struct Item {
    /// Name in C.
    pub name: String,
    /// Type of one number.
    pub number: NumberType,
    /// Address in the image.
    pub address: u32,
    /// Sizes, outermost first; empty for one number.
    pub sizes: Vec<usize>,
}

impl Item {
    /// Count of numbers.
    pub fn count(&self) -> usize {
        self.sizes.iter().product()
    }
}

/// Name of a table in C.
pub(crate) fn table_stem(at: &TableAt) -> String {
    match at.mode {
        Some(mode) => format!("set_m{mode}_{}", at.table.name()),
        None => format!("set_{}", at.table.name()),
    }
}

/// Name of a setting in C.
pub(crate) fn setting_name(mode: Option<u32>, path: &str) -> String {
    let path: String =
        path.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '_' }).collect();
    match mode {
        Some(mode) => format!("set_m{mode}_{path}"),
        None => format!("set_{path}"),
    }
}

/// The items of a table: rows, columns, values.
pub(crate) fn table_items(at: &TableAt) -> [Item; 3] {
    let stem = table_stem(at);
    let (rows, columns) = (at.rows.count as usize, at.columns.count as usize);
    let sizes = match at.values.order {
        CellOrder::RowByRow => vec![rows, columns],
        CellOrder::ColumnByColumn => vec![columns, rows],
    };
    let item = |part: &str, number, address, sizes| Item { name: format!("{stem}_{part}"), number, address, sizes };
    [
        item("rows", at.rows.number, at.rows.address, vec![rows]),
        item("columns", at.columns.number, at.columns.address, vec![columns]),
        item("values", at.values.number, at.values.address, sizes),
    ]
}

/// Every item of the layout.
pub(crate) fn items(layout: &Layout) -> Vec<Item> {
    let mut items: Vec<Item> = layout.tables.iter().flat_map(table_items).collect();
    items.extend(layout.settings.iter().map(|at| Item {
        name: setting_name(at.mode, &at.setting),
        number: at.number,
        address: at.address,
        sizes: Vec::new(),
    }));
    items
}
