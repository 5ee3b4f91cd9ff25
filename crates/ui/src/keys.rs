//! Keys that work everywhere and belong to no act: modes by number, the sign for the key list, and the way back.

use crate::acts;
use crate::desk::Desk;
use crate::view::{Aside, View};
use egui::{Key, KeyboardShortcut, Modifiers};

const NUMBERS: [Key; 9] =
    [Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::Num5, Key::Num6, Key::Num7, Key::Num8, Key::Num9];

/// Acts on the keys that work everywhere.
pub(crate) fn act(ctx: &egui::Context, view: &mut View, desk: &mut Desk<'_>) {
    if desk.cx.question.is_some() {
        return;
    }
    let is_typing = ctx.text_edit_focused();
    acts::on_keys(ctx, view, desk);
    let pressed =
        |modifiers: Modifiers, key: Key| ctx.input_mut(|i| i.consume_shortcut(&KeyboardShortcut::new(modifiers, key)));
    for (i, key) in NUMBERS.into_iter().enumerate() {
        let is_free = !is_typing && !view.cells_have_focus && !ctx.any_popup_open() && !view.is_covered();
        if (pressed(Modifiers::COMMAND, key) || (is_free && pressed(Modifiers::NONE, key)))
            && i < desk.cx.session.modes.len()
        {
            view.mode = i;
        }
    }
    if !is_typing && !view.cells_have_focus {
        let asks = ctx.input(|i| i.events.iter().any(|e| matches!(e, egui::Event::Text(t) if t == "?")));
        if asks {
            view.toggle(Aside::Keys);
        }
    }
    // What is aside closes itself on Escape.
    if view.aside.is_none()
        && desk.enlarged.is_some()
        && !view.cells_have_focus
        && pressed(Modifiers::NONE, Key::Escape)
    {
        desk.enlarged = None;
    }
}
