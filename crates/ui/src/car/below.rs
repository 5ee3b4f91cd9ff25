//! What the session rests on, and what it has of its own beside that: each part can go back.

use crate::command::Command;
use crate::desk::Desk;
use crate::theme;
use crate::view::View;
use crate::widgets::link;
use crate::words;
use egui::{RichText, Ui};
use washboard_session::Edit;

/// Parts of its own that are listed at once; the rest are counted.
const MOST_LISTED: usize = 24;

/// The line above the data sheet of a session that rests on another, with the list below it where it is opened.
pub(super) fn show(ui: &mut Ui, desk: &mut Desk<'_>) {
    let Some(below) = desk.session().rests_on() else { return };
    let look = desk.look;
    let file = below.file.clone();
    let parts = parts(ui, desk);
    let id = egui::Id::unique("parts of the session's own");
    let mut is_open = ui.data(|d| d.get_temp::<bool>(id)).unwrap_or(false);
    ui.horizontal(|ui| {
        let own = words::count(parts.len(), "part of its own", "parts of its own");
        ui.label(theme::note(look, format!("rests on {file}: {own}; all else follows")));
        if !parts.is_empty() {
            let text = if is_open { "hide them" } else { "show them" };
            if link(ui, look, text).accessible_name(format!("{text}, parts of the session's own")).clicked() {
                is_open = !is_open;
                ui.data_mut(|d| d.insert_temp(id, is_open));
            }
        }
        if link(ui, look, "stand alone").accessible_name("let the session stand alone").clicked() {
            desk.ask(Command::Edit(Edit::RestOnSession(None)));
        }
    });
    if !is_open {
        return;
    }
    for part in parts.iter().take(MOST_LISTED) {
        ui.horizontal_wrapped(|ui| {
            let text = words::minus(format!("{}: {} → {}", part.what, part.below, part.own));
            ui.label(RichText::new(words::signs(&text)).size(theme::SMALL + 0.5));
            if let Some(back) = &part.back {
                let said = format!("{}, back to what {file} has", part.what);
                if link(ui, look, "back").accessible_name(said).clicked() {
                    desk.ask(Command::Edit(back.clone()));
                }
            }
        });
    }
    if let Some(more) = parts.len().checked_sub(MOST_LISTED).filter(|more| *more > 0) {
        ui.label(theme::note(look, format!("and {more} more")));
    }
}

/// What is its own, found anew only where the session has changed.
fn parts(ui: &Ui, desk: &Desk<'_>) -> Vec<washboard_session::OwnOfSession> {
    type Known = (u64, std::sync::Arc<Vec<washboard_session::OwnOfSession>>);
    let id = egui::Id::unique("what the session has of its own");
    let revision = desk.cx.revision;
    let known = ui.data(|d| d.get_temp::<Known>(id)).filter(|(of, _)| *of == revision);
    let (_, found) = known.unwrap_or_else(|| {
        let found = (revision, std::sync::Arc::new(desk.session().own_parts()));
        ui.data_mut(|d| d.insert_temp(id, found.clone()));
        found
    });
    found.to_vec()
}

/// The session stands alone.
pub(crate) fn stand_alone(view: &mut View, desk: &mut Desk<'_>) {
    if desk.session().rests_on().is_some() {
        desk.ask(Command::Edit(Edit::RestOnSession(None)));
    } else {
        view.cells.message = Some("the session stands alone already".to_owned());
    }
}
