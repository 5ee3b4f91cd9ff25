//! What a mode rests on, and what it has of its own beside that: each part can go back.

use crate::command::Command;
use crate::desk::Desk;
use crate::theme;
use crate::view::View;
use crate::widgets::{choice, link};
use crate::words;
use egui::{RichText, Ui};
use washboard_session::{Edit, OwnPart};

/// Parts of its own that are listed; more of them go back together.
const MOST_LISTED: usize = 12;

pub(super) fn show(ui: &mut Ui, desk: &mut Desk<'_>, mode: usize) {
    let session = desk.session();
    let Some(own) = session.modes.get(mode) else { return };
    // A mode that rests on this one cannot carry it.
    let carries = |other: usize| {
        let mut at = Some(other);
        for _ in 0..=session.modes.len() {
            match at {
                Some(index) if index == mode => return false,
                Some(index) => {
                    at = session.base_of(index).and_then(|b| session.modes.iter().position(|m| m.name == b.name));
                }
                None => return true,
            }
        }
        false
    };
    let bases: Vec<String> =
        (0..session.modes.len()).filter(|i| carries(*i)).map(|i| session.modes[i].name.clone()).collect();
    if bases.is_empty() {
        return;
    }
    let look = desk.look;
    let now = own.base_name().and_then(|name| bases.iter().position(|b| b == name)).map_or(0, |i| i + 1);
    let options: Vec<String> =
        std::iter::once("nothing: it stands alone".to_owned()).chain(bases.iter().cloned()).collect();
    let name = own.name.clone();
    let deviations = session.deviations(mode);
    ui.horizontal(|ui| {
        ui.label(theme::note(look, "rests on"));
        if let Some(chosen) = choice(ui, &format!("What {name} rests on"), 170.0, now, &options) {
            let on = chosen.checked_sub(1).map(|i| bases[i].clone());
            desk.ask(Command::Edit(Edit::RestOn { mode, on }));
        }
        if now > 0 {
            let own = words::count(deviations.len(), "part of its own", "parts of its own");
            ui.label(theme::note(look, format!("{own}; all else follows")));
        }
    });
    let mut back: Vec<OwnPart> = Vec::new();
    for deviation in deviations.iter().take(MOST_LISTED) {
        ui.horizontal(|ui| {
            let text = format!("{}: {} → {}", deviation.what, deviation.base, deviation.own);
            ui.label(RichText::new(text).size(theme::SMALL + 0.5));
            let said = format!("{}, back to what it rests on, {name}", deviation.what);
            if link(ui, look, "back").accessible_name(said).clicked() {
                back.push(deviation.part);
            }
        });
    }
    if deviations.len() > 1 {
        let more = deviations.len().saturating_sub(MOST_LISTED);
        let text = if more > 0 { format!("all back, these and {more} more") } else { "all back".to_owned() };
        if link(ui, look, &text).accessible_name(format!("all of {name} back to what it rests on")).clicked() {
            back = deviations.iter().map(|d| d.part).collect();
        }
    }
    if !back.is_empty() {
        desk.ask(Command::Edit(Edit::ToBase { mode, parts: back }));
    }
}

/// The chosen cells go back to what the mode under work rests on.
pub(crate) fn cells_back(view: &mut View, desk: &mut Desk<'_>) {
    let Some(mode) = desk.mode(view.mode) else { return };
    let ((r0, c0), (r1, c1)) = (view.cells.anchor, view.cells.cursor);
    let (rows, columns) = (r0.min(r1)..=r0.max(r1), c0.min(c1)..=c0.max(c1));
    let own = rows.flat_map(|r| columns.clone().map(move |c| (r, c)));
    let is_whole = mode.rests_on.as_ref().is_some_and(|it| it.maps.contains(&view.map));
    let parts: Vec<OwnPart> = if is_whole {
        vec![OwnPart::Map(view.map)]
    } else {
        own.filter(|(r, c)| mode.is_own_cell(view.map, *r, *c)).map(|(r, c)| OwnPart::Cell(view.map, r, c)).collect()
    };
    if parts.is_empty() {
        let text = if mode.rests_on.is_some() {
            "these cells follow what the mode rests on already"
        } else {
            "the mode stands alone: there is nothing to go back to"
        };
        view.cells.message = Some(text.to_owned());
    } else {
        desk.ask(Command::Edit(Edit::ToBase { mode: view.mode, parts }));
    }
}

/// The mode under work rests on the reference mode.
pub(crate) fn rest_on_reference(view: &mut View, desk: &mut Desk<'_>) {
    let reference = desk.reference();
    let on = desk.session().modes.get(reference).map(|m| m.name.clone());
    if reference == view.mode {
        view.cells.message = Some("the reference mode cannot rest on itself: choose another mode".to_owned());
    } else {
        desk.ask(Command::Edit(Edit::RestOn { mode: view.mode, on }));
    }
}

/// The mode under work stands alone.
pub(crate) fn stand_alone(view: &mut View, desk: &mut Desk<'_>) {
    if desk.mode(view.mode).is_some_and(|m| m.rests_on.is_some()) {
        desk.ask(Command::Edit(Edit::RestOn { mode: view.mode, on: None }));
    } else {
        view.cells.message = Some("the mode stands alone already".to_owned());
    }
}
