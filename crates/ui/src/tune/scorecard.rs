//! The scorecard: fences, what moved and the main metrics, a column a mode, with differences to the reference.

use super::{holding, nothing_yet};
use crate::desk::Desk;
use crate::figures::{self, MAIN};
use crate::table::{self, Table};
use crate::theme::{self, BODY, SMALL};
use crate::view::View;
use egui::{Align2, FontFamily, FontId, Rect, Ui, pos2, vec2};
use washboard_metrics::{MetricId, REACTIONS_SOURCE};
use washboard_study::{Board, Difference, FenceState, metrics_read};

const LINE: f32 = 21.0;
/// Height of everything in the card but the lines: margins and the head.
const AROUND: f32 = 31.0;

/// A smaller change, as a share, is none to be shown.
const LEAST_MOVED: f64 = 0.005;

/// The height nearest to the wanted one that holds whole lines.
pub(crate) fn whole_lines(wanted: f32) -> f32 {
    AROUND + LINE * ((wanted - AROUND) / LINE).round().max(3.0)
}

/// A row of the card.
struct Row {
    id: MetricId,
    /// What the last edit did to the mode under work, in words; absent where it did nothing.
    moved: Option<String>,
}

/// Fences first, crossed ones before the others, then what the last edit moved, then the other main metrics; among those
/// that moved, and among the main ones, what is read from the chosen event comes first.
fn rows(desk: &Desk<'_>, view: &View, board: &Board) -> Vec<Row> {
    let has = |id: &MetricId| board.evaluation.overall.iter().any(|o| o.card.get(*id).is_some());
    let fences = &board.evaluation.fences;
    let fenced = |kept: bool| fences.iter().filter(move |f| f.kept == kept).map(|f| f.metric);
    let moved = moved(desk, view, board);
    let event = desk.session().events.get(board.request.event);
    let read = event.map_or(&[][..], |event| metrics_read(&event.kind));
    let place = |id: &MetricId| read.iter().position(|r| r == id).unwrap_or(read.len());
    let mut main = MAIN;
    main.sort_by_key(place);
    // Only a few of those that are not always shown.
    let mut few: Vec<MetricId> = moved.iter().map(|m| m.id).filter(|id| !MAIN.contains(id)).collect();
    few.sort_by_key(place);
    few.truncate(3);
    let of_main = main.into_iter().filter(|id| moved.iter().any(|m| m.id == *id));
    let mut ids: Vec<MetricId> = Vec::new();
    for id in fenced(false).chain(fenced(true)).chain(of_main).chain(few).chain(main) {
        if has(&id) && !ids.contains(&id) {
            ids.push(id);
        }
    }
    let text = |id: MetricId| moved.iter().find(|m| m.id == id).map(|m| m.text.clone());
    ids.into_iter().map(|id| Row { id, moved: text(id) }).collect()
}

/// A metric that the last edit moved.
struct Moved {
    id: MetricId,
    /// By which share of the figure before; none where a percentage has no meaning, which stands behind all others.
    share: f64,
    text: String,
}

/// What the last edit moved in the mode under work, the largest first.
fn moved(desk: &Desk<'_>, view: &View, board: &Board) -> Vec<Moved> {
    let mut moved: Vec<Moved> = Vec::new();
    if let Some(ghost) = desk.ghost()
        && let (Some(now), Some(before)) =
            (figures::overall(desk, board, view.mode), figures::overall(desk, ghost, view.mode))
    {
        for (id, _) in now.iter() {
            let Some((now, before)) = figures::value(now, id).zip(figures::value(before, id)) else { continue };
            let text = figures::change_text(id, before, now)
                .unwrap_or_else(|| format!("to {}", figures::figure_with_unit(id, now)));
            // An angle, a lag, or what was nothing has moved where its figure reads otherwise.
            let (share, has_moved) = if figures::differs_by_unit(id) || before == 0.0 {
                (0.0, figures::figure(id, now) != figures::figure(id, before))
            } else {
                let share = ((now - before) / before).abs();
                (share, share > LEAST_MOVED)
            };
            if has_moved {
                moved.push(Moved { id, share, text });
            }
        }
        moved.sort_by(|a, b| b.share.total_cmp(&a.share));
    }
    moved
}

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let Some(board) = desk.board() else {
        return nothing_yet(ui, desk, rect);
    };
    let look = desk.look;
    ui.painter().rect(rect, 3.0, look.card, look.line(), egui::StrokeKind::Inside);
    let inner = rect.shrink2(vec2(10.0, 5.0));
    let reference = desk.reference();
    let modes = &desk.session().modes;
    let name = modes.get(reference).map_or("", |m| m.name.as_str());
    let label = (inner.width() * 0.3).clamp(170.0, 280.0);
    let column = (inner.width() - label) / modes.len().max(1) as f32;
    let head = Rect::from_min_size(inner.min, vec2(inner.width(), 20.0));
    let title = ui.painter().text(
        head.left_center(),
        Align2::LEFT_CENTER,
        "scorecard",
        FontId::new(BODY, theme::semibold(ui.ctx())),
        look.text,
    );
    let mut note = if modes.len() > 1 { format!("to {name}, ± 95 %") } else { String::new() };
    for (m, mode) in modes.iter().enumerate() {
        let at =
            Rect::from_min_size(pos2(inner.left() + label + m as f32 * column, head.top()), vec2(column - 6.0, 20.0));
        let text = if m == reference { format!("{} ⚑", mode.name) } else { mode.name.clone() };
        crate::widgets::put_text(ui, at, Align2::LEFT_CENTER, text, BODY, theme::semibold(ui.ctx()), look.mode(m));
    }
    let rows = rows(desk, view, board);
    let ids: Vec<MetricId> = rows.iter().map(|r| r.id).collect();
    let at = Rect::from_center_size(pos2(inner.right() - 8.0, head.center().y), vec2(16.0, 16.0));
    let asked = table::dots(ui, look, at, "scorecard", || as_table(desk, board, &ids));
    desk.out.extend(asked);
    let body = Rect::from_min_max(pos2(inner.left(), head.bottom()), inner.max);
    let hidden = ids.len().saturating_sub(((body.height() + 1.0) / LINE) as usize);
    if hidden > 0 {
        let font = FontId::new(SMALL, FontFamily::Proportional);
        let at = pos2(at.left() - 6.0, head.center().y);
        // Never over the name of the last mode: where there is no room it stands behind the title.
        let name = modes.last().map_or(String::new(), |m| m.name.clone());
        let name = ui.painter().layout_no_wrap(name, FontId::new(BODY, theme::semibold(ui.ctx())), look.text);
        let text = format!("{hidden} more below");
        let drawn = ui.painter().layout_no_wrap(text.clone(), font, look.weak);
        if at.x - drawn.size().x < inner.right() - column + name.size().x + 24.0 {
            note = text;
        } else {
            ui.painter().galley(at - vec2(drawn.size().x, drawn.size().y / 2.0), drawn, look.weak);
        }
    }
    let room =
        Rect::from_min_max(pos2(title.right() + 6.0, head.top()), pos2(inner.left() + label - 4.0, head.bottom()));
    let small = FontId::new(SMALL, FontFamily::Proportional);
    ui.painter_at(room).text(room.left_center(), Align2::LEFT_CENTER, note, small, look.weak);
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(body));
    child.shrink_clip_rect(body);
    // Every line is whole: none fades away.
    child.spacing_mut().scroll.fade.strength = 0.0;
    egui::ScrollArea::vertical().id_salt("scorecard").auto_shrink(false).show(&mut child, |ui| {
        let (area, _) = ui.allocate_exact_size(vec2(inner.width(), LINE * ids.len() as f32), egui::Sense::hover());
        ui.scope(|ui| {
            ui.multiply_opacity(desk.strength());
            for (i, of) in rows.iter().enumerate() {
                let row =
                    Rect::from_min_size(pos2(area.left(), area.top() + i as f32 * LINE), vec2(inner.width(), LINE));
                line(ui, view, desk, board, of, row, label, column);
            }
        });
    });
}

/// The lines of the card as seen, in the units of the screen: for each mode its figure, the others with their difference.
fn as_table(desk: &Desk<'_>, board: &Board, ids: &[MetricId]) -> Table {
    let modes = &desk.session().modes;
    let reference = desk.reference();
    let mut header = vec!["metric".to_owned()];
    for (m, mode) in modes.iter().enumerate() {
        header.push(mode.name.clone());
        if m != reference {
            header.extend([format!("{}: difference, %", mode.name), format!("{}: ±, %", mode.name)]);
        }
    }
    let mut table = Table::new(header);
    for id in ids {
        let mut row = vec![figures::title(*id)];
        for m in 0..modes.len() {
            let value = figures::overall(desk, board, m).and_then(|c| figures::value(c, *id));
            row.push(value.map_or(String::new(), |v| figures::figure(*id, v).replace('−', "-")));
            if m != reference {
                let difference = figures::difference(board, m, *id);
                row.push(table::opt(difference.map(|d| d.share * 100.0)));
                let half_width = difference.and_then(|d| d.half_width).filter(|h| h.is_finite());
                row.push(table::opt(half_width.map(|h| h * 100.0)));
            }
        }
        table.row(row);
    }
    table
}

#[allow(clippy::too_many_arguments)]
fn line(
    ui: &mut Ui,
    view: &mut View,
    desk: &mut Desk<'_>,
    board: &Board,
    of: &Row,
    row: Rect,
    label: f32,
    column: f32,
) {
    let look = desk.look;
    let reference = desk.reference();
    let id = of.id;
    answer(ui, view, desk, board, id, row.with_max_x(row.left() + label - 8.0));
    ui.painter().hline(row.x_range(), row.top(), egui::Stroke::new(1.0, look.grid));
    let fences = board.evaluation.fences.iter().filter(|f| f.metric == id);
    if let Some(kept) = fences.map(|f| f.kept).reduce(|a, b| a && b) {
        let color = if kept { look.good } else { look.crossed };
        let mark = Rect::from_min_size(row.min + vec2(-7.0, 3.0), vec2(3.0, LINE - 6.0));
        ui.painter().rect_filled(mark, 1.0, color);
    }
    let title = Rect::from_min_size(row.min, vec2(label - 8.0, LINE));
    let drawn = crate::widgets::put_text(
        ui,
        title,
        Align2::LEFT_CENTER,
        figures::title(id),
        SMALL + 0.5,
        if of.moved.is_some() { theme::semibold(ui.ctx()) } else { FontFamily::Proportional },
        look.text,
    );
    crate::widgets::explain(ui, title.union(drawn.intersect(title)), ("metric", id), |ui| {
        if let Some(moved) = &of.moved {
            let name = desk.mode(view.mode).map_or("", |m| m.name.as_str());
            ui.label(format!("Moved by the last edit: {moved} in {name}."));
        }
        figures::explain(ui, look, id);
        ui.label(theme::note(
            look,
            "Right click: a fence. With the keyboard in the row: F puts one up, Delete takes it away.",
        ));
    });
    for m in 0..desk.session().modes.len() {
        let cell =
            Rect::from_min_size(pos2(row.left() + label + m as f32 * column, row.top()), vec2(column - 6.0, LINE));
        let Some(value) = figures::overall(desk, board, m).and_then(|c| figures::value(c, id)) else {
            let font = FontId::new(SMALL, FontFamily::Proportional);
            ui.painter().text(cell.left_center(), Align2::LEFT_CENTER, "–", font, look.weak);
            continue;
        };
        let difference = (m != reference).then(|| figures::difference(board, m, id)).flatten();
        let fence = fence_of(board, m, id);
        let name = desk.mode(m).map_or("", |m| m.name.as_str());
        let reference = desk.mode(reference).map_or("the reference", |m| m.name.as_str());
        let figure_of = Figure { id, value, difference, fence, is_front: m == view.mode, name, reference };
        figure(ui, desk, cell, &figure_of);
    }
}

/// A row answers the right click with its menu, and F and Delete while it has the keyboard.
fn answer(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, board: &Board, id: MetricId, at: Rect) {
    let response = ui.interact(at, ui.scope_id().with(("row", id)), egui::Sense::click());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Row, true, format!("row {}", figures::title(id))));
    if response.clicked_by(egui::PointerButton::Primary) {
        response.request_focus();
    }
    if response.has_focus() {
        ui.painter().rect_stroke(at, 2.0, egui::Stroke::new(1.5, desk.look.chosen), egui::StrokeKind::Inside);
        let pressed = |key| ui.input_mut(|i| i.consume_key(egui::Modifiers::NONE, key));
        if pressed(egui::Key::F) {
            holding::hold(view, desk, board, id);
        }
        if pressed(egui::Key::Delete) {
            holding::let_go(view, desk, id);
        }
    }
    response.context_menu(|ui| holding::menu(ui, view, desk, board, id));
}

/// The fence of a metric on a mode: a crossed one first.
pub(crate) fn fence_of(board: &Board, mode: usize, id: MetricId) -> Option<&FenceState> {
    let mut fences = board.evaluation.fences.iter().filter(|f| f.mode == mode && f.metric == id);
    let first = fences.clone().next();
    fences.find(|f| !f.kept).or(first)
}

/// A figure in a table, with its difference and its fence where it has one.
pub(crate) struct Figure<'f> {
    pub id: MetricId,
    /// SI.
    pub value: f64,
    pub difference: Option<&'f Difference>,
    pub fence: Option<&'f FenceState>,
    pub is_front: bool,
    /// Whose figure it is.
    pub name: &'f str,
    /// What it differs from.
    pub reference: &'f str,
}

/// Draws a figure into its cell.
pub(crate) fn figure(ui: &mut Ui, desk: &Desk<'_>, cell: Rect, of: &Figure<'_>) {
    let Figure { id, value, difference, fence, is_front, name, reference } = *of;
    let look = desk.look;
    let crossed = fence.filter(|f| !f.kept);
    let painter = ui.painter_at(cell);
    let mono = FontId::new(SMALL, FontFamily::Monospace);
    let bold = FontId::new(SMALL, theme::bold_numbers(ui.ctx()));
    let has_room = cell.width() > 118.0;
    // A fence is judged by the worst corner and may hold for one event: its own figure stands beside it.
    let figure = figures::figure(id, crossed.map_or(value, |f| f.value));
    if let Some(f) = crossed {
        let drawn = painter.text(cell.left_center(), Align2::LEFT_CENTER, format!("✕ {figure}"), bold, look.crossed);
        if has_room {
            let side = if f.is_upper { "≤" } else { "≥" };
            let place = f.event.and_then(|e| desk.session().events.get(e)).map_or("fence", |e| e.name.as_str());
            let text = format!("{place} {side} {}", figures::figure(id, f.bound));
            let at = pos2(drawn.right() + 6.0, cell.center().y);
            painter.text(at, Align2::LEFT_CENTER, text, FontId::new(SMALL, theme::semibold(ui.ctx())), look.crossed);
        }
    } else {
        let text = difference.and_then(|d| figures::difference_text(d, has_room));
        let color = if difference.is_none_or(figures::is_certain) { look.text } else { look.weak };
        let font = if is_front { bold } else { mono.clone() };
        match text {
            // In narrow columns the difference says more than the figure; the pointer shows both.
            Some(text) if !has_room => {
                painter.text(cell.left_center(), Align2::LEFT_CENTER, text, font, color);
            }
            text => {
                painter.text(cell.left_center(), Align2::LEFT_CENTER, figure, font, look.text);
                if let Some(text) = text {
                    let at = pos2(cell.left() + 56.0, cell.center().y);
                    painter.text(at, Align2::LEFT_CENTER, text, mono, color);
                }
            }
        }
    }
    let tip = ui.interact(
        cell,
        ui.scope_id().with(("figure", id, cell.left() as i32, cell.top() as i32)),
        egui::Sense::hover(),
    );
    tip.on_hover_ui(|ui| {
        ui.label(theme::number(figures::figure_with_unit(id, value), BODY));
        if let Some(words) = id.reactions(value) {
            ui.label(format!("{words}: {REACTIONS_SOURCE}"));
        }
        if let Some(d) = difference {
            let text = figures::difference_text(d, true).unwrap_or_default();
            let is_drawn = d.half_width.is_some_and(f64::is_finite);
            let draws = if is_drawn { ", means over draws of the random roads" } else { "" };
            let (own, base) = (figures::figure(id, d.value), figures::figure_with_unit(id, d.reference));
            ui.label(format!("{text}: {own} against {base} of {reference}{draws}"));
            let sure = match (figures::is_certain(d), d.half_width) {
                (_, None) => "No interval: no random road takes part.",
                (_, Some(_)) if !is_drawn => "On the events' own roads; the interval follows from other draws of them.",
                (true, _) => "Larger than its 95 % interval (paired on the same roads).",
                (false, _) => "Within its 95 % interval: it may be chance.",
            };
            ui.label(theme::note(look, sure));
            match figures::is_better(d) {
                Some(true) if figures::is_certain(d) => drop(ui.label("Better than the reference.")),
                Some(false) if figures::is_certain(d) => drop(ui.label("Worse than the reference.")),
                _ => {}
            }
        }
        if let Some(f) = fence {
            ui.label(figures::fence_sentence(desk.session(), name, f));
        }
        figures::explain(ui, look, id);
    });
}
