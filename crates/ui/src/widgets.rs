//! Small widgets shared by the places: choices, tables of text, buttons of one look.

use crate::theme::{self, BODY, Look, SMALL};
use egui::{
    Align2, Color32, FontFamily, FontId, Key, Modifiers, Rect, Response, RichText, Sense, Stroke, Ui, Vec2, vec2,
};

/// A drop-down; returns the option chosen now, if any.
pub(crate) fn choice(ui: &mut Ui, name: &str, width: f32, chosen: usize, options: &[String]) -> Option<usize> {
    let mut picked = None;
    let current = options.get(chosen).cloned().unwrap_or_default();
    let shown = egui::ComboBox::from_id_salt(name)
        .width(width)
        .truncate()
        .selected_text(RichText::new(current).size(BODY - 0.5))
        .show_ui(ui, |ui| {
            for (i, option) in options.iter().enumerate() {
                if ui.selectable_label(i == chosen, option.as_str()).clicked() && i != chosen {
                    picked = Some(i);
                }
            }
        });
    shown.response.accessible_name(name);
    picked
}

/// A button that looks like a link: colour only, no frame.
pub(crate) fn link(ui: &mut Ui, look: &Look, text: &str) -> Response {
    let button = egui::Button::new(RichText::new(text).size(BODY - 0.5).color(look.step_link())).frame(false);
    ui.add(button).on_hover_cursor(egui::CursorIcon::PointingHand)
}

/// The one step forward of a place.
pub(crate) fn forward(ui: &mut Ui, look: &Look, text: &str, enabled: bool, size: Vec2) -> Response {
    // A step that cannot be taken yet is an outline: its colour, faded, would be too dark to read its name on.
    let (fill, stroke, color) = match enabled {
        true => (look.step, Stroke::NONE, look.step_text),
        false => (look.card, look.line(), look.weak),
    };
    let label = theme::bold(ui, text, BODY + 1.0).color(color);
    ui.scope(|ui| {
        ui.visuals_mut().disabled_alpha = 1.0;
        let button = egui::Button::new(label).fill(fill).stroke(stroke).corner_radius(4.0).min_size(size);
        ui.add_enabled(enabled, button)
    })
    .inner
}

/// Two or more words of which one is chosen; returns the one chosen now, if any.
pub(crate) fn toggle(ui: &mut Ui, look: &Look, name: &str, chosen: usize, options: &[&str]) -> Option<usize> {
    let mut picked = None;
    ui.spacing_mut().item_spacing.x = 8.0;
    for (i, option) in options.iter().enumerate() {
        let is_on = i == chosen;
        let text = if is_on {
            theme::bold(ui, *option, SMALL).color(look.text)
        } else {
            RichText::new(*option).size(SMALL).color(look.weak)
        };
        let response = ui.add(egui::Button::new(text).frame(false).min_size(vec2(0.0, 16.0)));
        if is_on {
            let y = response.rect.bottom() - 1.0;
            ui.painter().hline(response.rect.x_range(), y, Stroke::new(1.5, look.chosen));
        }
        let response = response.accessible_name(format!("{name}: {option}"));
        if response.clicked() && !is_on {
            picked = Some(i);
        }
    }
    picked
}

/// A heading inside a place.
pub(crate) fn section(ui: &mut Ui, look: &Look, title: &str, note: &str) {
    ui.horizontal(|ui| {
        ui.label(theme::bold(ui, title, BODY + 0.5).color(look.text));
        if !note.is_empty() {
            ui.label(theme::note(look, note));
        }
    });
}

/// Text painted into a rectangle in one line, ended by `…` where it is longer; returns what it took.
pub(crate) fn put_text(
    ui: &Ui,
    rect: Rect,
    align: Align2,
    text: impl Into<String>,
    size: f32,
    family: FontFamily,
    color: Color32,
) -> Rect {
    let painter = ui.painter_at(rect.expand2(vec2(1.0, 2.0)));
    let mut job = egui::text::LayoutJob::simple_singleline(text.into(), FontId::new(size, family), color);
    job.wrap = egui::text::TextWrapping::truncate_at_width(rect.width().max(0.0));
    let galley = painter.layout_job(job);
    let place = align.align_size_within_rect(galley.size(), rect);
    painter.galley(place.min, galley, color);
    place
}

/// The gap between two parts, to be dragged or, with the keyboard in it, moved by the arrows; `share` is the share of
/// `whole` that lies before it. A double click brings the share back to `designed`.
pub(crate) fn splitter(ui: &mut Ui, look: &Look, gap: Rect, whole: Rect, share: &mut f32, designed: f32, name: &str) {
    let is_upright = gap.height() > gap.width();
    let id = ui.scope_id().with(("splitter", name));
    let response = ui.interact(gap, id, Sense::click_and_drag());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Splitter, true, name));
    let (icon, along) = if is_upright {
        (egui::CursorIcon::ResizeHorizontal, whole.width())
    } else {
        (egui::CursorIcon::ResizeVertical, whole.height())
    };
    let mut moved = if is_upright { response.drag_delta().x } else { response.drag_delta().y };
    if response.has_focus() {
        let filter =
            egui::EventFilter { horizontal_arrows: is_upright, vertical_arrows: !is_upright, ..Default::default() };
        ui.memory_mut(|m| m.set_focus_lock_filter(id, filter));
        let keys = if is_upright { [Key::ArrowLeft, Key::ArrowRight] } else { [Key::ArrowUp, Key::ArrowDown] };
        let [back, on] = keys.map(|k| ui.input_mut(|i| i.count_and_consume_key(Modifiers::NONE, k)) as f32);
        moved += 8.0 * (on - back);
    }
    if moved != 0.0 && along > 0.0 {
        *share = (*share + moved / along).clamp(0.2, 0.7);
    }
    if response.double_clicked() {
        *share = designed;
    }
    if response.hovered() || response.dragged() || response.has_focus() {
        let line = if is_upright {
            Rect::from_center_size(gap.center(), vec2(2.0, gap.height()))
        } else {
            Rect::from_center_size(gap.center(), vec2(gap.width(), 2.0))
        };
        ui.painter().rect_filled(line, 1.0, look.border);
    }
    response.on_hover_cursor(icon).on_hover_text(format!("{name}: drag; double click: as designed"));
}

/// A rectangle that explains itself when the pointer rests on it.
pub(crate) fn explain(ui: &mut Ui, rect: Rect, salt: impl egui::AsIdSalt, text: impl FnOnce(&mut Ui)) -> Response {
    let id = ui.make_persistent_id(salt);
    ui.interact(rect, id, Sense::hover()).on_hover_ui(text)
}

impl Look {
    /// Colour of text that acts.
    pub(crate) fn step_link(&self) -> Color32 {
        if self.dark { self.modes[4] } else { self.step }
    }
}
