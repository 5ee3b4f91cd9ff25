//! The scorecard of the columns: every figure with its difference to the reference, over all events or on one.

use super::{Shown, columns};
use crate::desk::Desk;
use crate::figures::{self, MAIN};
use crate::table::{self, Table};
use crate::theme::{self, BODY, SMALL};
use crate::tune::scorecard;
use crate::view::View;
use crate::widgets::{choice, toggle};
use egui::{Align2, FontFamily, Rect, Ui, pos2, vec2};
use washboard_metrics::{MetricId, Scorecard};
use washboard_study::Difference;

const LINE: f32 = 21.0;
const LABEL: f32 = 212.0;

/// What a column scored: over all events, or on one.
fn card<'a>(shown: Shown<'a>, event: Option<usize>, column: usize) -> Option<&'a Scorecard> {
    match event {
        None => shown.board.overall.get(column),
        Some(event) => shown.board.of_events.get(column)?.get(event),
    }
}

fn differences<'a>(shown: Shown<'a>, event: Option<usize>) -> &'a [Difference] {
    match event {
        None => &shown.board.differences,
        Some(event) => shown.board.event_differences.get(event).map_or(&[], Vec::as_slice),
    }
}

/// Metrics that some column has: all, or the main ones and those with a fence.
fn metrics(shown: Shown<'_>, event: Option<usize>, all: bool) -> Vec<MetricId> {
    let has = |id: &MetricId| {
        (0..shown.keys.len()).any(|c| card(shown, event, c).is_some_and(|k| figures::value(k, *id).is_some()))
    };
    let is_fenced = |id: &MetricId| shown.board.fences.iter().any(|f| f.metric == *id);
    MetricId::all().filter(|id| (all || MAIN.contains(id) || is_fenced(id)) && has(id)).collect()
}

/// Height of the whole table with what stands above it.
pub(super) fn height(view: &View, shown: Shown<'_>) -> f32 {
    56.0 + LINE * metrics(shown, view.side_event, view.side.all_metrics).len() as f32
}

pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, shown: Shown<'_>) {
    let look = desk.look;
    let events = &desk.session().events;
    view.side_event = view.side_event.filter(|e| *e < events.len());
    ui.horizontal(|ui| {
        let names: Vec<String> =
            std::iter::once("all events, weighted".to_owned()).chain(events.iter().map(|e| e.name.clone())).collect();
        let now = view.side_event.map_or(0, |e| e + 1);
        if let Some(i) = choice(ui, "Event of the scorecard", 190.0, now, &names) {
            view.side_event = i.checked_sub(1);
        }
        ui.add_space(8.0);
        let now = usize::from(view.side.all_metrics);
        if let Some(i) = toggle(ui, look, "Metrics", now, &["main figures", "every figure"]) {
            view.side.all_metrics = i == 1;
        }
        ui.add_space(8.0);
        let asked = table::links(ui, look, "scorecard side by side", || as_table(shown, view.side_event));
        desk.out.extend(asked);
    });
    let (event, width) = (view.side_event, ui.available_width());
    let looks = columns::looks(desk.session(), shown.keys);
    let column = ((width - LABEL - 10.0) / shown.keys.len().max(1) as f32).min(210.0);
    let (head, _) = ui.allocate_exact_size(vec2(width, 20.0), egui::Sense::hover());
    for (c, index) in looks.iter().enumerate() {
        let left = head.left() + LABEL + 8.0 + c as f32 * column;
        let at = Rect::from_min_size(pos2(left, head.top()), vec2(column - 6.0, 20.0));
        let flag = if c == shown.reference() { " ⚑" } else { "" };
        let text = format!("{}{flag}", shown.name(c));
        crate::widgets::put_text(ui, at, Align2::LEFT_CENTER, text, BODY, theme::semibold(ui.ctx()), look.mode(*index));
    }
    let ids = metrics(shown, event, view.side.all_metrics);
    egui::ScrollArea::vertical().id_salt("all metrics").auto_shrink(false).show(ui, |ui| {
        let (area, _) = ui.allocate_exact_size(vec2(width, LINE * ids.len() as f32), egui::Sense::hover());
        ui.painter().rect(area, 2.0, look.card, look.line(), egui::StrokeKind::Inside);
        ui.multiply_opacity(shown.strength);
        for (i, id) in ids.iter().enumerate() {
            let top = area.top() + i as f32 * LINE;
            let row = Rect::from_min_size(pos2(area.left() + 8.0, top), vec2(area.width() - 8.0, LINE));
            if ui.is_rect_visible(row) {
                if i > 0 {
                    ui.painter().hline(area.x_range(), row.top(), egui::Stroke::new(1.0, look.grid));
                }
                line(ui, desk, shown, event, *id, row, column);
            }
        }
    });
}

fn line(ui: &mut Ui, desk: &Desk<'_>, shown: Shown<'_>, event: Option<usize>, id: MetricId, row: Rect, column: f32) {
    let look = desk.look;
    let title = Rect::from_min_size(row.min, vec2(LABEL - 8.0, LINE));
    let (text, size) = (figures::title(id), SMALL + 0.5);
    crate::widgets::put_text(ui, title, Align2::LEFT_CENTER, text, size, FontFamily::Proportional, look.text);
    crate::widgets::explain(ui, title, ("side metric", id), |ui| figures::explain(ui, look, id));
    let reference = shown.name(shown.reference());
    for c in 0..shown.keys.len() {
        let left = row.left() + LABEL + c as f32 * column;
        let cell = Rect::from_min_size(pos2(left, row.top()), vec2(column - 6.0, LINE));
        let Some(value) = card(shown, event, c).and_then(|k| figures::value(k, id)) else { continue };
        let difference = differences(shown, event).iter().find(|d| d.mode == c && d.metric == id);
        let mut fences = shown.board.fences.iter().filter(|f| f.mode == c && f.metric == id && f.event == event);
        let first = fences.clone().next();
        let figure = scorecard::Figure {
            id,
            value,
            difference: difference.filter(|_| c != shown.reference()),
            fence: fences.find(|f| !f.kept).or(first),
            is_front: false,
            name: &shown.name(c),
            reference: &reference,
        };
        scorecard::figure(ui, desk, cell, &figure);
    }
}

/// All metrics in SI, a column a mode, with the differences to the reference.
fn as_table(shown: Shown<'_>, event: Option<usize>) -> Table {
    let columns = 0..shown.keys.len();
    let head = columns.clone().flat_map(|c| {
        let name = shown.name(c);
        let rest = [format!("{name}: difference, %"), format!("{name}: 95 % interval, ± %")];
        std::iter::once(name).chain(if c == shown.reference() { vec![] } else { rest.to_vec() })
    });
    let mut table = Table::new(["metric".to_owned(), "unit".to_owned()].into_iter().chain(head));
    for id in metrics(shown, event, true) {
        let cells = columns.clone().flat_map(|c| {
            let value = card(shown, event, c).and_then(|k| figures::value(k, id));
            let difference = differences(shown, event).iter().find(|d| d.mode == c && d.metric == id);
            let share = difference.map(|d| d.share * 100.0);
            let half = difference.and_then(|d| d.half_width).map(|h| h * 100.0);
            let rest = if c == shown.reference() { vec![] } else { vec![table::opt(share), table::opt(half)] };
            std::iter::once(table::opt(value)).chain(rest)
        });
        let head = [id.name().to_owned(), id.metric().unit.to_owned()];
        table.row(head.into_iter().chain(cells.collect::<Vec<_>>()));
    }
    table
}
