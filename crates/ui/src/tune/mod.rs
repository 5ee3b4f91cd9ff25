//! Tune: the maps of a mode on the left, what they do on the right, the drawer below.

mod bend;
mod cells;
mod chain;
pub(crate) mod comfort;
pub(crate) mod curves;
pub(crate) mod cuts;
mod drawer;
mod entry;
pub(crate) mod event;
mod holding;
pub(crate) mod lever;
mod maps;
mod marks;
mod moment;
mod motion;
pub(crate) mod scorecard;
pub(crate) mod typing;
mod wish;

pub(crate) use drawer::rating;
pub(crate) use moment::play_or_stop;
pub(crate) use wish::of_run;
pub use wish::{LeverForm, lever_wish};

use crate::chart::PlotName;
use crate::command::RequestChange;
use crate::desk::Desk;
use crate::figures;
use crate::tour::{self, Spot};
use crate::view::{Along, Splits, View};
use crate::widgets::splitter;
use egui::{Rect, Ui, pos2, vec2};
use washboard_session::MapName;

const DRAWER: f32 = 66.0;
const GAP: f32 = 8.0;
const ROW: f32 = 20.0;

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    settle(view, desk);
    let area = ui.max_rect();
    let drawer = Rect::from_min_max(pos2(area.left(), area.bottom() - DRAWER), area.max);
    let main = Rect::from_min_max(area.min, pos2(area.right(), drawer.top() - GAP));
    let split = main.left() + (main.width() * view.splits.tune).clamp(340.0, (main.width() - 420.0).max(340.0));
    let gap = Rect::from_min_max(pos2(split, main.top()), pos2(split + 2.0 * GAP, main.bottom()));
    let designed = Splits::default().tune;
    splitter(ui, desk.look, gap, main, &mut view.splits.tune, designed, "Width of the maps");
    let maps = Rect::from_min_max(main.min, pos2(split, main.bottom()));
    tour::mark(ui, Spot::Maps, maps);
    left(ui, view, desk, maps);
    right(ui, view, desk, Rect::from_min_max(pos2(split + 2.0 * GAP, main.top()), main.max));
    drawer::show(ui, view, desk, drawer);
}

/// Keeps map, cursor and operating point in step with the mode that is open.
fn settle(view: &mut View, desk: &mut Desk<'_>) {
    let Some(mode) = desk.mode(view.mode) else {
        return;
    };
    if mode.map(view.map).is_none() {
        view.map = MapName::Heave;
    }
    let Some(map) = mode.map(view.map) else {
        return;
    };
    let last = (map.rows.len().saturating_sub(1), map.columns.len().saturating_sub(1));
    if view.seen_mode != Some((view.mode, view.map)) {
        // Nothing typed for one map takes effect on another.
        let typed = view.cells.typed.take().filter(|typed| !typed.is_empty());
        view.cells.message =
            typed.map(|typed| format!("“{typed}” was dropped: Enter comes before another map or mode."));
        if view.seen_mode.is_none() {
            let middle = (map.rows.len() / 2, map.columns.len() / 3);
            (view.cells.anchor, view.cells.cursor) = (middle, middle);
        }
        view.seen_mode = Some((view.mode, view.map));
    }
    for cell in [&mut view.cells.anchor, &mut view.cells.cursor] {
        *cell = (cell.0.min(last.0), cell.1.min(last.1));
    }
    // The response curves follow the chosen cell, so that what is pulled is what is seen.
    let is_by_roughness = matches!(view.map, MapName::Heave | MapName::Wheel | MapName::Base);
    if view.follow_cell && is_by_roughness && view.pull.is_none() && !map.rows.is_empty() && !map.columns.is_empty() {
        let wanted = (map.rows[view.cells.cursor.0].max(1.0), map.columns[view.cells.cursor.1]);
        let request = &desk.cx.request;
        let is_asked = (request.speed_km_h, request.roughness_m_per_s2) == wanted;
        if !is_asked && view.asked_point != Some(wanted) {
            view.asked_point = Some(wanted);
            let (speed_km_h, roughness_m_per_s2) = wanted;
            desk.request(RequestChange::SetOperatingPoint { speed_km_h, roughness_m_per_s2 });
        } else if is_asked {
            view.asked_point = None;
        }
    }
}

fn left(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let rows = desk.mode(view.mode).and_then(|m| m.map(view.map)).map_or(0, |m| m.rows.len());
    let numbers = (cells::height(rows)).min(rect.height() * 0.45);
    let thumbs = 52.0;
    let plots = rect.height() - thumbs - numbers - 3.0 * GAP;
    let mut top = rect.top();
    let mut take = |height: f32| {
        let part = Rect::from_min_size(pos2(rect.left(), top), vec2(rect.width(), height));
        top += height + GAP;
        part
    };
    let (surfaces, first, second, table) =
        (take(thumbs), take((plots * 0.58).max(60.0)), take((plots * 0.42).max(50.0)), take(numbers));
    maps::show(ui, view, desk, surfaces);
    match desk.enlarged {
        Some(PlotName::CutSpeed) => cuts::show(ui, view, desk, first.union(table), Along::Rows),
        Some(PlotName::CutSecond) => cuts::show(ui, view, desk, first.union(table), Along::Columns),
        _ => {
            cuts::show(ui, view, desk, first, Along::Rows);
            cuts::show(ui, view, desk, second, Along::Columns);
            cells::show(ui, view, desk, table);
        }
    }
}

fn right(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let large = Rect::from_min_max(rect.min, rect.max);
    match desk.enlarged {
        Some(PlotName::Transmissibility) => curves::transmissibility(ui, view, desk, large),
        Some(PlotName::WheelLoad) => curves::wheel_load(ui, view, desk, large),
        Some(PlotName::Comfort) => comfort::show(ui, view, desk, large),
        Some(PlotName::Event) => event::show(ui, view, desk, large),
        _ => {
            let wanted = (rect.height() * view.splits.scorecard).clamp(130.0, (rect.height() - 260.0).max(130.0));
            // No line of it is cut in half.
            let card = scorecard::whole_lines(wanted);
            let bottom = rect.bottom() - card;
            let gap = Rect::from_min_max(pos2(rect.left(), bottom - GAP), pos2(rect.right(), bottom));
            // Dragging down makes the part below smaller.
            let mut above = 1.0 - view.splits.scorecard;
            let designed = 1.0 - Splits::default().scorecard;
            splitter(ui, desk.look, gap, rect, &mut above, designed, "Height of the scorecard");
            view.splits.scorecard = 1.0 - above;
            let plots = rect.height() - card - 2.0 * GAP;
            tour::mark(ui, Spot::Curves, rect.with_max_y(rect.top() + plots + GAP));
            tour::mark(ui, Spot::Scorecard, rect.with_min_y(rect.bottom() - card));
            let upper = (plots * 0.5).round();
            let column = ((rect.width() - 1.5 * GAP) / 2.0).round();
            let cell = |i: usize, j: usize| {
                let top = rect.top() + j as f32 * (upper + GAP);
                let height = if j == 0 { upper } else { plots - upper };
                Rect::from_min_size(pos2(rect.left() + i as f32 * (column + 1.5 * GAP), top), vec2(column, height))
            };
            curves::transmissibility(ui, view, desk, cell(0, 0));
            curves::wheel_load(ui, view, desk, cell(1, 0));
            comfort::show(ui, view, desk, cell(0, 1));
            event::show(ui, view, desk, cell(1, 1));
            let place = Rect::from_min_max(pos2(rect.left(), rect.bottom() - card), rect.max);
            match view.lever.row(desk.cx.complaints) {
                Some(row) => lever::show(ui, view, desk, row, place),
                None => scorecard::show(ui, view, desk, place),
            }
        }
    }
}

/// Damping ratio of a front corner's body on its spring over a gain on it, 1/(N s/m); absent without results.
pub(crate) fn ratio_per_gain(desk: &Desk<'_>) -> Option<f64> {
    let derived = desk.board()?.derived.get(desk.cx.request.load_case)?;
    Some(derived.damping_ratio_per_n_s_per_m[0]).filter(|ratio| *ratio > 0.0)
}

/// Shows the influence on the next of the main metrics; after the last one, on none.
pub(crate) fn next_dots(view: &mut View) {
    view.lever.leave();
    let now = view.lever.dots.as_deref().and_then(|name| figures::MAIN.iter().position(|id| id.name() == name));
    let next = now.map_or(0, |now| now + 1);
    view.lever.dots = figures::MAIN.get(next).map(|id| id.name().to_owned());
}

/// A heading row and the rest below it.
pub(crate) fn under_heading(rect: Rect) -> (Rect, Rect) {
    let head = Rect::from_min_size(rect.min, vec2(rect.width(), ROW));
    (head, Rect::from_min_max(pos2(rect.left(), rect.top() + ROW), rect.max))
}

/// What stands where results will be, while there are none.
pub(crate) fn nothing_yet(ui: &mut Ui, desk: &Desk<'_>, rect: Rect) {
    let look = desk.look;
    ui.painter().rect(rect, 2.0, look.plot, look.line(), egui::StrokeKind::Inside);
    let text = if desk.cx.fault.is_some() {
        "Nothing to show: the session cannot be computed."
    } else if desk.cx.progress.is_some() {
        "Computing…"
    } else {
        "No results yet."
    };
    ui.painter().text(
        rect.center(),
        egui::Align2::CENTER_CENTER,
        text,
        egui::FontId::new(crate::theme::SMALL, egui::FontFamily::Proportional),
        look.weak,
    );
}
