//! What was handed over, or a dump of the car's memory, read back: what differs, cell by cell.

use crate::command::Command;
use crate::desk::Desk;
use crate::theme::{self, BODY, SMALL};
use crate::view::View;
use crate::widgets::{choice, link, section};
use crate::words;
use egui::{RichText, Ui};

pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let sets = &desk.session().handed_over;
    section(ui, look, "read back", "what is in a folder, a file, or a dump of the control unit's memory");
    let name = |set: &washboard_session::HandedOver| {
        let note = if set.note.is_empty() { String::new() } else { format!(" · {}", set.note) };
        format!("set {} · {}{note}", words::identity(&set.identity), desk.when(&set.time))
    };
    // The newest first, behind what is on screen.
    let options: Vec<String> =
        std::iter::once("the modes on screen".to_owned()).chain(sets.iter().rev().map(name)).collect();
    let identity = view.hand_over.read_against.as_ref();
    let against = identity.and_then(|identity| sets.iter().rposition(|set| set.identity == *identity));
    ui.horizontal(|ui| {
        ui.label("Held against");
        let chosen = against.map_or(0, |set| sets.len() - set);
        if let Some(i) = choice(ui, "Held against", 300.0, chosen, &options) {
            view.hand_over.read_against =
                i.checked_sub(1).and_then(|i| sets.iter().rev().nth(i)).map(|set| set.identity.clone());
        }
    });
    ui.horizontal(|ui| {
        if ui.button("Read a file or a dump…").clicked() {
            desk.ask(Command::ReadBack { folder: false, against });
        }
        if ui.button("Read a whole folder…").clicked() {
            desk.ask(Command::ReadBack { folder: true, against });
        }
    });
    let text = "RON, JSON, C header or source, Intel HEX or plain bytes. Images and C files are read after the layout beside \
                them, or after the one chosen under control unit.";
    ui.add(egui::Label::new(theme::note(look, text)).wrap());
    ui.add_space(6.0);
    let Some(read) = desk.cx.read_back else { return };
    let place = |ui: &mut Ui| {
        ui.add(egui::Label::new(RichText::new(&read.place).size(BODY)).truncate()).on_hover_text(&read.place);
        ui.label(theme::note(look, format!("held against {}", read.against)));
    };
    match &read.outcome {
        Err(sentence) => {
            ui.label(theme::bold(ui, "✕ cannot be read", BODY + 1.0).color(look.crossed));
            place(ui);
            ui.add(egui::Label::new(sentence).wrap());
        }
        Ok(verdict) if verdict.equal => {
            ui.label(theme::bold(ui, "✓ the same, every cell and every byte", BODY + 1.0).color(look.good));
            place(ui);
            ui.label(theme::identity(ui, words::identity(&verdict.identity), 20.0));
        }
        Ok(verdict) => {
            let count = words::count(verdict.differences.len(), "difference", "differences");
            ui.horizontal(|ui| {
                ui.label(theme::bold(ui, format!("✕ {count}"), BODY + 1.0).color(look.crossed));
                if link(ui, look, "copy").accessible_name("copy the differences").clicked() {
                    desk.ask(Command::CopyText(verdict.differences.join("\n")));
                }
            });
            place(ui);
            ui.label(theme::note(look, format!("it says it is set {}", words::identity(&verdict.identity))));
            for difference in &verdict.differences {
                ui.horizontal_top(|ui| {
                    ui.label("·");
                    ui.add(egui::Label::new(RichText::new(difference).size(SMALL + 0.5)).wrap());
                });
            }
        }
    }
    if link(ui, look, "put away").accessible_name("put away what was read back").clicked() {
        desk.ask(Command::LeaveReadBack);
    }
}
