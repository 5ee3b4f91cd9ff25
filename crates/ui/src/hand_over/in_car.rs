//! What is in the car: the identity of the set that left, large; the identity on screen; and which set the car has now.

use super::card;
use crate::command::Command;
use crate::context::HandOverResult;
use crate::desk::Desk;
use crate::theme::{self, BODY, HUGE, SMALL, TITLE};
use crate::view::View;
use crate::widgets::{link, section};
use crate::words;
use egui::{Align2, FontFamily, FontId, Rect, RichText, StrokeKind, Ui, pos2, vec2};
use washboard_session::SetStatus;

/// The identity as large as the place allows, to be read across a car.
pub(super) fn handed_over(ui: &mut Ui, desk: &Desk<'_>, rect: Rect, identity: &str, folder: &str, status: SetStatus) {
    let look = desk.look;
    ui.painter().rect(rect, 3.0, look.good_fill, egui::Stroke::new(1.0, look.good), StrokeKind::Inside);
    let inner = rect.shrink2(vec2(14.0, 8.0));
    let (head, foot) = (inner.with_max_y(inner.top() + 22.0), inner.with_min_y(inner.bottom() - 18.0));
    let put = |ui: &Ui, rect: Rect, text: &str, size: f32, family, color| {
        crate::widgets::put_text(ui, rect, Align2::LEFT_CENTER, text, size, family, color)
    };
    let title = format!("✓ handed over, {}: in the car now", status.words());
    put(ui, head, &title, TITLE, theme::semibold(ui.ctx()), look.good);
    put(ui, foot, &format!("Written, read back and proven equal: {folder}"), BODY, FontFamily::Proportional, look.text);
    let middle = Rect::from_min_max(pos2(inner.left(), head.bottom()), pos2(inner.right(), foot.top()));
    let text = words::identity(identity);
    // A letter of this face is 0.62 of its size wide.
    let widest = middle.width() / (text.chars().count().max(1) as f32 * 0.62);
    let size = widest.min(middle.height() * 0.9).min(HUGE);
    let label = egui::Label::new(theme::identity(ui, text, size).color(look.text)).extend();
    ui.put(middle, label);
    let on_screen = &desk.cx.hand_over.identity;
    if identity != on_screen && !on_screen.is_empty() {
        let text = format!("On screen now: {}, which is another set.", words::identity(on_screen));
        let at = head.right_center();
        let font = FontId::new(BODY, FontFamily::Proportional);
        ui.painter().text(at, Align2::RIGHT_CENTER, text, font, look.caution);
    }
}

pub(super) fn identity(ui: &mut Ui, desk: &mut Desk<'_>) {
    let look = desk.look;
    let view = desk.cx.hand_over;
    if let Some(HandOverResult::Failed(sentence)) = &view.last_result {
        card(ui, look, Some(look.crossed_fill), |ui| {
            ui.label(theme::bold(ui, "✕ not handed over", TITLE).color(look.crossed));
            ui.label(sentence);
        });
    }
    if matches!(&view.last_result, Some(HandOverResult::Done { identity, .. }) if *identity == view.identity) {
        return;
    }
    let mut asked = None;
    card(ui, look, None, |ui| {
        section(ui, look, "identity of the set on screen", "the same calibration always has the same identity");
        if view.identity.is_empty() {
            ui.label(theme::note(look, "Not known yet."));
            return;
        }
        ui.label(theme::identity(ui, words::identity(&view.identity), 28.0));
        ui.horizontal(|ui| {
            let short: String = view.identity.chars().take(32).collect();
            ui.label(theme::identity(ui, format!("{short}…"), SMALL).color(look.weak));
            if link(ui, look, "copy").accessible_name("copy the whole identity").clicked() {
                asked = Some(Command::CopyText(view.identity.clone()));
            }
        });
    });
    desk.out.extend(asked);
}

/// Which set is in the car now, and the way to say that it is another one.
pub(super) fn in_the_car(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let mut asked = Vec::new();
    card(ui, look, None, |ui| {
        ui.horizontal(|ui| {
            section(ui, look, "in the car now", "");
            if let Some(set) = desk.cx.in_car {
                ui.label(theme::identity(ui, words::identity(&set.identity), BODY + 1.0));
                ui.label(theme::note(look, format!("since {}", desk.when(desk.cx.in_car_since))));
            } else {
                ui.label(theme::note(look, "no set known"));
            }
        });
        let text =
            if view.hand_over.chooses_in_car { "leave it as it is" } else { "another set was put in the car…" };
        if link(ui, look, text).clicked() {
            view.hand_over.chooses_in_car = !view.hand_over.chooses_in_car;
        }
        if view.hand_over.chooses_in_car {
            asked = known_sets(ui, view, desk);
        }
    });
    desk.out.extend(asked);
}

/// All sets known, newest first, to say which is in the car.
fn known_sets(ui: &mut Ui, view: &mut View, desk: &Desk<'_>) -> Vec<Command> {
    let look = desk.look;
    let mut asked = Vec::new();
    let sets = &desk.session().handed_over;
    if sets.is_empty() {
        ui.label("No set is known yet. A folder that a set was handed over into can be taken in.");
    }
    egui::Grid::new("known sets").num_columns(4).spacing([10.0, 3.0]).show(ui, |ui| {
        for (i, set) in sets.iter().enumerate().rev() {
            let name = words::identity(&set.identity);
            let is_there = desk.cx.in_car.is_some_and(|s| std::ptr::eq(s, set) || s.identity == set.identity);
            ui.label(theme::identity(ui, &name, BODY));
            ui.label(theme::number(desk.when(&set.time), SMALL));
            if is_there {
                ui.label(RichText::new("in the car").color(look.good));
            } else if ui.button("is in the car").accessible_name(format!("set {name} is in the car")).clicked() {
                view.hand_over.chooses_in_car = false;
                asked.push(Command::SetInCar(i));
            }
            let modes: Vec<&str> = set.modes.iter().map(|m| m.name.as_str()).collect();
            let note = if set.note.is_empty() { modes.join(", ") } else { set.note.clone() };
            ui.add(egui::Label::new(theme::note(look, note)).truncate()).on_hover_text(&set.folder);
            ui.end_row();
        }
    });
    if ui.button("Take in a set from a folder…").clicked() {
        asked.push(Command::TakeInSet);
    }
    asked
}
