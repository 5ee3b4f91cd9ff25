//! What the set may be used for, who answers for it, and the cautions that go with it.

use super::card;
use crate::command::Command;
use crate::desk::Desk;
use crate::theme::{self, BODY, SMALL};
use crate::view::View;
use crate::widgets::{link, section, toggle};
use egui::{RichText, Ui};
use washboard_handover::CAUTIONS;
use washboard_session::{Edit, Release, SetStatus};

/// What a status means.
fn meaning(status: SetStatus) -> &'static str {
    match status {
        SetStatus::Draft => {
            "For the bench and for reading; not for driving. Open checks do not hold it back, but stand in its papers."
        }
        SetStatus::TrackOnly => "For trained drivers on closed courses. Every check passes or is waived in a sentence.",
        SetStatus::WiderUse => "For more than that: also a name that answers for it, and a purpose.",
    }
}

pub(super) fn status(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let look = desk.look;
    let now = view.hand_over.status(desk.session());
    let chosen = SetStatus::ALL.iter().position(|status| *status == now).unwrap_or(0);
    ui.horizontal(|ui| {
        section(ui, look, "status", "");
        if let Some(i) = toggle(ui, look, "Status", chosen, &SetStatus::ALL.map(SetStatus::words)) {
            view.hand_over.status = Some(SetStatus::ALL[i]);
        }
    });
    ui.add(egui::Label::new(theme::note(look, meaning(now))).wrap());
    if now == SetStatus::WiderUse {
        responsible(ui, view, desk);
    }
}

/// Name and purpose, remembered in the session.
fn responsible(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>) {
    let release = desk.session().release.clone().unwrap_or_default();
    let kept = (release.name.clone(), release.purpose.clone());
    let mut typed = view.hand_over.responsible.clone().unwrap_or_else(|| kept.clone());
    let mut is_typing = false;
    let mut is_over = false;
    egui::Grid::new("responsible").num_columns(2).spacing([8.0, 3.0]).show(ui, |ui| {
        for (name, text, hint) in [
            ("Name", &mut typed.0, "who answers for it"),
            ("Purpose", &mut typed.1, "as in: fleet trial, five cars, until the end of May"),
        ] {
            ui.label(RichText::new(name).size(SMALL + 0.5));
            let edit = egui::TextEdit::singleline(text).desired_width(ui.available_width()).hint_text(hint);
            let response = ui.add(edit).accessible_name(format!("{name} for wider use"));
            is_typing |= response.has_focus();
            is_over |= response.lost_focus();
            ui.end_row();
        }
    });
    if is_over && typed != kept {
        let (name, purpose) = (typed.0.trim().to_owned(), typed.1.trim().to_owned());
        desk.ask(Command::Edit(Edit::SetRelease(Box::new(Release { name, purpose, ..release }))));
    }
    view.hand_over.responsible = is_typing.then_some(typed);
}

pub(super) fn cautions(ui: &mut Ui, desk: &mut Desk<'_>) {
    let look = desk.look;
    let release = desk.session().release.clone().unwrap_or_default();
    let mut acknowledged = release.caution_acknowledged;
    let mut is_changed = false;
    card(ui, look, Some(look.caution_fill), |ui| {
        ui.label(theme::bold(ui, "⚠ caution", BODY + 1.0).color(look.caution));
        for caution in CAUTIONS {
            ui.horizontal_top(|ui| {
                ui.label("·");
                ui.add(egui::Label::new(caution).wrap());
            });
        }
        ui.add_space(4.0);
        if acknowledged {
            ui.horizontal(|ui| {
                ui.label(theme::bold(ui, "✓ read and taken into account, for this session", BODY).color(look.good));
                if link(ui, look, "take it back").clicked() {
                    (acknowledged, is_changed) = (false, true);
                }
            });
        } else {
            let text = "I have read this and take it into account.";
            is_changed = ui.checkbox(&mut acknowledged, text).changed();
            ui.label(theme::note(
                look,
                "Once for the session, a draft included: a control unit takes it like any other.",
            ));
        }
    });
    if is_changed {
        let release = Release { caution_acknowledged: acknowledged, ..release };
        desk.ask(Command::Edit(Edit::SetRelease(Box::new(release))));
    }
}
