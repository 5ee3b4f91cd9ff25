//! The strip above all places: session, set in the car, modes, model, freshness, fences, undo and redo.

use crate::acts;
use crate::command::{Command, RequestChange};
use crate::context::Pace;
use crate::curve::Dash;
use crate::desk::Desk;
use crate::differs;
use crate::theme::{self, BODY, SMALL, TITLE, Theme};
use crate::tour::{self, Spot};
use crate::view::{Aside, Place, View};
use crate::widgets::{choice, put_text};
use crate::words;
use egui::{Align2, CornerRadius, FontFamily, FontId, Rect, RichText, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo};
use egui::{pos2, vec2};
use washboard_study::Model;

const TEXT_SCALES: [f32; 6] = [0.8, 1.0, 1.2, 1.4, 1.7, 2.0];
const ROW: f32 = 52.0;
/// Below this width the strip has two rows.
const ONE_ROW: f32 = 900.0;

/// Between two blocks.
const GAP: f32 = 10.0;
/// Widest chip of a mode.
const WIDEST_CHIP: f32 = 112.0;

/// Height of the strip in a window part of that width.
pub(crate) fn height(width: f32) -> f32 {
    if width < ONE_ROW { 2.0 * ROW } else { ROW }
}

pub(crate) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let area = ui.max_rect();
    ui.painter().hline(area.x_range(), area.bottom() - 0.5, desk.look.line());
    let inner = area.shrink2(vec2(10.0, 4.0));
    // Title, car, modes, selectors, state, steps; the modes take what is left.
    let blocks = if area.width() < ONE_ROW {
        let upper = inner.with_max_y(inner.top() + ROW - 8.0);
        let lower = inner.with_min_y(inner.bottom() - ROW + 8.0);
        let [title, car, steps] = row(upper, [f32::NAN, 172.0, 84.0]);
        let [modes, selectors, state] = row(lower, [f32::NAN, 140.0, 182.0]);
        [title, car, modes, selectors, state, steps]
    } else {
        // What the modes do not need is the title's.
        let rest = inner.width() - (168.0 + 172.0 + 140.0 + 182.0 + 84.0 + 5.0 * GAP);
        let spare = rest - chips_in_a_row(desk.cx.session.modes.len()) as f32 * (WIDEST_CHIP + 4.0);
        row(inner, [168.0 + spare.clamp(0.0, 240.0), 172.0, f32::NAN, 140.0, 182.0, 84.0])
    };
    title(ui, view, desk, blocks[0]);
    tour::mark(ui, Spot::InTheCar, blocks[1]);
    car(ui, view, desk, blocks[1]);
    chips(ui, view, desk, blocks[2]);
    selectors(ui, desk, blocks[3]);
    state(ui, desk, blocks[4]);
    steps(ui, view, desk, blocks[5]);
}

/// Blocks beside each other; the one whose width is no number takes what is left.
fn row<const N: usize>(inner: Rect, widths: [f32; N]) -> [Rect; N] {
    let gap = GAP;
    let fixed: f32 = widths.iter().filter(|w| !w.is_nan()).sum();
    let rest = (inner.width() - fixed - gap * (N as f32 - 1.0)).max(120.0);
    let mut left = inner.left();
    widths.map(|w| {
        let w = if w.is_nan() { rest } else { w };
        let rect = Rect::from_min_size(pos2(left, inner.top()), vec2(w, inner.height()));
        left += w + gap;
        rect
    })
}

fn child(ui: &mut Ui, rect: Rect) -> Ui {
    let mut child =
        ui.new_child(egui::UiBuilder::new().max_rect(rect).layout(egui::Layout::top_down(egui::Align::Min)));
    child.shrink_clip_rect(rect.expand(2.0));
    child
}

fn title(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let mut ui = child(ui, rect);
    let look = desk.look;
    ui.spacing_mut().item_spacing.y = 0.0;
    ui.add_space(2.0);
    let title = &desk.cx.session.title;
    let name = if title.is_empty() { "untitled" } else { title.as_str() };
    let text = theme::bold(&ui, format!("{name} ▾"), TITLE - 1.5).color(look.text);
    let button = egui::Button::new(text).frame(false).truncate();
    let (response, _) = egui::containers::menu::MenuButton::from_button(button).ui(&mut ui, |ui| menu(ui, view, desk));
    response.on_hover_text(name).accessible_name(format!("Session menu: {name}"));
    let file = desk.cx.file_name.as_deref().unwrap_or("no file yet");
    let state = if desk.cx.is_saved { "saved" } else { "not saved" };
    let text = RichText::new(format!("{state} · {file}")).size(SMALL);
    let color = if desk.cx.is_saved { look.weak } else { look.caution };
    ui.add(egui::Label::new(text.color(color)).truncate());
}

fn menu(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    ui.set_min_width(220.0);
    for text in ["New session", "Open…"] {
        entry(ui, view, desk, text);
    }
    recent(ui, desk);
    for text in ["Save", "Save as…", "Write a report…"] {
        entry(ui, view, desk, text);
    }
    ui.separator();
    ui.label(theme::note(desk.look, "theme"));
    ui.horizontal(|ui| {
        for choice in Theme::ALL {
            if ui.selectable_label(view.theme == choice, choice.label()).clicked() {
                acts::theme(view, desk, choice);
            }
        }
    });
    ui.label(theme::note(desk.look, "text size (Ctrl+plus, Ctrl+minus)"));
    ui.horizontal(|ui| {
        for scale in TEXT_SCALES {
            let label = format!("{:.0} %", scale * 100.0);
            if ui.selectable_label((view.text_scale - scale).abs() < 0.01, label).clicked() {
                acts::scale(view, desk, scale);
            }
        }
    });
    ui.separator();
    for text in ["What can be done…", "Keys", "Show log file…", "About Washboard…", "Leave the program"] {
        entry(ui, view, desk, text);
    }
}

/// An act as an entry of the menu.
fn entry(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, text: &str) {
    let Some(act) = acts::by_text(text) else { return };
    if ui.add(egui::Button::new(act.text).shortcut_text(act.key_text())).clicked() {
        act.run(view, desk);
        ui.close();
    }
}

/// The files of late, those that are not there marked.
fn recent(ui: &mut Ui, desk: &mut Desk<'_>) {
    let look = desk.look;
    let files = desk.cx.recent;
    if files.is_empty() {
        ui.add_enabled(false, egui::Button::new("Open again"));
        return;
    }
    let shown = ui.menu_button("Open again", |ui| {
        ui.set_min_width(240.0);
        for file in files {
            let text = if file.is_missing {
                RichText::new(format!("{} · not there", file.name)).color(look.weak).strikethrough()
            } else {
                RichText::new(&file.name)
            };
            if ui.button(text).on_hover_text(&file.path).clicked() {
                desk.ask(Command::OpenPath(file.path.clone()));
                ui.close();
            }
        }
        if files.iter().any(|f| f.is_missing) {
            ui.separator();
            if ui.button("Forget those that are not there").clicked() {
                desk.ask(Command::ForgetMissing);
                ui.close();
            }
        }
    });
    if shown.response.clicked() {
        desk.ask(Command::LookAtRecent);
    }
}

fn car(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let look = desk.look;
    let (head, identity, note, fill, stroke) = match desk.cx.in_car {
        None => {
            ("no set in the car yet", String::new(), "hand one over when ready".to_owned(), look.page, look.hairline)
        }
        Some(set) => {
            let cells = differs::cells_since(desk.cx.session, set);
            let settings = differs::settings_differ(desk.cx.session, set);
            let since = desk.when(desk.cx.in_car_since);
            let differ = match (cells, settings.is_empty()) {
                (0, true) => "same as on screen".to_owned(),
                (0, false) => "settings differ".to_owned(),
                (n, _) => words::count(n, "cell differs", "cells differ"),
            };
            let is_same = cells == 0 && settings.is_empty();
            let (fill, stroke) = if is_same { (look.good_fill, look.good) } else { (look.caution_fill, look.caution) };
            ("in the car", words::identity(&set.identity), format!("{differ} · {since}"), fill, stroke)
        }
    };
    let response = ui.interact(rect, ui.scope_id().with("in the car"), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("{head} {identity} {note}")));
    let painter = ui.painter_at(rect);
    let width = if response.has_focus() { 2.0 } else { 1.0 };
    painter.rect(rect, CornerRadius::same(3), fill, Stroke::new(width, stroke.gamma_multiply(0.6)), StrokeKind::Inside);
    let upper = Rect::from_min_max(rect.min + vec2(8.0, 4.0), pos2(rect.right() - 6.0, rect.center().y));
    let lower = Rect::from_min_max(pos2(rect.left() + 8.0, rect.center().y + 1.0), rect.max - vec2(6.0, 4.0));
    let drawn = put_text(ui, upper, Align2::LEFT_CENTER, head, BODY, FontFamily::Proportional, look.text);
    let rest = upper.with_min_x(drawn.right() + 6.0);
    put_text(ui, rest, Align2::LEFT_CENTER, identity, BODY, theme::identity_face(ui.ctx()), look.text);
    put_text(ui, lower, Align2::LEFT_CENTER, note, SMALL, FontFamily::Proportional, look.weak);
    let response = response.on_hover_ui(|ui| match desk.cx.in_car {
        None => {
            ui.label("No set has been handed over from this session.");
        }
        Some(set) => in_car_tip(ui, desk, set),
    });
    if response.clicked() {
        view.place = Place::HandOver;
    }
}

/// What the set in the car is, and what on screen is not as in it.
fn in_car_tip(ui: &mut Ui, desk: &Desk<'_>, set: &washboard_session::HandedOver) {
    ui.label(theme::bold(ui, format!("in the car: {}", words::identity(&set.identity)), BODY));
    ui.label(format!("Since {} · handed over {}", desk.cx.in_car_since, set.time));
    if !set.note.is_empty() {
        ui.label(&set.note);
    }
    for (title, lines) in differs::in_words(desk.session(), set).into_iter().take(4) {
        ui.label(theme::bold(ui, title, SMALL + 0.5));
        for line in lines.into_iter().take(6) {
            ui.label(theme::note(desk.look, line));
        }
    }
    ui.label(theme::note(desk.look, "Modes that were added, removed or renamed since count with all their cells."));
    ui.label(theme::note(
        desk.look,
        "Click: the whole difference, and what to do when another set was put in the car.",
    ));
}

/// More modes than this have two rows of chips.
const MOST_IN_ONE_ROW: usize = 4;

fn chips_in_a_row(modes: usize) -> usize {
    if modes <= MOST_IN_ONE_ROW { modes.max(1) } else { modes.div_ceil(2) }
}

fn chips(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let modes = &desk.cx.session.modes;
    let reference = desk.reference();
    let in_one_row = modes.len() <= MOST_IN_ONE_ROW;
    let per_row = chips_in_a_row(modes.len());
    let gap = 4.0;
    let width = ((rect.width() - gap * (per_row - 1) as f32) / per_row as f32).min(WIDEST_CHIP);
    let height = if in_one_row { 36.0 } else { 20.0 };
    for (i, mode) in modes.iter().enumerate() {
        let (row, column) = (i / per_row, i % per_row);
        let top =
            if in_one_row { rect.center().y - height / 2.0 } else { rect.top() + 1.0 + row as f32 * (height + 2.0) };
        let chip = Rect::from_min_size(pos2(rect.left() + column as f32 * (width + gap), top), vec2(width, height));
        let response = ui.interact(chip, ui.scope_id().with(("chip", i)), Sense::click());
        let is_on = view.mode == i;
        let is_reference = i == reference;
        let crossed = crossed_by(desk, i);
        response.widget_info(|| {
            let flag = if is_reference { ", reference" } else { "" };
            let fences = if crossed > 0 {
                format!(", {}", words::count(crossed, "fence crossed", "fences crossed"))
            } else {
                String::new()
            };
            WidgetInfo::selected(Role::Button, true, is_on, format!("mode {} {}{flag}{fences}", i + 1, mode.name))
        });
        let look = desk.look;
        let color = look.mode(i);
        let painter = ui.painter_at(chip);
        let fill = if is_on || response.hovered() { look.card } else { look.page };
        let stroke = if is_on || response.has_focus() { 2.5 } else { 1.0 };
        painter.rect(chip, CornerRadius::same(3), fill, Stroke::new(stroke, color), StrokeKind::Inside);
        let family = if is_on { theme::semibold(ui.ctx()) } else { FontFamily::Proportional };
        let text = format!("{} {}", i + 1, mode.name);
        let flag = if is_reference { 14.0 } else { 0.0 };
        let flag = flag + if crossed > 0 { 13.0 } else { 0.0 };
        let sample = if in_one_row { 0.0 } else { 22.0 };
        let room = Rect::from_min_max(
            chip.min + vec2(7.0, 0.0),
            chip.max - vec2(6.0 + flag + sample, if in_one_row { 11.0 } else { 0.0 }),
        );
        put_text(ui, room, Align2::LEFT_CENTER, text, BODY, family, look.text);
        let line = Stroke::new(2.0, color);
        if in_one_row {
            Dash::of_mode(i).sample(&painter, chip.left_bottom() + vec2(7.0, -8.0), chip.width() - 14.0, line);
        } else {
            Dash::of_mode(i).sample(&painter, chip.right_center() - vec2(26.0 + flag, 0.0), 20.0, line);
        }
        if is_reference {
            let at = pos2(chip.right() - 7.0, room.center().y);
            painter.text(at, Align2::RIGHT_CENTER, "⚑", FontId::new(BODY, FontFamily::Proportional), look.text);
        }
        if crossed > 0 {
            let at = pos2(chip.right() - 7.0 - if is_reference { 14.0 } else { 0.0 }, room.center().y);
            painter.text(at, Align2::RIGHT_CENTER, "✕", FontId::new(BODY, theme::semibold(ui.ctx())), look.crossed);
        }
        let tip = if mode.purpose.is_empty() { mode.name.clone() } else { format!("{}: {}", mode.name, mode.purpose) };
        let suffix = if is_reference {
            "\nThe other modes are compared with this one."
        } else {
            "\nDouble click: compare the others with this one."
        };
        let fences = fences_of(desk, i);
        let response = response.on_hover_text(format!("{tip}\nkey {}{suffix}{fences}", i + 1));
        if response.clicked() {
            view.mode = i;
        }
        if response.double_clicked() && !is_reference {
            desk.ask(Command::Edit(differs::set_reference(mode.name.clone())));
        }
    }
}

/// How many fences a mode crosses.
fn crossed_by(desk: &Desk<'_>, mode: usize) -> usize {
    desk.board().map_or(0, |b| b.evaluation.fences.iter().filter(|f| f.mode == mode && !f.kept).count())
}

/// The fences that a mode crosses, a sentence each.
fn fences_of(desk: &Desk<'_>, mode: usize) -> String {
    let name = desk.mode(mode).map_or("", |m| m.name.as_str());
    let crossed = desk.board().into_iter().flat_map(|b| &b.evaluation.fences).filter(|f| f.mode == mode && !f.kept);
    crossed.map(|f| format!("\n✕ {}", crate::figures::fence_sentence(desk.session(), name, f))).collect()
}

fn selectors(ui: &mut Ui, desk: &mut Desk<'_>, rect: Rect) {
    let mut ui = child(ui, rect);
    ui.spacing_mut().item_spacing.y = 3.0;
    ui.spacing_mut().interact_size.y = 19.0;
    ui.spacing_mut().button_padding.y = 1.0;
    let request = &desk.cx.request;
    let models: Vec<String> = Model::ALL.iter().map(|m| m.label().to_owned()).collect();
    let chosen = Model::ALL.iter().position(|m| *m == request.model).unwrap_or(0);
    if let Some(i) = choice(&mut ui, "Model", rect.width() - 12.0, chosen, &models) {
        desk.request(RequestChange::SetModel(Model::ALL[i]));
    }
    let cases = load_cases(desk);
    if let Some(i) = choice(&mut ui, "Load case", rect.width() - 12.0, request.load_case, &cases) {
        desk.request(RequestChange::SetLoadCase(i));
    }
}

/// Names of the load cases, the car as described first.
pub(crate) fn load_cases(desk: &Desk<'_>) -> Vec<String> {
    std::iter::once("as described".to_owned())
        .chain(desk.cx.session.vehicle.load_cases.iter().map(|c| c.name.clone()))
        .collect()
}

fn state(ui: &mut Ui, desk: &mut Desk<'_>, rect: Rect) {
    let look = desk.look;
    let semibold = theme::semibold(ui.ctx());
    let font = |bold: bool| FontId::new(BODY, if bold { semibold.clone() } else { FontFamily::Proportional });
    let (text, color) = if desk.cx.fault.is_some() {
        ("cannot be computed".to_owned(), look.crossed)
    } else if let Some((done, all)) = desk.cx.progress {
        (format!("computing {done}/{all}"), look.weak)
    } else if let (Some(board), true) = (desk.cx.board, desk.cx.board_is_fresh) {
        (format!("fresh · {}", took(board.took)), look.good)
    } else if desk.cx.board.is_some() {
        ("older than the edit".to_owned(), look.weak)
    } else {
        ("no results yet".to_owned(), look.weak)
    };
    let top = Rect::from_min_size(rect.min, vec2(rect.width(), 22.0));
    let spinner = desk.cx.progress.is_some() && desk.cx.fault.is_none();
    let indent = if spinner { 18.0 } else { 0.0 };
    if spinner {
        let at = Rect::from_center_size(pos2(rect.left() + 6.0, top.center().y), vec2(11.0, 11.0));
        ui.put(at, egui::Spinner::new().size(11.0).color(look.weak)).accessible_name("computing");
    }
    let drawn =
        ui.painter_at(rect).text(top.left_center() + vec2(indent, 0.0), Align2::LEFT_CENTER, &text, font(false), color);
    let tip = ui.interact(drawn, ui.scope_id().with("freshness"), Sense::hover());
    tip.widget_info(|| WidgetInfo::labeled(Role::Label, true, &text));
    tip.on_hover_ui(|ui| {
        if let Some(fault) = &desk.cx.fault {
            ui.label(fault);
        } else if let Some(board) = desk.cx.board {
            ui.label(format!(
                "All modes, all events, {}: {:.1} ms. Time step of the car: {:.3} ms.",
                board.request.model.label(),
                board.took.as_secs_f64() * 1000.0,
                board.plant_step_s * 1000.0
            ));
            ui.label(format!("Simplified: {}", board.request.model.simplification()));
            if let Some(pace) = &desk.cx.pace {
                ui.label(pace_in_words(pace));
            }
            for remark in &board.remarks {
                ui.label(format!("· {remark}"));
            }
        }
    });
    let Some(board) = desk.cx.board else {
        return;
    };
    let fences = &board.evaluation.fences;
    let crossed = fences.iter().filter(|f| !f.kept).count();
    let bottom = Rect::from_min_max(pos2(rect.left(), rect.top() + 22.0), rect.max);
    // A fence on a figure that this model or these events do not have is said, not left out.
    let silent = desk.session().fences.iter().enumerate().filter(|(i, _)| fences.iter().all(|f| f.fence != *i));
    let silent: Vec<String> = silent.map(|(_, f)| crate::figures::fence_title(f)).collect();
    let rest = if silent.is_empty() { String::new() } else { format!(", {} not judged", silent.len()) };
    let (text, color) = match (fences.len(), crossed) {
        (0, _) if silent.is_empty() => ("no fences set".to_owned(), look.weak),
        (0, _) => (format!("fences: {} not judged", silent.len()), look.caution),
        (all, 0) if silent.is_empty() => (format!("fences: {all} kept"), look.good),
        (all, 0) => (format!("fences: {all} kept{rest}"), look.caution),
        (all, n) => (format!("✕ fences: {n} crossed, {} kept{rest}", all - n), look.crossed),
    };
    // There is no room for all three numbers: those that matter.
    let brief = if crossed > 0 && !silent.is_empty() { format!("✕ {crossed} crossed{rest}") } else { text.clone() };
    let drawn = ui.painter_at(rect).text(bottom.left_center(), Align2::LEFT_CENTER, brief, font(crossed > 0), color);
    let tip = ui.interact(drawn, ui.scope_id().with("fences"), Sense::hover());
    tip.widget_info(|| WidgetInfo::labeled(Role::Label, true, &text));
    tip.on_hover_ui(|ui| {
        if crossed > 0 {
            ui.label(&text);
        }
        if desk.session().fences.is_empty() {
            ui.label("A fence is a bound on a metric that an edit must not cross. Right click a row of the scorecard, or set fences in Side by side.");
        }
        for fence in fences.iter().filter(|f| !f.kept) {
            ui.label(crate::figures::fence_sentence(
                desk.cx.session,
                desk.mode(fence.mode).map_or("a mode", |m| m.name.as_str()),
                fence,
            ));
        }
        for title in &silent {
            ui.label(format!("Not judged: {title}. No run on screen has this figure; another model or event may."));
        }
    });
}

/// How long the last edits took to the screen.
fn pace_in_words(pace: &Pace) -> String {
    let (Pace { edit, compute, draw, whole, edits }, ms) = (pace, |ms: f64| format!("{ms:.1} ms"));
    let parts = format!("edit {}, compute {}, draw {}", ms(edit.last_ms), ms(compute.last_ms), ms(draw.last_ms));
    let worst = format!("edit {}, compute {}, draw {}", ms(edit.worst_ms), ms(compute.worst_ms), ms(draw.worst_ms));
    let last = format!("Last edit to the screen: {} ({parts}).", ms(whole.last_ms));
    if *edits < 2 { last } else { format!("{last} Slowest of the last {edits}: {} ({worst}).", ms(whole.worst_ms)) }
}

/// A time in the unit that suits it.
fn took(time: std::time::Duration) -> String {
    let ms = time.as_secs_f64() * 1e3;
    if ms < 1000.0 { format!("{ms:.1} ms") } else { format!("{:.1} s", ms / 1e3) }
}

fn steps(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let mut ui = child(ui, rect);
    let look = desk.look;
    ui.add_space(10.0);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        let undo = desk.cx.undo_label.clone();
        let redo = desk.cx.redo_label.clone();
        let entries =
            [("undo", "↶", undo, "Ctrl+Z", Command::Undo), ("redo", "↷", redo, "Ctrl+Shift+Z", Command::Redo)];
        for (name, sign, label, keys, command) in entries {
            let text = RichText::new(sign).size(BODY + 3.0).color(look.text);
            let button = egui::Button::new(text).frame_when_inactive(false).min_size(vec2(28.0, 24.0));
            let tip = label.as_ref().map_or(format!("nothing to {name}"), |l| format!("{name} {l} ({keys})"));
            let response = ui.add_enabled(label.is_some(), button);
            let response = response.on_hover_text(tip.clone()).on_disabled_hover_text(tip).accessible_name(name);
            if response.clicked() {
                desk.ask(command);
            }
        }
        let text = RichText::new("?").size(BODY + 1.0).color(look.text);
        let button = egui::Button::new(text).frame_when_inactive(false).min_size(vec2(24.0, 24.0));
        if ui.add(button).on_hover_text("Keys (F1)").accessible_name("keys").clicked() {
            view.toggle(Aside::Keys);
        }
    });
}
