//! One number of the session to type into: takes what the session takes, keeps what it refuses and says why.

use crate::command::Command;
use crate::desk::Desk;
use crate::theme::{self, BODY, Look, SMALL};
use crate::view::View;
use crate::words;
use egui::text::{CCursor, CCursorRange};
use egui::{FontFamily, FontId, Key, RichText, Ui};
use washboard_session::proposal::is_proposed;
use washboard_session::{Edit, Limit, Number};

/// A number as it stands in a field: every digit that matters, nothing more.
pub(crate) fn plain(value: f64) -> String {
    washboard_session::fault::plain(value)
}

/// What a field is about.
pub(crate) struct Field<'f> {
    /// Identity; the path where the number has one.
    pub key: &'f str,
    /// Name for reading aloud.
    pub name: String,
    /// Value now; absent: the documented default holds.
    pub value: Option<f64>,
    /// What it may be.
    pub limit: &'static Limit,
    /// Width in points.
    pub width: f32,
}

/// Draws the field; sends the edit that `make` builds from the new value.
pub(crate) fn show(
    ui: &mut Ui,
    view: &mut View,
    desk: &mut Desk<'_>,
    field: &Field<'_>,
    make: impl FnOnce(f64) -> Edit,
) {
    let look = desk.look;
    let id = egui::Id::unique(("field", field.key));
    let refused = view.refused.get(field.key).map(|r| r.0.clone());
    let stored = refused.clone().unwrap_or_else(|| field.value.map_or(String::new(), plain));
    let mut text = ui.data(|d| d.get_temp::<String>(id)).unwrap_or_else(|| stored.clone());
    let proposed = is_proposed(desk.session(), field.key);
    let color = match (refused.is_some(), proposed) {
        (true, _) => look.crossed,
        (false, true) => look.weak,
        (false, false) => look.text,
    };
    if view.go_on.is_wanted() {
        view.go_on.goes_to(id);
    }
    let edit = egui::TextEdit::singleline(&mut text)
        .id(id)
        .desired_width(f32::INFINITY)
        .align(egui::Align2::RIGHT_CENTER)
        .font(FontId::new(BODY - 0.5, FontFamily::Monospace))
        .text_color(color)
        .hint_text(RichText::new("–").size(SMALL))
        .margin(egui::Margin::symmetric(4, 1));
    let response = ui.add_sized([field.width, 19.0], edit).accessible_name(&field.name);
    let response = response.on_hover_ui(|ui| {
        ui.label(theme::bold(ui, &field.name, BODY));
        ui.label(format!("Allowed: {}.", range(field.limit)));
        if proposed {
            ui.label("◌ Proposed: nobody has touched it yet. Enter takes it.");
        }
    });
    if proposed {
        mark_proposed(ui, look, response.rect);
    }
    if response.gained_focus() {
        choose_all(ui, id, &text);
    }
    if response.has_focus() {
        ui.data_mut(|d| d.insert_temp(id, text.clone()));
    }
    if !response.lost_focus() {
        return;
    }
    ui.data_mut(|d| d.remove_temp::<String>(id));
    if ui.input(|i| i.key_pressed(Key::Escape)) {
        return;
    }
    let is_entered = ui.input(|i| i.key_pressed(Key::Enter));
    if text == stored && refused.is_none() {
        if is_entered {
            view.go_on.want();
            if proposed {
                desk.ask(Command::Edit(Edit::AcceptProposed(vec![field.key.to_owned()])));
            }
        }
        return;
    }
    if text.trim().is_empty() {
        view.refused.remove(field.key);
        return;
    }
    match read(&text, field.limit) {
        Err(sentence) => {
            view.refused.insert(field.key.to_owned(), (text, sentence));
            if is_entered {
                view.go_on.goes_to(id);
            }
        }
        Ok(value) => {
            if is_entered {
                view.go_on.want();
            }
            let edit = make(value);
            // Two fields may bind each other (currents, axle and wheelbase); the session knows.
            match washboard_session::apply(&mut desk.session().clone(), &edit) {
                Ok(()) => {
                    view.refused.remove(field.key);
                    desk.ask(Command::Edit(edit));
                }
                Err(fault) => {
                    view.refused.insert(field.key.to_owned(), (text, fault.to_string()));
                    if is_entered {
                        view.go_on.goes_to(id);
                    }
                }
            }
        }
    }
}

/// The sentence below a field whose text was refused.
pub(crate) fn sentence(ui: &mut Ui, view: &mut View, look: &Look, key: &str) {
    let Some((_, sentence)) = view.refused.get(key).cloned() else {
        return;
    };
    ui.horizontal(|ui| {
        ui.label(RichText::new(format!("✕ {sentence}")).size(SMALL).color(look.crossed));
        if crate::widgets::link(ui, look, "as it was").clicked() {
            view.refused.remove(key);
        }
    });
}

fn read(text: &str, limit: &Limit) -> Result<f64, String> {
    let cleaned = text.trim().replace(',', ".").replace('−', "-").replace(' ', "");
    let value: f64 = cleaned.parse().map_err(|_| format!("“{text}” is not a number."))?;
    if limit.allows(value) {
        Ok(value)
    } else {
        Err(format!(
            "{} {} is not allowed: {} must be {}.",
            plain(value),
            words::unit(limit.unit),
            limit.label,
            range(limit)
        ))
    }
}

/// The allowed range with its unit set.
pub(crate) fn range(limit: &Limit) -> String {
    words::range(limit)
}

/// A label of a fixed width, so that fields of all sections stand below each other.
pub(crate) fn label(ui: &mut Ui, text: &str, width: f32) {
    let (rect, response) = ui.allocate_exact_size(egui::vec2(width, 18.0), egui::Sense::hover());
    let color = ui.visuals().text_color();
    let family = FontFamily::Proportional;
    crate::widgets::put_text(ui, rect, egui::Align2::LEFT_CENTER, text, BODY - 0.5, family, color);
    response.on_hover_text(text);
}

/// A number of the session by its path.
pub(crate) fn number(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, number: &Number, name: &str, width: f32) {
    let unit = words::unit(number.limit.unit);
    let comma = if unit.is_empty() { "" } else { ", " };
    let field = Field {
        key: &number.path,
        name: format!("{name}{comma}{unit}"),
        value: number.value,
        limit: number.limit,
        width,
    };
    let path = number.path.clone();
    show(ui, view, desk, &field, move |value| Edit::SetNumber { path, value });
}

/// Chooses the whole text of a field, so that typing replaces it.
fn choose_all(ui: &Ui, id: egui::Id, text: &str) {
    if let Some(mut state) = egui::text_edit::TextEditState::load(ui.ctx(), id) {
        let end = CCursor::new(text.chars().count());
        state.cursor.set_char_range(Some(CCursorRange::two(CCursor::new(0), end)));
        state.store(ui.ctx(), id);
    }
}

/// The mark of a proposal: a dotted line under the value.
fn mark_proposed(ui: &Ui, look: &Look, rect: egui::Rect) {
    let line = [rect.left_bottom() + egui::vec2(4.0, -2.0), rect.right_bottom() + egui::vec2(-4.0, -2.0)];
    ui.painter().extend(egui::Shape::dotted_line(&line, look.caution, 4.0, 1.0));
}

/// A line of text that the keyboard walks through; see [`text_on`].
pub(crate) struct Text<'t> {
    /// Identity; the mark of the value where it can be proposed.
    pub key: &'t str,
    /// Name for reading aloud.
    pub name: &'t str,
    /// Text now.
    pub now: &'t str,
    /// Width in points.
    pub width: f32,
}

/// A line of text as [`text`], which Enter takes and leaves for the next field, proposed or not.
pub(crate) fn text_on(
    ui: &mut Ui,
    view: &mut View,
    desk: &mut Desk<'_>,
    field: &Text<'_>,
    make: impl FnOnce(String) -> Edit,
) {
    let id = egui::Id::unique(("text field", field.key));
    if view.go_on.is_wanted() {
        view.go_on.goes_to(id);
    }
    let proposed = is_proposed(desk.session(), field.key);
    let before = desk.out.len();
    let rect = text(ui, desk, field.key, field.name, field.now, field.width, make);
    if proposed {
        mark_proposed(ui, desk.look, rect.rect);
    }
    if rect.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter)) {
        view.go_on.want();
        if proposed && desk.out.len() == before {
            desk.ask(Command::Edit(Edit::AcceptProposed(vec![field.key.to_owned()])));
        }
    }
}

/// One line of text of the session; sends the edit when the field is left.
pub(crate) fn text(
    ui: &mut Ui,
    desk: &mut Desk<'_>,
    key: &str,
    name: &str,
    now: &str,
    width: f32,
    make: impl FnOnce(String) -> Edit,
) -> egui::Response {
    let id = egui::Id::unique(("text field", key));
    let mut text = ui.data(|d| d.get_temp::<String>(id)).unwrap_or_else(|| now.to_owned());
    let edit =
        egui::TextEdit::singleline(&mut text).id(id).desired_width(f32::INFINITY).margin(egui::Margin::symmetric(4, 1));
    let response = ui.add_sized([width, 20.0], edit).accessible_name(name);
    if response.gained_focus() {
        choose_all(ui, id, &text);
    }
    if response.has_focus() {
        ui.data_mut(|d| d.insert_temp(id, text.clone()));
    }
    if response.lost_focus() {
        ui.data_mut(|d| d.remove_temp::<String>(id));
        if text != now && !ui.input(|i| i.key_pressed(Key::Escape)) {
            desk.ask(Command::Edit(make(text)));
        }
    }
    response
}

#[cfg(test)]
mod tests {
    use super::*;
    use washboard_session::limits;

    #[test]
    fn what_is_refused_says_value_and_range() {
        let mass = limits::find("Vehicle", "body_mass_kg").expect("a limit of the session");
        assert_eq!(read("1 450,5", mass), Ok(1450.5));
        let sentence = read("0", mass).expect_err("below the limit");
        assert!(sentence.contains("0 kg") && sentence.contains("20\u{202f}000 kg"), "{sentence}");
        assert!(read("many", mass).is_err());
    }
}
