//! The maps: each as a shaded grid with how much it was in use, and what differs from the reference.

use super::{heading, note, part, text};
use crate::material::Material;
use crate::paper::{Block, Figure};
use crate::picture::MODES;
use crate::picture::heat::Grid;
use washboard_session::{AxleScales, Law, MapName, Mode};
use washboard_study::MapDifference;
use washboard_words as words;

/// Width of a map alone, and of one of two beside each other, points.
const WIDE: f32 = 505.0;
const NARROW: f32 = 246.0;
/// Most columns of a map that stands beside another.
const NARROW_COLUMNS: usize = 7;
/// Cells named one by one where they were edited and never used.
const MOST_NAMED: usize = 6;

pub(super) fn blocks(material: &Material) -> Vec<Block> {
    let mut blocks = vec![heading("Maps")];
    blocks.push(text(
        "Numbers are the cells as they stand in the session; darker is more. The bar below a number is the share of the \
         driven time in which the cell was in use, the longest of the map at full width. Numbers in brackets were never in \
         use on these events: what stands there is not tried by anything in this report.",
    ));
    for mode in material.in_columns() {
        blocks.extend(of_mode(material, mode));
    }
    let reference = material.wish.reference;
    for mode in material.in_columns().into_iter().filter(|m| *m != reference) {
        blocks.extend(differences(material, mode));
    }
    blocks
}

fn of_mode(material: &Material, index: usize) -> Vec<Block> {
    let Some(mode) = material.session.modes.get(index) else { return Vec::new() };
    let mut blocks = vec![part(format!("Maps of {}", mode.name)), text(settings(mode))];
    let visits = material.board.visits.get(index);
    let (mut figures, mut unused) = (Vec::new(), Vec::new());
    for map in MapName::ALL {
        let Some(shown) = mode.map(map) else { continue };
        let shares = visits.and_then(|v| v.of(map));
        let cells = shown.rows.len() * shown.columns.len();
        let used = shares.map(|v| v.iter().flatten().filter(|s| **s > 0.0).count());
        let width = if shown.columns.len() > NARROW_COLUMNS { WIDE } else { NARROW };
        let grid = Grid { map, rows: shown.rows, columns: shown.columns, values: shown.values, width };
        let use_of = used.map_or(String::new(), |n| format!("; {n} of {cells} cells in use"));
        figures.push(Figure {
            caption: format!("{}, {}{use_of}.", super::upper(map.label()), words::unit(map.value_unit())),
            described: format!(
                "{} of {}: {} rows of speed by {} columns of {}{use_of}.",
                super::upper(map.label()),
                mode.name,
                shown.rows.len(),
                shown.columns.len(),
                words::second_axis(map)
            ),
            picture: grid.of_map(MODES[index % MODES.len()], shares),
        });
        unused.extend(edited_and_unused(material, mode, map, shares));
    }
    blocks.push(Block::Figures(figures));
    if !unused.is_empty() {
        let more = unused.len().saturating_sub(MOST_NAMED);
        let mut named = unused.iter().take(MOST_NAMED).cloned().collect::<Vec<_>>().join("; ");
        if more > 0 {
            named.push_str(&format!("; and {more} more"));
        }
        blocks.push(note(format!("Edited and never in use: {named}.")));
    }
    blocks
}

/// Cells that differ from the set this work goes on from, and that no event came to.
fn edited_and_unused(material: &Material, mode: &Mode, map: MapName, shares: Option<&Vec<Vec<f64>>>) -> Vec<String> {
    let session = &material.session;
    let begun = session.began_from.as_ref().and_then(|id| session.handed_over.iter().find(|s| s.identity == *id));
    let before = begun.and_then(|set| set.modes.iter().find(|m| m.name == mode.name)).and_then(|m| m.map(map));
    let (Some(before), Some(now), Some(shares)) = (before, mode.map(map), shares) else { return Vec::new() };
    if before.rows != now.rows || before.columns != now.columns {
        return Vec::new();
    }
    let mut cells = Vec::new();
    for (r, row) in now.rows.iter().enumerate() {
        for (c, column) in now.columns.iter().enumerate() {
            let is_unused = shares.get(r).and_then(|s| s.get(c)).is_some_and(|s| *s == 0.0);
            if is_unused && before.cell(r, c) != now.cell(r, c) {
                cells.push(format!(
                    "{} at {} km/h and {} m/s²",
                    map.label(),
                    words::breakpoint(*row),
                    words::breakpoint(*column)
                ));
            }
        }
    }
    cells
}

/// What a mode has beside its maps.
fn settings(mode: &Mode) -> String {
    let law = match &mode.law {
        Law::Continuous => "Continuous law".to_owned(),
        Law::OnOff => "On/off law".to_owned(),
        Law::AccelerationDriven => "Acceleration-driven law".to_owned(),
        Law::Mixed(mixed) => format!("Mixed law, crossover {} Hz", words::breakpoint(mixed.crossover_hz)),
    };
    let slew = mode.slew_a_per_s.map_or("unlimited slew".to_owned(), |s| format!("slew {} A/s", words::breakpoint(s)));
    let stop = mode.end_stop.map_or(String::new(), |e| {
        format!(
            "; end stop from {} mm, full at {} m/s",
            words::fixed(e.zone_m * 1e3, 0),
            words::breakpoint(e.rate_m_per_s)
        )
    });
    format!(
        "{law}; current {} to {} A, {slew}{stop}. Scales {}, {}.",
        words::breakpoint(mode.current_min_a),
        words::breakpoint(mode.current_max_a),
        scales("front", &mode.front),
        scales("rear", &mode.rear)
    )
}

fn scales(axle: &str, s: &AxleScales) -> String {
    let named = [
        ("heave", s.heave),
        ("wheel", s.wheel),
        ("base", s.base),
        ("roll", s.roll),
        ("pitch", s.pitch),
        ("rebound", s.rebound),
        ("compression", s.compression),
    ];
    let changed: Vec<String> =
        named.iter().filter(|(_, v)| *v != 1.0).map(|(n, v)| format!("{n} × {}", words::breakpoint(*v))).collect();
    if changed.is_empty() { format!("{axle} all 1") } else { format!("{axle} {}", changed.join(", ")) }
}

fn differences(material: &Material, index: usize) -> Vec<Block> {
    let modes = &material.session.modes;
    let (Some(before), Some(after)) = (modes.get(material.wish.reference), modes.get(index)) else { return Vec::new() };
    let mut figures = Vec::new();
    for map in MapName::ALL {
        let Some(difference) = MapDifference::between(before, after, map) else { continue };
        let count = difference.count();
        if count == 0 {
            continue;
        }
        let values: Vec<Vec<f64>> = (0..difference.rows.len())
            .map(|r| (0..difference.columns.len()).map(|c| difference.at(r, c)).collect())
            .collect();
        let width = if difference.columns.len() > NARROW_COLUMNS { WIDE } else { NARROW };
        let grid = Grid { map, rows: &difference.rows, columns: &difference.columns, values: &values, width };
        let axes = if difference.same_axes { "" } else { ", read at the breakpoints of both" };
        figures.push(Figure {
            caption: format!(
                "{}, {}{axes}: {count} cells differ.",
                super::upper(map.label()),
                words::unit(map.value_unit())
            ),
            described: format!(
                "Difference of the {} of {} to {}: {count} cells differ.",
                map.label(),
                after.name,
                before.name
            ),
            picture: grid.of_difference(),
        });
    }
    let title = part(format!("{} less {}", after.name, before.name));
    if figures.is_empty() {
        return vec![title, text("Their maps are the same.")];
    }
    vec![title, Block::Figures(figures)]
}
