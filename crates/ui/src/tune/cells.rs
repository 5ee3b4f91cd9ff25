//! The open map as numbers: cells with the keyboard of a table.

use super::cuts::cell_name;
use super::entry::parse;
use super::lever;
use super::marks;
use super::typing::{as_typed, chosen, finish_typing, keys, leave_typing, range, shown_scale};
use crate::desk::Desk;
use crate::table::{self, Table};
use crate::theme::{self, BODY, Look, SMALL};
use crate::view::{Cell, View};
use crate::words;
use egui::{Align2, Color32, FontFamily, FontId, Rect, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo};
use egui::{pos2, vec2};
use washboard_session::{MapName, MapRef};

const HEAD: f32 = 18.0;
const LINE: f32 = 21.0;
const SIDE: f32 = 68.0;

/// Height that a map of so many rows wants.
pub(crate) fn height(rows: usize) -> f32 {
    super::ROW + HEAD + LINE * rows as f32 + 2.0
}

/// Shade of a cell by its share of the most visited one.
pub(crate) fn shade_of(look: &Look, base: Color32, share: f64) -> Color32 {
    Look::mix(base, look.shade, (share.clamp(0.0, 1.0).sqrt() * 0.55) as f32)
}

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let Some(map) = desk.mode(view.mode).and_then(|m| m.map(view.map)) else {
        return;
    };
    let look = desk.look;
    let (head, body) = super::under_heading(rect);
    heading(ui, view, desk, head.with_max_x(head.right() - 104.0));
    menus(ui, view, desk, head);
    let at = Rect::from_center_size(pos2(head.right() - 8.0, head.center().y), vec2(16.0, 16.0));
    let name = view.map;
    let asked = table::dots(ui, look, at, "map as numbers", || as_table(name, map));
    desk.out.extend(asked);
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

/// The map as it stands, a row a speed.
fn as_table(name: MapName, map: MapRef<'_>) -> Table {
    let unit = words::unit(name.value_unit());
    let across = words::second_axis(name);
    let columns = map.columns.iter().map(|c| {
        let at = format!("{across} {} {}", words::breakpoint(*c), words::unit(name.column_unit()));
        format!("{} at {at}, {unit}", name.field())
    });
    let mut table = Table::new(std::iter::once("speed, km/h".to_owned()).chain(columns));
    for (speed, values) in map.rows.iter().zip(map.values) {
        table.row(std::iter::once(*speed).chain(values.iter().copied()).map(table::number));
    }
    table
}

fn heading(ui: &mut Ui, view: &View, desk: &Desk<'_>, head: Rect) {
    let look = desk.look;
    let is_ratio = shown_scale(view, desk) != 1.0;
    let unit = if is_ratio { "damping ratio".to_owned() } else { words::unit(view.map.value_unit()) };
    let title = format!("{}, {unit}", view.map.field());
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
        (None, None) if view.lever.metric(desk.cx.complaints).is_some() => {
            (lever::legend(desk, view).unwrap_or_default(), look.weak)
        }
        (None, None) => {
            let across = format!("{}, {} →", words::second_axis(view.map), words::unit(view.map.column_unit()));
            let drawn =
                ui.painter_at(rest).text(rest.left_center(), Align2::LEFT_CENTER, across, small.clone(), look.weak);
            let own = desk.session().base_of(view.mode).filter(|_| has_own(desk, view));
            let own = own.map(|base| format!("◥ its own, all else as {}", base.name));
            let hint = if let Some(own) = &own {
                own.as_str()
            } else if is_ratio {
                "type 0.3, +5%, =base"
            } else {
                "type 2400, +5%, *1.1, =base"
            };
            let width = ui.painter().layout_no_wrap(hint.to_owned(), small.clone(), look.weak).size().x;
            // The axis says more than the hint where both have no room.
            let has_room = drawn.width() + width + 12.0 <= rest.width();
            (if has_room { hint.to_owned() } else { String::new() }, look.weak)
        }
    };
    let align = if view.cells.message.is_some() { Align2::LEFT_CENTER } else { Align2::RIGHT_CENTER };
    ui.painter_at(rest).text(align.pos_in_rect(&rest), align, text, small, color);
}

/// What can be done to the cells, and whose influence is shown, as two menus in the line above.
fn menus(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, head: Rect) {
    if desk.is_picture {
        return;
    }
    let place = |right: f32, width: f32| {
        Rect::from_center_size(pos2(head.right() - right - width / 2.0, head.center().y), vec2(width, 16.0))
    };
    let opener = |ui: &mut Ui, rect: Rect, text: &str, name: &str| {
        let label = egui::RichText::new(text).size(SMALL).color(desk.look.step_link());
        ui.put(rect, egui::Button::new(label).frame(false).wrap_mode(egui::TextWrapMode::Extend).min_size(rect.size()))
            .accessible_name(name)
    };
    let cells = opener(ui, place(60.0, 40.0), "cells", "What can be done to the cells");
    let dots = opener(ui, place(20.0, 38.0), "dots", "Influence shown in the cells");
    const OF_CELLS: [&str; 7] = [
        "Smooth the cells along speed",
        "Smooth the cells along the second axis",
        "Ramp between the ends of the cells",
        "Lock or unlock the cells",
        "Breakpoints of the map…",
        "Scales of the axles…",
        "Gain as damping ratio or in N·s/m",
    ];
    egui::Popup::menu(&cells).show(|ui| {
        for act in OF_CELLS.into_iter().filter_map(crate::acts::by_text) {
            let keys = egui::RichText::new(act.key_text()).size(SMALL).color(desk.look.weak);
            if ui.add(egui::Button::new(act.text).right_text(keys)).clicked() {
                act.run(view, desk);
            }
        }
    });
    egui::Popup::menu(&dots).show(|ui| {
        ui.label(theme::note(desk.look, "what each cell does to"));
        let now = view.lever.metric(desk.cx.complaints);
        if ui.selectable_label(now.is_none(), "nothing: no dots").clicked() {
            view.lever.leave();
            view.lever.dots = None;
        }
        for id in crate::figures::MAIN {
            if ui.selectable_label(now == Some(id), id.metric().label).clicked() {
                view.lever.leave();
                view.lever.dots = Some(id.name().to_owned());
            }
        }
    });
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
    let places = marks::places(view, desk, view.map);
    let scale = shown_scale(view, desk);
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
                let name = if is_locked(desk, view, cell) { format!("{name}, locked") } else { name };
                let name = if is_own(desk, view, cell) { format!("{name}, its own") } else { name };
                WidgetInfo::selected(Role::Cell, true, is_chosen, name)
            });
            let share_of_most = if most > 0.0 { share(cell) / most } else { 0.0 };
            paint(ui, view, look, rect, cell, (*value, scale), is_chosen, share_of_most);
            if let Some(pull) = lever::pull_of(desk, view, view.map, r, c) {
                lever::mark(ui.painter(), look, rect.left_center() + vec2(8.0, 0.0), pull);
            }
            let weight = marks::of_cell(&places, cell);
            if let Some(weight) = weight {
                marks::on_cell(ui.painter(), look, rect, weight);
            }
            if is_locked(desk, view, cell) {
                paint_lock(ui.painter(), look, rect);
            }
            if is_own(desk, view, cell) {
                paint_own(ui.painter(), look.mode(view.mode), rect);
            }
            has_focus |= response.has_focus();
            point(ui, view, desk, area, width, map, cell, &response);
            response.on_hover_ui(|ui| {
                ui.label(cell_name(view.map, map.rows[r], map.columns[c], *value));
                if let Some(ratio) = super::ratio_per_gain(desk).filter(|_| view.map != MapName::Floor) {
                    let words = format!("as damping ratio of a front corner {}", words::fixed(value * ratio, 2));
                    ui.label(theme::note(look, words));
                }
                if is_locked(desk, view, cell) {
                    ui.label("locked: no edit changes it (Ctrl+L unlocks)");
                }
                if let Some(line) = below(desk, view, cell) {
                    ui.label(theme::note(look, line));
                }
                if most > 0.0 {
                    let share = share(cell);
                    ui.label(theme::note(
                        look,
                        match share {
                            0.0 => "never visited: no event of the session uses it".to_owned(),
                            s if s < 0.0005 => "in use for less than 0.1 % of the driven time".to_owned(),
                            s => format!("in use {} % of the driven time", words::fixed(s * 100.0, 1)),
                        },
                    ));
                }
                for line in lever::cell_words(desk, view.map, r, c) {
                    ui.label(theme::note(look, line));
                }
                if let (Some((weight, axle)), Some(at)) = (weight, view.moment.at_s) {
                    let whose = if axle.is_empty() { "" } else { ", one axle only" };
                    let text = format!("at {} s: weight {}{whose}", words::fixed(at, 2), words::fixed(weight, 2));
                    ui.label(theme::note(look, text));
                }
            });
        }
    }
    if view.cells_have_focus && !has_focus && !view.cells.wants_focus {
        finish_typing(view, desk);
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

fn is_locked(desk: &Desk<'_>, view: &View, (row, column): Cell) -> bool {
    desk.mode(view.mode).is_some_and(|mode| mode.is_locked(view.map, row, column))
}

/// True where a mode that rests on another has this cell of its own.
fn is_own(desk: &Desk<'_>, view: &View, (row, column): Cell) -> bool {
    desk.mode(view.mode).is_some_and(|mode| mode.is_own_cell(view.map, row, column))
}

/// True where the open map has a cell or a table of the mode's own.
fn has_own(desk: &Desk<'_>, view: &View) -> bool {
    let resting = desk.mode(view.mode).and_then(|mode| mode.rests_on.as_deref());
    resting.is_some_and(|it| it.maps.contains(&view.map) || !it.cells.of(view.map).is_empty())
}

/// What the mode below has in a cell that is not the same here.
fn below(desk: &Desk<'_>, view: &View, cell: Cell) -> Option<String> {
    let base = desk.session().base_of(view.mode).filter(|_| is_own(desk, view, cell))?;
    let value = base.map(view.map).and_then(|map| map.cell(cell.0, cell.1));
    let unit = words::unit(view.map.value_unit());
    Some(match value {
        Some(value) => format!("its own: {} below it has {} {unit}", base.name, words::cell(view.map, value)),
        None => format!("its own: {} below it has no such cell", base.name),
    })
}

/// A filled corner in the mode's colour: a shape of its own beside the frames of chosen cells.
fn paint_own(painter: &egui::Painter, color: Color32, cell: Rect) {
    const SIDE: f32 = 7.0;
    let corner = cell.right_top();
    let points = vec![corner - vec2(SIDE, 0.0), corner, corner + vec2(0.0, SIDE)];
    painter.add(egui::Shape::convex_polygon(points, color, Stroke::NONE));
}

/// A small padlock in the upper left corner.
fn paint_lock(painter: &egui::Painter, look: &Look, cell: Rect) {
    let body = Rect::from_min_size(cell.left_top() + vec2(3.0, 6.0), vec2(6.0, 4.5));
    painter.circle_stroke(body.center_top(), 2.2, Stroke::new(1.1, look.text));
    painter.rect_filled(body, 1.0, look.text);
}

/// Choosing by pointer and by Tab.
#[allow(clippy::too_many_arguments)]
fn point(
    ui: &Ui,
    view: &mut View,
    desk: &mut Desk<'_>,
    area: Rect,
    width: f32,
    map: MapRef<'_>,
    cell: Cell,
    response: &egui::Response,
) {
    let (pressed, shift) = ui.input(|i| (i.pointer.primary_pressed(), i.modifiers.shift));
    if pressed && response.contains_pointer() {
        let was_typing = view.cells.typed.is_some();
        finish_typing(view, desk);
        if !was_typing {
            leave_typing(view);
        }
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
        finish_typing(view, desk);
        (view.cells.cursor, view.cells.anchor) = (cell, cell);
    }
    if response.double_clicked() {
        view.cells.typed = as_typed(view, desk, map);
    }
}

#[allow(clippy::too_many_arguments)]
fn paint(
    ui: &Ui,
    view: &View,
    look: &Look,
    rect: Rect,
    cell: Cell,
    (value, scale): (f64, f64),
    is_chosen: bool,
    share: f64,
) {
    let figure = |v: f64| if scale == 1.0 { words::cell(view.map, v) } else { words::fixed(v * scale, 2) };
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
            let preview = parse(typed).ok().and_then(|e| e.unscaled(scale).apply(value, None)).map(figure);
            let text = preview.unwrap_or_else(|| figure(value));
            painter.text(at, Align2::RIGHT_CENTER, text, font, look.step_link());
        }
        _ => {
            let text = figure(value);
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
