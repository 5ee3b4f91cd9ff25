//! Scales of a mode's maps at the axles, and of rebound and compression.

use crate::desk::Desk;
use crate::field;
use crate::theme::{self, SMALL};
use crate::view::View;
use egui::{RichText, Ui};
use washboard_session::{End, Scale, number};

const LABEL: f32 = 110.0;
const FIELD: f32 = 90.0;

/// Draws them; true when they are to be closed.
pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) -> bool {
    let mode = view.mode;
    let name = desk.mode(mode).map_or("", |m| m.name.as_str());
    let close = super::title(ui, &format!("Scales of {name}"));
    ui.label(theme::note(
        desk.look,
        "Each axle takes its maps times these. Rebound and compression scale heave, wheel and base. 1: as the map says.",
    ));
    ui.add_space(6.0);
    egui::Grid::new("scales").num_columns(3).spacing(egui::vec2(14.0, 5.0)).show(ui, |ui| {
        ui.label("");
        for end in End::ALL {
            ui.label(RichText::new(format!("{} axle", end.field())).size(SMALL).color(desk.look.weak));
        }
        ui.end_row();
        for scale in Scale::ALL {
            field::label(ui, scale.field(), LABEL);
            for end in End::ALL {
                let path = format!("modes[{mode}].{}.{}", end.field(), scale.field());
                if let Some(number) = number(desk.session(), &path) {
                    let name = format!("{} scale, {} axle", scale.field(), end.field());
                    field::number(ui, view, desk, &number, &name, FIELD);
                }
            }
            ui.end_row();
        }
    });
    let refused: Vec<String> =
        view.refused.keys().filter(|key| key.starts_with(&format!("modes[{mode}]."))).cloned().collect();
    for key in refused {
        field::sentence(ui, view, desk.look, &key);
    }
    close
}
