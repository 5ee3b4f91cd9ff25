//! The drawer below: the last verdict, the edits since the set in the car, and the way to the hand-over.

use super::wish::of_run;
use crate::command::Command;
use crate::desk::Desk;
use crate::differs::{self, MapChange};
use crate::theme::{self, BODY, SMALL};
use crate::view::{Aside, Place, View};
use crate::words;
use egui::{Align, Layout, Rect, RichText, Ui, pos2, vec2};
use washboard_handover::gate::unvisited_edits;
use washboard_session::{HandedOver, Run};

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let look = desk.look;
    ui.painter().rect(rect, 3.0, look.card, look.line(), egui::StrokeKind::Inside);
    let inner = rect.shrink2(vec2(10.0, 6.0));
    let button = vec2(118.0, 36.0);
    let split = inner.left() + inner.width() * 0.44;
    let right = inner.right() - button.x - 12.0;
    let part = |ui: &mut Ui, from: f32, to: f32| {
        let rect = Rect::from_min_max(pos2(from, inner.top()), pos2(to, inner.bottom()));
        let mut child = ui.new_child(egui::UiBuilder::new().max_rect(rect).layout(Layout::top_down(Align::Min)));
        child.shrink_clip_rect(rect);
        child.spacing_mut().item_spacing.y = 1.0;
        child
    };
    verdict(&mut part(ui, inner.left(), split - 12.0), view, desk);
    changes(&mut part(ui, split, right), view, desk);
    let at = Rect::from_center_size(pos2(inner.right() - button.x / 2.0, inner.center().y), button);
    let label = theme::bold(ui, "Hand over …", BODY + 1.0).color(look.step_text);
    let forward = egui::Button::new(label).fill(look.step).stroke(egui::Stroke::NONE).corner_radius(4.0);
    if ui.put(at, forward).on_hover_text("Checks, caution and folder (Alt+6)").clicked() {
        view.place = Place::HandOver;
    }
}

/// A run as one line: mode, words, ratings.
pub(crate) fn run_line(run: &Run) -> String {
    let mut text = run.mode.clone();
    if !run.remark.is_empty() {
        text.push_str(&format!(" · “{}”", run.remark));
    }
    for v in &run.verdicts {
        text.push_str(&format!(" · {} {}", v.attribute, rating(v.rating)));
    }
    text
}

/// A rating with its half: 6½.
pub(crate) fn rating(value: f64) -> String {
    if (value.fract() - 0.5).abs() < 1e-9 { format!("{}½", value.floor()) } else { words::breakpoint(value) }
}

fn verdict(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    ui.label(theme::note(look, "last verdict"));
    match desk.session().logbook.last() {
        None => {
            ui.label(RichText::new("No run in the logbook yet: write down what the driver says.").size(BODY));
        }
        Some(run) => {
            let text = RichText::new(run_line(run)).size(BODY);
            ui.add(egui::Label::new(text).truncate()).on_hover_text(run_line(run));
        }
    }
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 10.0;
        if let Some(done) = super::lever::done(desk) {
            let text = RichText::new(format!("{done} · Ctrl+Z takes it back")).size(SMALL + 0.5).color(look.good);
            ui.add(egui::Label::new(text).truncate()).on_hover_text(done);
        } else if let Some(run) = desk.session().logbook.last() {
            spoken(ui, view, desk, run);
        }
        if crate::widgets::link(ui, look, "What did the driver say…").on_hover_text("Ctrl+J").clicked() {
            view.toggle(Aside::Complaints);
        }
        if crate::widgets::link(ui, look, "Add a run …").clicked() {
            view.place = Place::Logbook;
            crate::logbook::open_form(view, desk);
        }
        if let Some(run) = desk.session().logbook.last() {
            let what = format!("{} · {}", desk.when(&run.time), run.event);
            ui.label(theme::note(look, what));
        }
    });
}

/// What the last remark speaks of, each with the way to the cells that move it.
fn spoken(ui: &mut Ui, view: &mut View, desk: &Desk<'_>, run: &Run) {
    for row in of_run(desk.cx.complaints, run).into_iter().take(2) {
        let text = format!("→ {}", row.said);
        let hint = "Which cells move it, and by how much";
        if crate::widgets::link(ui, desk.look, &text).on_hover_text(hint).clicked() {
            view.lever.follow(row, Some(&run.event));
            let driven = desk.session().modes.iter().position(|mode| mode.name == run.mode);
            view.mode = driven.unwrap_or(view.mode);
        }
    }
}

fn changes(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let Some(set) = desk.cx.in_car else {
        ui.label(theme::note(look, "edits since the set in the car"));
        ui.label(RichText::new("No set has been handed over yet.").size(BODY));
        return;
    };
    let since = differs::since(desk.session(), set);
    let settings = differs::settings_differ(desk.session(), set);
    ui.horizontal(|ui| {
        ui.label(theme::note(look, format!("edits since {} in the car", words::identity(&set.identity))));
        nowhere_in_use(ui, view, desk, set);
    });
    if since.is_empty() && settings.is_empty() {
        ui.label(RichText::new("None: the car has what is on screen.").size(BODY).color(look.good));
        return;
    }
    egui::ScrollArea::vertical().id_salt("edits since").auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().interact_size.y = 17.0;
        for change in &since {
            row(ui, desk, change);
        }
        if !settings.is_empty() {
            ui.label(RichText::new(format!("settings of {}", settings.join(", "))).size(BODY));
        }
    });
}

/// Edited cells that no event uses: how many, and behind it which.
fn nowhere_in_use(ui: &mut Ui, view: &mut View, desk: &Desk<'_>, set: &HandedOver) {
    let Some(board) = desk.board() else { return };
    let modes = &desk.session().modes;
    let share = |mode: &str, map, row: usize, column: usize| {
        let index = modes.iter().position(|m| m.name == mode)?;
        board.visits.get(index)?.of(map)?.get(row)?.get(column).copied()
    };
    let found = unvisited_edits(&set.modes, modes, share);
    if found.is_empty() {
        return;
    }
    let text = format!("{} never visited", words::count(found.len(), "edited cell", "edited cells"));
    let button = egui::Button::new(RichText::new(text).size(SMALL).color(desk.look.caution)).frame(false);
    let opener =
        ui.add(button).on_hover_text("No event of the session uses them: what was changed there does nothing.");
    egui::Popup::menu(&opener).show(|ui| {
        for (mode, cell) in &found {
            if ui.button(format!("{mode}: {cell}")).clicked() {
                view.mode = modes.iter().position(|m| m.name == *mode).unwrap_or(view.mode);
                view.map = cell.map;
                view.seen_mode = Some((view.mode, view.map));
                super::typing::leave_typing(view);
                (view.cells.anchor, view.cells.cursor) = ((cell.row, cell.column), (cell.row, cell.column));
                view.cells.wants_focus = true;
            }
        }
    });
}

fn row(ui: &mut Ui, desk: &mut Desk<'_>, change: &MapChange) {
    let look = desk.look;
    let mode = desk.mode(change.mode).map_or("", |m| m.name.as_str());
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 8.0;
        ui.label(theme::bold(ui, mode, SMALL + 0.5).color(look.mode(change.mode)));
        let speeds: Vec<String> = change.speeds.iter().take(5).map(|s| words::breakpoint(*s)).collect();
        let more = if change.speeds.len() > 5 { " …" } else { "" };
        let cells = words::count(change.cells, "cell", "cells");
        let text = format!("{} {}{more} km/h · {cells}", change.map.field(), speeds.join(" · "));
        ui.label(RichText::new(text).size(SMALL + 0.5));
        let name = format!("revert {} of {mode}", change.map.field());
        if crate::widgets::link(ui, look, "revert").accessible_name(&name).clicked() {
            desk.ask(Command::BeginGesture(name));
            desk.ask(Command::Edit(change.revert.clone()));
            desk.ask(Command::EndGesture);
        }
    });
}
