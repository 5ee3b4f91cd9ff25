//! The program and its parts as the window tells of them.

use crate::place;
use washboard_ui::{About, Part};

/// Name, version and licence of every part by others, one a line; held true by a test.
const PARTS: &str = include_str!("../../../../assets/licences.tsv");

/// Everything about the program.
pub fn about() -> About {
    let parts = PARTS.lines().skip(1).filter_map(|line| {
        let mut cells = line.split('\t').map(str::to_owned);
        Some(Part { name: cells.next()?, version: cells.next()?, licence: cells.next()? })
    });
    About {
        version: env!("CARGO_PKG_VERSION").to_owned(),
        data_folder: place::data_folder().map_or(String::new(), |f| f.display().to_string()),
        parts: parts.collect(),
    }
}
