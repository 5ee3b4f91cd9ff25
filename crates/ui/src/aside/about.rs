//! The program, its version, and the licences of its parts.

use crate::command::Command;
use crate::context::About;
use crate::desk::Desk;
use crate::table::{Table, links};
use crate::theme::{self, BODY, SMALL};
use egui::Ui;

fn table(about: &About) -> Table {
    let mut table = Table::new(["part", "version", "licence"]);
    for part in &about.parts {
        table.row([part.name.as_str(), &part.version, &part.licence]);
    }
    table
}

/// Draws it; true when it is to be closed.
pub(super) fn show(ui: &mut Ui, desk: &mut Desk<'_>, height: f32) -> bool {
    let (look, about) = (desk.look, desk.cx.about);
    let closes = super::title(ui, &format!("Washboard {}", about.version));
    ui.label("Calibrates semi-active dampers. Free under MIT or Apache-2.0, at your choice; without warranty.");
    if !about.data_folder.is_empty() {
        ui.horizontal(|ui| {
            ui.label(theme::note(look, format!("Own files: {}", about.data_folder)));
            if crate::widgets::link(ui, look, "show").accessible_name("show the folder of own files").clicked() {
                desk.ask(Command::ShowFolder(about.data_folder.clone()));
            }
        });
    }
    ui.add_space(6.0);
    ui.horizontal(|ui| {
        ui.label(theme::bold(ui, "parts by others", BODY));
        ui.label(theme::note(look, format!("{} with their licences", about.parts.len())));
        desk.out.extend(links(ui, look, "parts by others", || table(about)));
    });
    egui::ScrollArea::vertical().max_height(height).min_scrolled_height(height).auto_shrink(false).show_rows(
        ui,
        18.0,
        about.parts.len(),
        |ui, rows| {
            egui::Grid::new("parts").num_columns(3).min_col_width(120.0).spacing([16.0, 2.0]).show(ui, |ui| {
                for part in &about.parts[rows] {
                    ui.label(&part.name);
                    ui.label(theme::number(&part.version, SMALL));
                    ui.label(&part.licence);
                    ui.end_row();
                }
            });
        },
    );
    closes
}
