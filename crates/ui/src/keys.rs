//! Keys that work everywhere, and the list of all keys.

use crate::command::Command;
use crate::desk::Desk;
use crate::theme::{self, BODY, Look};
use crate::view::{Place, View};
use egui::{Key, KeyboardShortcut, Modifiers};

const CTRL_SHIFT: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);
const NUMBERS: [Key; 9] =
    [Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::Num5, Key::Num6, Key::Num7, Key::Num8, Key::Num9];

/// Every key, as the list under `?` shows it.
const LIST: [(&str, &[(&str, &str)]); 6] = [
    (
        "everywhere",
        &[
            ("Alt+1 … Alt+6", "Car, Roads, Tune, Side by side, Logbook, Hand over"),
            ("1 … 9", "choose a mode (Ctrl+1 … Ctrl+9 while typing in cells)"),
            ("Ctrl+Z", "undo"),
            ("Ctrl+Shift+Z, Ctrl+Y", "redo"),
            ("Ctrl+N, Ctrl+O", "new session, open a session"),
            ("Ctrl+S, Ctrl+Shift+S", "save, save as"),
            ("Ctrl+plus, Ctrl+minus, Ctrl+0", "text larger, smaller, as designed"),
            ("Ctrl+Q", "leave the program"),
            ("F1, ?", "this list"),
        ],
    ),
    (
        "map as numbers",
        &[
            ("arrows", "move; with Shift: select a range"),
            ("Ctrl+A", "select the whole map"),
            ("digits", "typing replaces: 2400"),
            ("+5%  -5%  *1.1  /2", "change every chosen cell by its own value; +50 and -50 add and take away"),
            ("=base, =name", "copy from the reference mode, or from the mode of that name"),
            ("+  -", "step by 5 % at once"),
            ("Enter", "apply to the whole range"),
            ("Delete", "set to zero"),
            ("Esc", "drop the typing; again: leave the cells"),
            ("Tab", "next cell"),
        ],
    ),
    (
        "handles in the cuts",
        &[
            ("drag", "pull the value; neighbours bend with it"),
            ("wheel over the plot", "how far neighbours bend with it"),
            ("Shift while dragging", "fine"),
            ("up, down on a handle", "step by 1 % of the axis"),
        ],
    ),
    (
        "side by side",
        &[
            ("Tab, arrows", "walk through the list of modes and sets"),
            ("Space", "give the mode a column, or take it away"),
            ("R", "compare the other columns with it"),
        ],
    ),
    (
        "logbook",
        &[
            ("N", "write a run down; Enter goes on, Ctrl+Enter adds at once, Esc puts it aside"),
            ("up, down", "choose a run; in a rating: a half more, a half less"),
            ("Enter, Delete", "change the run, delete it"),
            ("O, L", "reopen the session as it was at its set; attach a log file"),
            ("F", "filter"),
            ("Alt+Left", "back from a reopened copy"),
        ],
    ),
    (
        "plots",
        &[
            ("drag", "move what is seen"),
            ("Ctrl+wheel", "closer, further"),
            ("right drag", "look into a box"),
            ("double click", "all of it again"),
            ("arrows at the title, Esc", "enlarge, small again"),
        ],
    ),
];

/// Acts on the keys that work everywhere.
pub(crate) fn act(ctx: &egui::Context, view: &mut View, desk: &mut Desk<'_>) {
    if desk.cx.question.is_some() {
        return;
    }
    let dropped = ctx.input(|i| i.raw.dropped_files.first().map(|f| f.path().to_owned()));
    if let Some(path) = dropped {
        desk.ask(Command::OpenPath(path.to_string_lossy().into_owned()));
    }
    let is_typing = ctx.text_edit_focused();
    let pressed =
        |modifiers: Modifiers, key: Key| ctx.input_mut(|i| i.consume_shortcut(&KeyboardShortcut::new(modifiers, key)));
    for (i, place) in Place::ALL.into_iter().enumerate() {
        if pressed(Modifiers::ALT, NUMBERS[i]) {
            view.place = place;
        }
    }
    for (i, key) in NUMBERS.into_iter().enumerate() {
        let is_free = !is_typing && !view.cells_have_focus && !ctx.any_popup_open();
        if (pressed(Modifiers::COMMAND, key) || (is_free && pressed(Modifiers::NONE, key)))
            && i < desk.cx.session.modes.len()
        {
            view.mode = i;
        }
    }
    if !is_typing {
        if pressed(CTRL_SHIFT, Key::Z) || pressed(Modifiers::COMMAND, Key::Y) {
            desk.ask(Command::Redo);
        } else if pressed(Modifiers::COMMAND, Key::Z) {
            desk.ask(Command::Undo);
        }
        let asks = ctx.input(|i| i.events.iter().any(|e| matches!(e, egui::Event::Text(t) if t == "?")));
        if asks && !view.cells_have_focus {
            view.keys_open = !view.keys_open;
        }
    }
    if pressed(CTRL_SHIFT, Key::S) {
        desk.ask(Command::SaveAs);
    } else if pressed(Modifiers::COMMAND, Key::S) {
        desk.ask(Command::Save);
    }
    for (key, command) in [(Key::O, Command::Open), (Key::N, Command::New), (Key::Q, Command::Quit)] {
        if pressed(Modifiers::COMMAND, key) {
            desk.ask(command);
        }
    }
    if desk.cx.reopened.is_some() && pressed(Modifiers::ALT, Key::ArrowLeft) {
        desk.ask(Command::GoBack);
    }
    if pressed(Modifiers::NONE, Key::F1) {
        view.keys_open = !view.keys_open;
    }
    let scale = if pressed(Modifiers::COMMAND, Key::Plus) || pressed(Modifiers::COMMAND, Key::Equals) {
        Some(view.text_scale + 0.1)
    } else if pressed(Modifiers::COMMAND, Key::Minus) {
        Some(view.text_scale - 0.1)
    } else if pressed(Modifiers::COMMAND, Key::Num0) {
        Some(1.0)
    } else {
        None
    };
    if let Some(scale) = scale {
        view.text_scale = ((scale * 10.0).round() / 10.0).clamp(0.8, 2.0);
        desk.ask(Command::SetTextScale(view.text_scale));
    }
    if (view.keys_open || desk.enlarged.is_some()) && !view.cells_have_focus && pressed(Modifiers::NONE, Key::Escape) {
        if view.keys_open {
            view.keys_open = false;
        } else {
            desk.enlarged = None;
        }
    }
}

/// The list of all keys, while it is open.
pub(crate) fn list(ctx: &egui::Context, view: &mut View, look: &Look) {
    if !view.keys_open {
        return;
    }
    let modal = egui::Modal::new(egui::Id::unique("key list")).frame(theme::dialog_frame(look)).show(ctx, |ui| {
        ui.set_width(760.0);
        ui.label(theme::bold(ui, "Keys", theme::TITLE));
        ui.columns(2, |columns| {
            for (i, (title, keys)) in LIST.iter().enumerate() {
                let ui = &mut columns[usize::from(i % 2 == 1)];
                ui.add_space(6.0);
                ui.label(theme::bold(ui, *title, BODY));
                egui::Grid::new(title).num_columns(2).spacing([12.0, 3.0]).show(ui, |ui| {
                    for (key, meaning) in keys.iter() {
                        ui.label(theme::number(*key, theme::SMALL));
                        ui.add(egui::Label::new(theme::note(look, *meaning).color(look.text)).wrap());
                        ui.end_row();
                    }
                });
            }
        });
        ui.add_space(8.0);
        ui.button("Close").clicked()
    });
    if modal.should_close() || modal.inner {
        view.keys_open = false;
    }
}
