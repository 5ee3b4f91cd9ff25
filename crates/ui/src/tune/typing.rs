//! The keyboard of the map as numbers: moving, ranges, typing, steps, and the edits they send.

use super::entry::{Entry, STEP_SHARE, parse, tidy};
use crate::command::Command;
use crate::desk::Desk;
use crate::view::{Cell, View};
use crate::words;
use egui::{Event, Key, Modifiers, Ui};
use washboard_session::shape::{self, MapAxis};
use washboard_session::{Edit, MapName, MapRef, Mode};

type Change = (usize, usize, f64);

/// The rectangle of chosen cells: first row, last row, first column, last column.
pub(super) fn range(view: &View) -> (usize, usize, usize, usize) {
    let ((r0, c0), (r1, c1)) = (view.cells.anchor, view.cells.cursor);
    (r0.min(r1), r0.max(r1), c0.min(c1), c0.max(c1))
}

pub(super) fn chosen(view: &View) -> Vec<Cell> {
    let (r0, r1, c0, c1) = range(view);
    (r0..=r1).flat_map(|r| (c0..=c1).map(move |c| (r, c))).collect()
}

/// Drops what is being typed.
pub(super) fn leave_typing(view: &mut View) {
    view.cells.typed = None;
    view.cells.message = None;
}

/// The keyboard goes elsewhere: what is typed takes effect as with Enter; what cannot be read is dropped and said.
pub(super) fn finish_typing(view: &mut View, desk: &mut Desk<'_>) {
    let Some(typed) = view.cells.typed.clone() else { return };
    let Some(map) = desk.mode(view.mode).and_then(|mode| mode.map(view.map)) else { return leave_typing(view) };
    let is_taken = enter(view, desk, map);
    view.cells.typed = None;
    if !is_taken && let Some(said) = view.cells.message.take() {
        view.cells.message = Some(format!("“{typed}” was dropped: {said}"));
    }
}

/// Takes the keyboard events that belong to the cells, in their order.
pub(super) fn keys(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, map: MapRef<'_>) {
    let (events, is_alt) = ui.input(|i| (i.events.clone(), i.modifiers.alt));
    for event in events {
        match event {
            // A letter with Alt is a command, not text.
            Event::Text(_) if is_alt => {}
            Event::Paste(text) if text.trim_end_matches(['\r', '\n']).contains(['\t', '\n']) => {
                paste(view, desk, map, &text);
            }
            Event::Text(text) | Event::Paste(text) => typed(view, desk, map, &text),
            Event::Key { key, pressed: true, modifiers, .. } => pressed(ui, view, desk, map, key, modifiers),
            Event::Copy => desk.ask(Command::CopyText(as_text(view, map))),
            _ => {}
        }
    }
}

/// What is done to the chosen cells beside typing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Operation {
    /// Draws each towards its neighbours along an axis.
    Smooth(MapAxis),
    /// Lays them on the straight surface between the corners of the range.
    Ramp,
}

/// Does it to the chosen cells of the open map, as one undo step.
pub(crate) fn operate(view: &mut View, desk: &mut Desk<'_>, operation: Operation) {
    let Some(map) = desk.mode(view.mode).and_then(|mode| mode.map(view.map)) else { return };
    leave_typing(view);
    let (new, words) = match operation {
        Operation::Smooth(MapAxis::Speed) => (shape::smoothed(map, range(view), MapAxis::Speed), "smooth along speed"),
        Operation::Smooth(axis) => (shape::smoothed(map, range(view), axis), "smooth along the second axis"),
        Operation::Ramp => (shape::ramped(map, range(view)), "ramp"),
    };
    if operation == Operation::Ramp && new.len() < 3 {
        view.cells.message = Some("A ramp needs a range: its ends stay, what lies between goes straight.".to_owned());
        return;
    }
    let new: Vec<Change> = new
        .into_iter()
        .map(|(r, c, value)| (r, c, if map.cell(r, c) == Some(value) { value } else { tidy(value) }))
        .collect();
    put(view, desk, new, words);
}

/// Locks the chosen cells; where all are locked already, unlocks them.
pub(crate) fn lock(view: &mut View, desk: &mut Desk<'_>) {
    let Some(mode) = desk.mode(view.mode).filter(|mode| mode.map(view.map).is_some()) else { return };
    leave_typing(view);
    let cells = chosen(view);
    let locked = cells.iter().any(|&(r, c)| !mode.is_locked(view.map, r, c));
    desk.ask(Command::Edit(Edit::SetLocked { mode: view.mode, map: view.map, cells, locked }));
}

/// A block of numbers as a spreadsheet copies it, from the upper left chosen cell on.
fn paste(view: &mut View, desk: &mut Desk<'_>, map: MapRef<'_>, text: &str) {
    leave_typing(view);
    let (r0, _, c0, _) = range(view);
    let scale = shown_scale(view, desk);
    let mut new = Vec::new();
    for (i, line) in text.trim_end_matches(['\r', '\n']).lines().enumerate() {
        for (j, entry) in line.split('\t').enumerate() {
            let entry = entry.trim();
            // An empty cell of the spreadsheet leaves its cell as it is.
            if entry.is_empty() {
                continue;
            }
            let (r, c) = (r0 + i, c0 + j);
            if map.cell(r, c).is_none() {
                let (rows, columns) = (map.rows.len() - r0, map.columns.len() - c0);
                view.cells.message =
                    Some(format!("The block is larger than the {rows} × {columns} cells from here on."));
                return;
            }
            // A sign is part of the number here, no step.
            match entry.replace(',', ".").replace('−', "-").parse::<f64>() {
                Ok(value) if value.is_finite() => new.push((r, c, value / scale)),
                _ => {
                    view.cells.message =
                        Some(format!("Row {}, column {} of the block, “{entry}”, is no number.", i + 1, j + 1));
                    return;
                }
            }
        }
    }
    put(view, desk, new, "paste");
}

/// What cells are shown times: 1, or damping ratio over gain.
pub(super) fn shown_scale(view: &View, desk: &Desk<'_>) -> f64 {
    super::ratio_per_gain(desk).filter(|_| view.as_ratio && view.map != MapName::Floor).unwrap_or(1.0)
}

fn as_text(view: &View, map: MapRef<'_>) -> String {
    let (r0, r1, c0, c1) = range(view);
    let line =
        |r: usize| (c0..=c1).filter_map(|c| map.cell(r, c)).map(|v| v.to_string()).collect::<Vec<_>>().join("\t");
    (r0..=r1).map(line).collect::<Vec<_>>().join("\n")
}

/// The cell under the cursor as it would be typed.
pub(super) fn as_typed(view: &View, desk: &Desk<'_>, map: MapRef<'_>) -> Option<String> {
    let (value, scale) = (map.cell(view.cells.cursor.0, view.cells.cursor.1)?, shown_scale(view, desk));
    Some(if scale == 1.0 { value.to_string() } else { format!("{:.3}", value * scale) })
}

fn typed(view: &mut View, desk: &mut Desk<'_>, map: MapRef<'_>, text: &str) {
    let text: String = text.chars().filter(|c| !c.is_control()).collect();
    if text.is_empty() {
        return;
    }
    view.cells.message = None;
    if let Some(typed) = &mut view.cells.typed {
        typed.push_str(&text);
        return;
    }
    match text.as_str() {
        ">" => step(view, desk, map, STEP_SHARE),
        "<" => step(view, desk, map, -STEP_SHARE),
        " " => {}
        // Also `+` and `-`: an operator waits for what follows, and takes effect with Enter.
        _ => view.cells.typed = Some(text),
    }
}

/// Steps the range by a share of its values, as one undo step.
fn step(view: &mut View, desk: &mut Desk<'_>, map: MapRef<'_>, share: f64) {
    let before: Vec<Change> = chosen(view).into_iter().filter_map(|(r, c)| Some((r, c, map.cell(r, c)?))).collect();
    let entry = Entry::Times(1.0 + share);
    send(view, desk, &before, &entry, &format!("{} 5 %", if share > 0.0 { "+" } else { "−" }));
}

fn pressed(ui: &Ui, view: &mut View, desk: &mut Desk<'_>, map: MapRef<'_>, key: Key, modifiers: Modifiers) {
    if modifiers.command || modifiers.alt {
        if modifiers.command && key == Key::A {
            leave_typing(view);
            view.cells.anchor = (0, 0);
            view.cells.cursor = (map.rows.len().saturating_sub(1), map.columns.len().saturating_sub(1));
            view.cells.wants_focus = true;
        }
        return;
    }
    let (row, column) = view.cells.cursor;
    let last = (map.rows.len().saturating_sub(1), map.columns.len().saturating_sub(1));
    let to = match key {
        Key::ArrowUp => Some((row.saturating_sub(1), column)),
        Key::ArrowDown => Some(((row + 1).min(last.0), column)),
        Key::ArrowLeft => Some((row, column.saturating_sub(1))),
        Key::ArrowRight => Some((row, (column + 1).min(last.1))),
        Key::Home => Some((row, 0)),
        Key::End => Some((row, last.1)),
        Key::PageUp => Some((0, column)),
        Key::PageDown => Some((last.0, column)),
        _ => None,
    };
    if let Some(to) = to {
        if view.cells.typed.is_some() && !enter(view, desk, map) {
            return;
        }
        leave_typing(view);
        view.cells.cursor = to;
        if !modifiers.shift {
            view.cells.anchor = to;
        }
        view.cells.wants_focus = true;
        return;
    }
    match key {
        Key::Enter => {
            if view.cells.typed.is_some() {
                enter(view, desk, map);
            } else {
                view.cells.typed = as_typed(view, desk, map);
            }
        }
        Key::F2 => view.cells.typed = as_typed(view, desk, map),
        Key::Backspace => {
            if let Some(typed) = &mut view.cells.typed {
                typed.pop();
                view.cells.message = None;
            } else {
                view.cells.typed = Some(String::new());
            }
        }
        Key::Delete => {
            let before: Vec<Change> =
                chosen(view).into_iter().filter_map(|(r, c)| Some((r, c, map.cell(r, c)?))).collect();
            send(view, desk, &before, &Entry::Set(0.0), "0");
            view.cells.typed = None;
        }
        Key::Escape => {
            if view.cells.typed.is_none() && view.cells.message.is_none() {
                ui.memory_mut(|m| {
                    if let Some(id) = m.focused() {
                        m.surrender_focus(id);
                    }
                });
                view.cells_have_focus = false;
                view.cells.anchor = view.cells.cursor;
            }
            leave_typing(view);
        }
        _ => {}
    }
}

/// Applies what was typed to the range; false where it could not be taken.
fn enter(view: &mut View, desk: &mut Desk<'_>, map: MapRef<'_>) -> bool {
    let Some(text) = view.cells.typed.clone() else {
        return true;
    };
    if text.is_empty() {
        leave_typing(view);
        return true;
    }
    let entry = match parse(&text) {
        Ok(entry) => entry,
        Err(sentence) => {
            view.cells.message = Some(sentence);
            return false;
        }
    };
    let before: Vec<Change> = chosen(view).into_iter().filter_map(|(r, c)| Some((r, c, map.cell(r, c)?))).collect();
    if send(view, desk, &before, &entry, &text) {
        // What was left out is still said.
        view.cells.typed = None;
        true
    } else {
        view.cells.message.is_none()
    }
}

/// Sends new values of cells as one undo step; false where nothing was sent.
fn send(view: &mut View, desk: &mut Desk<'_>, before: &[Change], entry: &Entry, text: &str) -> bool {
    let other = match other_map(view, desk, entry) {
        Ok(other) => other,
        Err(sentence) => {
            view.cells.message = Some(sentence);
            return false;
        }
    };
    let entry = entry.unscaled(shown_scale(view, desk));
    let mut cells = Vec::new();
    for &(r, c, now) in before {
        let from = other.and_then(|m| m.cell(r, c));
        let Some(value) = entry.apply(now, from) else {
            view.cells.message = Some("That map has no such cell.".to_owned());
            return false;
        };
        cells.push((r, c, value));
    }
    put(view, desk, cells, text)
}

/// Sends new values as one undo step, locked cells left as they are; false where nothing was sent.
fn put(view: &mut View, desk: &mut Desk<'_>, mut cells: Vec<Change>, text: &str) -> bool {
    let Some(mode) = desk.mode(view.mode) else { return false };
    let asked = cells.len();
    cells.retain(|&(r, c, value)| {
        !mode.is_locked(view.map, r, c) || mode.map(view.map).and_then(|map| map.cell(r, c)) == Some(value)
    });
    let locked = asked - cells.len();
    if cells.is_empty() {
        view.cells.message = (locked > 0).then(|| "Locked: Ctrl+L unlocks.".to_owned());
        return false;
    }
    let limit = view.map.value_limit();
    if let Some((_, _, value)) = cells.iter().find(|(_, _, value)| !limit.allows(*value)) {
        view.cells.message = Some(format!("{} is outside {}.", words::cell(view.map, *value), pretty_range(view.map)));
        return false;
    }
    view.cells.message = (locked > 0).then(|| format!("{} locked.", words::count(locked, "cell stays", "cells stay")));
    let label =
        format!("{text} on {} of {} in {}", words::count(cells.len(), "cell", "cells"), view.map.label(), mode.name);
    desk.ask(Command::BeginGesture(label));
    desk.ask(Command::Edit(Edit::SetCells { mode: view.mode, map: view.map, cells }));
    desk.ask(Command::EndGesture);
    true
}

fn pretty_range(map: MapName) -> String {
    words::range(map.value_limit())
}

/// The map that is copied from: of another mode, or of the mode of the same name in a set.
fn other_map<'a>(view: &View, desk: &Desk<'a>, entry: &Entry) -> Result<Option<MapRef<'a>>, String> {
    let Entry::Copy(name) = entry else {
        return Ok(None);
    };
    let modes = &desk.session().modes;
    let by_name = modes.iter().find(|m| m.name.eq_ignore_ascii_case(name));
    let own = desk.mode(view.mode).map_or("", |mode| mode.name.as_str());
    let mode = match by_name {
        Some(mode) => mode,
        None if name.is_empty() || name.eq_ignore_ascii_case("base") => {
            desk.mode(desk.reference()).ok_or("There is no reference mode.")?
        }
        None => set_modes(desk, name)?
            .iter()
            .find(|mode| mode.name == own)
            .ok_or_else(|| format!("That set has no mode “{own}”."))?,
    };
    mode.map(view.map).map(Some).ok_or_else(|| format!("{} has no {} map.", mode.name, view.map.field()))
}

/// Modes of the set in the car, or of one whose identity begins so.
fn set_modes<'a>(desk: &Desk<'a>, name: &str) -> Result<&'a [Mode], String> {
    if name.eq_ignore_ascii_case("car") {
        return desk.cx.in_car.map(|set| &set.modes[..]).ok_or_else(|| "No set is in the car yet.".to_owned());
    }
    let wanted: String = name.chars().filter(|c| *c != '-').collect::<String>().to_lowercase();
    let handed = desk.session().handed_over.iter().rev().map(|set| (&set.identity, &set.modes[..]));
    let opened = desk.cx.opened_sets.iter().map(|set| (&set.identity, &set.modes[..]));
    let found =
        handed.chain(opened).find(|(identity, _)| wanted.len() >= 4 && identity.to_lowercase().starts_with(&wanted));
    found.map(|(_, modes)| modes).ok_or_else(|| {
        format!("There is no mode or set “{name}”; =base copies from the reference mode, =car from the set in the car.")
    })
}
