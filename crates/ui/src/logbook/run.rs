//! The chosen run, whole, with everything that can be done with it.

use super::{delete, form, sheet};
use crate::command::Command;
use crate::context::MeasuredFigure;
use crate::desk::Desk;
use crate::figures;
use crate::side::ColumnKey;
use crate::theme::{self, BODY, SMALL};
use crate::tune::rating;
use crate::view::{Place, View};
use crate::widgets::link;
use crate::words;
use egui::{RichText, Ui};
use washboard_session::Run;

/// Height of the card.
pub(super) const HEIGHT: f32 = 118.0;

pub(super) fn show(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, index: usize) {
    let look = desk.look;
    // A run that was added in this very frame is there in the next one.
    let Some(run) = desk.session().logbook.get(index) else { return };
    look.card_frame().show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.set_min_height(ui.available_height());
        ui.horizontal(|ui| {
            ui.label(theme::bold(ui, desk.when(&run.time), BODY));
            let mode = desk.session().modes.iter().position(|m| m.name == run.mode);
            ui.label(theme::bold(ui, &run.mode, BODY).color(mode.map_or(look.text, |m| look.mode(m))));
            ui.label(RichText::new(&run.event).size(BODY));
            ui.label(theme::note(look, &run.load_case));
            ui.label(theme::note(look, set_in_words(desk, run)));
        });
        let words = if run.remark.is_empty() { "no words noted".to_owned() } else { format!("“{}”", run.remark) };
        ui.add(egui::Label::new(RichText::new(words).size(BODY)).wrap());
        ui.horizontal_wrapped(|ui| {
            for v in &run.verdicts {
                ui.label(theme::note(look, &v.attribute));
                ui.label(theme::bold(ui, rating(v.rating), BODY));
                ui.add_space(6.0);
            }
            let tyres = sheet::numbers(&sheet::pressures(run), 2, " / ");
            if !tyres.is_empty() {
                ui.label(theme::note(look, "tyres front left / right, rear left / right"));
                ui.label(theme::number(format!("{tyres} bar"), SMALL));
                ui.add_space(6.0);
            }
            for (name, value) in ["air", "track", "dampers"].into_iter().zip(sheet::temperatures(run)) {
                if let Some(value) = value {
                    ui.label(theme::note(look, name));
                    ui.label(theme::number(format!("{} °C", words::fixed(value, 1)), SMALL));
                    ui.add_space(6.0);
                }
            }
            if !run.log_file.is_empty() {
                ui.label(theme::note(look, "log file"));
                ui.label(theme::number(&run.log_file, SMALL));
                if link(ui, look, "copy path").accessible_name("copy the path of the log file").clicked() {
                    desk.ask(Command::CopyText(run.log_file.clone()));
                }
                ui.add_space(6.0);
                measured(ui, desk, index);
            }
        });
        ui.add_space(2.0);
        ui.horizontal_wrapped(|ui| actions(ui, view, desk, index, run));
    });
}

/// How far the first figure that was measured and predicted is from its prediction.
pub(super) fn beside_prediction(desk: &Desk<'_>, index: usize) -> Option<String> {
    let view = desk.cx.measured.get(index)?.as_ref()?.as_ref().ok()?;
    view.figures.iter().find_map(share)
}

/// Measured over predicted, in per cent.
fn share(figure: &MeasuredFigure) -> Option<String> {
    let share = figure.measured / figure.predicted? - 1.0;
    share.is_finite().then(|| format!("{} %", words::signed(share * 100.0, 0)))
}

/// What the log file says, beside what was predicted for that set, mode, event and load case.
fn measured(ui: &mut Ui, desk: &mut Desk<'_>, index: usize) {
    let look = desk.look;
    let note = |ui: &mut Ui, text: &str| drop(ui.add(egui::Label::new(theme::note(look, text)).wrap()));
    match desk.cx.measured.get(index) {
        Some(Some(Ok(view))) => {
            for figure in &view.figures {
                ui.label(theme::note(look, figure.metric.metric().label.to_lowercase()))
                    .on_hover_ui(|ui| figures::explain(ui, look, figure.metric));
                let value = |si| figures::figure_with_unit(figure.metric, si);
                let predicted = figure.predicted.map_or(String::new(), |si| format!(", predicted {}", value(si)));
                let share = share(figure).map_or(String::new(), |share| format!(" ({share})"));
                ui.label(theme::number(format!("{}{predicted}{share}", value(figure.measured)), SMALL))
                    .on_hover_text(format!("measured: channel {}", figure.channel));
                ui.add_space(6.0);
            }
            if view.figures.is_empty() {
                note(ui, "the file has no channel seat_z_m_per_s2 or body_z_m_per_s2 to hold against the prediction");
            }
            if !view.note.is_empty() {
                note(ui, &view.note);
            }
        }
        Some(Some(Err(sentence))) => {
            ui.add(egui::Label::new(RichText::new(sentence).size(SMALL).color(look.caution)).wrap());
            if link(ui, look, "read it").accessible_name("read the log file").clicked() {
                desk.ask(Command::ReadLogOfRun(index));
            }
        }
        _ => match desk.cx.reading_log.filter(|(run, _)| *run == index) {
            Some((_, percent)) if percent < 100 => note(ui, &format!("being read: {percent} % …")),
            _ => note(ui, "being read …"),
        },
    }
}

/// Which set was driven, and whether the session knows it.
fn set_in_words(desk: &Desk<'_>, run: &Run) -> String {
    let session = desk.session();
    match session.set_of(&run.set_identity) {
        _ if run.set_identity.is_empty() => "no set noted".to_owned(),
        Some(_) if desk.cx.in_car.is_some_and(|it| it.identity == run.set_identity) => {
            format!("set {}, in the car now", words::identity(&run.set_identity))
        }
        Some(set) => {
            let when = desk.when(&session.handed_over[set].time);
            format!("set {}, handed over {when}", words::identity(&run.set_identity))
        }
        None => format!("set {}, not handed over from this session", words::identity(&run.set_identity)),
    }
}

fn actions(ui: &mut Ui, view: &mut View, desk: &mut Desk<'_>, index: usize, run: &Run) {
    let set = desk.session().set_of(&run.set_identity);
    if ui.button("Change …").on_hover_text("Enter").clicked() {
        form::change(view, desk, index);
    }
    let attach = if run.log_file.is_empty() { "Attach a log file …" } else { "Attach another log file …" };
    if ui.button(attach).on_hover_text("L").clicked() {
        desk.ask(Command::AttachLog(index));
    }
    let reopen = ui.add_enabled(set.is_some(), egui::Button::new("Reopen as it was"));
    let reopen = reopen
        .on_hover_text("The session as it was at this set, as a copy; what is on screen stays as it is (O)")
        .on_disabled_hover_text("The run names no set that was handed over from this session.");
    if reopen.clicked() {
        desk.ask(Command::ReopenRun(index));
    }
    let mode = set.and_then(|s| desk.session().handed_over[s].modes.iter().find(|m| m.name == run.mode));
    let beside = ui.add_enabled(mode.is_some(), egui::Button::new("Put side by side"));
    let beside = beside
        .on_hover_text("The mode driven, as it was in this set, beside those of the session")
        .on_disabled_hover_text("The mode driven is not in a set that was handed over from this session.");
    if beside.clicked() {
        let key = ColumnKey::OfSet { identity: run.set_identity.clone(), mode: run.mode.clone() };
        view.side.add(key);
        view.place = Place::SideBySide;
    }
    if ui.button("Delete").on_hover_text("Delete (undo brings it back)").clicked() {
        delete(view, desk, index);
    }
}
