//! Side by side: the whole scorecard of all modes over all events or one, what parts the modes, and the fences.

use crate::command::Command;
use crate::desk::Desk;
use crate::figures;
use crate::table::{self, Table};
use crate::theme::{self, BODY, SMALL};
use crate::tune::scorecard;
use crate::view::View;
use crate::widgets::{choice, link, section};
use egui::{Align2, FontFamily, Rect, RichText, Ui, pos2, vec2};
use washboard_metrics::{MetricId, Scorecard};
use washboard_session::{Edit, Fence};
use washboard_study::{Board, Difference};

const LINE: f32 = 21.0;
const LABEL: f32 = 230.0;

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let area = ui.max_rect();
    let fences_height = (area.height() * 0.26).clamp(120.0, 260.0);
    let fences_rect = Rect::from_min_max(pos2(area.left(), area.bottom() - fences_height), area.max);
    let main = Rect::from_min_max(area.min, pos2(area.right(), fences_rect.top() - 8.0));
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(main).id_salt("cards"));
    child.shrink_clip_rect(main);
    match desk.board() {
        Some(board) => cards(&mut child, view, desk, board, main),
        None => {
            child.label("No results yet: the scorecards appear as soon as they are computed.");
        }
    }
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(fences_rect).id_salt("fences"));
    child.shrink_clip_rect(fences_rect);
    fences(&mut child, view, desk);
}

fn cards(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, board: &Board, rect: Rect) {
    let look = desk.look;
    let modes = &desk.session().modes;
    let events = &desk.session().events;
    view.side_event = view.side_event.filter(|e| *e < events.len());
    ui.horizontal(|ui| {
        section(ui, look, "scorecard of all modes", "");
        let names: Vec<String> =
            std::iter::once("all events, weighted".to_owned()).chain(events.iter().map(|e| e.name.clone())).collect();
        let now = view.side_event.map_or(0, |e| e + 1);
        if let Some(i) = choice(ui, "Event of the scorecard", 190.0, now, &names) {
            view.side_event = i.checked_sub(1);
        }
        let asked = table::links(ui, look, "scorecard of all modes", || as_table(view, desk, board));
        desk.out.extend(asked);
    });
    ui.multiply_opacity(desk.strength());
    if view.side_event.is_none() {
        for (m, mode) in modes.iter().enumerate().filter(|(m, _)| *m != desk.reference()) {
            ui.horizontal(|ui| {
                ui.label(theme::bold(ui, &mode.name, BODY).color(look.mode(m)));
                ui.add(egui::Label::new(RichText::new(sentence(desk, board, m)).size(BODY - 0.5)).truncate());
            });
        }
    }
    let column = ((rect.width() - LABEL - 24.0) / modes.len().max(1) as f32).min(230.0);
    let (head, _) = ui.allocate_exact_size(vec2(rect.width(), 20.0), egui::Sense::hover());
    for (m, mode) in modes.iter().enumerate() {
        let at = Rect::from_min_size(
            pos2(head.left() + LABEL + 8.0 + m as f32 * column, head.top()),
            vec2(column - 6.0, 20.0),
        );
        let text = if m == desk.reference() { format!("{} ⚑", mode.name) } else { mode.name.clone() };
        crate::widgets::put_text(ui, at, Align2::LEFT_CENTER, text, BODY, theme::semibold(ui.ctx()), look.mode(m));
    }
    let ids: Vec<MetricId> =
        MetricId::all().filter(|id| (0..modes.len()).any(|m| value(view, desk, board, m, *id).is_some())).collect();
    egui::ScrollArea::vertical().id_salt("all metrics").auto_shrink(false).show(ui, |ui| {
        let (area, _) =
            ui.allocate_exact_size(vec2(rect.width() - 14.0, LINE * ids.len() as f32), egui::Sense::hover());
        ui.painter().rect(area, 2.0, look.card, look.line(), egui::StrokeKind::Inside);
        for (i, id) in ids.iter().enumerate() {
            let row = Rect::from_min_size(
                pos2(area.left() + 8.0, area.top() + i as f32 * LINE),
                vec2(area.width() - 8.0, LINE),
            );
            if !ui.is_rect_visible(row) {
                continue;
            }
            if i > 0 {
                ui.painter().hline(area.x_range(), row.top(), egui::Stroke::new(1.0, look.grid));
            }
            let title = Rect::from_min_size(row.min, vec2(LABEL - 8.0, LINE));
            crate::widgets::put_text(
                ui,
                title,
                Align2::LEFT_CENTER,
                figures::title(*id),
                SMALL + 0.5,
                FontFamily::Proportional,
                look.text,
            );
            crate::widgets::explain(ui, title, ("side metric", *id), |ui| figures::explain(ui, look, *id));
            for m in 0..modes.len() {
                let cell = Rect::from_min_size(
                    pos2(row.left() + LABEL + m as f32 * column, row.top()),
                    vec2(column - 6.0, LINE),
                );
                let Some(v) = value(view, desk, board, m, *id) else { continue };
                let difference = difference(view, desk, board, m, *id, v);
                let fence = scorecard::fence_of(board, m, *id).filter(|f| f.event == view.side_event);
                scorecard::figure(ui, desk, cell, *id, v, difference.as_ref(), fence, false);
            }
        }
    });
}

fn card<'a>(view: &View, desk: &Desk<'a>, board: &'a Board, mode: usize) -> Option<&'a Scorecard> {
    match view.side_event {
        None => figures::overall(desk, board, mode),
        Some(event) => figures::of_event(board, mode, event),
    }
}

fn value(view: &View, desk: &Desk<'_>, board: &Board, mode: usize, id: MetricId) -> Option<f64> {
    figures::value(card(view, desk, board, mode)?, id)
}

/// Over all events with its interval; on one event the plain difference.
fn difference(
    view: &View,
    desk: &Desk<'_>,
    board: &Board,
    mode: usize,
    id: MetricId,
    value_now: f64,
) -> Option<Difference> {
    let reference = desk.reference();
    if mode == reference {
        return None;
    }
    if view.side_event.is_none() {
        return figures::difference(board, mode, id).cloned();
    }
    let of_reference = value(view, desk, board, reference, id)?;
    let share = (value_now - of_reference) / of_reference;
    Some(Difference { mode, metric: id, value: value_now, reference: of_reference, share, half_width: None })
}

/// What parts a mode from the reference, in a sentence.
fn sentence(desk: &Desk<'_>, board: &Board, mode: usize) -> String {
    let words = [
        (MetricId::ROLL_RATE_PEAK, "rolls slower", "rolls faster"),
        (MetricId::BODY_MOTION_RMS, "calmer in the body", "floats more"),
        (MetricId::WEIGHTED_ACCELERATION, "more comfortable", "less comfortable"),
        (MetricId::DYNAMIC_LOAD_COEFFICIENT, "steadier wheel load", "wheel load varies more"),
    ];
    let mut parts = Vec::new();
    for (id, less, more) in words {
        let difference = figures::difference(board, mode, id).filter(|d| d.share.is_finite() && figures::is_certain(d));
        if let Some(d) = difference {
            let word = if d.share < 0.0 { less } else { more };
            parts.push(format!("{word} by {:.1} %", d.share.abs() * 100.0));
        }
    }
    let reference = desk.mode(desk.reference()).map_or("the reference", |m| m.name.as_str());
    let head = if parts.is_empty() {
        format!("not told apart from {reference}")
    } else {
        format!("against {reference}: {}", parts.join(", "))
    };
    let of_mode: Vec<_> = board.evaluation.fences.iter().filter(|f| f.mode == mode).collect();
    let crossed = of_mode.iter().filter(|f| !f.kept).count();
    match (of_mode.len(), crossed) {
        (0, _) => format!("{head}."),
        (_, 0) => format!("{head}; within all fences."),
        (_, n) => format!("{head}; crosses {}.", crate::words::count(n, "fence", "fences")),
    }
}

/// All metrics, a column a mode, in SI with the name they have in files.
fn as_table(view: &View, desk: &Desk<'_>, board: &Board) -> Table {
    let modes = &desk.session().modes;
    let mut table = Table::new(["metric", "unit"].into_iter().chain(modes.iter().map(|m| m.name.as_str())));
    for id in MetricId::all() {
        let values: Vec<Option<f64>> = (0..modes.len()).map(|m| value(view, desk, board, m, id)).collect();
        if values.iter().any(Option::is_some) {
            let head = [id.name().to_owned(), id.metric().unit.to_owned()];
            table.row(head.into_iter().chain(values.into_iter().map(table::opt)));
        }
    }
    table
}

/// The list of fences, each with its bound to type into.
fn fences(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let all = desk.session().fences.clone();
    let modes: Vec<String> = desk.session().modes.iter().map(|m| m.name.clone()).collect();
    let events: Vec<String> = desk.session().events.iter().map(|e| e.name.clone()).collect();
    let metrics: Vec<MetricId> = MetricId::all().collect();
    let mut changed: Option<Vec<Fence>> = None;
    ui.horizontal(|ui| {
        section(ui, look, "fences", "bounds on a metric that an edit must not cross");
        if link(ui, look, "add a fence").clicked() {
            let mut fences = all.clone();
            let relative_to = desk.mode(desk.reference()).map(|m| m.name.clone());
            fences.push(Fence {
                metric: MetricId::WEIGHTED_ACCELERATION.name().to_owned(),
                at_most: Some(1.1),
                at_least: None,
                relative_to,
                event: None,
                modes: Vec::new(),
            });
            changed = Some(fences);
        }
    });
    egui::ScrollArea::both().id_salt("fences").auto_shrink(false).show(ui, |ui| {
        if all.is_empty() {
            ui.label("None yet. A fence such as “weighted acceleration at most 1.1 times everyday” turns red here and in Tune when an edit crosses it.");
        }
        egui::Grid::new("fence list").num_columns(8).spacing([8.0, 3.0]).show(ui, |ui| {
            for (i, fence) in all.iter().enumerate() {
                let metric = MetricId::by_name(&fence.metric);
                let titles: Vec<String> = metrics.iter().map(|m| figures::title(*m)).collect();
                let now = metrics.iter().position(|m| Some(*m) == metric).unwrap_or(0);
                let change = |f: &mut dyn FnMut(&mut Fence)| {
                    let mut fences = all.clone();
                    f(&mut fences[i]);
                    Some(fences)
                };
                if let Some(m) = choice(ui, &format!("Metric of fence {}", i + 1), 220.0, now, &titles) {
                    changed = change(&mut |f| f.metric = metrics[m].name().to_owned());
                }
                bounds(ui, view, desk, i, fence, metric);
                let bases: Vec<String> = std::iter::once("absolute".to_owned()).chain(modes.iter().map(|m| format!("times {m}"))).collect();
                let now = fence.relative_to.as_ref().and_then(|r| modes.iter().position(|m| m == r)).map_or(0, |m| m + 1);
                if let Some(b) = choice(ui, &format!("Base of fence {}", i + 1), 110.0, now, &bases) {
                    changed = change(&mut |f| f.relative_to = b.checked_sub(1).map(|m| modes[m].clone()));
                }
                let places: Vec<String> = std::iter::once("all events".to_owned()).chain(events.iter().cloned()).collect();
                let now = fence.event.as_ref().and_then(|e| events.iter().position(|n| n == e)).map_or(0, |e| e + 1);
                if let Some(e) = choice(ui, &format!("Event of fence {}", i + 1), 130.0, now, &places) {
                    changed = change(&mut |f| f.event = e.checked_sub(1).map(|e| events[e].clone()));
                }
                let whose: Vec<String> = std::iter::once("all modes".to_owned()).chain(modes.iter().cloned()).collect();
                let now = fence.modes.first().and_then(|n| modes.iter().position(|m| m == n)).map_or(0, |m| m + 1);
                if let Some(m) = choice(ui, &format!("Modes of fence {}", i + 1), 90.0, now, &whose) {
                    changed = change(&mut |f| f.modes = m.checked_sub(1).map(|m| modes[m].clone()).into_iter().collect());
                }
                state(ui, desk, i);
                if link(ui, look, "✕").accessible_name(format!("delete fence {}", i + 1)).clicked() {
                    let mut fences = all.clone();
                    fences.remove(i);
                    changed = Some(fences);
                }
                ui.end_row();
            }
        });
        for i in 0..all.len() {
            for side in ["at_most", "at_least"] {
                crate::field::sentence(ui, view, look, &format!("fences[{i}].{side}"));
            }
        }
    });
    if let Some(fences) = changed {
        desk.ask(Command::Edit(Edit::SetFences(fences)));
    }
}

/// The two bounds, in the metric's SI unit or as a factor.
fn bounds(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, i: usize, fence: &Fence, metric: Option<MetricId>) {
    let unit = match (&fence.relative_to, metric) {
        (Some(_), _) => "×".to_owned(),
        (None, Some(m)) => m.metric().unit.to_owned(),
        (None, None) => String::new(),
    };
    for (side, sign) in [("at_least", "≥"), ("at_most", "≤")] {
        let path = format!("fences[{i}].{side}");
        let Some(number) = washboard_session::number(desk.session(), &path) else { continue };
        ui.horizontal(|ui| {
            ui.label(sign);
            let word = if side == "at_most" { "upper" } else { "lower" };
            crate::field::number(ui, view, desk, &number, &format!("{word} bound of fence {}", i + 1), 56.0);
            ui.label(theme::note(desk.look, &unit));
        });
    }
}

/// How the fence stands now, over the modes it holds for.
fn state(ui: &mut Ui, desk: &Desk<'_>, fence: usize) {
    let look = desk.look;
    let states: Vec<_> =
        desk.board().map_or(Vec::new(), |b| b.evaluation.fences.iter().filter(|f| f.fence == fence).collect());
    let crossed = states.iter().filter(|f| !f.kept).count();
    let (text, color) = match (states.len(), crossed) {
        (0, _) => ("–".to_owned(), look.weak),
        (_, 0) => ("✓ kept".to_owned(), look.good),
        (_, n) => (format!("✕ crossed by {}", crate::words::count(n, "mode", "modes")), look.crossed),
    };
    ui.label(RichText::new(text).size(SMALL + 0.5).color(color)).on_hover_ui(|ui| {
        for f in &states {
            ui.label(figures::fence_sentence(desk.session(), f));
        }
    });
}
