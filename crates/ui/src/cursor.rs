//! The cursor of a plot and what is seen of it: by pointer, wheel and keys alike.

use crate::theme::Look;
use egui::{EventFilter, Id, Key, Modifiers, PointerButton, Pos2, Rect, Response, Stroke, StrokeKind, Ui};
use egui_plot::PlotUi;

/// How much closer a turn of the wheel by a hundred points brings, as a power of e.
const PER_HUNDRED_POINTS: f32 = 0.35;
/// How much closer a key brings.
const PER_KEY: f32 = 1.25;
/// A box thinner than this, points, is meant along one axis only.
const THIN: f32 = 14.0;

/// How a plot answers.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Manners {
    /// It can be seen closer.
    pub can_zoom: bool,
    /// Only along x: the plots of a group share it.
    pub only_along: bool,
    /// Dragging moves the cursor instead of looking into a box.
    pub scrubs: bool,
    /// Keys move the cursor along x.
    pub has_cursor: bool,
    /// What is seen goes on with a cursor that leaves it.
    pub follows: bool,
}

/// What the engineer did in a frame.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Steered {
    /// Where the cursor stands, in plot values: under the pointer, else where it was left.
    pub at: Option<f64>,
    /// It is to be read: the pointer is over the plot, or the plot has the keyboard.
    pub is_seen: bool,
    /// Where it was put by click, drag or key.
    pub moved_to: Option<f64>,
    /// The box being drawn.
    pub drawing: Option<Rect>,
}

/// Lets pointer and keys act on the plot; `kept` is where its cursor was left, `salt` tells the plot.
pub(crate) fn steer(plot: &mut PlotUi<'_>, manners: Manners, kept: Option<f64>, salt: Id) -> Steered {
    let response = plot.response().clone();
    let ctx = plot.ctx().clone();
    let mut steered = Steered { at: kept, ..Steered::default() };
    let frame = *plot.transform().frame();
    let pointer = response.hover_pos().filter(|p| frame.contains(*p));
    if manners.can_zoom {
        wheel(plot, manners, pointer);
        steered.drawing = look_into_box(plot, manners, &response, salt);
    }
    if let Some(at) = response.interact_pointer_pos()
        && (response.clicked_by(PointerButton::Primary)
            || (manners.scrubs && response.dragged_by(PointerButton::Primary)))
    {
        response.request_focus();
        steered.moved_to = Some(plot.plot_from_screen(at).x);
    }
    if manners.follows
        && let Some(at) = kept
    {
        follow(plot, at);
    }
    if response.has_focus() {
        let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
        ctx.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
        if manners.has_cursor
            && let Some(to) = by_keys(plot, steered.moved_to.or(kept))
        {
            steered.moved_to = Some(to);
        }
        if manners.can_zoom {
            closer_by_keys(plot, manners, steered.moved_to.or(kept));
        }
    }
    let under_pointer = pointer.map(|p| plot.plot_from_screen(p).x);
    steered.at = under_pointer.or(steered.moved_to).or(kept);
    steered.is_seen = steered.drawing.is_none() && (under_pointer.is_some() || response.has_focus());
    steered
}

/// Closer and further around a place, each axis by its own factor.
fn zoom(plot: &mut PlotUi<'_>, by_x: f64, by_y: f64, around: [f64; 2]) {
    let bounds = plot.plot_bounds();
    let (low, high) = (bounds.min(), bounds.max());
    let ends = |i: usize, by: f64| around[i] + (low[i] - around[i]) / by..=around[i] + (high[i] - around[i]) / by;
    if by_x != 1.0 {
        plot.set_plot_bounds_x(ends(0, by_x));
    }
    if by_y != 1.0 {
        plot.set_plot_bounds_y(ends(1, by_y));
    }
}

/// Where the cursor has left what is seen, it stands a tenth behind its beginning.
fn follow(plot: &mut PlotUi<'_>, at: f64) {
    let bounds = plot.plot_bounds();
    let (low, high) = (bounds.min()[0], bounds.max()[0]);
    if !plot.auto_bounds().x && !(low..=high).contains(&at) {
        let from = at - 0.1 * (high - low);
        plot.set_plot_bounds_x(from..=from + (high - low));
    }
}

fn wheel(plot: &mut PlotUi<'_>, manners: Manners, pointer: Option<Pos2>) {
    let Some(pointer) = pointer.filter(|_| plot.response().contains_pointer()) else { return };
    // Shift makes the wheel turn sideways: closer along x only.
    let turned = plot.ctx().input_mut(|i| std::mem::take(&mut i.smooth_scroll_delta));
    let by = |points: f32| f64::from((points / 100.0 * PER_HUNDRED_POINTS).exp());
    if turned != egui::Vec2::ZERO {
        let around = plot.plot_from_screen(pointer);
        let both = if manners.only_along { 1.0 } else { by(turned.y) };
        zoom(plot, by(turned.x + turned.y), both, [around.x, around.y]);
    }
}

/// A box drawn with the pointer, into which the plot looks when it is let go.
fn look_into_box(plot: &mut PlotUi<'_>, manners: Manners, response: &Response, salt: Id) -> Option<Rect> {
    let ctx = plot.ctx().clone();
    let key = salt.with("box");
    if manners.scrubs {
        return None;
    }
    if response.drag_started_by(PointerButton::Primary) {
        let start = ctx.input(|i| i.pointer.press_origin());
        ctx.data_mut(|d| d.insert_temp(key, start));
    }
    let start = ctx.data(|d| d.get_temp::<Option<Pos2>>(key)).flatten()?;
    let frame = *plot.transform().frame();
    let end = ctx.input(|i| i.pointer.latest_pos()).unwrap_or(start).clamp(frame.min, frame.max);
    let mut drawn = Rect::from_two_pos(start, end);
    let (across, up) = (drawn.width() >= THIN, drawn.height() >= THIN && !manners.only_along);
    if !up {
        (drawn.min.y, drawn.max.y) = (frame.top(), frame.bottom());
    }
    if !across {
        (drawn.min.x, drawn.max.x) = (frame.left(), frame.right());
    }
    if response.drag_stopped_by(PointerButton::Primary) || !response.dragged() {
        ctx.data_mut(|d| d.remove_temp::<Option<Pos2>>(key));
        let (one, other) = (plot.plot_from_screen(drawn.left_bottom()), plot.plot_from_screen(drawn.right_top()));
        if across {
            plot.set_plot_bounds_x(one.x..=other.x);
        }
        if up {
            plot.set_plot_bounds_y(one.y..=other.y);
        }
        return None;
    }
    (across || up).then_some(drawn)
}

/// Arrows move the cursor by a hundredth of what is seen, with Shift by a tenth.
fn by_keys(plot: &PlotUi<'_>, at: Option<f64>) -> Option<f64> {
    let bounds = plot.plot_bounds();
    let (low, high) = (bounds.min()[0], bounds.max()[0]);
    let step = (high - low) / 100.0;
    let presses =
        |modifiers: Modifiers, key: Key| plot.ctx().input_mut(|i| i.count_and_consume_key(modifiers, key)) as f64;
    let far = presses(Modifiers::SHIFT, Key::ArrowRight) - presses(Modifiers::SHIFT, Key::ArrowLeft);
    let near = presses(Modifiers::NONE, Key::ArrowRight) - presses(Modifiers::NONE, Key::ArrowLeft);
    let moved = 10.0 * far + near;
    let from = at.filter(|x| (low..=high).contains(x));
    (moved != 0.0).then(|| from.map_or((low + high) / 2.0, |x| x + moved * step).clamp(low, high))
}

fn closer_by_keys(plot: &mut PlotUi<'_>, manners: Manners, at: Option<f64>) {
    let presses = |keys: [Key; 2]| -> i32 {
        let count = |k| plot.ctx().input_mut(|i| i.count_and_consume_key(Modifiers::NONE, k)) as i32;
        keys.into_iter().map(count).sum()
    };
    let closer = presses([Key::Plus, Key::Equals]) - presses([Key::Minus, Key::ArrowDown]) + presses([Key::ArrowUp; 2]);
    let is_all = presses([Key::Home, Key::Num0]) > 0;
    if is_all {
        plot.set_auto_bounds(true);
    } else if closer != 0 {
        let bounds = plot.plot_bounds();
        let middle = |i: usize| (bounds.min()[i] + bounds.max()[i]) / 2.0;
        let by = f64::from(PER_KEY.powi(closer));
        zoom(plot, by, if manners.only_along { 1.0 } else { by }, [at.unwrap_or(middle(0)), middle(1)]);
    }
}

/// Steps through `count` things in a plot that has no cursor along x, by the arrows while it has the keyboard; the one
/// stepped to, while it has.
pub(crate) fn walk(ui: &Ui, response: &Response, count: usize) -> Option<usize> {
    if !response.has_focus() || count == 0 {
        return None;
    }
    let key = response.id.with("walk");
    let presses = |k: Key| ui.input_mut(|i| i.count_and_consume_key(Modifiers::NONE, k));
    let on = presses(Key::ArrowRight) + presses(Key::ArrowDown);
    let back = presses(Key::ArrowLeft) + presses(Key::ArrowUp);
    let at = ui.data(|d| d.get_temp::<usize>(key)).unwrap_or(0);
    let at = (at + on + count * back - back) % count;
    ui.data_mut(|d| d.insert_temp(key, at));
    Some(at)
}

/// Paints a box being drawn.
pub(crate) fn paint_box(painter: &egui::Painter, look: &Look, drawn: Rect) {
    painter.rect(drawn, 0.0, look.shade.gamma_multiply(0.2), Stroke::new(1.0, look.chosen), StrokeKind::Inside);
}
