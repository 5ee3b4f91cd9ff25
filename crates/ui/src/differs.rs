//! What differs between the modes on screen and a set that was handed over, map by map, and the edit that takes it back.

use crate::words;
use washboard_session::difference::SetDifference;
use washboard_session::edit::Cell;
use washboard_session::{Edit, HandedOver, MapName, Mode, Session, Table};

/// One map that is not what it was in the set.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct MapChange {
    /// Index of the mode in the session.
    pub mode: usize,
    /// Which map.
    pub map: MapName,
    /// How many cells differ; all of them where the axes differ.
    pub cells: usize,
    /// Speeds of the rows with differing cells, km/h.
    pub speeds: Vec<f64>,
    /// The edit that brings the set's values back.
    pub revert: Edit,
}

fn cell_count(mode: &Mode) -> usize {
    MapName::ALL.iter().filter_map(|m| mode.map(*m)).map(|m| m.rows.len() * m.columns.len()).sum()
}

/// Every map that differs from the set, in the order of the session; modes are matched by name.
pub(crate) fn since(session: &Session, set: &HandedOver) -> Vec<MapChange> {
    let mut changes = Vec::new();
    for (index, mode) in session.modes.iter().enumerate() {
        let Some(before) = set.modes.iter().find(|m| m.name == mode.name) else {
            continue;
        };
        for map in MapName::ALL {
            changes.extend(map_change(index, map, mode, before));
        }
    }
    changes
}

fn map_change(index: usize, map: MapName, mode: &Mode, before: &Mode) -> Option<MapChange> {
    let change = |cells, speeds, revert| Some(MapChange { mode: index, map, cells, speeds, revert });
    match (mode.map(map), before.map(map)) {
        (None, None) => None,
        (Some(now), None) => {
            let revert = Edit::SetFloor { mode: index, floor: None };
            change(now.rows.len() * now.columns.len(), now.rows.to_vec(), revert)
        }
        (None, Some(was)) => {
            let revert = Edit::SetMap { mode: index, map, table: was.to_table() };
            change(was.rows.len() * was.columns.len(), was.rows.to_vec(), revert)
        }
        (Some(now), Some(was)) if now.rows != was.rows || now.columns != was.columns => {
            let table: Table = was.to_table();
            let revert = Edit::SetMap { mode: index, map, table };
            change(now.rows.len() * now.columns.len(), now.rows.to_vec(), revert)
        }
        (Some(now), Some(was)) => {
            let mut cells: Vec<Cell> = Vec::new();
            let mut speeds = Vec::new();
            for (r, (row, old)) in now.values.iter().zip(was.values).enumerate() {
                let before = cells.len();
                cells.extend((0..row.len().min(old.len())).filter(|c| row[*c] != old[*c]).map(|c| (r, c, old[c])));
                if cells.len() > before {
                    speeds.push(now.rows[r]);
                }
            }
            if cells.is_empty() {
                return None;
            }
            change(cells.len(), speeds, Edit::SetCells { mode: index, map, cells })
        }
    }
}

/// Number of cells on screen that are not those of the set; modes that the set does not know count with all their cells,
/// modes that are gone as well.
pub(crate) fn cells_since(session: &Session, set: &HandedOver) -> usize {
    let changed: usize = since(session, set).iter().map(|c| c.cells).sum();
    let added: usize =
        session.modes.iter().filter(|m| !set.modes.iter().any(|b| b.name == m.name)).map(cell_count).sum();
    let gone: usize =
        set.modes.iter().filter(|b| !session.modes.iter().any(|m| b.name == m.name)).map(cell_count).sum();
    changed + added + gone
}

/// True where a mode's settings besides its maps are not those of the set.
pub(crate) fn settings_differ(session: &Session, set: &HandedOver) -> Vec<String> {
    session
        .modes
        .iter()
        .filter_map(|mode| {
            let before = set.modes.iter().find(|m| m.name == mode.name)?;
            let differs = mode.law != before.law
                || mode.front != before.front
                || mode.rear != before.rear
                || mode.current_min_a != before.current_min_a
                || mode.current_max_a != before.current_max_a
                || mode.slew_a_per_s != before.slew_a_per_s;
            differs.then(|| mode.name.clone())
        })
        .collect()
}

/// The edit that makes a mode the one that the others are compared with.
pub(crate) fn set_reference(name: String) -> Edit {
    Edit::SetReferenceMode(Some(name))
}

/// All that differs from the set, a title a mode with its lines; long lists are cut and say so.
pub(crate) fn in_words(session: &Session, set: &HandedOver) -> Vec<(String, Vec<String>)> {
    const MOST: usize = 14;
    let difference = SetDifference::between(&set.modes, &session.modes);
    let mut all = Vec::new();
    for name in &difference.added {
        all.push((format!("{name}: new"), Vec::new()));
    }
    for name in &difference.removed {
        all.push((format!("{name}: no longer there"), Vec::new()));
    }
    for (name, of_mode) in &difference.changed {
        let mut lines: Vec<String> = of_mode.settings.iter().map(ToString::to_string).collect();
        lines.extend(of_mode.cells.iter().map(|c| {
            let side = |v: Option<f64>| v.map_or("no cell".to_owned(), |v| words::cell(c.map, v));
            format!(
                "{}, {} km/h, {} {} {}: {} → {} {}",
                c.map.field(),
                words::breakpoint(c.row_value),
                words::second_axis(c.map),
                words::breakpoint(c.column_value),
                words::unit(c.map.column_unit()),
                side(c.before),
                side(c.after),
                words::unit(c.map.value_unit())
            )
        }));
        let count = lines.len();
        if count > MOST {
            lines.truncate(MOST);
            lines.push(format!("… and {} more", count - MOST));
        }
        all.push((format!("{name}: {}", words::count(of_mode.cells.len(), "cell", "cells")), lines));
    }
    all
}
