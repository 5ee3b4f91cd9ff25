//! The sets that left for the car, newest first.

use crate::command::Command;
use crate::desk::Desk;
use crate::side::ColumnKey;
use crate::theme::{self, BODY, SMALL};
use crate::view::{Place, View};
use crate::widgets::link;
use crate::words;
use egui::{RichText, Ui};

pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let sets = &desk.session().handed_over;
    if sets.is_empty() {
        ui.label("No set has left yet: Hand over (Alt+6) writes one when the checks hold, and it is noted here.");
    }
    egui::ScrollArea::vertical().id_salt("sets").auto_shrink(false).show(ui, |ui| {
        for (i, set) in sets.iter().enumerate().rev() {
            let is_in_car = desk.cx.in_car.is_some_and(|it| it.identity == set.identity);
            let fill = if is_in_car { look.good_fill } else { look.card };
            look.card_frame().fill(fill).show(ui, |ui| {
                ui.set_width(ui.available_width());
                ui.horizontal(|ui| {
                    ui.label(theme::identity(ui, words::identity(&set.identity), BODY + 1.0));
                    if is_in_car {
                        ui.label(theme::bold(ui, "in the car", SMALL).color(look.good));
                    }
                    ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                        ui.label(theme::note(look, words::when(&set.time, &desk.cx.now)));
                    });
                });
                let names: Vec<&str> = set.modes.iter().map(|m| m.name.as_str()).collect();
                let runs = desk.session().logbook.iter().filter(|r| r.set_identity == set.identity).count();
                ui.label(theme::note(look, format!("{} · {}", names.join(", "), words::count(runs, "run", "runs"))));
                if !set.note.is_empty() {
                    ui.label(RichText::new(&set.note).size(BODY));
                }
                ui.horizontal(|ui| {
                    let short = words::identity(&set.identity);
                    let beside = link(ui, look, "side by side").accessible_name(format!("side by side {short}"));
                    if beside.on_hover_text("Its modes beside those of the session").clicked() {
                        for mode in set.modes.iter() {
                            let key = ColumnKey::OfSet { identity: set.identity.clone(), mode: mode.name.clone() };
                            view.side.add(key);
                        }
                        view.place = Place::SideBySide;
                    }
                    let reopen = link(ui, look, "reopen").accessible_name(format!("reopen {short}"));
                    if reopen.on_hover_text("The session as it was at this set, as a copy").clicked() {
                        desk.ask(Command::ReopenSet(i));
                    }
                    if !set.folder.is_empty() {
                        if link(ui, look, "copy path").clicked() {
                            desk.ask(Command::CopyText(set.folder.clone()));
                        }
                        let folder = egui::Label::new(theme::note(look, &set.folder)).truncate();
                        ui.add(folder).on_hover_text(&set.folder);
                    }
                });
            });
        }
    });
}
