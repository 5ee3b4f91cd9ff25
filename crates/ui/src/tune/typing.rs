//! The keyboard of the map as numbers: moving, ranges, typing, steps, and the edits they send.

use super::entry::{Entry, parse};
use crate::command::Command;
use crate::desk::Desk;
use crate::view::{Cell, View};
use crate::words;
use egui::{Event, Key, Modifiers, Ui};
use washboard_session::{Edit, MapName, MapRef, limits};

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
    view.cells.before_step = None;
    view.cells.message = None;
}

/// Takes the keyboard events that belong to the cells, in their order.
pub(super) fn keys(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, map: MapRef<'_>) {
    let events = ui.input(|i| i.events.clone());
    for event in events {
        match event {
            Event::Text(text) | Event::Paste(text) => typed(view, desk, map, &text),
            Event::Key { key, pressed: true, modifiers, .. } => pressed(ui, view, desk, map, key, modifiers),
            Event::Copy => desk.ask(Command::CopyText(as_text(view, map))),
            _ => {}
        }
    }
}

fn as_text(view: &View, map: MapRef<'_>) -> String {
    let (r0, r1, c0, c1) = range(view);
    let line =
        |r: usize| (c0..=c1).filter_map(|c| map.cell(r, c)).map(|v| v.to_string()).collect::<Vec<_>>().join("\t");
    (r0..=r1).map(line).collect::<Vec<_>>().join("\n")
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
    match (text.as_str(), view.cells.before_step.is_some()) {
        ("+" | "-" | "−", _) => step(view, desk, map, if text == "+" { 0.05 } else { -0.05 }),
        (_, true) => {
            // `+` stepped at once; now it turns out to be the beginning of `+5%`.
            desk.ask(Command::Undo);
            let sign = if view.cells.step_is_up { "+" } else { "-" };
            view.cells.typed = Some(format!("{sign}{text}"));
        }
        (" ", _) => {}
        _ => view.cells.typed = Some(text),
    }
}

/// Steps the range by a share of its values, as one undo step.
fn step(view: &mut View, desk: &mut Desk<'_>, map: MapRef<'_>, share: f64) {
    let before: Vec<Change> = chosen(view).into_iter().filter_map(|(r, c)| Some((r, c, map.cell(r, c)?))).collect();
    let entry = Entry::Times(1.0 + share);
    let sent = send(view, desk, &before, &entry, &format!("{} 5 %", if share > 0.0 { "+" } else { "−" }));
    view.cells.step_is_up = share > 0.0;
    view.cells.before_step = sent.then_some(before);
}

fn pressed(ui: &Ui, view: &mut View, desk: &mut Desk<'_>, map: MapRef<'_>, key: Key, modifiers: Modifiers) {
    if modifiers.command || modifiers.alt {
        view.cells.before_step = None;
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
                view.cells.typed = map.cell(row, column).map(|v| v.to_string());
                view.cells.before_step = None;
            }
        }
        Key::F2 => view.cells.typed = map.cell(row, column).map(|v| v.to_string()),
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
    // After `+` turned into text, the values count from before that step.
    let before: Vec<Change> = view
        .cells
        .before_step
        .clone()
        .unwrap_or_else(|| chosen(view).into_iter().filter_map(|(r, c)| Some((r, c, map.cell(r, c)?))).collect());
    if send(view, desk, &before, &entry, &text) {
        leave_typing(view);
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
    let limit = view.map.value_limit();
    let mut cells = Vec::new();
    for &(r, c, now) in before {
        let from = other.and_then(|m| m.cell(r, c));
        let Some(value) = entry.apply(now, from) else {
            view.cells.message = Some("The other mode's map has no such cell.".to_owned());
            return false;
        };
        if !limit.allows(value) {
            view.cells.message =
                Some(format!("{} is outside {}.", words::cell(view.map, value), pretty_range(view.map)));
            return false;
        }
        cells.push((r, c, value));
    }
    view.cells.message = None;
    let mode = desk.mode(view.mode).map_or("", |m| m.name.as_str());
    let label = format!("{text} on {} of {} in {mode}", words::count(cells.len(), "cell", "cells"), view.map.label());
    desk.ask(Command::BeginGesture(label));
    desk.ask(Command::Edit(Edit::SetCells { mode: view.mode, map: view.map, cells }));
    desk.ask(Command::EndGesture);
    true
}

fn pretty_range(map: MapName) -> String {
    let limit: &limits::Limit = map.value_limit();
    format!("{} to {} {}", words::breakpoint(limit.lower), words::breakpoint(limit.upper), words::unit(limit.unit))
}

fn other_map<'a>(view: &View, desk: &Desk<'a>, entry: &Entry) -> Result<Option<MapRef<'a>>, String> {
    let Entry::Copy(name) = entry else {
        return Ok(None);
    };
    let modes = &desk.session().modes;
    let by_name = modes.iter().find(|m| m.name.eq_ignore_ascii_case(name));
    let mode = match by_name {
        Some(mode) => mode,
        None if name.is_empty() || name.eq_ignore_ascii_case("base") => {
            desk.mode(desk.reference()).ok_or("There is no reference mode.")?
        }
        None => return Err(format!("There is no mode “{name}”; =base copies from the reference mode.")),
    };
    mode.map(view.map).map(Some).ok_or_else(|| format!("{} has no {} map.", mode.name, view.map.field()))
}
