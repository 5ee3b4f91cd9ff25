//! A list to be searched by typing and walked through by arrows.

use crate::theme::{self, BODY, Look, SMALL};
use crate::view::Finder;
use egui::{Key, Modifiers, RichText, Ui};

/// Draws the field and the lines that fit what is typed in it: text and what stands at its end. Returns the line picked.
pub(super) fn show(
    ui: &mut Ui,
    look: &Look,
    finder: &mut Finder,
    hint: &str,
    lines: impl FnOnce(&str) -> Vec<(String, String)>,
    height: f32,
) -> Option<usize> {
    let steps = |ui: &mut Ui, key: Key| ui.input_mut(|i| i.count_and_consume_key(Modifiers::NONE, key));
    let (down, up) = (steps(ui, Key::ArrowDown), steps(ui, Key::ArrowUp));
    let field = egui::TextEdit::singleline(&mut finder.text).hint_text(hint).desired_width(f32::INFINITY);
    let typing = ui.add(field);
    // What is typed before the field has the keyboard is for it too: a slow frame may bring keys and words at once.
    let early: String = if typing.has_focus() {
        String::new()
    } else {
        let text = |event: &egui::Event| if let egui::Event::Text(text) = event { Some(text.clone()) } else { None };
        ui.input(|i| i.events.iter().filter_map(text).collect())
    };
    finder.text.push_str(&early);
    typing.request_focus();
    if !early.is_empty() {
        // Behind what came early.
        if let Some(mut state) = egui::text_edit::TextEditState::load(ui.ctx(), typing.id) {
            let end = egui::text::CCursor::new(finder.text.chars().count());
            state.cursor.set_char_range(Some(egui::text::CCursorRange::one(end)));
            state.store(ui.ctx(), typing.id);
        }
    }
    if typing.changed() || !early.is_empty() {
        finder.chosen = 0;
    }
    typing.accessible_name(hint);
    let lines = lines(&finder.text);
    finder.chosen = (finder.chosen + down).min(lines.len().saturating_sub(1)).saturating_sub(up);
    let mut picked = ui.input(|i| i.key_pressed(Key::Enter)).then_some(finder.chosen);
    ui.add_space(4.0);
    egui::ScrollArea::vertical().max_height(height).min_scrolled_height(height).auto_shrink([false, true]).show(
        ui,
        |ui| {
            if lines.is_empty() {
                ui.label(theme::note(look, "Nothing of these words. Fewer letters find more."));
            }
            for (i, (text, end)) in lines.iter().enumerate() {
                let is_chosen = i == finder.chosen;
                let button = egui::Button::new(RichText::new(text).size(BODY))
                    .right_text(RichText::new(end).size(SMALL).color(look.weak))
                    .selected(is_chosen)
                    .frame_when_inactive(is_chosen)
                    .min_size(egui::vec2(ui.available_width(), 22.0));
                let response = ui.add(button);
                if is_chosen && (up > 0 || down > 0) {
                    response.scroll_to_me(None);
                }
                if response.clicked() {
                    picked = Some(i);
                }
            }
        },
    );
    picked.filter(|i| *i < lines.len())
}
