//! The open map as numbers: cells with the keyboard of a table.

use super::cuts::cell_name;
use super::entry::{Entry, parse};
use crate::command::Command;
use crate::desk::Desk;
use crate::theme::{self, BODY, Look, SMALL};
use crate::view::{Cell, View};
use crate::words;
use egui::{
    Align2, Color32, Event, FontFamily, FontId, Key, Modifiers, Rect, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo,
};
use egui::{pos2, vec2};
use washboard_session::{Edit, MapName, MapRef, limits};

const HEAD: f32 = 18.0;
const LINE: f32 = 21.0;
const SIDE: f32 = 68.0;

type Change = (usize, usize, f64);

/// Height that a map of so many rows wants.
pub(crate) fn height(rows: usize) -> f32 {
    super::ROW + HEAD + LINE * rows as f32 + 2.0
}

/// Shade of a cell by its share of the most visited one.
pub(crate) fn shade_of(look: &Look, base: Color32, share: f64) -> Color32 {
    Look::mix(base, look.shade, (share.clamp(0.0, 1.0).sqrt() * 0.55) as f32)
}

/// The rectangle of chosen cells: first row, last row, first column, last column.
fn range(view: &View) -> (usize, usize, usize, usize) {
    let ((r0, c0), (r1, c1)) = (view.cells.anchor, view.cells.cursor);
    (r0.min(r1), r0.max(r1), c0.min(c1), c0.max(c1))
}

fn chosen(view: &View) -> Vec<Cell> {
    let (r0, r1, c0, c1) = range(view);
    (r0..=r1).flat_map(|r| (c0..=c1).map(move |c| (r, c))).collect()
}

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let Some(map) = desk.mode(view.mode).and_then(|m| m.map(view.map)) else {
        return;
    };
    let look = desk.look;
    let (head, body) = super::under_heading(rect);
    heading(ui, view, desk, head);
    let columns = map.columns.len().max(1);
    let width = ((body.width() - SIDE) / columns as f32).clamp(38.0, 78.0);
    let size = vec2(SIDE + width * columns as f32, HEAD + LINE * map.rows.len() as f32);
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(body));
    child.shrink_clip_rect(body);
    egui::ScrollArea::both().id_salt("cells").auto_shrink(false).show(&mut child, |ui| {
        let (area, _) = ui.allocate_exact_size(size, Sense::hover());
        axes(ui, look, area, width, map, view);
        grid(ui, view, desk, area, width, map);
    });
}

fn heading(ui: &mut Ui, view: &View, desk: &Desk<'_>, head: Rect) {
    let look = desk.look;
    let title = format!("{}, {}", view.map.field(), words::unit(view.map.value_unit()));
    let font = FontId::new(BODY, theme::semibold(ui.ctx()));
    let drawn = ui.painter_at(head).text(head.left_center(), Align2::LEFT_CENTER, title, font, look.text);
    let small = FontId::new(SMALL, FontFamily::Proportional);
    let rest = Rect::from_min_max(pos2(drawn.right() + 10.0, head.top()), head.max);
    let (text, color) = match (&view.cells.message, &view.cells.typed) {
        (Some(message), _) => (message.clone(), look.crossed),
        (None, Some(_)) => {
            let n = chosen(view).len();
            (format!("Enter: {} · Esc: leave as it was", words::count(n, "cell", "cells")), look.text)
        }
        (None, None) => {
            let across = format!("{}, {} →", words::second_axis(view.map), words::unit(view.map.column_unit()));
            ui.painter_at(rest).text(rest.left_center(), Align2::LEFT_CENTER, across, small.clone(), look.weak);
            ("type 2400, +5%, *1.1, =base".to_owned(), look.weak)
        }
    };
    let align = if view.cells.message.is_some() { Align2::LEFT_CENTER } else { Align2::RIGHT_CENTER };
    ui.painter_at(rest).text(align.pos_in_rect(&rest), align, text, small, color);
}

fn axes(ui: &Ui, look: &Look, area: Rect, width: f32, map: MapRef<'_>, view: &View) {
    let painter = ui.painter();
    let font =
        |strong: bool| FontId::new(SMALL, if strong { theme::semibold(ui.ctx()) } else { FontFamily::Proportional });
    let (r0, r1, c0, c1) = range(view);
    for (c, x) in map.columns.iter().enumerate() {
        let at = pos2(area.left() + SIDE + (c as f32 + 1.0) * width - 8.0, area.top() + HEAD / 2.0);
        let on = (c0..=c1).contains(&c);
        let color = if on { look.text } else { look.weak };
        painter.text(at, Align2::RIGHT_CENTER, words::breakpoint(*x), font(on), color);
    }
    for (r, speed) in map.rows.iter().enumerate() {
        let at = pos2(area.left() + SIDE - 8.0, area.top() + HEAD + (r as f32 + 0.5) * LINE);
        let on = (r0..=r1).contains(&r);
        let color = if on { look.text } else { look.weak };
        painter.text(at, Align2::RIGHT_CENTER, format!("{} km/h", words::breakpoint(*speed)), font(on), color);
    }
}

fn cell_rect(area: Rect, width: f32, (r, c): Cell) -> Rect {
    let min = pos2(area.left() + SIDE + c as f32 * width, area.top() + HEAD + r as f32 * LINE);
    Rect::from_min_size(min, vec2(width, LINE)).shrink2(vec2(1.5, 1.0))
}

fn cell_id(ui: &Ui, (r, c): Cell) -> egui::Id {
    ui.scope_id().with(("cell", r, c))
}

fn grid(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, area: Rect, width: f32, map: MapRef<'_>) {
    let look = desk.look;
    let shares = desk.board().and_then(|b| b.visits.get(view.mode)).and_then(|v| v.of(view.map)).cloned();
    let most = shares.iter().flatten().flatten().copied().fold(0.0, f64::max);
    let share = |(r, c): Cell| shares.as_ref().and_then(|s| s.get(r)?.get(c).copied()).unwrap_or(0.0);
    let mut has_focus = false;
    for (r, row) in map.values.iter().enumerate() {
        for (c, value) in row.iter().enumerate() {
            let cell = (r, c);
            let rect = cell_rect(area, width, cell);
            let response = ui.interact(rect, cell_id(ui, cell), Sense::click_and_drag());
            let (r0, r1, c0, c1) = range(view);
            let is_chosen = (r0..=r1).contains(&r) && (c0..=c1).contains(&c);
            response.widget_info(|| {
                let name = cell_name(view.map, map.rows[r], map.columns[c], *value);
                WidgetInfo::selected(Role::Cell, true, is_chosen, name)
            });
            paint(ui, view, look, rect, cell, *value, is_chosen, if most > 0.0 { share(cell) / most } else { 0.0 });
            has_focus |= response.has_focus();
            point(ui, view, area, width, map, cell, &response);
            response.on_hover_ui(|ui| {
                ui.label(cell_name(view.map, map.rows[r], map.columns[c], *value));
                if most > 0.0 {
                    ui.label(theme::note(look, format!("in use {:.1} % of the driven time", share(cell) * 100.0)));
                }
            });
        }
    }
    view.cells_have_focus = has_focus;
    if view.cells.wants_focus {
        view.cells.wants_focus = false;
        ui.memory_mut(|m| m.request_focus(cell_id(ui, view.cells.cursor)));
        ui.scroll_to_rect(cell_rect(area, width, view.cells.cursor), None);
        view.cells_have_focus = true;
    }
    if has_focus {
        let filter = egui::EventFilter { horizontal_arrows: true, vertical_arrows: true, escape: true, tab: false };
        ui.memory_mut(|m| {
            if let Some(id) = m.focused() {
                m.set_focus_lock_filter(id, filter);
            }
        });
        keys(ui, view, desk, map);
    }
}

/// Choosing by pointer and by Tab.
fn point(ui: &Ui, view: &mut View, area: Rect, width: f32, map: MapRef<'_>, cell: Cell, response: &egui::Response) {
    let (pressed, shift) = ui.input(|i| (i.pointer.primary_pressed(), i.modifiers.shift));
    if pressed && response.contains_pointer() {
        leave_typing(view);
        view.cells.cursor = cell;
        if !shift {
            view.cells.anchor = cell;
        }
        response.request_focus();
    } else if response.dragged()
        && let Some(at) = response.interact_pointer_pos()
    {
        let r = ((at.y - area.top() - HEAD) / LINE).floor().clamp(0.0, map.rows.len() as f32 - 1.0) as usize;
        let c = ((at.x - area.left() - SIDE) / width).floor().clamp(0.0, map.columns.len() as f32 - 1.0) as usize;
        view.cells.cursor = (r, c);
    } else if response.gained_focus() && view.cells.cursor != cell && !ui.input(|i| i.pointer.any_down()) {
        leave_typing(view);
        (view.cells.cursor, view.cells.anchor) = (cell, cell);
    }
    if response.double_clicked() {
        view.cells.typed = map.cell(cell.0, cell.1).map(|v| v.to_string());
    }
}

fn leave_typing(view: &mut View) {
    view.cells.typed = None;
    view.cells.before_step = None;
    view.cells.message = None;
}

fn paint(ui: &Ui, view: &View, look: &Look, rect: Rect, cell: Cell, value: f64, is_chosen: bool, share: f64) {
    let painter = ui.painter();
    let is_cursor = view.cells.cursor == cell;
    let fill = shade_of(look, look.plot, share);
    let (width, color) = match (is_chosen, is_cursor) {
        (true, true) => (2.0, look.chosen),
        (true, false) => (1.4, look.chosen),
        _ => (1.0, look.hairline),
    };
    painter.rect(rect, 1.0, fill, Stroke::new(width, color), StrokeKind::Inside);
    let font = FontId::new(if rect.width() < 44.0 { SMALL - 1.0 } else { BODY - 0.5 }, FontFamily::Monospace);
    let at = rect.right_center() - vec2(6.0, 0.0);
    match (&view.cells.typed, is_cursor, is_chosen) {
        (Some(typed), true, _) => {
            let text = painter.layout_no_wrap(typed.clone(), font, look.text);
            let width = (text.size().x + 10.0).max(rect.width());
            let room = Rect::from_min_max(pos2(rect.right() - width, rect.top()), rect.max);
            painter.rect(room, 1.0, look.plot, Stroke::new(2.0, look.step_link()), StrokeKind::Inside);
            let left = pos2(room.right() - 6.0 - text.size().x, room.center().y - text.size().y / 2.0);
            let end = left.x + text.size().x + 1.5;
            painter.galley(left, text, look.text);
            painter.vline(end, room.shrink(4.0).y_range(), Stroke::new(1.0, look.text));
        }
        (Some(typed), false, true) => {
            // What the range would become, before Enter.
            let preview = parse(typed).ok().and_then(|e| e.apply(value, None)).map(|v| words::cell(view.map, v));
            let text = preview.unwrap_or_else(|| words::cell(view.map, value));
            painter.text(at, Align2::RIGHT_CENTER, text, font, look.step_link());
        }
        _ => {
            let text = words::cell(view.map, value);
            painter.text(
                at,
                Align2::RIGHT_CENTER,
                text,
                font,
                if share > 0.02 || is_chosen { look.text } else { look.weak },
            );
        }
    }
}

/// Takes the keyboard events that belong to the cells, in their order.
fn keys(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, map: MapRef<'_>) {
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
