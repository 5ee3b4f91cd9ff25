//! The list of events: a small picture each, the main numbers, and what can be done with the chosen one.

use super::picture;
use super::templates::groups;
use crate::command::Command;
use crate::desk::Desk;
use crate::field;
use crate::theme::{self, BODY, Look, SMALL};
use crate::view::View;
use crate::widgets::section;
use crate::words::event::{about, kind_name, summary};
use egui::{Key, Modifiers, Rect, RichText, Ui, pos2, vec2};
use washboard_metrics::MetricId;
use washboard_session::{Edit, Event, EventKind, numbers};
use washboard_study::metrics_read;

/// Numbers that stand in the list; the chosen event shows the others.
pub(super) const LISTED: [&str; 3] = ["speed_km_h", "duration_s", "weight"];
const ROW: f32 = 42.0;
const PICTURE: f32 = 84.0;
const NUMBER: f32 = 66.0;

pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, rect: Rect) {
    let look = desk.look;
    let events = &desk.session().events;
    section(ui, look, "events", "what the car is driven over or made to do");
    ui.add_space(2.0);
    ui.horizontal_wrapped(|ui| toolbar(ui, view, desk));
    ui.add_space(4.0);
    if events.is_empty() {
        ui.label("No events yet: add a road or a manoeuvre, and every mode is driven over it at once.");
        return;
    }
    let names = rect.width() - PICTURE - 3.0 * NUMBER - 30.0;
    let (head, _) = ui.allocate_exact_size(vec2(rect.width(), 16.0), egui::Sense::hover());
    let mut left = head.left() + PICTURE + 8.0 + names + 8.0;
    for title in ["speed, km/h", "duration, s", "weight"] {
        let at = Rect::from_min_size(pos2(left, head.top()), vec2(NUMBER - 4.0, 16.0));
        let align = egui::Align2::RIGHT_CENTER;
        let family = egui::FontFamily::Proportional;
        crate::widgets::put_text(ui, at, align, title, SMALL, family, look.weak);
        left += NUMBER;
    }
    let all = numbers(desk.session());
    egui::ScrollArea::vertical().id_salt("event list").auto_shrink(false).show(ui, |ui| {
        for (i, event) in events.iter().enumerate() {
            let (row, _) = ui.allocate_exact_size(vec2(rect.width() - 12.0, ROW), egui::Sense::hover());
            one_row(ui, view, desk, row, i, event, names);
            let mut left = row.left() + PICTURE + 8.0 + names + 8.0;
            for part in LISTED {
                let path = format!("events[{i}].{part}");
                if let Some(number) = all.iter().find(|n| n.path == path) {
                    let at = Rect::from_min_size(pos2(left, row.center().y - 10.0), vec2(NUMBER - 4.0, 20.0));
                    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(at).id_salt(("number", i, part)));
                    let name = format!("{} {}", event.name, number.limit.label);
                    field::number(&mut child, view, desk, number, &name, NUMBER - 4.0);
                }
                left += NUMBER;
            }
            for part in LISTED {
                field::sentence(ui, view, look, &format!("events[{i}].{part}"));
            }
        }
    });
}

/// Picture and words of one event; a click or the keyboard chooses it.
fn one_row(ui: &mut Ui, view: &mut View, desk: &Desk<'_>, row: Rect, i: usize, event: &Event, names: f32) {
    let look = desk.look;
    let is_chosen = view.event == i;
    let id = ui.make_persistent_id(("event row", i));
    let response = ui.interact(row, id, egui::Sense::click());
    response.widget_info(|| {
        egui::WidgetInfo::selected(egui::Role::Button, true, is_chosen, format!("show {}", event.name))
    });
    if response.clicked() {
        response.request_focus();
        view.event = i;
    }
    // The chosen row takes the keyboard along when it moves.
    if view.event_row_wants_focus && is_chosen {
        response.request_focus();
        view.event_row_wants_focus = false;
    }
    if response.gained_focus() {
        view.event = i;
    }
    if response.has_focus() {
        // Arrows choose events here, they do not leave for the next field.
        let arrows = egui::EventFilter { vertical_arrows: true, ..Default::default() };
        ui.memory_mut(|m| m.set_focus_lock_filter(response.id, arrows));
    }
    if is_chosen {
        view.event_row = Some(response.id);
    }
    if is_chosen {
        let fill = Look::mix(look.page, look.step, if look.dark { 0.35 } else { 0.12 });
        ui.painter().rect_filled(row.expand2(vec2(2.0, 0.0)), 3.0, fill);
        let mark = Rect::from_min_size(row.min - vec2(2.0, 0.0), vec2(3.0, row.height()));
        ui.painter().rect_filled(mark, 1.0, look.chosen);
    } else if response.hovered() {
        ui.painter().rect_filled(row.expand2(vec2(2.0, 0.0)), 3.0, look.hover);
    }
    if response.has_focus() {
        let stroke = egui::Stroke::new(1.0, look.chosen);
        ui.painter().rect_stroke(row.expand2(vec2(2.0, 0.0)), 3.0, stroke, egui::StrokeKind::Inside);
    }
    let at = Rect::from_min_size(row.min + vec2(4.0, 3.0), vec2(PICTURE - 4.0, ROW - 6.0));
    picture::small(ui, look, at, super::plots::of_event(desk, i), is_chosen);
    let words = Rect::from_min_size(pos2(row.left() + PICTURE + 8.0, row.top()), vec2(names, ROW));
    let upper = Rect::from_min_size(words.min + vec2(0.0, 4.0), vec2(names, 17.0));
    let lower = Rect::from_min_size(pos2(words.left(), upper.bottom()), vec2(names, 16.0));
    let left = egui::Align2::LEFT_CENTER;
    let family = if is_chosen { theme::semibold(ui.ctx()) } else { egui::FontFamily::Proportional };
    crate::widgets::put_text(ui, upper, left, &event.name, BODY, family, look.text);
    let text = format!("{} · {}", kind_name(&event.kind), summary(&event.kind));
    crate::widgets::put_text(ui, lower, left, text, SMALL, egui::FontFamily::Proportional, look.weak);
    response.on_hover_ui(|ui| {
        ui.label(theme::bold(ui, &event.name, BODY));
        explain(ui, look, &event.kind);
    });
}

/// What a kind of event is for, and what the trade reads from it.
pub(super) fn explain(ui: &mut Ui, look: &Look, kind: &EventKind) {
    ui.label(about(kind));
    ui.label(theme::note(look, format!("Read from it: {}.", read(kind))));
}

/// The metrics read from a kind of event, as a sentence part.
fn read(kind: &EventKind) -> String {
    let name = |id: &MetricId| id.metric().label.to_lowercase();
    metrics_read(kind).iter().map(name).collect::<Vec<_>>().join(", ")
}

fn toolbar(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let events = &desk.session().events;
    ui.menu_button("Add an event …", |ui| add_menu(ui, view, desk));
    let chosen = events.get(view.event);
    let i = view.event;
    let button = |ui: &mut Ui, text: &str, enabled: bool, hint: &str| {
        let name = chosen.map_or_else(|| text.to_owned(), |e| format!("{text}: {}", e.name));
        let button = ui.add_enabled(enabled, egui::Button::new(RichText::new(text).size(BODY - 0.5)));
        button.on_hover_text(hint).accessible_name(name).clicked()
    };
    let last = events.len().saturating_sub(1);
    let any = chosen.is_some();
    let copy = button(ui, "Copy", any, "A copy behind it");
    let up = button(ui, "Move up", any && i > 0, "Earlier in the list (Alt+up on the row)");
    let down = button(ui, "Move down", any && i < last, "Later in the list (Alt+down on the row)");
    let delete = button(ui, "Delete", any, "Out of the list; undo brings it back (Delete on the row)");
    let Some(event) = chosen else { return };
    if copy {
        let twin = Event { name: free(events, &event.name), ..event.clone() };
        desk.ask(Command::Edit(Edit::AddEvent { at: i + 1, event: Box::new(twin) }));
        view.event = i + 1;
    }
    if up {
        shift(view, desk, i, i - 1);
    }
    if down {
        shift(view, desk, i, i + 1);
    }
    if delete {
        desk.ask(Command::Edit(Edit::DeleteEvent { event: i }));
    }
}

fn shift(view: &mut View, desk: &mut Desk<'_>, from: usize, to: usize) {
    desk.ask(Command::Edit(Edit::MoveEvent { from, to }));
    view.event = to;
}

/// Keys on the row that has the keyboard: arrows choose, with Alt they move it, Delete takes it out.
pub(super) fn keys(ui: &Ui, view: &mut View, desk: &mut Desk<'_>) {
    let count = desk.session().events.len();
    let is_on_row = ui.memory(|m| m.focused()).is_some_and(|id| Some(id) == view.event_row);
    if !is_on_row || count == 0 {
        return;
    }
    let pressed = |modifiers, key| ui.input_mut(|i| i.consume_key(modifiers, key));
    let i = view.event;
    if pressed(Modifiers::ALT, Key::ArrowUp) && i > 0 {
        shift(view, desk, i, i - 1);
        view.event_row_wants_focus = true;
    } else if pressed(Modifiers::ALT, Key::ArrowDown) && i + 1 < count {
        shift(view, desk, i, i + 1);
        view.event_row_wants_focus = true;
    } else if pressed(Modifiers::NONE, Key::ArrowUp) && i > 0 {
        view.event = i - 1;
        view.event_row_wants_focus = true;
    } else if pressed(Modifiers::NONE, Key::ArrowDown) && i + 1 < count {
        view.event = i + 1;
        view.event_row_wants_focus = true;
    } else if pressed(Modifiers::NONE, Key::Delete) {
        desk.ask(Command::Edit(Edit::DeleteEvent { event: i }));
        view.event_row_wants_focus = true;
    }
}

fn add_menu(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let events = &desk.session().events;
    ui.set_min_width(560.0);
    ui.columns(4, |columns| {
        for (column, (heading, templates)) in columns.iter_mut().zip(groups()) {
            column.label(theme::bold(column, heading, BODY));
            for template in templates {
                let response = column.button(template.name);
                let response = response.on_hover_ui(|ui| explain(ui, look, &template.kind));
                if response.clicked() && matches!(template.kind, EventKind::Profile { .. }) {
                    desk.ask(Command::ChooseProfile { event: None });
                    column.close();
                } else if response.clicked() {
                    let name = free(events, template.name);
                    let event = Event::new(name, template.speed_km_h, template.duration_s, template.kind);
                    let at = (view.event + 1).min(events.len());
                    desk.ask(Command::Edit(Edit::AddEvent { at, event: Box::new(event) }));
                    view.event = at;
                    column.close();
                }
            }
        }
    });
}

/// A name that no event has yet.
pub(super) fn free(events: &[Event], wanted: &str) -> String {
    let is_taken = |name: &str| events.iter().any(|e| e.name == name);
    if !is_taken(wanted) {
        return wanted.to_owned();
    }
    (2..).map(|n| format!("{wanted} {n}")).find(|n| !is_taken(n)).unwrap_or_default()
}
