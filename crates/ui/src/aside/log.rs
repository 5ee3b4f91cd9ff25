//! The log file, for a bug report: where it is, its last lines, and the way to take them along.

use crate::command::Command;
use crate::desk::Desk;
use crate::theme::{self, SMALL};
use egui::{RichText, Ui};

/// Draws it; true when it is to be closed.
pub(super) fn show(ui: &mut Ui, desk: &mut Desk<'_>, height: f32) -> bool {
    let look = desk.look;
    let closes = super::title(ui, "Log file");
    let Some(log) = desk.cx.log else {
        ui.label("Being read…");
        return closes;
    };
    if log.path.is_empty() {
        ui.label(&log.text);
        return closes;
    }
    ui.label("For a bug report: send this text, with what you did and what you expected. It names files and folders.");
    ui.horizontal(|ui| {
        ui.add(egui::Label::new(theme::note(look, &log.path)).truncate());
    });
    ui.horizontal(|ui| {
        if ui.button("Copy the text").clicked() {
            desk.ask(Command::CopyText(log.text.clone()));
        }
        if ui.button("Copy the path").clicked() {
            desk.ask(Command::CopyText(log.path.clone()));
        }
        if ui.button("Show the folder").clicked() {
            desk.ask(Command::ShowFolder(log.path.clone()));
        }
        if ui.button("Read again").clicked() {
            desk.ask(Command::ReadLog);
        }
    });
    ui.add_space(4.0);
    egui::ScrollArea::both()
        .max_height(height)
        .min_scrolled_height(height)
        .auto_shrink(false)
        .stick_to_bottom(true)
        .show(ui, |ui| {
            for line in log.text.lines() {
                ui.add(egui::Label::new(RichText::new(line).size(SMALL)).extend());
            }
        });
    closes
}
