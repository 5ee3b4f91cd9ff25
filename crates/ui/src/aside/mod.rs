//! What is looked at aside, in front of the places: keys, everything that can be done, what the driver said, breakpoints and
//! scales, the program, its log.

mod about;
mod breakpoints;
mod complaints;
mod finder;
mod keys;
mod log;
mod scales;
mod search;

use crate::desk::Desk;
use crate::theme::{self, TITLE};
use crate::view::{Aside, View};
use egui::{Align, Layout, Ui};

/// Shows what is open, if anything.
pub(crate) fn show(ctx: &egui::Context, view: &mut View, desk: &mut Desk<'_>) {
    let Some(open) = view.aside else { return };
    let id = egui::Id::unique(("aside", open));
    let screen = ctx.content_rect().size();
    let modal = egui::Modal::new(id).frame(theme::dialog_frame(desk.look)).show(ctx, |ui| {
        let width: f32 = match open {
            Aside::Finder => 460.0,
            Aside::Complaints | Aside::Breakpoints => 620.0,
            Aside::Scales => 360.0,
            _ => 780.0,
        };
        ui.set_width(width.min(screen.x - 80.0));
        match open {
            Aside::Keys => keys::show(ui, desk, screen.y - 120.0),
            Aside::Finder => finder::show(ui, view, desk, screen.y * 0.5),
            Aside::Complaints => complaints::show(ui, view, desk, screen.y * 0.5),
            Aside::Breakpoints => breakpoints::show(ui, view, desk, screen.y * 0.45),
            Aside::Scales => scales::show(ui, view, desk),
            Aside::About => about::show(ui, desk, screen.y - 220.0),
            Aside::Log => log::show(ui, desk, screen.y - 200.0),
        }
    });
    // Something else may have been opened from here.
    if (modal.should_close() || modal.inner) && view.aside == Some(open) {
        view.aside = None;
    }
}

/// Title on the left, a button to close on the right; true when that is clicked.
fn title(ui: &mut Ui, text: &str) -> bool {
    ui.horizontal(|ui| {
        ui.label(theme::bold(ui, text, TITLE));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| ui.button("Close").clicked()).inner
    })
    .inner
}
