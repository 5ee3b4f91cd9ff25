//! From the complaint to the lever: what the driver said, where it is read, and steps with what they will do.

use super::wish::good_way;
use crate::command::Command;
use crate::desk::Desk;
use crate::figures;
use crate::theme::{self, BODY, SMALL};
use crate::view::View;
use crate::widgets::{link, put_text, toggle};
use crate::words;
use egui::{Align, Align2, FontFamily, Key, Layout, Modifiers, Rect, RichText, Ui, pos2, vec2};
use washboard_metrics::MetricId;
use washboard_session::complaints::{Complaint, Wanted};
use washboard_session::{Edit, MapName};
use washboard_study::{Amount, Change, LeverStep, Levers, STEP_SHARES};

const LINE: f32 = 38.0;
/// Changes smaller than this share are not worth a word.
const WORTH_SAYING: f64 = 0.001;
/// Undo labels of steps begin so.
const STEP: &str = "step for";

/// The metric in a sentence: `body motion`.
fn plain_label(metric: MetricId) -> String {
    let label = metric.metric().label;
    let mut signs = label.chars();
    signs.next().map_or(String::new(), |first| first.to_lowercase().chain(signs).collect())
}

/// The steps of the chosen size that are worth a word, one a map, the best first.
pub(crate) fn steps<'l>(view: &View, levers: &'l Levers) -> Vec<&'l LeverStep> {
    let is_worth = |step: &&LeverStep| step.effect.share().is_none_or(|share| share.abs() >= WORTH_SAYING);
    levers.steps.iter().filter(|step| step.size == view.lever.size).filter(is_worth).collect()
}

/// `+10 %` or `+100 N·s/m`.
fn amount(step: &LeverStep) -> String {
    match step.amount {
        Amount::Share(share) => format!("{} %", words::signed(share * 100.0, 0)),
        Amount::Units(units) => format!("{} {}", words::signed(units, 0), words::unit(step.map.value_unit())),
    }
}

/// Where a step acts: `heave 60–100 km/h, roughness 0–4`.
fn place(desk: &Desk<'_>, view: &View, step: &LeverStep) -> String {
    let Some(map) = desk.mode(view.mode).and_then(|mode| mode.map(step.map)) else { return String::new() };
    let span = |axis: &[f64], (first, last): (usize, usize)| {
        let at = |i: usize| axis.get(i).map_or(String::new(), |x| words::breakpoint(*x));
        if first == last { at(first) } else { format!("{}–{}", at(first), at(last)) }
    };
    let second = words::second_axis(step.map);
    format!("{} · {} km/h · {second} {}", step.map.field(), span(map.rows, step.rows), span(map.columns, step.columns))
}

fn share_text(change: &Change) -> String {
    match figures::change_text(change.metric, change.before, change.after) {
        Some(text) => text,
        None => format!("to {}", figures::figure_with_unit(change.metric, change.after)),
    }
}

/// True for the better, false for the worse; by the metric's own way.
fn is_better(change: &Change) -> bool {
    (change.after < change.before) == (good_way(change.metric) == Wanted::Less)
}

/// What a step does elsewhere, the worst first.
fn elsewhere(step: &LeverStep) -> Vec<&Change> {
    let size = |change: &Change| change.share().map_or(0.0, f64::abs);
    let mut changes: Vec<&Change> = step.beside.iter().filter(|c| size(c) >= WORTH_SAYING).collect();
    changes.sort_by(|a, b| is_better(a).cmp(&is_better(b)).then(size(b).total_cmp(&size(a))));
    changes
}

/// Takes a suggested step as one undo step, unless it would cross a fence.
pub(crate) fn take(view: &mut View, desk: &mut Desk<'_>, index: usize) {
    let (Some(levers), true) = (desk.cx.lever.levers, desk.cx.lever.is_fresh) else { return };
    let Some(step) = steps(view, levers).get(index).copied().filter(|step| step.crossed.is_empty()) else { return };
    let said = view.lever.said.clone().unwrap_or_default();
    let name = format!("{STEP} “{said}”: {} {}", place(desk, view, step), amount(step));
    show_cells(view, step);
    desk.ask(Command::BeginGesture(name));
    desk.ask(Command::Edit(Edit::SetCells { mode: view.mode, map: step.map, cells: step.cells.clone() }));
    desk.ask(Command::EndGesture);
}

/// Opens the map of a step with its range chosen.
fn show_cells(view: &mut View, step: &LeverStep) {
    view.map = step.map;
    view.seen_mode = Some((view.mode, step.map));
    super::typing::leave_typing(view);
    view.cells.anchor = (step.rows.0, step.columns.0);
    view.cells.cursor = (step.rows.1, step.columns.1);
}

/// Another suggestion, or another size of step.
pub(crate) fn choose(view: &mut View, desk: &Desk<'_>, by: isize) {
    let count = desk.cx.lever.levers.map_or(0, |levers| steps(view, levers).len());
    view.lever.chosen = view.lever.chosen.saturating_add_signed(by).min(count.saturating_sub(1));
}

/// Larger or smaller steps.
pub(crate) fn resize(view: &mut View, by: isize) {
    view.lever.size = view.lever.size.saturating_add_signed(by).min(STEP_SHARES.len() - 1);
}

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, row: &Complaint, rect: Rect) {
    let look = desk.look;
    ui.painter().rect(rect, 3.0, look.card, look.line(), egui::StrokeKind::Inside);
    let inner = rect.shrink2(vec2(10.0, 5.0));
    let head = Rect::from_min_size(inner.min, vec2(inner.width(), 20.0));
    let second = head.translate(vec2(0.0, 19.0));
    heading(ui, view, desk, row, head);
    about(ui, view, desk, row, second);
    let body = Rect::from_min_max(pos2(inner.left(), second.bottom() + 3.0), inner.max);
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(body));
    child.shrink_clip_rect(body);
    let is_free = !view.cells_have_focus && view.aside.is_none() && desk.enlarged.is_none() && view.pull.is_none();
    if is_free && ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Escape)) {
        view.lever.leave();
        return;
    }
    let shown = desk.cx.lever;
    let say = |ui: &mut Ui, text: &str| drop(ui.label(theme::note(look, text)));
    match (shown.levers, shown.fault) {
        (_, Some(fault)) => say(&mut child, fault),
        (None, None) => say(&mut child, "Computing what the cells do…"),
        (Some(levers), None) => {
            let list = steps(view, levers);
            if list.is_empty() {
                say(&mut child, &nothing(view, levers));
                return;
            }
            view.lever.chosen = view.lever.chosen.min(list.len() - 1);
            let strength = if shown.is_fresh { 1.0 } else { 0.55 };
            egui::ScrollArea::vertical().id_salt("levers").auto_shrink(false).show(&mut child, |ui| {
                let (area, _) =
                    ui.allocate_exact_size(vec2(body.width(), LINE * list.len() as f32), egui::Sense::hover());
                for (i, step) in list.iter().enumerate() {
                    let at = area.top() + i as f32 * LINE;
                    let line = Rect::from_min_size(pos2(area.left(), at), vec2(body.width(), LINE));
                    suggestion(ui, view, desk, row, step, i, line, strength);
                }
            });
        }
    }
}

/// Why there is no suggestion.
fn nothing(view: &View, levers: &Levers) -> String {
    let metric = levers.influence.request.metric;
    if levers.influence.value.is_none() {
        format!("None of these events carries “{}” with this model.", plain_label(metric))
    } else if !levers.is_whole {
        String::new()
    } else if levers.steps.is_empty() {
        "No step on these maps moves it the wanted way. Other maps, currents or the damper itself may.".to_owned()
    } else {
        format!("No step of {} % helps; try another size.", words::fixed(STEP_SHARES[view.lever.size] * 100.0, 0))
    }
}

fn heading(ui: &mut Ui, view: &mut View, desk: &Desk<'_>, row: &Complaint, head: Rect) {
    let look = desk.look;
    let title = put_text(
        ui,
        head.with_max_x(head.right() - 230.0),
        Align2::LEFT_CENTER,
        format!("“{}”", row.said),
        BODY,
        theme::semibold(ui.ctx()),
        look.text,
    );
    let title = crate::widgets::explain(ui, title, "said", |ui| {
        ui.label(theme::bold(ui, &row.said, BODY));
        ui.label(format!("Source of this row: {}", row.source));
        ui.label(theme::note(look, format!("Table: {}", desk.cx.complaints_from)));
    });
    title.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, format!("“{}”", row.said)));
    let mut child = ui.new_child(
        egui::UiBuilder::new()
            .max_rect(head.with_min_x(head.right() - 226.0))
            .layout(Layout::right_to_left(Align::Center)),
    );
    if link(&mut child, look, "scorecard").on_hover_text("Back to the scorecard (Esc)").clicked() {
        view.lever.leave();
    }
    child.add_space(10.0);
    // Written from right to left.
    let texts: Vec<String> = STEP_SHARES.iter().rev().map(|s| format!("{} %", words::fixed(s * 100.0, 0))).collect();
    let options: Vec<&str> = texts.iter().map(String::as_str).collect();
    let last = STEP_SHARES.len() - 1;
    if let Some(i) = toggle(&mut child, look, "step", last - view.lever.size.min(last), &options) {
        view.lever.size = last - i;
    }
    child.label(theme::note(look, "steps of"));
}

/// Where it is read, how it stands, how far the search is.
fn about(ui: &mut Ui, view: &View, desk: &Desk<'_>, row: &Complaint, rect: Rect) {
    let look = desk.look;
    let session = desk.session();
    let (events, is_meant) = view.lever.events(row, session);
    let names: Vec<&str> = events.iter().filter_map(|e| session.events.get(*e)).map(|e| e.name.as_str()).collect();
    let shown = match names.len() {
        0..=3 => names.join(", "),
        n => format!("{} and {} more", names[..2].join(", "), n - 2),
    };
    let metric = MetricId::by_name(&row.metric);
    let band =
        row.band_hz.map_or(String::new(), |b| format!(" {}–{} Hz", words::breakpoint(b.from), words::breakpoint(b.to)));
    let label = metric.map_or(row.metric.clone(), plain_label);
    let way = if row.wanted == Wanted::Less { "less" } else { "more" };
    let now = desk
        .cx
        .lever
        .levers
        .and_then(|l| Some(figures::figure_with_unit(l.influence.request.metric, l.influence.value?)));
    let now = now.map_or(String::new(), |now| format!(" · now {now}"));
    let text = if is_meant {
        format!("{way} {label}{band} on {shown}{now}")
    } else {
        format!("no event of this kind here, so on all: {way} {label}{band}{now}")
    };
    let state = match desk.cx.lever.levers {
        Some(l) if !l.is_whole => format!("{} of {} cells tried", l.influence.known, l.influence.visited),
        Some(l) => format!("{} in use", words::count(l.influence.visited, "cell", "cells")),
        None => String::new(),
    };
    let right = put_text(
        ui,
        rect.with_min_x(rect.right() - 150.0),
        Align2::RIGHT_CENTER,
        state,
        SMALL,
        FontFamily::Proportional,
        look.weak,
    );
    let color = if is_meant { look.text } else { look.caution };
    let drawn = put_text(
        ui,
        rect.with_max_x(right.left() - 8.0),
        Align2::LEFT_CENTER,
        text,
        SMALL,
        FontFamily::Proportional,
        color,
    );
    crate::widgets::explain(ui, drawn, "where it is read", |ui| {
        ui.label(format!("Read on: {}.", names.join(", ")));
        if !is_meant {
            ui.label("The session has none of the events this complaint is meant for: Roads can add one.");
        }
        if let Some(metric) = metric {
            figures::explain(ui, look, metric);
        }
    });
}

#[allow(clippy::too_many_arguments)]
fn suggestion(
    ui: &mut Ui,
    view: &mut View,
    desk: &mut Desk<'_>,
    row: &Complaint,
    step: &LeverStep,
    index: usize,
    line: Rect,
    strength: f32,
) {
    let look = desk.look;
    let is_chosen = view.lever.chosen == index;
    let response = ui.interact(line, ui.scope_id().with(("suggestion", index)), egui::Sense::click());
    let said = format!("{} {}", place(desk, view, step), amount(step));
    let effect = share_text(&step.effect);
    response.widget_info(|| {
        egui::WidgetInfo::selected(egui::Role::Button, true, is_chosen, format!("suggestion: {said}, {effect}"))
    });
    if response.clicked() || response.gained_focus() {
        view.lever.chosen = index;
        show_cells(view, step);
    }
    ui.painter().hline(line.x_range(), line.top(), egui::Stroke::new(1.0, look.grid));
    if is_chosen {
        ui.painter().rect_filled(line.shrink2(vec2(0.0, 1.5)), 2.0, look.shade.gamma_multiply(0.22));
    }
    let inner = line.shrink2(vec2(6.0, 2.0)).with_max_x(line.right() - 78.0);
    let half = inner.height() / 2.0;
    let upper = inner.with_max_y(inner.top() + half);
    let lower = inner.with_min_y(inner.top() + half);
    let (text, weak) = (look.text.gamma_multiply(strength), look.weak.gamma_multiply(strength));
    let gain = put_text(
        ui,
        upper.with_min_x(upper.right() - 200.0),
        Align2::RIGHT_CENTER,
        format!("{} {effect}", plain_label(step.effect.metric)),
        BODY - 0.5,
        theme::semibold(ui.ctx()),
        text,
    );
    put_text(
        ui,
        upper.with_max_x(gain.left() - 8.0),
        Align2::LEFT_CENTER,
        said,
        BODY - 0.5,
        if is_chosen { theme::semibold(ui.ctx()) } else { FontFamily::Proportional },
        text,
    );
    let (note, color) = match step.crossed.first() {
        Some(fence) => {
            let name = desk.mode(fence.mode).map_or("", |m| m.name.as_str());
            (format!("⚠ {}", figures::fence_sentence(desk.session(), name, fence)), look.crossed)
        }
        None => {
            let costs: Vec<String> = elsewhere(step)
                .into_iter()
                .take(4)
                .map(|c| format!("{} {}", plain_label(c.metric), share_text(c)))
                .collect();
            let costs = if costs.is_empty() { "nothing else moves by 0.1 %".to_owned() } else { costs.join(" · ") };
            let locked = if step.locked > 0 {
                format!(" · {} locked", words::count(step.locked, "cell stays", "cells stay"))
            } else {
                String::new()
            };
            (format!("over all events: {costs}{locked}"), weak)
        }
    };
    put_text(ui, lower, Align2::LEFT_CENTER, note, SMALL, FontFamily::Proportional, color);
    response.on_hover_ui(|ui| explain(ui, desk, step, row));
    let button = Rect::from_center_size(pos2(line.right() - 38.0, line.center().y), vec2(66.0, 24.0));
    let is_open = step.crossed.is_empty() && desk.cx.lever.is_fresh;
    let label = RichText::new("Take").size(BODY);
    let name = format!("take step {}", index + 1);
    let pressed = ui
        .add_enabled_ui(is_open, |ui| ui.put(button, egui::Button::new(label)).accessible_name(&name))
        .inner
        .on_hover_text(if is_chosen { "Ctrl+Enter" } else { "One undo step" })
        .on_disabled_hover_text("A step that crosses a fence is not offered, nor one that is older than the edit.");
    if pressed.clicked() {
        take(view, desk, index);
    }
}

fn explain(ui: &mut Ui, desk: &Desk<'_>, step: &LeverStep, row: &Complaint) {
    let look = desk.look;
    let line = |ui: &mut Ui, change: &Change, what: &str| {
        let (before, after) = (change.before, change.after);
        ui.label(format!(
            "{}{what}: {} → {} ({})",
            plain_label(change.metric),
            figures::figure_with_unit(change.metric, before),
            figures::figure_with_unit(change.metric, after),
            share_text(change)
        ));
    };
    ui.label(theme::bold(ui, words::count(step.cells.len(), "cell", "cells"), BODY));
    line(ui, &step.effect, " on the events it is read on");
    ui.label(theme::note(look, "over all events:"));
    for change in elsewhere(step) {
        line(ui, change, "");
    }
    for fence in &step.crossed {
        let name = desk.mode(fence.mode).map_or("", |m| m.name.as_str());
        ui.label(figures::fence_sentence(desk.session(), name, fence));
    }
    ui.label(theme::note(look, format!("Computed with the whole step, not from slopes. Row: {}", row.source)));
}

/// What was done last, if it was a step, with the way back.
pub(crate) fn done(desk: &Desk<'_>) -> Option<String> {
    desk.cx
        .undo_label
        .as_ref()
        .filter(|label| label.starts_with(STEP))
        .map(|label| format!("done: {}", &label[STEP.len() + 1..]))
}

/// The influence of a cell in words: per 100 N·s/m more, or per 0.1 A more in the floor.
pub(crate) fn cell_words(desk: &Desk<'_>, map: MapName, row: usize, column: usize) -> Vec<String> {
    const DUST: f64 = 5e-5;
    let (units, more) = if map == MapName::Floor { (0.1, "0.1 A") } else { (100.0, "100 N·s/m") };
    let Some(influence) = desk.cx.lever.levers.map(|levers| &levers.influence) else { return Vec::new() };
    let Some(cell) = influence.cell(map, row, column) else { return Vec::new() };
    if !cell.is_visited() {
        return vec!["not in use on the events looked at: it does nothing there".to_owned()];
    }
    let Some(effect) = &cell.effect else { return vec!["its influence is being computed".to_owned()] };
    let text = |id: MetricId, per_unit: Option<f64>, value: Option<f64>| {
        let (slope, value) = (per_unit?, value.filter(|v| *v != 0.0)?);
        let share = slope * units / value.abs();
        (share.abs() >= DUST).then(|| format!("{} {} %", plain_label(id), words::signed(share * 100.0, 2)))
    };
    let request = &influence.request;
    let own = text(request.metric, effect.per_unit, influence.value);
    let mut lines = vec![match own {
        Some(own) => format!("{more} more here: {own}"),
        None => format!("{} hardly moves with it", plain_label(request.metric)),
    }];
    let beside = request.beside.iter().zip(&effect.beside_per_unit).zip(&influence.beside);
    let beside: Vec<String> = beside.filter_map(|((id, d), v)| text(*id, *d, *v)).collect();
    if !beside.is_empty() {
        lines.push(format!("on the same events: {}", beside.join(", ")));
    }
    lines
}

/// Which way a cell has to go for the better and how much it does beside the strongest one, 0 to 1.
pub(crate) fn pull_of(desk: &Desk<'_>, view: &View, map: MapName, row: usize, column: usize) -> Option<(bool, f32)> {
    let levers = desk.cx.lever.levers?;
    let influence = &levers.influence;
    let is_of_this =
        influence.request.mode == view.mode && Some(influence.request.metric) == view.lever.metric(desk.cx.complaints);
    let slope = influence.cell(map, row, column)?.effect.as_ref()?.per_unit?;
    let largest = levers.largest(map);
    if !is_of_this || largest <= 0.0 || slope == 0.0 {
        return None;
    }
    let wanted =
        view.lever.row(desk.cx.complaints).map_or_else(|| good_way(influence.request.metric), |row| row.wanted);
    Some(((slope < 0.0) == (wanted == Wanted::Less), (slope.abs() / largest) as f32))
}

/// Draws the mark of a cell: a filled triangle upwards where it should go up, an open one downwards where it should go down.
pub(crate) fn mark(painter: &egui::Painter, look: &theme::Look, at: egui::Pos2, (goes_up, share): (bool, f32)) {
    // Smaller ones would be dust.
    if share < 0.03 {
        return;
    }
    let r = 1.8 + 3.4 * share.sqrt();
    let tip = if goes_up { -r } else { r };
    let points = vec![at + vec2(0.0, tip), at + vec2(-r, -0.8 * tip), at + vec2(r, -0.8 * tip)];
    let stroke = egui::Stroke::new(1.2, if goes_up { look.step_link() } else { look.caution });
    let fill = if goes_up { look.step_link() } else { look.plot };
    painter.add(egui::Shape::convex_polygon(points, fill, stroke));
}

/// What the marks mean.
pub(crate) fn legend(desk: &Desk<'_>, view: &View) -> Option<String> {
    let metric = view.lever.metric(desk.cx.complaints)?;
    let wanted = view.lever.row(desk.cx.complaints).map_or_else(|| good_way(metric), |row| row.wanted);
    let way = if wanted == Wanted::Less { "less" } else { "more" };
    let state = match desk.cx.lever.levers {
        Some(levers) if levers.influence.is_whole() => String::new(),
        Some(levers) => format!(" ({} of {})", levers.influence.known, levers.influence.visited),
        None => " (computing)".to_owned(),
    };
    Some(format!("▲ raise, ▽ lower: {way} {}{state}", plain_label(metric)))
}
