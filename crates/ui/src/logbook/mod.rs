//! Logbook: runs with the driver's verdicts, the sets that left for the car, and what is judged.

mod attributes;
mod form;
mod run;
mod sets;
mod sheet;

pub use form::RunForm;
pub use sheet::LogbookForm;

use crate::command::Command;
use crate::desk::Desk;
use crate::table;
use crate::theme::{self, BODY};
use crate::view::View;
use crate::widgets::toggle;
use egui::{Key, Rect, Ui, pos2};
use washboard_session::Edit;

pub(crate) use form::open as open_form;

/// Width from which the sets stand beside the runs.
const WIDE: f32 = 1450.0;

/// Part of the logbook that is shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Part {
    /// Runs.
    #[default]
    Runs,
    /// Sets handed over.
    Sets,
    /// What is judged.
    Attributes,
}

const PARTS: [(Part, &str); 3] =
    [(Part::Runs, "runs"), (Part::Sets, "sets handed over"), (Part::Attributes, "attributes judged")];

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let area = ui.max_rect();
    view.logbook.chosen = view.logbook.chosen.filter(|run| *run < desk.session().logbook.len());
    if view.logbook.part == Part::Runs {
        keys(ui, view, desk);
    }
    let is_wide = area.width() > WIDE;
    let main = if is_wide {
        let right = Rect::from_min_max(pos2(area.right() - 380.0, area.top()), area.max);
        let mut child = part(ui, right, "sets beside");
        child.label(theme::bold(&child, "sets handed over", BODY + 0.5).color(desk.look.text));
        sets::show(&mut child, view, desk);
        area.with_max_x(right.left() - 16.0)
    } else {
        area
    };
    let mut ui = part(ui, main, "logbook");
    ui.horizontal(|ui| {
        let now = PARTS.iter().position(|(part, _)| *part == view.logbook.part).unwrap_or(0);
        if let Some(i) = toggle(ui, desk.look, "Logbook", now, &PARTS.map(|(_, name)| name)) {
            view.logbook.part = PARTS[i].0;
        }
        if view.logbook.part == Part::Runs {
            ui.add_space(12.0);
            above(ui, view, desk);
        }
    });
    ui.add_space(4.0);
    match view.logbook.part {
        Part::Runs => {
            if view.run.open {
                form::show(&mut ui, view, desk);
                ui.add_space(4.0);
            }
            runs(&mut ui, view, desk);
        }
        Part::Sets => sets::show(&mut ui, view, desk),
        Part::Attributes => attributes::show(&mut ui, desk),
    }
}

fn part(ui: &mut Ui, rect: Rect, salt: &str) -> Ui {
    let layout = egui::Layout::top_down(egui::Align::Min);
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(rect).id_salt(salt).layout(layout));
    child.shrink_clip_rect(rect);
    child
}

/// What stands above the runs: add, filter, count, copy.
fn above(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let add = ui.add_enabled(!view.run.open, egui::Button::new("Add a run …"));
    if add.on_hover_text("N").clicked() {
        open_form(view, desk);
    }
    let filter = egui::TextEdit::singleline(&mut view.logbook.filter)
        .id(egui::Id::unique("filter runs"))
        .hint_text("filter: words, set, event …")
        .margin(egui::Margin::symmetric(4, 1));
    ui.add_sized([190.0, 20.0], filter).accessible_name("Filter runs").on_hover_text("F");
    let all = desk.session().logbook.len();
    let shown = sheet::order(desk, &view.logbook).len();
    let count = if shown == all { format!("{all}") } else { format!("{shown} of {all}") };
    ui.label(theme::note(look, format!("{count} {}", if all == 1 { "run" } else { "runs" })));
    if all > 0 {
        let asked = table::links(ui, look, "logbook", || sheet::as_table(desk, &view.logbook));
        desk.out.extend(asked);
    }
}

fn runs(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    if desk.session().logbook.is_empty() {
        ui.label("No runs yet. After a run press N: rate what the driver says from 1 to 10, Enter goes on, Enter behind the words adds it.");
        return;
    }
    let rest = ui.available_rect_before_wrap();
    let foot = if view.logbook.chosen.is_some() { run::HEIGHT.min(rest.height() * 0.5) } else { 0.0 };
    let upper = rest.with_max_y(rest.bottom() - foot - if foot > 0.0 { 8.0 } else { 0.0 });
    sheet::show(&mut part(ui, upper, "sheet"), view, desk);
    if let Some(chosen) = view.logbook.chosen {
        let lower = rest.with_min_y(upper.bottom() + 8.0);
        run::show(&mut part(ui, lower, "run"), view, desk, chosen);
    }
}

/// Keys of the list of runs, while nothing is typed.
fn keys(ui: &Ui, view: &mut View, desk: &mut Desk<'_>) {
    if desk.cx.question.is_some() || view.run.open || ui.ctx().text_edit_focused() || ui.ctx().any_popup_open() {
        return;
    }
    let pressed = |key: Key| ui.input_mut(|i| i.consume_key(egui::Modifiers::NONE, key));
    if pressed(Key::N) {
        return open_form(view, desk);
    }
    if pressed(Key::F) {
        ui.memory_mut(|m| m.request_focus(egui::Id::unique("filter runs")));
        return;
    }
    let order = sheet::order(desk, &view.logbook);
    let at = view.logbook.chosen.and_then(|run| order.iter().position(|o| *o == run));
    let has_focus = ui.memory(|m| m.focused().is_some());
    for (key, step) in [(Key::ArrowDown, 1_isize), (Key::ArrowUp, -1)] {
        // A control that has the keyboard keeps its arrows.
        if !has_focus && pressed(key) && !order.is_empty() {
            let next = at.map_or(0, |at| (at as isize + step).clamp(0, order.len() as isize - 1) as usize);
            view.logbook.chosen = Some(order[next]);
        }
    }
    let Some(chosen) = view.logbook.chosen else { return };
    if !has_focus && pressed(Key::Enter) {
        form::change(view, desk, chosen);
    } else if pressed(Key::Delete) {
        delete(view, desk, chosen);
    } else if pressed(Key::O) {
        desk.ask(Command::ReopenRun(chosen));
    } else if pressed(Key::L) {
        desk.ask(Command::AttachLog(chosen));
    }
}

fn delete(view: &mut View, desk: &mut Desk<'_>, run: usize) {
    desk.ask(Command::Edit(Edit::DeleteRun { run }));
    view.logbook.chosen = None;
}
