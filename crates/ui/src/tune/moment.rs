//! The moment of the event that is looked at: play and stop, the car in motion, and what became of the wanted force.

use super::{chain, event, motion};
use crate::desk::Desk;
use crate::theme::{self, SMALL};
use crate::view::View;
use crate::widgets::{link, toggle};
use crate::words;
use egui::{Key, Modifiers, Rect, Ui, pos2, vec2};
use washboard_study::{Board, Trace};

/// Speed at which it plays slowly, as a share of the true one.
const SLOW: f64 = 0.2;
/// Longest step of time in one frame, s: a window that was hidden does not jump.
const LONGEST_FRAME_S: f32 = 0.1;
/// Height of the line with play and stop.
const TRANSPORT: f32 = 22.0;
/// Least height of the curves.
const LEAST_CURVES: f32 = 150.0;
/// Height of the car in motion.
const CAR: f32 = 176.0;

/// Draws what belongs to the moment into the lower part of `rect`; returns the part that is left for the curves.
pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, board: &Board, rect: Rect) -> Rect {
    if view.moment.at_s.is_none() {
        view.moment.at_s = event::ends(board).map(|(begin, end)| (begin + end) / 2.0);
    }
    go_on(ui, view, board);
    if !ui.ctx().text_edit_focused() && ui.memory(|m| m.focused().is_none()) {
        keys(ui, view, board);
    }
    let chain_height = chain::height();
    let room = rect.height() - LEAST_CURVES - TRANSPORT - 6.0;
    let with_chain = room >= chain_height;
    let with_car = room >= chain_height + CAR;
    let mut bottom = rect.bottom();
    let mut take = |height: f32| {
        let part = Rect::from_min_max(pos2(rect.left(), bottom - height), pos2(rect.right(), bottom));
        bottom -= height + 2.0;
        part
    };
    let chain = with_chain.then(|| take(chain_height));
    let car = with_car.then(|| take(CAR));
    let line = take(TRANSPORT);
    let found = trace(view, board).and_then(|t| Some((t, t.index_at(view.moment.at_s?)?)));
    transport(ui, view, desk, board, line);
    ui.scope(|ui| {
        ui.multiply_opacity(desk.strength());
        if let (Some(part), Some((trace, index))) = (car, found) {
            motion::show(ui, view, desk, board, trace, index, part);
        }
        if let (Some(part), Some((trace, index))) = (chain, found) {
            chain::show(ui, view, desk, board, trace, index, part);
        }
    });
    rect.with_max_y(bottom)
}

/// The run of the mode under work.
pub(super) fn trace<'a>(view: &View, board: &'a Board) -> Option<&'a Trace> {
    board.traces.get(view.mode).map(|t| &**t).filter(|t| !t.time_s.is_empty())
}

/// Lets the event go on where it plays; nothing is drawn again where it does not.
pub(super) fn go_on(ui: &Ui, view: &mut View, board: &Board) {
    let Some((begin, end)) = event::ends(board) else {
        view.moment.plays = false;
        return;
    };
    if let Some(at) = &mut view.moment.at_s {
        *at = at.clamp(begin, end);
    }
    if !view.moment.plays {
        return;
    }
    let step_s = f64::from(ui.input(|i| i.stable_dt).min(LONGEST_FRAME_S));
    let at = view.moment.at_s.unwrap_or(begin) + step_s * if view.moment.is_slow { SLOW } else { 1.0 };
    view.moment.at_s = Some(at.min(end));
    view.moment.plays = at < end;
    ui.ctx().request_repaint();
}

/// Plays, from the start where the end was reached; or stops.
pub(crate) fn play_or_stop(view: &mut View, board: &Board) {
    let Some((begin, end)) = event::ends(board) else { return };
    view.moment.plays = !view.moment.plays;
    if view.moment.plays && view.moment.at_s.is_none_or(|at| at >= end - 1e-6) {
        view.moment.at_s = Some(begin);
    }
}

/// Keys of the moment: Space plays and stops, S changes the speed, comma and full stop go on by a sample of 10 ms.
pub(super) fn keys(ui: &Ui, view: &mut View, board: &Board) {
    let pressed = |key: Key| ui.input_mut(|i| i.count_and_consume_key(Modifiers::NONE, key));
    if pressed(Key::Space) % 2 == 1 {
        play_or_stop(view, board);
        ui.ctx().request_repaint();
    }
    if pressed(Key::S) % 2 == 1 {
        view.moment.is_slow = !view.moment.is_slow;
    }
    let steps = pressed(Key::Period) as f64 - pressed(Key::Comma) as f64;
    if steps != 0.0
        && let (Some(at), Some((begin, end))) = (view.moment.at_s, event::ends(board))
    {
        view.moment.at_s = Some((at + 0.01 * steps).clamp(begin, end));
        view.moment.plays = false;
    }
}

fn transport(ui: &mut Ui, view: &mut View, desk: &Desk<'_>, board: &Board, rect: Rect) {
    let look = desk.look;
    let mut child =
        ui.new_child(egui::UiBuilder::new().max_rect(rect).layout(egui::Layout::left_to_right(egui::Align::Center)));
    let ui = &mut child;
    ui.spacing_mut().item_spacing.x = 10.0;
    let text = if view.moment.plays { "■ stop" } else { "▶ play" };
    let response = link(ui, look, text).on_hover_text("Space");
    if response.accessible_name(if view.moment.plays { "stop the event" } else { "play the event" }).clicked() {
        play_or_stop(view, board);
        ui.ctx().request_repaint();
    }
    let now = usize::from(view.moment.is_slow);
    if let Some(i) = toggle(ui, look, "speed of playing", now, &["true speed", "a fifth"]) {
        view.moment.is_slow = i == 1;
    }
    if let (Some(at), Some((begin, end))) = (view.moment.at_s, event::ends(board)) {
        let mut value = at;
        ui.spacing_mut().slider_width = 150.0;
        let slider = egui::Slider::new(&mut value, begin..=end).show_value(false);
        if ui.add(slider).accessible_name("moment of the event, s").changed() {
            view.moment.at_s = Some(value);
            view.moment.plays = false;
        }
        ui.label(theme::number(format!("{} s", words::fixed(at, 3)), SMALL));
    }
    let mode = desk.mode(view.mode).map_or("", |m| m.name.as_str());
    let keys = if rect.width() > 640.0 { " · drag in the curves; , and . step by 10 ms" } else { "" };
    let room = ui.available_width();
    ui.allocate_ui(vec2(room, TRANSPORT), |ui| {
        ui.add(egui::Label::new(theme::note(look, format!("{mode}{keys}"))).truncate());
    });
}
