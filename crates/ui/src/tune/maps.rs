//! The maps of a mode as small surfaces; one is open.

use super::marks;
use crate::desk::Desk;
use crate::theme::{self, Look, SMALL};
use crate::view::View;
use crate::words;
use egui::{
    Align2, Color32, CornerRadius, FontFamily, Mesh, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, WidgetInfo,
};
use egui::{pos2, vec2};
use washboard_session::{CurrentMap, Edit, MapName, MapRef};

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let Some(mode) = desk.mode(view.mode) else {
        return;
    };
    let look = desk.look;
    let gap = 6.0;
    let width = (rect.width() - gap * 5.0) / 6.0;
    for (i, name) in MapName::ALL.into_iter().enumerate() {
        let tile =
            Rect::from_min_size(pos2(rect.left() + i as f32 * (width + gap), rect.top()), vec2(width, rect.height()));
        let response = ui.interact(tile, ui.scope_id().with(("map", i)), Sense::click());
        let map = mode.map(name);
        let is_on = view.map == name && map.is_some();
        let state = if map.is_none() { ", none in this mode: click to add one" } else { "" };
        response
            .widget_info(|| WidgetInfo::selected(Role::Button, true, is_on, format!("{} map{state}", name.field())));
        let painter = ui.painter_at(tile);
        let (width_of, color) = if is_on {
            (2.0, look.chosen)
        } else if response.hovered() || response.has_focus() {
            (1.5, look.border)
        } else {
            (1.0, look.hairline)
        };
        painter.rect(tile, CornerRadius::same(3), look.card, Stroke::new(width_of, color), StrokeKind::Inside);
        let picture = Rect::from_min_max(tile.min + vec2(5.0, 5.0), tile.max - vec2(5.0, 17.0));
        let label = Rect::from_min_max(pos2(tile.left(), tile.bottom() - 16.0), tile.max - vec2(0.0, 2.0));
        let family = if is_on { theme::semibold(ui.ctx()) } else { FontFamily::Proportional };
        let text = if map.is_some() { name.field().to_owned() } else { format!("+ {}", name.field()) };
        crate::widgets::put_text(ui, label, Align2::CENTER_CENTER, text, SMALL, family, look.text);
        if let Some(map) = map {
            surface(&painter, picture, map, look, look.mode(view.mode));
            let at = |row: f32, column: f32| between(picture, map, row, column);
            marks::on_surface(&painter, look, &marks::places(view, desk, name), at);
            if is_on && map.rows.len() > 1 && map.columns.len() > 1 {
                let at = place(picture, map, view.cells.cursor);
                painter.circle_stroke(at, 3.0, Stroke::new(1.2, look.text));
            }
        }
        let unit = words::unit(name.value_unit());
        let response = response.on_hover_ui(|ui| {
            ui.label(theme::bold(ui, format!("{}, {unit}", name.label()), theme::BODY));
            ui.label(meaning(name));
            ui.label(theme::note(
                look,
                format!("across: speed, km/h · up: {}, {}", words::second_axis(name), words::unit(name.column_unit())),
            ));
        });
        if response.clicked() {
            if map.is_some() {
                view.map = name;
            } else {
                desk.ask(crate::command::Command::Edit(Edit::SetFloor {
                    mode: view.mode,
                    floor: Some(flat_floor(mode)),
                }));
                view.map = name;
            }
        }
    }
}

/// A floor of the mode's least current everywhere, on the axes of its roll map: a start that changes nothing.
fn flat_floor(mode: &washboard_session::Mode) -> CurrentMap {
    let (rows, columns) = (mode.roll.rows.clone(), mode.roll.columns.clone());
    let values_a = vec![vec![mode.current_min_a; columns.len()]; rows.len()];
    CurrentMap { rows, columns, values_a }
}

/// What the map does, in a sentence.
pub(crate) fn meaning(map: MapName) -> &'static str {
    match map {
        MapName::Heave => "Wanted force against the body's vertical speed: holds the body still.",
        MapName::Wheel => "Wanted force against the wheel's vertical speed: calms the wheel and keeps its load.",
        MapName::Base => "Plain damping on the rate of travel, as a passive damper has it.",
        MapName::Roll => "Wanted force against the roll rate, with the lever of each corner.",
        MapName::Pitch => "Wanted force against the pitch rate, with the lever of each corner.",
        MapName::Floor => "Least current whatever is asked; a mode may have none.",
    }
}

fn place(rect: Rect, map: MapRef<'_>, cell: (usize, usize)) -> egui::Pos2 {
    between(rect, map, cell.0 as f32, cell.1 as f32)
}

/// Where a place between breakpoints lies.
fn between(rect: Rect, map: MapRef<'_>, row: f32, column: f32) -> egui::Pos2 {
    let x = row / (map.rows.len() - 1).max(1) as f32;
    let y = column / (map.columns.len() - 1).max(1) as f32;
    pos2(rect.left() + x * rect.width(), rect.bottom() - y * rect.height())
}

/// The map as a shaded surface: speed across, the second axis upwards, stronger where the value is larger.
fn surface(painter: &egui::Painter, rect: Rect, map: MapRef<'_>, look: &Look, color: Color32) {
    let (low, high) = map
        .values
        .iter()
        .flatten()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(*v), high.max(*v)));
    if !(low.is_finite() && high.is_finite()) || map.rows.len() < 2 || map.columns.len() < 2 {
        return;
    }
    // Shades count from zero, so that a flat map of large gains looks strong and a flat map of zeros empty.
    let (low, high) = (low.min(0.0), high.max(low.min(0.0) + 1e-9));
    let mut mesh = Mesh::default();
    let columns = map.columns.len();
    for (r, row) in map.values.iter().enumerate() {
        for c in 0..columns {
            let share = row.get(c).map_or(0.0, |v| (v - low) / (high - low)) as f32;
            mesh.colored_vertex(place(rect, map, (r, c)), Look::mix(look.plot, color, 0.06 + 0.86 * share));
        }
    }
    for r in 0..map.rows.len() - 1 {
        for c in 0..columns - 1 {
            let i = (r * columns + c) as u32;
            let (right, up) = (i + columns as u32, i + 1);
            mesh.add_triangle(i, right, up);
            mesh.add_triangle(right, right + 1, up);
        }
    }
    painter.add(Shape::mesh(mesh));
}
